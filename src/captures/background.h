#pragma once
/// Hands what a reader says to a sink on a second thread, in the same order: reading and measuring
/// overlap, and the result is the same to the last bit. Memory: `slots` blocks. What a table holds passes
/// straight on: its reader has a second thread of its own.
#include <array>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "captures/samples.h"

namespace voltsill {

class BackgroundSink final : public SampleSink {
  public:
    explicit BackgroundSink(SampleSink& target) : target_(target) {}
    ~BackgroundSink() override { finish(); }
    BackgroundSink(const BackgroundSink&) = delete;
    BackgroundSink& operator=(const BackgroundSink&) = delete;

    bool begin(const std::vector<CaptureChannel>& channels, double seconds_per_tick) override;
    void rows(std::span<const double> seconds, std::span<const double* const> columns) override;
    void changes(int channel, std::span<const BitChange> changes) override;
    void step(int channel, std::int64_t tick, double value) override;
    void until(std::int64_t tick) override;
    void restart() override;
    /// Waits until the sink has everything; it is the caller's from then on.
    void finish();

  private:
    static constexpr std::size_t slots = 64;
    enum class Kind { changes, step, until, restart, end };
    struct Item {
        Kind kind{};
        std::vector<BitChange> bits;
        int channel = 0;
        std::int64_t tick = 0;
        double value = 0;
    };

    Item& free_item();
    void hand_over(bool last = false);
    void run();
    void deliver(const Item& item);

    SampleSink& target_;
    std::array<Item, slots> items_;
    std::size_t given_ = 0, taken_ = 0;  ///< counts, under `mutex_`
    bool ended_ = false;
    std::mutex mutex_;
    std::condition_variable changed_;
    std::thread worker_;
};

}  // namespace voltsill
