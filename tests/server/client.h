#pragma once
/// A client that says exactly what it is told, over a plain socket, and what a server answers.
#include <chrono>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace voltsill::testing {

struct Reply {
    int status = 0;  ///< 0: no answer
    std::map<std::string, std::string> headers;  ///< names in small letters
    std::string body;
    nlohmann::json json() const { return nlohmann::json::parse(body, nullptr, false); }
    std::string code() const;  ///< of the first problem
};

struct Event {
    std::string name, data;
};

class Client {
  public:
    using Wait = std::chrono::milliseconds;
    /// `from`: the address of this machine to call from, such as "127.0.0.2"; empty: as the system chooses.
    explicit Client(int port, const char* from = "");
    ~Client();
    Client(Client&& other) noexcept
        : descriptor_(std::exchange(other.descriptor_, -1)), held_(std::move(other.held_)) {}
    Client(const Client&) = delete;

    bool send(std::string_view bytes) const;
    /// The next whole answer; status 0 when the connection ends or the time is up first.
    Reply reply(Wait wait = Wait(60'000), bool head_only = false);
    /// Status and headers of an answer whose body goes on; then its events one by one; "" when it ended.
    Reply head(Wait wait = Wait(60'000));
    Event event(Wait wait = Wait(60'000));
    /// True when the other side ends the connection in time; what it still says is dropped.
    bool ends_within(Wait wait);
    std::size_t dropped() const { return dropped_; }  ///< bytes
    /// The next line, comments and all; "" at the end.
    std::string line(Wait wait);
    void close();
    int descriptor() const { return descriptor_; }

  private:
    bool fill(std::chrono::steady_clock::time_point until);
    bool next_chunk(std::chrono::steady_clock::time_point until);

    int descriptor_;
    std::string held_, events_;
    bool ended_ = false;
    std::size_t dropped_ = 0;
};

/// "POST /api/check HTTP/1.1" with headers that a page of this server sends, and any more; a body gets
/// its length and type.
using Headers = std::vector<std::pair<std::string, std::string>>;
std::string request_bytes(int port, const std::string& method, const std::string& target,
                          const std::string& body = {}, const Headers& more = {});

}  // namespace voltsill::testing
