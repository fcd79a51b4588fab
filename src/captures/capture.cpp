#include "captures/capture.h"

#include <cmath>
#include <numeric>

namespace voltsill {

double ChannelCapture::seconds() const {
    if (const VoltageMeasures* v = voltage()) return v->seconds;
    const auto& by_state = logic()->seconds;
    return std::accumulate(by_state.begin(), by_state.end(), 0.0);
}

CaptureMeter::CaptureMeter(Choose choose, const Capture& first) : choose_(std::move(choose)) {
    for (const ChannelCapture& c : first.channels)
        given_levels_.push_back(c.voltage() && c.voltage()->two_states ? c.voltage()->levels : std::nullopt);
}

bool CaptureMeter::begin(const std::vector<CaptureChannel>& channels, double seconds_per_tick) {
    seconds_per_tick_ = seconds_per_tick;
    const auto options = choose_(channels);
    if (!options) return false;
    meters_.reserve(channels.size());
    for (std::size_t k = 0; k < channels.size(); ++k) {
        const ChannelOptions& o = (*options)[k];
        if (channels[k].kind == ChannelKind::logic) {
            meters_.push_back({channels[k], LogicMeter(seconds_per_tick, o.glitch_limit)});
            continue;
        }
        const auto levels = k < given_levels_.size() ? given_levels_[k] : std::nullopt;
        meters_.emplace_back(channels[k], VoltageMeter({o.scale, o.limits, o.glitch_limit, levels}));
    }
    return true;
}

void CaptureMeter::rows(std::span<const double> seconds, std::span<const double* const> columns) {
    for (std::size_t k = 0; k < meters_.size(); ++k)
        std::get<VoltageMeter>(meters_[k].meter).add(seconds, {columns[k], seconds.size()});
}

void CaptureMeter::changes(int channel, std::span<const BitChange> changes) {
    std::get<LogicMeter>(meters_[static_cast<std::size_t>(channel)].meter).add(changes);
}

/// Two samples at one time: the value held so far, and the new one.
void CaptureMeter::step(int channel, std::int64_t tick, double value) {
    Meter& m = meters_[static_cast<std::size_t>(channel)];
    const double t = static_cast<double>(tick) * seconds_per_tick_, times[2] = {t, t},
                 values[2] = {m.held, value};
    std::get<VoltageMeter>(m.meter).add(std::span(times).subspan(m.holds ? 0 : 1),
                                        std::span(values).subspan(m.holds ? 0 : 1));
    m.held = value;
    m.holds = true;
}

void CaptureMeter::until(std::int64_t tick) {
    const double t = static_cast<double>(tick) * seconds_per_tick_;
    for (Meter& m : meters_)
        if (auto* logic = std::get_if<LogicMeter>(&m.meter))
            logic->until(tick);
        else if (m.holds)
            std::get<VoltageMeter>(m.meter).add({&t, 1}, {&m.held, 1});
}

void CaptureMeter::restart() {
    for (Meter& m : meters_) {
        std::visit([](auto& meter) { meter.gap(); }, m.meter);
        m.holds = false;
    }
}

std::vector<ChannelCapture> CaptureMeter::finish() {
    std::vector<ChannelCapture> out;
    for (Meter& m : meters_) {
        ChannelCapture c{.channel = m.channel};
        if (auto* v = std::get_if<VoltageMeter>(&m.meter)) {
            v->finish();
            VoltageMeasures measures = v->measures();
            c.digital = measures.only_0_and_1 && measures.samples > 0 && m.channel.unit.empty();
            if (m.channel.kind == ChannelKind::stepped)
                measures.rise = measures.fall = {};  // no lines to lie on
            c.measures = measures;
        } else {
            c.measures = std::get<LogicMeter>(m.meter).measures();
            c.digital = true;
        }
        out.push_back(std::move(c));
    }
    return out;
}

}  // namespace voltsill
