#pragma once
/// Writing in order: one thread makes all changes of the hall, and those that wait at the same time are brought to
/// the disk together.
///
///     begin;  change, change, change ...;  commit (one fsync);  then all of them are answered
///
/// So a change is acknowledged only after it is on the disk, and three hundred at once cost little more than one.
#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>

#include "server/exchange.h"

namespace voltsill::server {

struct DeskPiece {
    std::function<Answer()> change;
    std::function<void(Answer)> deliver;  ///< after the commit
};

class Desk {
  public:
    /// `end` commits; false: nothing of it was kept, and everybody is told so.
    Desk(std::function<void()> begin, std::function<bool()> end, std::size_t most_waiting = 2048);
    ~Desk();
    Desk(const Desk&) = delete;
    Desk& operator=(const Desk&) = delete;

    /// False: too many wait, or the desk is closed.
    bool add(DeskPiece piece);
    /// What waits is still done; nothing more is taken.
    void close();

  private:
    void run();
    void work_through(std::deque<DeskPiece> pieces);

    std::function<void()> begin_;
    std::function<bool()> end_;
    std::size_t most_waiting_;
    std::mutex mutex_;
    std::condition_variable arrived_;
    std::deque<DeskPiece> waiting_;
    bool closed_ = false;
    std::thread thread_;
};

}  // namespace voltsill::server
