#include "captures/background.h"

#include <algorithm>

namespace voltsill {

bool BackgroundSink::begin(const std::vector<CaptureChannel>& channels, double seconds_per_tick) {
    if (!target_.begin(channels, seconds_per_tick)) return false;
    const bool table =
        std::ranges::all_of(channels, [](const auto& c) { return c.kind == ChannelKind::sampled; });
    if (!table) worker_ = std::thread([this] { run(); });
    return true;
}

/// The next item to fill; only the reader's thread touches it until it is handed over.
BackgroundSink::Item& BackgroundSink::free_item() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return given_ - taken_ < slots; });
    return items_[given_ % slots];
}

void BackgroundSink::hand_over(bool last) {
    bool enough;
    {
        const std::lock_guard lock(mutex_);
        ++given_;
        ended_ = last;
        enough = last || given_ - taken_ >= slots / 2;
    }
    if (enough) changed_.notify_one();
}

void BackgroundSink::rows(std::span<const double> seconds, std::span<const double* const> columns) {
    target_.rows(seconds, columns);
}

void BackgroundSink::changes(int channel, std::span<const BitChange> changes) {
    Item& item = free_item();
    item.kind = Kind::changes;
    item.channel = channel;
    item.bits.assign(changes.begin(), changes.end());
    hand_over();
}

void BackgroundSink::step(int channel, std::int64_t tick, double value) {
    Item& item = free_item();
    item.kind = Kind::step;
    item.channel = channel;
    item.tick = tick;
    item.value = value;
    hand_over();
}

void BackgroundSink::until(std::int64_t tick) {
    Item& item = free_item();
    item.kind = Kind::until;
    item.tick = tick;
    hand_over();
}

void BackgroundSink::restart() {
    if (!worker_.joinable()) return target_.restart();
    free_item().kind = Kind::restart;
    hand_over();
}

void BackgroundSink::finish() {
    if (!worker_.joinable()) return;
    free_item().kind = Kind::end;
    hand_over(true);
    worker_.join();
}

/// Takes what half of the slots hold at a time: threads that wake each other for every block would spend
/// their time doing so.
void BackgroundSink::run() {
    while (true) {
        std::size_t ready;
        {
            std::unique_lock lock(mutex_);
            changed_.wait(lock, [this] { return ended_ || given_ - taken_ >= slots / 2; });
            ready = given_ - taken_;
        }
        for (std::size_t k = 0; k < ready; ++k) {
            const Item& item = items_[(taken_ + k) % slots];  // only this thread changes taken_
            if (item.kind == Kind::end) return;
            deliver(item);
        }
        {
            const std::lock_guard lock(mutex_);
            taken_ += ready;
        }
        changed_.notify_one();
    }
}

void BackgroundSink::deliver(const Item& item) {
    switch (item.kind) {
        case Kind::changes:
            return target_.changes(item.channel, item.bits);
        case Kind::step:
            return target_.step(item.channel, item.tick, item.value);
        case Kind::until:
            return target_.until(item.tick);
        case Kind::restart:
            return target_.restart();
        case Kind::end:
            return;
    }
}

}  // namespace voltsill
