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

/// What comes back over a connection.
class Answer {
  public:
    /// Whether all of it is there now.
    bool read_some(int from) {
        char buffer[1 << 16];
        const ssize_t more = recv(from, buffer, sizeof buffer, 0);
        if (more <= 0) give_up("a connection was ended");
        got_.append(buffer, static_cast<std::size_t>(more));
        const std::size_t end = got_.find("\r\n\r\n");
        if (whole_ == 0 && end != std::string::npos) {
            const std::size_t at = got_.find("Content-Length: ");
            whole_ = end + 4 + static_cast<std::size_t>(at < end ? std::atoll(got_.c_str() + at + 16) : 0);
        }
        return whole_ > 0 && got_.size() >= whole_;
    }
    int status() const { return std::atoi(got_.c_str() + 9); }
    std::string head() const { return got_.substr(0, got_.find("\r\n\r\n")); }
    std::string body() const { return got_.substr(got_.find("\r\n\r\n") + 4); }

  private:
    std::string got_;
    std::size_t whole_ = 0;  ///< bytes of head and body; 0: not yet known
};

}  // namespace voltsill::measured
