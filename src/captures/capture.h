#pragma once
/// A capture measured: what the channels of a file show, by themselves.
///
///     CaptureMeter meter(options);
///     CaptureReader reader("trace.csv", meter);
///     ... push, finish ...
///     Capture capture = meter.finish(reader);
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "captures/logic_meter.h"
#include "captures/reader.h"
#include "captures/samples.h"
#include "captures/voltage_meter.h"

namespace voltsill {

/// How one channel is to be measured.
struct ChannelOptions {
    double scale = 1;
    PinLimits limits;
    double glitch_limit = 0;  ///< s
};

struct ChannelCapture {
    CaptureChannel channel;
    std::variant<VoltageMeasures, LogicMeasures> measures;
    /// A file of a logic analyser in which a sampled channel holds nothing but 0 and 1.
    bool digital = false;

    const VoltageMeasures* voltage() const { return std::get_if<VoltageMeasures>(&measures); }
    const LogicMeasures* logic() const { return std::get_if<LogicMeasures>(&measures); }
    const PulseMeasures& pulses() const { return voltage() ? voltage()->pulses : logic()->pulses; }
    double seconds() const;
};

struct Capture {
    std::string file, format;
    std::vector<ChannelCapture> channels;
    bool partial = false;  ///< the file is cut, or reading was cancelled
    bool cancelled = false;
    std::uint64_t bytes = 0;
    bool again = false;  ///< levels moved: edges by those of the beginning unless measured a second time
};

class CaptureMeter final : public SampleSink {
  public:
    /// Called once, with the channels of the file; gives how to measure each, or nothing to stop.
    using Choose =
        std::function<std::optional<std::vector<ChannelOptions>>(const std::vector<CaptureChannel>&)>;

    explicit CaptureMeter(Choose choose) : choose_(std::move(choose)) {}
    /// Measures a second time, edges by the levels of `first`.
    CaptureMeter(Choose choose, const Capture& first);

    bool begin(const std::vector<CaptureChannel>& channels, double seconds_per_tick) override;
    void rows(std::span<const double> seconds, std::span<const double* const> columns) override;
    void changes(int channel, std::span<const BitChange> changes) override;
    void step(int channel, std::int64_t tick, double value) override;
    void until(std::int64_t tick) override;
    void restart() override;

    std::vector<ChannelCapture> finish();

  private:
    struct Meter {
        CaptureChannel channel;
        std::variant<VoltageMeter, LogicMeter> meter;
        double held = 0;  ///< value of a stepped channel
        bool holds = false;
    };

    Choose choose_;
    std::vector<std::optional<StateLevels>> given_levels_;
    double seconds_per_tick_ = 1;
    std::vector<Meter> meters_;
};

}  // namespace voltsill
