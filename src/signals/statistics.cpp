#include "signals/statistics.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace voltsill {
namespace {

constexpr double z95 = 1.959963984540054;

/// Of sorted values.
double quantile_of(const std::vector<double>& sorted, double share) {
    const double h = std::clamp(share, 0.0, 1.0) * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(h);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return std::lerp(sorted[below], sorted[above], h - static_cast<double>(below));
}

std::vector<double> finite_sorted(std::span<const double> values) {
    std::vector<double> out;
    for (const double v : values)
        if (std::isfinite(v)) out.push_back(v);
    std::ranges::sort(out);
    return out;
}

/// Times before and after each stretch of `moving` ones, at parts of its length: other samples move
/// somewhat earlier or later. None when there would be more than `most`.
std::vector<double> around(const std::vector<double>& moving, double begin, double end, std::size_t most) {
    std::vector<double> out;
    const double pause = (end - begin) / 40;
    for (std::size_t first = 0, k = 1; k <= moving.size(); ++k) {
        if (k < moving.size() && moving[k] - moving[k - 1] < pause) continue;
        const double length = moving[k - 1] - moving[first];
        for (const double part : {0.03, 0.1, 0.3, 1.0, 3.0})
            for (const double t : {moving[first] - part * length, moving[k - 1] + part * length})
                if (t > begin && t < end) out.push_back(t);
        first = k;
    }
    return out.size() <= most ? out : std::vector<double>{};
}

/// Pearson's correlation.
std::optional<double> correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const auto n = static_cast<double>(a.size());
    const double ma = std::accumulate(a.begin(), a.end(), 0.0) / n,
                 mb = std::accumulate(b.begin(), b.end(), 0.0) / n;
    double aa = 0, bb = 0, ab = 0;
    for (std::size_t k = 0; k < a.size(); ++k) {
        aa += (a[k] - ma) * (a[k] - ma);
        bb += (b[k] - mb) * (b[k] - mb);
        ab += (a[k] - ma) * (b[k] - mb);
    }
    if (!(aa > 0 && bb > 0)) return std::nullopt;
    return std::clamp(ab / std::sqrt(aa * bb), -1.0, 1.0);
}

}  // namespace

Interval wilson(int kept, int counted, double z) {
    if (counted <= 0) return {};
    const double n = counted, p = std::clamp(kept / n, 0.0, 1.0), zz = z * z;
    const double middle = p + zz / (2 * n), half = z * std::sqrt(p * (1 - p) / n + zz / (4 * n * n));
    // At its ends the interval is exact: no rounding may leave 0 or 1 out.
    return {kept <= 0 ? 0 : std::max(0.0, (middle - half) / (1 + zz / n)),
            kept >= counted ? 1 : std::min(1.0, (middle + half) / (1 + zz / n))};
}

std::optional<double> quantile(std::vector<double> values, double share) {
    const std::vector<double> sorted = finite_sorted(values);
    if (sorted.empty() || !(share >= 0 && share <= 1)) return std::nullopt;
    return quantile_of(sorted, share);
}

std::optional<Spread> spread_of(std::span<const double> values) {
    const std::vector<double> sorted = finite_sorted(values);
    if (sorted.empty()) return std::nullopt;
    return Spread{sorted.front(), quantile_of(sorted, 0.5), sorted.back(), static_cast<int>(sorted.size())};
}

std::vector<double> ranks(std::span<const double> values) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, {}, [&](std::size_t k) { return values[k]; });
    std::vector<double> out(values.size());
    for (std::size_t begin = 0; begin < order.size();) {
        std::size_t end = begin + 1;
        while (end < order.size() && values[order[end]] == values[order[begin]]) ++end;
        const double rank = (static_cast<double>(begin + 1) + static_cast<double>(end)) / 2;
        for (; begin < end; ++begin) out[order[begin]] = rank;
    }
    return out;
}

std::optional<double> rank_correlation(std::span<const double> a, std::span<const double> b) {
    std::vector<double> x, y;
    for (std::size_t k = 0; k < std::min(a.size(), b.size()); ++k) {
        if (!std::isfinite(a[k]) || !std::isfinite(b[k])) continue;
        x.push_back(a[k]);
        y.push_back(b[k]);
    }
    if (x.size() < 3) return std::nullopt;
    return correlation(ranks(x), ranks(y));
}

RankTable::RankTable(std::span<const std::string> names, std::span<const std::vector<double>> parameters)
    : names_(names), parameters_(parameters.first(std::min(names.size(), parameters.size()))) {
    for (const std::vector<double>& values : parameters_) ranks_.push_back(ranks(values));
}

std::vector<Influence> RankTable::influences(std::span<const double> measure) const {
    const auto finite = [](double x) { return std::isfinite(x); };
    const bool whole = std::ranges::all_of(measure, finite);
    const std::vector<double> of_measure = whole ? ranks(measure) : std::vector<double>{};
    // As many figures as are looked at, as many chances: each is held to 5 % over their number, by the bound
    // 2 exp(-z^2 / 2) on the tails of the normal law.
    const double chance =
        2 * std::log(2 * static_cast<double>(std::max<std::size_t>(1, parameters_.size())) / 0.05);
    std::vector<Influence> out;
    for (std::size_t k = 0; k < parameters_.size(); ++k) {
        // Ranks made before serve as long as every sample counts.
        const bool direct = whole && measure.size() >= 3 && parameters_[k].size() == measure.size() &&
                            std::ranges::all_of(parameters_[k], finite);
        const auto rho =
            direct ? correlation(ranks_[k], of_measure) : rank_correlation(parameters_[k], measure);
        if (!rho) continue;
        double pairs = 0;
        for (std::size_t s = 0; s < std::min(parameters_[k].size(), measure.size()); ++s)
            pairs += finite(parameters_[k][s]) && finite(measure[s]) ? 1 : 0;
        if (*rho * *rho * (pairs - 1) > chance) out.push_back({names_[k], *rho * *rho, *rho > 0});
    }
    std::ranges::stable_sort(out, std::ranges::greater{}, &Influence::share);
    return out;
}

std::vector<double> common_times(WaveView wave, std::size_t most) {
    most = std::max<std::size_t>(most, 8);
    if (wave.size() == 0 || !(wave.seconds.front() < wave.seconds.back()))
        return {wave.seconds.begin(), wave.seconds.begin() + (wave.size() > 0 ? 1 : 0)};
    const double begin = wave.seconds.front(), end = wave.seconds.back();
    // Even steps of the way along the wave: as much for the voltage as for the time.
    const auto range = extremes(wave, begin, end);
    const double swing = range && range->high > range->low ? range->high - range->low : 1;
    double length = 0;
    std::vector<double> way(wave.size());
    for (std::size_t k = 1; k < wave.size(); ++k) {
        const double rise = std::abs(wave.volts[k] - wave.volts[k - 1]) / swing;
        length += std::isfinite(rise) ? rise : 0;
        way[k] = length;
    }
    const std::size_t even = most - 3 * (most / 4);
    std::vector<double> moving;
    // Each with the point before it, so that an edge begins where it begins.
    for (std::size_t k = 1, at = 1; length > 0 && k <= most / 4; ++k) {
        const double target = length * static_cast<double>(k) / static_cast<double>(most / 4 + 1);
        while (at + 1 < way.size() && way[at] < target) ++at;
        moving.push_back(wave.seconds[at - 1]);
        moving.push_back(wave.seconds[at]);
    }
    std::vector<double> out = around(moving, begin, end, most / 4);
    out.insert(out.end(), moving.begin(), moving.end());
    for (std::size_t k = 0; k < even; ++k)
        out.push_back(std::lerp(begin, end, static_cast<double>(k) / static_cast<double>(even - 1)));
    std::ranges::sort(out);
    out.erase(std::ranges::unique(out).begin(), out.end());
    return out;
}

EnvelopeOf::EnvelopeOf(std::vector<double> seconds, std::size_t kept)
    : seconds_(std::move(seconds)),
      lo_(seconds_.size()),
      hi_(seconds_.size()),
      most_(std::max<std::size_t>(kept, 2)) {}

void EnvelopeOf::thin_out() {
    std::size_t left = 0;
    for (std::size_t k = 0; k < kept_.size(); k += 2) kept_[left++].swap(kept_[k]);
    kept_.resize(left);
    stride_ *= 2;
}

void EnvelopeOf::add(WaveView wave) {
    const auto finite = [](double v) { return std::isfinite(v); };
    if (wave.size() == 0 || !std::ranges::all_of(wave.volts, finite)) return;
    // One sweep over both axes: the voltage at each common time, and the extremes up to the next.
    const std::size_t n = seconds_.size();
    std::vector<float> values(n);
    std::vector<double> low(n), high(n);
    std::size_t at = 0;  // first point of the wave after the common time
    for (std::size_t k = 0; k < n; ++k) {
        while (at < wave.size() && wave.seconds[at] <= seconds_[k]) {
            if (k > 0)
                low[k - 1] = std::min(low[k - 1], wave.volts[at]),
                        high[k - 1] = std::max(high[k - 1], wave.volts[at]);
            ++at;
        }
        const double v =
            at == 0 ? wave.volts.front()
            : at == wave.size()
                ? wave.volts.back()
                : std::lerp(wave.volts[at - 1], wave.volts[at],
                            (seconds_[k] - wave.seconds[at - 1]) / (wave.seconds[at] - wave.seconds[at - 1]));
        values[k] = static_cast<float>(v);
        low[k] = high[k] = v;
        if (k > 0) low[k - 1] = std::min(low[k - 1], v), high[k - 1] = std::max(high[k - 1], v);
    }
    for (std::size_t k = 0; k < n; ++k) {
        const double lo = std::min(low[k], low[k > 0 ? k - 1 : 0]),
                     hi = std::max(high[k], high[k > 0 ? k - 1 : 0]);
        lo_[k] = counted_ == 0 ? lo : std::min(lo_[k], lo);
        hi_[k] = counted_ == 0 ? hi : std::max(hi_[k], hi);
    }
    if (static_cast<std::size_t>(counted_) % stride_ == 0) {
        if (kept_.size() == most_) thin_out();
        if (static_cast<std::size_t>(counted_) % stride_ == 0) kept_.push_back(std::move(values));
    }
    ++counted_;
}

std::optional<Envelope> EnvelopeOf::envelope() const {
    if (counted_ == 0) return std::nullopt;
    Envelope out{seconds_, lo_, {}, hi_};
    std::vector<double> column(kept_.size());
    for (std::size_t k = 0; k < seconds_.size(); ++k) {
        for (std::size_t row = 0; row < kept_.size(); ++row) column[row] = kept_[row][k];
        std::ranges::sort(column);
        out.median.push_back(std::clamp(quantile_of(column, 0.5), lo_[k], hi_[k]));
    }
    return out;
}

}  // namespace voltsill
