#include "server/listen.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <cerrno>
#include <cstring>

namespace voltsill::server {
namespace {

std::expected<Listening, int> listen_at(int port) {
    Descriptor opened(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
    const int yes = 1;
    setsockopt(opened.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    auto* any = reinterpret_cast<sockaddr*>(&address);
    if (!opened || bind(opened.get(), any, size) != 0 || listen(opened.get(), 1024) != 0 ||
        getsockname(opened.get(), any, &size) != 0)
        return std::unexpected(errno);
    return Listening{std::move(opened), ntohs(address.sin_port)};
}

}  // namespace

std::expected<Listening, std::string> listen_on_loopback(std::optional<int> asked, int first, int tried) {
    const int begin = asked.value_or(first), end = asked ? begin + 1 : first + tried;
    int error = 0;
    for (int port = begin; port < end; ++port) {
        auto listening = listen_at(port);
        if (listening) return std::move(*listening);
        error = listening.error();
        if (error != EADDRINUSE) break;
    }
    return std::unexpected(end - begin == 1
                               ? fmt::format("port {} of 127.0.0.1: {}", begin, std::strerror(error))
                               : fmt::format("ports {} to {} of 127.0.0.1: {}", begin, end - 1, std::strerror(error)));
}

}  // namespace voltsill::server
