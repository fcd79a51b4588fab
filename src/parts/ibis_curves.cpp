#include "parts/ibis_curves.h"

#include <algorithm>
#include <cmath>

namespace voltsill {
namespace {

/// Index of the segment that holds or is nearest to `at`.
std::size_t segment(const std::vector<double>& x, double at) {
    const auto next = std::upper_bound(x.begin(), x.end(), at);
    const auto i = static_cast<std::size_t>(next - x.begin());
    return std::clamp<std::size_t>(i, 1, x.size() - 1) - 1;
}

double on_line(const std::vector<double>& x, const std::vector<double>& y, std::size_t from, std::size_t to,
               double at) {
    return y[from] + (y[to] - y[from]) * ((at - x[from]) / (x[to] - x[from]));
}

}  // namespace

double amps_at(const IvCurve& curve, double volts) {
    if (curve.volts.size() < 2) return 0;
    const std::size_t i = segment(curve.volts, volts);
    return on_line(curve.volts, curve.amps, i, i + 1, volts);
}

double held_between(const std::vector<double>& x, const std::vector<double>& y, double at) {
    if (at <= x.front() || x.size() < 2) return y.front();
    if (at >= x.back()) return y.back();
    const std::size_t i = segment(x, at);
    return on_line(x, y, i, i + 1, at);
}

double make_rising(std::vector<double>& values) {
    struct Pool {
        double mean;
        std::size_t count;
    };
    std::vector<Pool> pools;
    for (const double value : values) {
        Pool pool{value, 1};
        while (!pools.empty() && pools.back().mean > pool.mean) {
            const Pool& before = pools.back();
            const double whole = static_cast<double>(before.count + pool.count);
            pool.mean += (before.mean - pool.mean) * (static_cast<double>(before.count) / whole);
            pool.count += before.count;
            pools.pop_back();
        }
        pools.push_back(pool);
    }
    double change = 0;
    std::size_t at = 0;
    for (const Pool& pool : pools)
        for (std::size_t k = 0; k < pool.count; ++k, ++at) {
            change = std::max(change, std::abs(values[at] - pool.mean));
            values[at] = pool.mean;
        }
    return change;
}

IvCurve thinned(const IvCurve& curve, std::size_t points, double& error) {
    const std::size_t n = curve.volts.size();
    error = 0;
    if (n <= points) return curve;
    double largest = 0;
    for (const double i : curve.amps) largest = std::max(largest, std::abs(i));
    std::vector<std::size_t> kept{0, n - 1};
    while (true) {
        double worst = 0;
        std::size_t where = 0;
        error = 0;
        for (std::size_t k = 0; k + 1 < kept.size(); ++k)
            for (std::size_t i = kept[k] + 1; i < kept[k + 1]; ++i) {
                const double off = std::abs(
                    curve.amps[i] - on_line(curve.volts, curve.amps, kept[k], kept[k + 1], curve.volts[i]));
                error = std::max(error, off);
                const double share = off / (std::abs(curve.amps[i]) + 0.01 * largest);
                if (share > worst) worst = share, where = i;
            }
        if (kept.size() >= points || worst <= 0) break;
        kept.insert(std::upper_bound(kept.begin(), kept.end(), where), where);
    }
    IvCurve out;
    for (const std::size_t i : kept) {
        out.volts.push_back(curve.volts[i]);
        out.amps.push_back(curve.amps[i]);
    }
    return out;
}

}  // namespace voltsill
