#include "client.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <charconv>

namespace voltsill::testing {
namespace {

using ClientClock = std::chrono::steady_clock;

Reply parsed_head(std::string_view head) {
    Reply reply;
    std::from_chars(head.data() + std::min<std::size_t>(9, head.size()), head.data() + head.size(), reply.status);
    for (std::size_t at = head.find("\r\n"); at != std::string_view::npos && at + 2 < head.size();) {
        const std::size_t begin = at + 2, end = std::min(head.find("\r\n", begin), head.size());
        const std::string_view line = head.substr(begin, end - begin);
        const std::size_t colon = line.find(':');
        if (colon != std::string_view::npos) {
            std::string name(line.substr(0, colon));
            std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::tolower(c); });
            const std::string value(line.substr(std::min(line.size(), colon + 2)));
            std::string& known = reply.headers[name];
            known = name == "set-cookie" && !known.empty() ? known + "\n" + value : value;  // a line each
        }
        at = end < head.size() ? end : std::string_view::npos;
    }
    return reply;
}

}  // namespace

std::string Reply::code() const {
    const nlohmann::json document = json();
    return document.is_object() && !document.value("problems", nlohmann::json::array()).empty()
               ? document["problems"][0].value("code", "")
               : "";
}

Client::Client(int port, const char* from) : descriptor_(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    if (*from && (inet_pton(AF_INET, from, &address.sin_addr) != 1 ||
                  bind(descriptor_, reinterpret_cast<sockaddr*>(&address), sizeof address) != 0)) {
        close();
        return;
    }
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(descriptor_, reinterpret_cast<sockaddr*>(&address), sizeof address) != 0) close();
}
Client::~Client() { close(); }

void Client::close() {
    if (descriptor_ >= 0) ::close(std::exchange(descriptor_, -1));
}

bool Client::send(std::string_view bytes) const {
    while (!bytes.empty()) {
        const ssize_t sent = ::send(descriptor_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
        if (sent <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
}

bool Client::fill(ClientClock::time_point until) {
    pollfd ready{descriptor_, POLLIN, 0};
    const auto left =
        std::chrono::ceil<Wait>(until - ClientClock::now()).count();  // down, and the time would not be up
    if (descriptor_ < 0 || left <= 0 || poll(&ready, 1, static_cast<int>(left)) <= 0) return false;
    char buffer[65536];
    const ssize_t got = recv(descriptor_, buffer, sizeof buffer, 0);
    if (got > 0) held_.append(buffer, static_cast<std::size_t>(got));
    return got > 0;
}

Reply Client::head(Wait wait) {
    const auto until = ClientClock::now() + wait;
    std::size_t end;
    while ((end = held_.find("\r\n\r\n")) == std::string::npos)
        if (!fill(until)) return {};
    Reply reply = parsed_head(std::string_view(held_).substr(0, end));
    held_.erase(0, end + 4);
    events_.clear();
    ended_ = false;
    return reply.status == 100 ? head(wait) : reply;
}

bool Client::next_chunk(ClientClock::time_point until) {
    std::size_t line;
    while ((line = held_.find("\r\n")) == std::string::npos)
        if (!fill(until)) return false;
    std::size_t size = 0;
    std::from_chars(held_.data(), held_.data() + line, size, 16);
    while (held_.size() < line + 2 + size + 2)
        if (!fill(until)) return false;
    events_.append(held_, line + 2, size);
    held_.erase(0, line + 2 + size + 2);
    ended_ = size == 0;
    return true;
}

Reply Client::reply(Wait wait, bool head_only) {
    const auto until = ClientClock::now() + wait;
    Reply reply = head(wait);
    if (reply.status == 0 || head_only) return reply;
    if (reply.headers.contains("transfer-encoding")) {
        while (!ended_)
            if (!next_chunk(until)) return {};
        reply.body = std::move(events_);
        return reply;
    }
    const std::string& stated = reply.headers["content-length"];
    std::size_t length = 0;
    std::from_chars(stated.data(), stated.data() + stated.size(), length);
    while (held_.size() < length)
        if (!fill(until)) return {};
    reply.body = held_.substr(0, length);
    held_.erase(0, length);
    return reply;
}

std::string Client::line(Wait wait) {
    const auto until = ClientClock::now() + wait;
    std::size_t end;
    while ((end = events_.find('\n')) == std::string::npos)
        if (ended_ || !next_chunk(until)) return "";
    std::string out = events_.substr(0, end + 1);
    events_.erase(0, end + 1);
    return out;
}

Event Client::event(Wait wait) {
    const auto until = ClientClock::now() + wait;
    Event event;
    for (;;) {
        const std::string text = line(std::chrono::duration_cast<Wait>(until - ClientClock::now()));
        if (text.empty() || (text == "\n" && !event.name.empty())) return event;
        if (text.starts_with("event: ")) event.name = text.substr(7, text.size() - 8);
        if (text.starts_with("data: ")) event.data += text.substr(6, text.size() - 7);
    }
}

bool Client::ends_within(Wait wait) {
    const auto until = ClientClock::now() + wait;
    do {
        dropped_ += held_.size();
        held_.clear();
    } while (fill(until));
    return ClientClock::now() < until;
}

std::string request_bytes(int port, const std::string& method, const std::string& target, const std::string& body,
                          const Headers& more) {
    std::string out = method + " " + target + " HTTP/1.1\r\n";
    Headers all = {{"Host", "127.0.0.1:" + std::to_string(port)}};
    if (!body.empty() || method == "POST" || method == "PUT") {
        all.emplace_back("Content-Length", std::to_string(body.size()));
        all.emplace_back("Content-Type", "application/json");
    }
    // A header given again takes the place of the usual one; an empty value leaves it out.
    for (const auto& [name, value] : more) {
        std::erase_if(all, [&](const auto& header) { return header.first == name; });
        if (!value.empty()) all.emplace_back(name, value);
    }
    for (const auto& [name, value] : all) out += name + ": " + value + "\r\n";
    return out + "\r\n" + body;
}

}  // namespace voltsill::testing
