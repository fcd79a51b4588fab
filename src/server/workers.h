#pragma once
/// A fixed number of threads and a queue with an end: more work than it holds is refused at once rather
/// than kept waiting.
///
/// Brief work (a check, a file) goes before lengthy work (a placement, a thousand samples), and one thread
/// never takes lengthy work: so a verdict does not wait for a board.
#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace voltsill::server {

class Workers {
  public:
    enum class Length { brief, lengthy };

    Workers(int threads, std::size_t most_waiting);
    ~Workers();
    Workers(const Workers&) = delete;
    Workers& operator=(const Workers&) = delete;

    /// False: the queue is full, or the workers have been told to stop.
    bool add(Length length, std::function<void()> work);
    /// What waits is still done; nothing more is taken. True when all of it ended in time.
    bool stop(std::chrono::milliseconds patience);

  private:
    void run();
    bool next(std::function<void()>& work, Length& length);

    std::mutex mutex_;
    std::condition_variable arrived_, idle_;
    std::deque<std::function<void()>> brief_, lengthy_;
    std::size_t most_waiting_;
    int threads_, busy_ = 0, busy_lengthy_ = 0;
    bool stopping_ = false;
    std::vector<std::thread> pool_;
};

}  // namespace voltsill::server
