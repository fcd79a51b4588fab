#pragma once
/// A request and its answer as values; and who asked, as far as work that goes on must know.
///
/// Nothing here knows how they travel: routes and guards are tested without a socket.
#include <atomic>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "records/problem.h"

namespace voltsill::server {

/// What stands before the body. Names of headers in small letters; a header given twice is listed twice.
struct Head {
    std::string method;  ///< "GET"
    std::string path;    ///< decoded: "/api/check"
    std::map<std::string, std::string> query;
    std::vector<std::pair<std::string, std::string>> headers;
    std::string peer{};  ///< address it came from, as bytes; of IPv6 the network (64 bits)
    bool from_here = false;  ///< it came from this machine

    /// Of the only header of that name; nothing when there is none, or more than one.
    std::optional<std::string_view> header(std::string_view name) const;
    bool has(std::string_view name) const;
};

struct Request {
    Head head;
    std::string body;
};

struct Answer {
    int status = 200;
    std::string type = "application/json";
    std::string body;
    bool kept = false;                                         ///< a browser may keep it for good
    std::shared_ptr<const std::string> shared{};  ///< the body, in place of `body`, when many get the same one
    std::string nonce;  ///< of a page: its scripts may run, and its styles that carry this word
    std::vector<std::pair<std::string, std::string>> headers;  ///< beside those of every answer
};

/// "voltsill-problems-1" with one problem.
Answer refusal(int status, std::string code, std::string message, std::string expected = {});
Answer refusal(int status, const Problems& problems);

/// The headers that go with every answer: what a browser may do with it is stated, not guessed (Content
/// Security Policy Level 3, W3C; Fetch, WHATWG).
std::vector<std::pair<std::string, std::string>> standing_headers(const Answer& answer);

/// Whoever waits for an answer. Work asks now and then whether anybody still does.
class Caller {
  public:
    bool left() const { return left_.load(std::memory_order_relaxed); }
    void leave() { left_.store(true, std::memory_order_relaxed); }

  private:
    std::atomic<bool> left_{false};
};

}  // namespace voltsill::server
