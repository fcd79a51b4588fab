#pragma once
/// What a reader hands on, kept as it comes.
#include <cmath>
#include <string>
#include <vector>

#include "captures/capture.h"
#include "captures/reader.h"

namespace collected {

using namespace voltsill;

struct Step {
    int channel;
    std::int64_t tick;
    double value;
    bool operator==(const Step& o) const {
        return channel == o.channel && tick == o.tick &&
               (value == o.value || (std::isnan(value) && std::isnan(o.value)));
    }
};

struct Change {
    std::int64_t tick;
    int channel;
    Bit bit;
};

struct Everything final : SampleSink {
    std::vector<CaptureChannel> channels;
    double seconds_per_tick = 0;
    std::vector<double> seconds;
    std::vector<std::vector<double>> values;  ///< by channel
    std::vector<Change> bits;                 ///< in order within a channel
    std::vector<Step> steps;
    std::int64_t end = -1;
    std::vector<std::size_t> restarts;  ///< rows before each

    bool begin(const std::vector<CaptureChannel>& c, double unit) override {
        channels = c;
        seconds_per_tick = unit;
        values.resize(c.size());
        return true;
    }
    void rows(std::span<const double> t, std::span<const double* const> columns) override {
        seconds.insert(seconds.end(), t.begin(), t.end());
        for (std::size_t k = 0; k < columns.size(); ++k)
            values[k].insert(values[k].end(), columns[k], columns[k] + t.size());
    }
    void changes(int channel, std::span<const BitChange> changes) override {
        for (const BitChange& c : changes) bits.push_back({c.tick(), channel, c.bit()});
    }
    void step(int channel, std::int64_t tick, double value) override {
        steps.push_back({channel, tick, value});
    }
    void until(std::int64_t tick) override { end = tick; }
    void restart() override { restarts.push_back(seconds.size()); }

    std::vector<std::string> names() const {
        std::vector<std::string> out;
        for (const CaptureChannel& c : channels) out.push_back(c.name);
        return out;
    }
    /// "0@5 1@7": changes of one channel.
    std::string of(int channel) const {
        std::string out;
        for (const Change& c : bits)
            if (c.channel == channel)
                out += std::string(out.empty() ? "" : " ") + "01xz"[static_cast<int>(c.bit)] + "@" +
                       std::to_string(c.tick);
        return out;
    }
};

struct Read {
    Everything all;
    Problems problems;
    bool truncated = false;
    std::string format;

    bool has(const std::string& code) const {
        for (const Problem& p : problems)
            if (p.code == code) return true;
        return false;
    }
    const Problem& problem(const std::string& code) const {
        static const Problem none{.code = "none"};
        for (const Problem& p : problems)
            if (p.code == code) return p;
        return none;
    }
};

/// Pieces of `piece` bytes.
inline Read read(std::string_view bytes, std::size_t piece = 1u << 16, const ReaderOptions& options = {}) {
    Read out;
    CaptureReader reader("file", out.all, options);
    for (std::size_t at = 0; at < bytes.size(); at += piece) reader.push(bytes.substr(at, piece));
    reader.finish();
    out.problems = reader.problems();
    out.truncated = reader.truncated();
    out.format = reader.format();
    return out;
}

/// Measured by itself, without limits of a pin.
inline std::vector<ChannelCapture> measured(std::string_view bytes, std::size_t piece = 1u << 16,
                                            const ChannelOptions& options = {}) {
    CaptureMeter meter([&](const std::vector<CaptureChannel>& c) {
        return std::optional(std::vector<ChannelOptions>(c.size(), options));
    });
    CaptureReader reader("file", meter);
    for (std::size_t at = 0; at < bytes.size(); at += piece) reader.push(bytes.substr(at, piece));
    reader.finish();
    return meter.finish();
}

}  // namespace collected
