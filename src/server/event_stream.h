#pragma once
/// An answer that grows: events as the HTML Standard (WHATWG, "Server-sent events") writes them, put in by
/// a worker and taken out by the thread that serves the sockets.
///
/// While there is nothing to take, the connection is parked and costs no thread. Putting something in, or
/// the other side's leaving, wakes it. Neither side ever waits for the other: what is not taken is held, up
/// to a number of bytes, and then the reader counts as gone.
#include <chrono>
#include <cstddef>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

#include "server/exchange.h"

namespace voltsill::server {

class EventStream {
  public:
    using Clock = std::chrono::steady_clock;
    static constexpr std::size_t most_held = 64u << 20;

    EventStream(std::shared_ptr<Caller> caller, std::function<void()> park, std::function<void()> wake)
        : caller_(std::move(caller)), park_(std::move(park)), wake_(std::move(wake)) {}

    // For those who put in, from any thread. False: nobody reads any more.
    bool send(std::string_view event, std::string_view data);
    bool comment();  ///< a line that means nothing, so that a silent connection shows it is alive
    void end();
    bool left() const { return caller_->left(); }
    void hold_at_most(std::size_t bytes);  ///< in place of `most_held`

    // For the serving thread.
    enum class Took { some, parked, ended, broken };
    /// At most `room` bytes; `count` how many.
    Took take(char* into, std::size_t room, std::size_t& count);
    /// The other side has left, or must: parked or not, the stream comes to its end.
    void break_off();
    /// The connection is gone: nothing is woken any more.
    void detach();
    /// Since when something has been waiting to be taken.
    bool waits_since(Clock::time_point& since) const;

  private:
    bool append(std::string text);
    void wake_if_parked();

    mutable std::mutex mutex_;
    std::shared_ptr<Caller> caller_;
    std::function<void()> park_, wake_;
    std::string held_;
    std::size_t taken_ = 0, limit_ = most_held;
    Clock::time_point since_{};
    bool parked_ = false, ended_ = false, broken_ = false, detached_ = false;
};

/// A document on one line: blanks and line feeds outside of strings left out.
std::string on_one_line(std::string_view json);

}  // namespace voltsill::server
