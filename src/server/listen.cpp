#include "server/listen.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <cerrno>
#include <cstring>
#include <memory>

namespace voltsill::server {
namespace {

union Address {
    sockaddr any;
    sockaddr_in four;
    sockaddr_in6 six;
};

/// Nothing: no literal address.
std::optional<Address> address_of(const std::string& text) {
    Address out{};
    if (inet_pton(AF_INET, text.c_str(), &out.four.sin_addr) == 1) out.any.sa_family = AF_INET;
    else if (inet_pton(AF_INET6, text.c_str(), &out.six.sin6_addr) == 1) out.any.sa_family = AF_INET6;
    else return std::nullopt;
    return out;
}

std::expected<Listening, int> listen_at(Address address, int port) {
    const bool six = address.any.sa_family == AF_INET6;
    Descriptor opened(socket(address.any.sa_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
    const int yes = 1;
    setsockopt(opened.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    (six ? address.six.sin6_port : address.four.sin_port) = htons(static_cast<std::uint16_t>(port));
    socklen_t size = six ? sizeof address.six : sizeof address.four;
    sockaddr* any = &address.any;
    if (!opened || bind(opened.get(), any, size) != 0 || listen(opened.get(), 1024) != 0 ||
        getsockname(opened.get(), any, &size) != 0)
        return std::unexpected(errno);
    return Listening{std::move(opened), ntohs(six ? address.six.sin6_port : address.four.sin_port)};
}

}  // namespace

bool is_one_address(const std::string& text) {
    const auto address = address_of(text);
    if (!address) return false;
    if (address->any.sa_family == AF_INET) return address->four.sin_addr.s_addr != htonl(INADDR_ANY);
    return !IN6_IS_ADDR_UNSPECIFIED(&address->six.sin6_addr);
}

bool is_loopback(const std::string& text) {
    const auto address = address_of(text);
    if (!address) return false;
    if (address->any.sa_family == AF_INET) return ntohl(address->four.sin_addr.s_addr) >> 24 == 127;
    return IN6_IS_ADDR_LOOPBACK(&address->six.sin6_addr);
}

std::vector<std::string> own_addresses() {
    ifaddrs* first = nullptr;
    if (getifaddrs(&first) != 0) return {};
    const std::unique_ptr<ifaddrs, decltype(&freeifaddrs)> all(first, &freeifaddrs);
    std::vector<std::string> out;
    for (const ifaddrs* at = first; at; at = at->ifa_next) {
        if (!at->ifa_addr || !(at->ifa_flags & IFF_UP) || (at->ifa_flags & IFF_LOOPBACK)) continue;
        const int family = at->ifa_addr->sa_family;
        if (family != AF_INET && family != AF_INET6) continue;
        const auto& six = reinterpret_cast<const sockaddr_in6&>(*at->ifa_addr).sin6_addr;
        if (family == AF_INET6 && IN6_IS_ADDR_LINKLOCAL(&six)) continue;
        const void* number = family == AF_INET6 ? static_cast<const void*>(&six)
                                                : &reinterpret_cast<const sockaddr_in&>(*at->ifa_addr).sin_addr;
        char text[INET6_ADDRSTRLEN] = {};
        if (inet_ntop(family, number, text, sizeof text)) out.emplace_back(text);
    }
    return out;
}

std::string own_addresses_words() {
    const std::vector<std::string> own = own_addresses();
    return own.empty() ? std::string() : fmt::format("; this machine has {}", fmt::join(own, ", "));
}

bool is_from_here(const sockaddr& client, const sockaddr& own) {
    if (client.sa_family != own.sa_family) return false;
    if (client.sa_family == AF_INET) {
        const auto &a = reinterpret_cast<const sockaddr_in&>(client), &b = reinterpret_cast<const sockaddr_in&>(own);
        return ntohl(a.sin_addr.s_addr) >> 24 == 127 || a.sin_addr.s_addr == b.sin_addr.s_addr;
    }
    if (client.sa_family != AF_INET6) return false;
    const auto &a = reinterpret_cast<const sockaddr_in6&>(client), &b = reinterpret_cast<const sockaddr_in6&>(own);
    return IN6_IS_ADDR_LOOPBACK(&a.sin6_addr) || IN6_ARE_ADDR_EQUAL(&a.sin6_addr, &b.sin6_addr);
}

std::expected<Listening, std::string> listen_on(const std::string& text, std::optional<int> asked, int first,
                                                int tried) {
    const auto address = address_of(text);
    if (!address) return std::unexpected(fmt::format("\"{}\" is no address such as 192.168.1.5", text));
    const int begin = asked.value_or(first), end = asked ? begin + 1 : first + tried;
    int error = 0;
    for (int port = begin; port < end; ++port) {
        auto listening = listen_at(*address, port);
        if (listening) return std::move(*listening);
        error = listening.error();
        if (error != EADDRINUSE) break;
    }
    if (error == EADDRNOTAVAIL)
        return std::unexpected(fmt::format("{} is no address of this machine now{}", text, own_addresses_words()));
    return std::unexpected(end - begin == 1
                               ? fmt::format("port {} of {}: {}", begin, text, std::strerror(error))
                               : fmt::format("ports {} to {} of {}: {}", begin, end - 1, text, std::strerror(error)));
}

}  // namespace voltsill::server
