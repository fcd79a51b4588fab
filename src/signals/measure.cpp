#include "signals/measure.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "signals/segments.h"

namespace voltsill {
namespace {

const char* const no_wave = "the wave has no points";

/// Where the line from a to b meets `level`; a step meets it at its time.
double meets(const Segment& s, double level) {
    if (s.v1 == s.v0) return s.t1;
    return s.t0 + (s.t1 - s.t0) * std::clamp((level - s.v0) / (s.v1 - s.v0), 0.0, 1.0);
}

/// Runs through a wave and remembers which of two levels it was at last.
struct Passage {
    double low, high;
    int side = 0;  ///< -1 was at or below low, +1 at or above high, 0 neither yet

    void forget() { side = 0; }
    /// -1 or +1 when the other side is met, else 0.
    int to(double v) {
        const int now = v >= high ? 1 : v <= low ? -1 : 0;
        if (now == 0 || now == side) return 0;
        const int before = std::exchange(side, now);
        return before == 0 ? 0 : now;
    }
};

}  // namespace

double value_at(WaveView wave, double seconds) {
    if (wave.size() == 0) return std::numeric_limits<double>::quiet_NaN();
    const auto at = std::ranges::upper_bound(wave.seconds, seconds);
    const auto k = static_cast<std::size_t>(at - wave.seconds.begin());
    if (k == 0) return wave.volts.front();
    if (k == wave.size()) return wave.volts.back();
    const double t0 = wave.seconds[k - 1], t1 = wave.seconds[k];
    return std::lerp(wave.volts[k - 1], wave.volts[k], (seconds - t0) / (t1 - t0));
}

std::expected<SwingLevels, std::string> extremes(WaveView wave, double from, double to) {
    SwingLevels out{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    const auto take = [&](double v) {
        if (!std::isfinite(v)) return;
        out.low = std::min(out.low, v);
        out.high = std::max(out.high, v);
    };
    if (!(from <= to) || wave.size() == 0) return std::unexpected(no_wave);
    take(value_at(wave, from));
    const auto first = std::ranges::lower_bound(wave.seconds, from) - wave.seconds.begin();
    for (auto k = static_cast<std::size_t>(first); k < wave.size() && wave.seconds[k] <= to; ++k)
        take(wave.volts[k]);
    take(value_at(wave, to));
    if (out.low > out.high) return std::unexpected("the wave has no finite voltage");
    return out;
}

Measurement highest(WaveView wave) {
    if (wave.size() == 0) return std::unexpected(no_wave);
    const auto range = extremes(wave, wave.seconds.front(), wave.seconds.back());
    return range ? Measurement(range->high) : std::unexpected(range.error());
}

Measurement lowest(WaveView wave) {
    if (wave.size() == 0) return std::unexpected(no_wave);
    const auto range = extremes(wave, wave.seconds.front(), wave.seconds.back());
    return range ? Measurement(range->low) : std::unexpected(range.error());
}

std::vector<LevelCrossing> crossings(WaveView wave, double level, double hysteresis) {
    std::vector<LevelCrossing> out;
    // Without a band "at the level" counts as above, or a wave that rests on it would count twice.
    const double half = std::max(0.0, hysteresis) / 2;
    Passage passage{half > 0 ? level - half : std::nextafter(level, level - 1), level + half};
    double up = 0, down = 0;  // set before they are used: whoever changes sides passes the level
    bool fresh = true;
    for_each_segment(wave, [&](const Segment& s) {
        if (s.parted || fresh) passage.forget(), passage.to(s.v0);
        fresh = false;
        if (s.v0 < level && s.v1 >= level) up = meets(s, level);
        if (s.v0 >= level && s.v1 < level) down = meets(s, level);
        const int met = passage.to(s.v1);
        if (met > 0) out.push_back({up, Direction::rising});
        if (met < 0) out.push_back({down, Direction::falling});
    });
    return out;
}

std::vector<Edge> edges(WaveView wave, double low, double high) {
    std::vector<Edge> out;
    if (!(low < high)) return out;
    Passage passage{low, high};
    double left_low = 0, left_high = 0;
    bool fresh = true;
    for_each_segment(wave, [&](const Segment& s) {
        if (s.parted || fresh) passage.forget(), passage.to(s.v0);
        fresh = false;
        if (s.v0 <= low && s.v1 > low) left_low = meets(s, low);
        if (s.v0 >= high && s.v1 < high) left_high = meets(s, high);
        const int met = passage.to(s.v1);
        if (met > 0) out.push_back({left_low, meets(s, high), Direction::rising});
        if (met < 0) out.push_back({left_high, meets(s, low), Direction::falling});
    });
    return out;
}

Measurement transition_time(WaveView wave, const SwingLevels& levels, Direction direction, double from,
                            double to) {
    std::optional<double> slowest;
    for (const Edge& e : edges(wave, levels.at(from), levels.at(to)))
        if (e.direction == direction) slowest = std::max(slowest.value_or(0), e.end - e.begin);
    if (slowest) return *slowest;
    return std::unexpected(std::string("no edge ") + (direction == Direction::rising ? "rises" : "falls") +
                           " all the way");
}

Measurement edge_rate(WaveView wave, double vil, double vih) {
    std::optional<double> slowest;
    for (const Edge& e : edges(wave, vil, vih)) slowest = std::max(slowest.value_or(0), e.end - e.begin);
    if (slowest) return *slowest / (vih - vil);
    return std::unexpected(vil < vih ? "no edge passes both VIL and VIH" : "VIL is not below VIH");
}

Measurement overshoot(WaveView wave, const SwingLevels& levels) {
    const Measurement top = highest(wave);
    return top ? Measurement(std::max(0.0, *top - levels.high)) : top;
}

Measurement undershoot(WaveView wave, const SwingLevels& levels) {
    const Measurement bottom = lowest(wave);
    return bottom ? Measurement(std::max(0.0, levels.low - *bottom)) : bottom;
}

Measurement time_to_stay(WaveView wave, double from, double to, double low, double high) {
    if (wave.size() == 0) return std::unexpected(no_wave);
    if (!(from <= to) || to > wave.seconds.back()) return std::unexpected("the wave ends before");
    const auto within = [&](double v) { return v >= low && v <= high; };
    if (!within(value_at(wave, to))) return std::unexpected("it does not come to stay");
    double last = from;
    bool parted = false;
    for_each_segment(wave, [&](const Segment& whole) {
        if (whole.t1 < from || whole.t0 > to) return;
        const Segment s = clipped(whole, from, to);
        parted = parted || (whole.parted && whole.t0 > from);
        if (!within(s.v1))
            last = std::max(last, s.t1);
        else if (!within(s.v0))
            last = std::max(last, meets(s, s.v0 > high ? high : low));
    });
    if (parted) return std::unexpected("the wave has a gap");
    return last - from;
}

Measurement settling_time(WaveView wave, double from, double to, double target, double band) {
    return time_to_stay(wave, from, to, target - band, target + band);
}

Measurement average_product(WaveView a, WaveView b) {
    if (a.size() == 0 || b.size() == 0) return std::unexpected(no_wave);
    const double from = std::max(a.seconds.front(), b.seconds.front());
    const double to = std::min(a.seconds.back(), b.seconds.back());
    if (!(from < to)) return std::unexpected("the waves share no time");
    std::vector<double> times{from, to};
    for (const WaveView& w : {a, b})
        for (const double t : w.seconds)
            if (t > from && t < to) times.push_back(t);
    std::ranges::sort(times);
    times.erase(std::ranges::unique(times).begin(), times.end());
    // Two straight lines multiply to a parabola, which Simpson's rule integrates exactly. Ends are
    // taken from inside the piece, so that steps at them do no harm.
    double sum = 0;
    for (std::size_t k = 1; k < times.size(); ++k) {
        const double t0 = times[k - 1], t1 = times[k], middle = t0 + (t1 - t0) / 2;
        const auto ends = [&](WaveView w) {
            const double v0 = value_at(w, t0), vm = value_at(w, middle);
            return std::pair{v0, vm};
        };
        const auto [a0, am] = ends(a);
        const auto [b0, bm] = ends(b);
        sum += (t1 - t0) / 6 * (a0 * b0 + 4 * am * bm + (2 * am - a0) * (2 * bm - b0));
    }
    if (!std::isfinite(sum)) return std::unexpected("the waves have a gap");
    return sum / (to - from);
}

}  // namespace voltsill
