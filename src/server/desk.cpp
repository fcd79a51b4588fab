#include "server/desk.h"

#include <vector>

namespace voltsill::server {

namespace {
/// Together in one commit: enough for a class that answers at once, few enough that the first need not wait long.
constexpr std::size_t most_together = 256;
}  // namespace

Desk::Desk(std::function<void()> begin, std::function<bool()> end, std::size_t most_waiting)
    : begin_(std::move(begin)), end_(std::move(end)), most_waiting_(most_waiting), thread_([this] { run(); }) {}

Desk::~Desk() { close(); }

bool Desk::add(DeskPiece piece) {
    const std::lock_guard lock(mutex_);
    if (closed_ || waiting_.size() >= most_waiting_) return false;
    waiting_.push_back(std::move(piece));
    arrived_.notify_one();
    return true;
}

void Desk::close() {
    {
        const std::lock_guard lock(mutex_);
        closed_ = true;
        arrived_.notify_one();
    }
    if (thread_.joinable()) thread_.join();
}

void Desk::work_through(std::deque<DeskPiece> pieces) {
    begin_();
    std::vector<Answer> answers;
    for (const DeskPiece& piece : pieces) answers.push_back(piece.change());
    const bool kept = end_();
    for (std::size_t k = 0; k < pieces.size(); ++k)
        pieces[k].deliver(kept ? std::move(answers[k])
                               : refusal(503, "not-kept", "this could not be written to the disk", "the same again"));
}

void Desk::run() {
    std::unique_lock lock(mutex_);
    for (;;) {
        arrived_.wait(lock, [&] { return closed_ || !waiting_.empty(); });
        if (waiting_.empty()) return;
        std::deque<DeskPiece> pieces;
        while (!waiting_.empty() && pieces.size() < most_together) {
            pieces.push_back(std::move(waiting_.front()));
            waiting_.pop_front();
        }
        lock.unlock();
        work_through(std::move(pieces));
        lock.lock();
    }
}

}  // namespace voltsill::server
