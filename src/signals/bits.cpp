#include "signals/bits.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "signals/segments.h"

namespace voltsill {
namespace {

/// Times that are computed in different ways may differ by this part of a bit.
constexpr double rounding = 1e-9;

bool usable(const Pattern& p) { return !p.bits.empty() && p.bit_time > 0; }

bool changes(const Pattern& p, std::size_t k) { return k > 0 && p.bits[k] != p.bits[k - 1]; }

std::optional<double> first_in(const std::vector<LevelCrossing>& all, double from, double to,
                               Direction direction) {
    for (const LevelCrossing& c : all)
        if (c.direction == direction && c.seconds >= from && c.seconds < to) return c.seconds;
    return std::nullopt;
}

Direction way(bool high) { return high ? Direction::rising : Direction::falling; }

/// Half swing, with a tenth of it as band against ripple on a slow edge.
std::vector<LevelCrossing> halves(WaveView wave, const SwingLevels& levels) {
    return crossings(wave, levels.at(0.5), 0.1 * std::abs(levels.high - levels.low));
}

/// Instants at which the driver's bits begin to show, by bit.
std::map<std::size_t, double> driver_edges(WaveView driver, const SwingLevels& levels, const Pattern& p) {
    const std::vector<LevelCrossing> all = halves(driver, levels);
    std::map<std::size_t, double> out;
    for (std::size_t k = 1; k < p.bits.size(); ++k)
        if (changes(p, k))
            if (const auto t = first_in(all, p.begin(k) - rounding * p.bit_time,
                                        p.begin(p.run_end(k)) - rounding * p.bit_time, way(p.bits[k] == '1')))
                out.emplace(k, *t);
    return out;
}

/// Time within [from, to] at which the line is on the wanted side of the level.
double time_beyond(const Segment& whole, double from, double to, bool high, double level) {
    if (whole.t1 <= from || whole.t0 >= to) return 0;
    const Segment s = clipped(whole, from, to);
    const double a = high ? s.v0 - level : level - s.v0, b = high ? s.v1 - level : level - s.v1;
    if (a >= 0 && b >= 0) return s.t1 - s.t0;
    if (a < 0 && b < 0) return 0;
    return (s.t1 - s.t0) * std::max(a, b) / std::abs(b - a);
}

const char* const no_pattern = "there is no pattern of bits";

}  // namespace

std::size_t Pattern::run_end(std::size_t k) const {
    std::size_t end = k + 1;
    while (end < bits.size() && bits[end] == bits[k]) ++end;
    return end;
}

std::vector<EdgeDelay> edge_delays(WaveView driver, const SwingLevels& driver_levels, WaveView point,
                                   const SwingLevels& levels, const Pattern& pattern) {
    std::vector<EdgeDelay> out;
    if (!usable(pattern)) return out;
    const std::vector<LevelCrossing> all = halves(point, levels);
    for (const auto& [k, seconds] : driver_edges(driver, driver_levels, pattern)) {
        const std::size_t again = pattern.run_end(std::min(pattern.run_end(k), pattern.bits.size() - 1));
        const auto met = first_in(all, pattern.begin(k) - rounding * pattern.bit_time, pattern.begin(again),
                                  way(pattern.high(k)));
        if (met) out.push_back({k, pattern.bits[k] == '1', *met - seconds});
    }
    return out;
}

Measurement slowest_delay(const std::vector<EdgeDelay>& delays, bool rising) {
    std::optional<double> slowest;
    for (const EdgeDelay& d : delays)
        if (d.rising == rising) slowest = std::max(slowest.value_or(d.seconds), d.seconds);
    if (slowest) return *slowest;
    return std::unexpected(rising ? "no rising edge arrives" : "no falling edge arrives");
}

Measurement pulse_width_distortion(const std::vector<EdgeDelay>& delays) {
    double largest = 0;
    bool pairs = false;
    for (const EdgeDelay& up : delays)
        for (const EdgeDelay& down : delays) {
            if (!up.rising || down.rising) continue;
            pairs = true;
            largest = std::max(largest, std::abs(up.seconds - down.seconds));
        }
    if (!pairs) return std::unexpected("no pair of a rising and a falling edge arrives");
    return largest;
}

Measurement skew(const std::vector<std::vector<EdgeDelay>>& points) {
    struct Arrivals {
        double first = 0, last = 0;
        std::size_t count = 0;
    };
    std::map<std::size_t, Arrivals> by_bit;
    for (const auto& delays : points)
        for (const EdgeDelay& d : delays) {
            Arrivals& a = by_bit[d.bit];
            a.first = a.count == 0 ? d.seconds : std::min(a.first, d.seconds);
            a.last = a.count == 0 ? d.seconds : std::max(a.last, d.seconds);
            ++a.count;
        }
    std::optional<double> worst;
    for (const auto& [bit, a] : by_bit)
        if (a.count == points.size() && points.size() > 1)
            worst = std::max(worst.value_or(0), a.last - a.first);
    if (worst) return *worst;
    return std::unexpected(points.size() < 2 ? "there is only one point" : "no edge arrives at every point");
}

Measurement shortest_time(WaveView wave, const Pattern& pattern, bool high, double level, double late) {
    if (!usable(pattern)) return std::unexpected(no_pattern);
    if (wave.size() < 2) return std::unexpected("the wave has no duration");
    std::optional<double> shortest;
    for (std::size_t k = 0; k < pattern.bits.size(); ++k) {
        const double from = pattern.begin(k) + late, to = from + pattern.bit_time;
        // A bit that the wave does not cover says nothing; rounding of its end is forgiven.
        if (pattern.high(k) != high || from < wave.seconds.front() ||
            to > wave.seconds.back() + rounding * pattern.bit_time)
            continue;
        double sum = 0;
        for_each_segment(wave, [&](const Segment& s) { sum += time_beyond(s, from, to, high, level); });
        shortest = std::min(shortest.value_or(sum), sum);
    }
    if (shortest) return *shortest;
    return std::unexpected(high ? "the pattern has no one" : "the pattern has no zero");
}

Measurement setup_left(WaveView driver, const SwingLevels& driver_levels, WaveView point, double vil,
                       double vih, const Pattern& pattern) {
    if (!usable(pattern)) return std::unexpected(no_pattern);
    if (point.size() == 0) return std::unexpected("the wave has no points");
    std::optional<double> least;
    for (const auto& [k, edge] : driver_edges(driver, driver_levels, pattern)) {
        const double end = pattern.begin(pattern.run_end(k));
        if (end > point.seconds.back() + rounding * pattern.bit_time) continue;
        const bool high = pattern.high(k);
        constexpr double beyond = std::numeric_limits<double>::infinity();
        const auto needed = time_to_stay(point, edge, std::min(end, point.seconds.back()),
                                         high ? vih : -beyond, high ? beyond : vil);
        if (!needed)
            return std::unexpected(std::string(high ? "a one" : "a zero") +
                                   " does not stay past its threshold to the end of its bits");
        const double left = pattern.bit_time - *needed;
        least = std::min(least.value_or(left), left);
    }
    if (least) return *least;
    return std::unexpected("the driver has no edge");
}

Measurement slowest_settling(WaveView wave, const Pattern& pattern, const SwingLevels& target, double band) {
    if (!usable(pattern)) return std::unexpected(no_pattern);
    std::optional<double> slowest;
    for (std::size_t k = 1; k < pattern.bits.size(); ++k) {
        const double end = pattern.begin(pattern.run_end(k));
        if (!changes(pattern, k) || wave.size() == 0 ||
            end > wave.seconds.back() + rounding * pattern.bit_time)
            continue;
        const auto t = settling_time(wave, pattern.begin(k), std::min(end, wave.seconds.back()),
                                     pattern.high(k) ? target.high : target.low, band);
        if (!t) return t;
        slowest = std::max(slowest.value_or(0), *t);
    }
    if (slowest) return *slowest;
    return std::unexpected("the pattern has no edge that the wave covers");
}

}  // namespace voltsill
