#include "server/workers.h"

#include <algorithm>

namespace voltsill::server {

Workers::Workers(int threads, std::size_t most_waiting)
    : most_waiting_(most_waiting), threads_(std::max(2, threads)) {
    for (int k = 0; k < threads_; ++k) pool_.emplace_back([this] { run(); });
}

Workers::~Workers() {
    stop(std::chrono::milliseconds(0));
    for (std::thread& thread : pool_) thread.join();
}

bool Workers::add(Length length, std::function<void()> work) {
    const std::lock_guard lock(mutex_);
    std::deque<std::function<void()>>& queue = length == Length::brief ? brief_ : lengthy_;
    if (stopping_ || queue.size() >= most_waiting_) return false;
    queue.push_back(std::move(work));
    arrived_.notify_one();
    return true;
}

bool Workers::next(std::function<void()>& work, Length& length) {
    const bool may_be_lengthy = busy_lengthy_ + 1 < threads_;
    if (brief_.empty() && (lengthy_.empty() || !may_be_lengthy)) return false;
    length = brief_.empty() ? Length::lengthy : Length::brief;
    std::deque<std::function<void()>>& queue = length == Length::brief ? brief_ : lengthy_;
    work = std::move(queue.front());
    queue.pop_front();
    return true;
}

void Workers::run() {
    std::unique_lock lock(mutex_);
    for (;;) {
        std::function<void()> work;
        Length length{};
        arrived_.wait(lock, [&] { return next(work, length) || (stopping_ && brief_.empty() && lengthy_.empty()); });
        if (!work) return;
        ++busy_;
        busy_lengthy_ += length == Length::lengthy;
        lock.unlock();
        work();
        work = nullptr;
        lock.lock();
        --busy_;
        busy_lengthy_ -= length == Length::lengthy;
        arrived_.notify_all();
        idle_.notify_all();
    }
}

bool Workers::stop(std::chrono::milliseconds patience) {
    std::unique_lock lock(mutex_);
    stopping_ = true;
    arrived_.notify_all();
    return idle_.wait_for(lock, patience, [&] { return busy_ == 0 && brief_.empty() && lengthy_.empty(); });
}

}  // namespace voltsill::server
