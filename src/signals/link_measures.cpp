#include "signals/link_measures.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace voltsill {
namespace {

/// A cubic of the solver becomes as many straight lines as keep within this of it, V: n of them divide
/// its bulge by n^2.
constexpr double line_error = 1e-3;
constexpr double most_lines = 12;
/// Resolution an analogue input is held to where it states none: ten bits (common practice).
constexpr int adc_bits = 10;

const Provenance bit_rule{Certainty::common_practice, "a level has to be there before its bit ends"};
const Provenance sample_rule{Certainty::common_practice, "an input has to settle before the next sample"};

/// Less what parts on the way need beyond what is simulated.
Measurement less(Measurement seconds, double left_out) {
    if (seconds) return *seconds - left_out;
    return seconds;
}
/// Where bits of a kind last longest: the end of that run is where a level has settled.
double settled_at(const std::string& bits, char bit, double bit_time) {
    std::size_t best = 0, longest = 0;
    for (std::size_t k = 0; k < bits.size();) {
        std::size_t end = k;
        while (end < bits.size() && bits[end] == bits[k]) ++end;
        if (bits[k] == bit && end - k > longest) longest = end - k, best = end;
        k = end;
    }
    return static_cast<double>(best) * bit_time * (1 - 1e-9);
}

/// One run, with what several measures need worked out once.
class Reading {
  public:
    Reading(const LinkSetup& setup, const Waves& waves, double bit_time)
        : setup_(setup),
          waves_(waves),
          bit_time_(bit_time),
          told_(told(setup, bit_time)),
          delays_(waves.size()) {
        for (const Wave& wave : waves) rest_.push_back(settled(setup, wave, bit_time));
    }

    Measurement read(const MeasurePlan& m) {
        if (m.kind == MeasureKind::skew) return receivers_skew();
        const TracePoint& point = setup_.points[m.point];
        const Wave& wave = waves_[m.point];
        const Settled& now = rest_[m.point];
        const Pattern pattern = pattern_at(m.point);
        switch (m.kind) {
            case MeasureKind::rise_time:
                return transition_time(wave, now.levels, Direction::rising);
            case MeasureKind::fall_time:
                return transition_time(wave, now.levels, Direction::falling);
            case MeasureKind::delay_rise:
                return slowest_delay(delays(m.point), true);
            case MeasureKind::delay_fall:
                return slowest_delay(delays(m.point), false);
            case MeasureKind::pulse_width_distortion:
                return pulse_width_distortion(delays(m.point));
            case MeasureKind::overshoot:
                return overshoot(wave, now.levels);
            case MeasureKind::undershoot:
                return undershoot(wave, now.levels);
            case MeasureKind::highest:
                return highest(wave);
            case MeasureKind::lowest:
                return lowest(wave);
            case MeasureKind::time_high:
                return shortest_time(wave, pattern, true, *point.vih, lateness(m.point));
            case MeasureKind::time_low:
                return shortest_time(wave, pattern, false, *point.vil, lateness(m.point));
            case MeasureKind::edge_rate:
                return edge_rate(wave, *point.vil, *point.vih);
            case MeasureKind::setup_left:
                return less(setup_left(told_, {0.0, 1.0}, wave, *point.vil, *point.vih, pattern),
                            setup_.left_out);
            case MeasureKind::settling:
                return slowest_settling(wave, pattern, now.levels,
                                        (now.levels.high - now.levels.low) / std::exp2(adc_bits + 1));
            default:
                return std::unexpected("not a measure of a run");
        }
    }

  private:
    /// What the driver is told, as steps from 0 to 1: a bit begins there, not where its line has moved.
    static Wave told(const LinkSetup& setup, double bit_time) {
        Wave wave;
        for (std::size_t k = 0; k < setup.bits.size(); ++k)
            for (const double t : {static_cast<double>(k), k + 1.0}) {
                wave.seconds.push_back(t * bit_time);
                wave.volts.push_back(setup.bits[k] == '1' ? 1.0 : 0.0);
            }
        return wave;
    }
    Pattern pattern_at(int point) const { return {setup_.bits, bit_time_, 0.0, rest_[point].inverted}; }
    const std::vector<EdgeDelay>& delays(int point) {
        auto& found = delays_[point];
        if (!found)
            found = edge_delays(waves_[0], rest_[0].levels, waves_[point], rest_[point].levels,
                                pattern_at(point));
        return *found;
    }
    /// The quicker of the two delays: what the way takes anyway.
    double lateness(int point) {
        const Measurement up = slowest_delay(delays(point), true), down = slowest_delay(delays(point), false);
        return std::max(0.0, std::min(up.value_or(0.0), down.value_or(0.0)));
    }
    Measurement receivers_skew() {
        std::vector<std::vector<EdgeDelay>> all;
        for (std::size_t k = 0; k < setup_.points.size(); ++k)
            if (setup_.points[k].role == PointRole::receiver) all.push_back(delays(static_cast<int>(k)));
        return skew(all);
    }

    const LinkSetup& setup_;
    const Waves& waves_;
    double bit_time_;
    Wave told_;
    std::vector<Settled> rest_;                                  ///< by point
    std::vector<std::optional<std::vector<EdgeDelay>>> delays_;  ///< by point, once asked for
};

}  // namespace

Settled settled(const LinkSetup& setup, const Wave& wave, double bit_time) {
    const double zero = value_at(wave, settled_at(setup.bits, '0', bit_time)),
                 one = value_at(wave, settled_at(setup.bits, '1', bit_time));
    return {{std::min(zero, one), std::max(zero, one)}, one < zero};
}

Waves waves_of(const LinkSetup& setup, const Path& path) {
    Waves waves(setup.points.size());
    for (std::size_t k = 0; k < waves.size(); ++k) {
        const int probe = setup.sites[k].probe;
        for (int piece = 0; piece < path.pieces(); ++piece) {
            const double wanted = std::ceil(std::sqrt(path.bulge(probe, piece) / line_error));
            const int lines = static_cast<int>(std::clamp(wanted, 1.0, most_lines));
            for (int n = piece == 0 ? 0 : 1; n <= lines; ++n) {
                const double share = static_cast<double>(n) / lines;
                waves[k].seconds.push_back(path.start(piece) + share * path.length(piece));
                waves[k].volts.push_back(path.within(probe, piece, share));
            }
        }
    }
    return waves;
}

std::vector<MeasurePlan> plan_measures(const LinkSetup& setup, const TimedCircuit& timed, double bit_time) {
    std::vector<MeasurePlan> plan;
    int receivers = 0;
    for (int k = 0; k < static_cast<int>(setup.points.size()); ++k) {
        const TracePoint& point = setup.points[k];
        const Pin& pin = timed.circuit.pin(timed.circuit.pins[setup.sites[k].site]);
        const bool receiver = point.role == PointRole::receiver, reads = point.vil && point.vih;
        receivers += receiver;
        const auto add = [&](MeasureKind kind, std::optional<double> limit = {}, bool maximum = true,
                             Provenance origin = {}) {
            plan.push_back({kind, k, limit, maximum, std::move(origin)});
        };
        if (setup.analog && receiver) add(MeasureKind::settling, bit_time, true, sample_rule);
        if (receiver && reads && !setup.analog) {
            add(MeasureKind::setup_left, 0.0, false, bit_rule);
            add(MeasureKind::time_high);
            add(MeasureKind::time_low);
        }
        if (reads && !setup.analog) {
            const auto limit = pin.schmitt ? std::nullopt : edge_limit_at(pin, Volts{point.supply});
            if (limit)
                add(MeasureKind::edge_rate, limit->per_volt.si(), true, limit->origin);
            else
                add(MeasureKind::edge_rate);
        }
        add(MeasureKind::rise_time);
        add(MeasureKind::fall_time);
        if (point.role != PointRole::driver && !setup.analog) {
            add(MeasureKind::delay_rise);
            add(MeasureKind::delay_fall);
        }
        if (receiver && !setup.analog) add(MeasureKind::pulse_width_distortion);
        if (receiver) {
            add(MeasureKind::overshoot);
            add(MeasureKind::undershoot);
        }
        add(MeasureKind::highest, point.limit_max, true, pin.limits_origin);
        add(MeasureKind::lowest, point.limit_min, false, pin.limits_origin);
    }
    if (receivers > 1 && !setup.analog) plan.push_back({.kind = MeasureKind::skew});
    return plan;
}

std::vector<Measurement> measure(const LinkSetup& setup, const std::vector<MeasurePlan>& plan,
                                 const Waves& waves, double bit_time) {
    Reading reading(setup, waves, bit_time);
    std::vector<Measurement> out;
    out.reserve(plan.size());
    for (const MeasurePlan& m : plan) out.push_back(reading.read(m));
    return out;
}

Measurement least_setup(const LinkSetup& setup, const Waves& waves, double bit_time) {
    Reading reading(setup, waves, bit_time);
    Measurement least = std::unexpected("no receiver has thresholds");
    for (int k = 0; k < static_cast<int>(setup.points.size()); ++k) {
        const TracePoint& point = setup.points[k];
        if (point.role != PointRole::receiver || !point.vil || !point.vih) continue;
        const Measurement here = reading.read({.kind = MeasureKind::setup_left, .point = k});
        if (!here) return here;
        least = std::min(least.value_or(*here), *here);
    }
    return least;
}

}  // namespace voltsill
