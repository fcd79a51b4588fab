#pragma once
// Connections to a server on this machine; whatever fails here ends the program.
#include <arpa/inet.h>
#include <errno.h>
#include <fmt/format.h>
#include <sys/socket.h>

#include <cstdint>
#include <cstdlib>
#include <string>

namespace voltsill::measured {

[[noreturn]] inline void give_up(const std::string& why) {
    fmt::print(stderr, "{}: {}\n", program_invocation_short_name, why);
    std::exit(1);
}

inline int connected(int port) {
    const int opened = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(opened, reinterpret_cast<sockaddr*>(&address), sizeof address) != 0) give_up("cannot connect");
    return opened;
}

inline void send_whole(int to, const std::string& bytes) {
    for (std::size_t sent = 0; sent < bytes.size();) {
        const ssize_t more = send(to, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
        if (more <= 0) give_up("a connection was ended");
        sent += static_cast<std::size_t>(more);
    }
}

}  // namespace voltsill::measured
