/// Switching curves from waveforms in fixtures.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "parts/ibis_curves.h"
#include "parts/ibis_driver.h"

namespace voltsill {
namespace {

constexpr std::size_t steps = 1000;         // of the time axis while solving
constexpr double settled = 0.02;            // of full conduction: before and after this an edge is over
constexpr double most = 1.2;                // of full conduction
constexpr double dependent = 1e-4;          // determinant of the normal equations, over its diagonal
constexpr std::size_t most_waveforms = 16;  // of one edge; the standard's files have two or four

struct Conduction {
    double up = 0, down = 0;
};

/// One equation: up * Ku - down * Kd = load.
struct Equation {
    double up, down, load;
};

Equation equation_at(const IbisWaveform& w, IbisCorner c, const OutputCorner& tables, double farads, double t,
                     double h) {
    const auto &seconds = w.seconds[c], &volts = w.volts[c];
    const double v = held_between(seconds, volts, t);
    const double before = std::max(t - h, seconds.front()), after = std::min(t + h, seconds.back());
    const double slope =
        after > before
            ? (held_between(seconds, volts, after) - held_between(seconds, volts, before)) / (after - before)
            : 0;
    const double clamps = -output_amps(tables, 0, 0, v);
    return {amps_at(tables.pull_up, tables.supply.si() - v), amps_at(tables.pull_down, v),
            clamps + (farads + w.c_fixture) * slope + (v - w.v_fixture.at(c)) / w.r_fixture};
}

/// Least squares of all equations.
Conduction solve(const std::vector<Equation>& equations, bool two_sided, bool up_side, bool& assumed) {
    double uu = 0, ud = 0, dd = 0, ul = 0, dl = 0, sum = 0, sum_load = 0;
    for (const Equation& e : equations) {
        uu += e.up * e.up, ud -= e.up * e.down, dd += e.down * e.down;
        ul += e.up * e.load, dl -= e.down * e.load;
        const double both = e.up + e.down;
        sum += both * both, sum_load += both * (e.load + e.down);
    }
    Conduction k;
    if (!two_sided) {
        if (up_side)
            k.up = uu > 0 ? ul / uu : 0;
        else
            k.down = dd > 0 ? dl / dd : 0;
    } else if (const double det = uu * dd - ud * ud; equations.size() > 1 && det > dependent * uu * dd) {
        k = {(ul * dd - dl * ud) / det, (dl * uu - ul * ud) / det};
    } else {
        assumed = true;
        k.up = sum > 0 ? std::clamp(sum_load / sum, 0.0, 1.0) : 0;
        k.down = 1 - k.up;
    }
    // Magnitudes up to 1e30 leave the sums finite; a determinant that overflows is no number and falls back.
    return {std::clamp(k.up, 0.0, most), std::clamp(k.down, 0.0, most)};
}

bool near(const Conduction& a, const Conduction& b) {
    return std::abs(a.up - b.up) <= settled && std::abs(a.down - b.down) <= settled;
}

SwitchingCurve resampled(const std::vector<Conduction>& k, std::size_t first, std::size_t last, double h) {
    SwitchingCurve out{.duration = h * static_cast<double>(last - first)};
    for (std::size_t i = 0; i < ibis_switching_points; ++i) {
        const double at = static_cast<double>(first) +
                          static_cast<double>(i * (last - first)) / (ibis_switching_points - 1);
        const auto a = std::min(static_cast<std::size_t>(at), last - 1);
        const double share = at - static_cast<double>(a);
        out.up.push_back(k[a].up + (k[a + 1].up - k[a].up) * share);
        out.down.push_back(k[a].down + (k[a + 1].down - k[a].down) * share);
    }
    return out;
}

}  // namespace

std::optional<SwitchingCurve> switching_from(const IbisModel& model, const OutputCorner& tables,
                                             IbisCorner corner, bool rising,
                                             std::vector<std::string>& remarks) {
    std::vector<const IbisWaveform*> waves;
    double begin = -1e30, end = 1e30;
    for (const IbisWaveform& w : model.waveforms) {
        if (w.rising != rising || w.other_parts || !w.own[corner] || waves.size() == most_waveforms) continue;
        waves.push_back(&w);
        begin = std::max(begin, w.seconds[corner].front());
        end = std::min(end, w.seconds[corner].back());
    }
    const bool up = !tables.pull_up.volts.empty(), down = !tables.pull_down.volts.empty();
    if (waves.empty() || end <= begin || (!up && !down)) return std::nullopt;

    const double h = (end - begin) / steps, farads = model.capacitance(corner).value_or(0);
    bool assumed = false;
    std::vector<Conduction> k(steps + 1);
    std::vector<Equation> equations(waves.size());
    for (std::size_t i = 0; i <= steps; ++i) {
        for (std::size_t w = 0; w < waves.size(); ++w)
            equations[w] =
                equation_at(*waves[w], corner, tables, farads, begin + h * static_cast<double>(i), h);
        k[i] = solve(equations, up && down, up, assumed);
    }

    const Conduction low{0, down ? 1.0 : 0.0}, high{up ? 1.0 : 0.0, 0};
    const Conduction from = rising ? low : high, to = rising ? high : low;
    std::size_t first = 0, last = steps;
    while (first < steps && near(k[first + 1], k[0])) ++first;
    while (last > 0 && near(k[last - 1], k[steps])) --last;
    const char* edge = rising ? "rising" : "falling";
    if (last <= first) {
        remarks.push_back(fmt::format("the {} waveforms hold no edge; not used", edge));
        return std::nullopt;
    }
    const double off = std::max({std::abs(k[0].up - from.up), std::abs(k[0].down - from.down),
                                 std::abs(k[steps].up - to.up), std::abs(k[steps].down - to.down)});
    SwitchingCurve out = resampled(k, first, last, h);
    // At rest the tables alone hold.
    out.up.front() = from.up, out.down.front() = from.down;
    out.up.back() = to.up, out.down.back() = to.down;
    if (corner == ibis_typ) {
        if (off > 0.1)
            remarks.push_back(
                fmt::format("{} waveforms: before or after the edge they miss full conduction by {:.0f} %",
                            edge, 100 * off));
        if (assumed)
            remarks.push_back(
                fmt::format("{} waveforms: at times they leave one unknown; there the pull-down is taken as "
                            "1 minus the pull-up",
                            edge));
    }
    return out;
}

}  // namespace voltsill
