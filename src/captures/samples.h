#pragma once
/// What a capture holds, as a reader hands it on: channels first, then their values in order of time.
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace voltsill {

enum class ChannelKind {
    sampled,  ///< values at instants of time, straight lines between (CSV)
    stepped,  ///< a value holds until the next (real variables of a VCD file)
    logic,    ///< 0, 1, x, z (scalar variables and single bits of a VCD file)
};

struct CaptureChannel {
    std::string name;                  ///< "CH1", "top.bus[3]"
    std::vector<std::string> aliases;  ///< other names of the same signal
    ChannelKind kind = ChannelKind::sampled;
    std::string unit;  ///< as the file says: "V", "A"; empty: it says nothing. Values are in SI.
};

enum class Bit : std::uint8_t { zero, one, x, z };

/// A change of one channel in eight bytes: there are many.
class BitChange {
  public:
    BitChange() = default;
    BitChange(std::int64_t tick, Bit bit)
        : word_(static_cast<std::uint64_t>(tick) << 2 | static_cast<std::uint64_t>(bit)) {}
    std::int64_t tick() const { return static_cast<std::int64_t>(word_ >> 2); }
    Bit bit() const { return static_cast<Bit>(word_ & 3); }

    static constexpr std::int64_t latest_tick = (std::int64_t{1} << 62) - 1;

  private:
    std::uint64_t word_ = 0;
};

class SampleSink {
  public:
    virtual ~SampleSink() = default;
    /// Once, before anything else. `seconds_per_tick` is for changes and steps. False: read no further.
    virtual bool begin(const std::vector<CaptureChannel>& channels, double seconds_per_tick) = 0;
    /// One column a channel, each as long as `seconds`, which never fall. NaN: no value.
    virtual void rows(std::span<const double> seconds, std::span<const double* const> columns) = 0;
    /// Of one channel; ticks from 0 never fall, while other channels may lag behind. It starts as x.
    virtual void changes(int channel, std::span<const BitChange> changes) = 0;
    virtual void step(int channel, std::int64_t tick, double value) = 0;
    /// What was last said holds up to this tick.
    virtual void until(std::int64_t tick) = 0;
    /// Time goes back here: nothing joins what came before to what follows.
    virtual void restart() = 0;
};

}  // namespace voltsill
