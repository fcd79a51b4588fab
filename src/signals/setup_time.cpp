#include "signals/setup_time.h"

#include <algorithm>

namespace voltsill {
namespace {

/// A figure that costs less than this share of a bit is not worth telling.
constexpr double worth_telling = 1e-4;
constexpr int passes = 3;
/// A worst case needs less than this times what the nominal needs (common practice: figures double at most).
constexpr double patience = 3.0;

}  // namespace

SetupTime setup_time(const LinkSetup& setup, double bit_time, double enough) {
    SetupTime out{.bit_time = bit_time};
    const TransientSolver solver(setup.problem(bit_time));
    if (!solver.trouble().empty()) {
        out.trouble = solver.trouble();
        return out;
    }
    const Netlist& net = setup.scope.net;
    const auto& varying = setup.scope.varying;
    const std::size_t figures = varying.size();
    // Sample 0: nominal; 1 + 2k and 2 + 2k: figure k at its low and high end.
    std::vector<double> left(1 + 2 * figures, -bit_time);
    const auto read = [&](const SampleRun& r) {
        if (r.end != RunEnd::finished) return -bit_time;
        return least_setup(setup, waves_of(setup, r.path), bit_time).value_or(-bit_time);
    };
    solver.run(0, 1, {}, [&](const SampleRun& r) { out.nominal = out.worst = read(r); });
    if (patience * (bit_time - out.nominal) < (1 - enough) * bit_time) {
        out.searched = false;
        return out;
    }
    solver.run(
        0, left.size(),
        [&](std::uint64_t index, std::span<double> values) {
            if (index == 0) return;
            const Parameter& p = net.parameters[varying[(index - 1) / 2]];
            values[varying[(index - 1) / 2]] = index % 2 ? p.lo : p.hi;
        },
        [&](const SampleRun& r) { left[r.index] = read(r); });
    out.origin = {Certainty::guaranteed, "figures of all parts on the way"};
    std::vector<double> corner = net.nominal_values();
    for (std::size_t k = 0; k < figures; ++k) {
        const double low = left[1 + 2 * k], high = left[2 + 2 * k], cost = out.nominal - std::min(low, high);
        const Parameter& p = net.parameters[varying[k]];
        corner[varying[k]] = low < high ? p.lo : p.hi;
        if (cost < worth_telling * bit_time) continue;
        out.costly.emplace_back(p.name, cost);
        out.origin = weakest(out.origin, p.origin);
    }
    std::ranges::sort(out.costly, [](const auto& a, const auto& b) { return a.second > b.second; });
    // At the corner a figure may pull the other way: look again from there.
    out.worst = *std::ranges::min_element(left);
    for (int pass = 0; pass < passes; ++pass) {
        std::vector<double> flipped(1 + figures);
        const auto other_end = [&](std::size_t k) {
            const Parameter& p = net.parameters[varying[k]];
            return corner[varying[k]] == p.lo ? p.hi : p.lo;
        };
        solver.run(
            0, flipped.size(),
            [&](std::uint64_t index, std::span<double> values) {
                std::ranges::copy(corner, values.begin());
                if (index > 0) values[varying[index - 1]] = other_end(index - 1);
            },
            [&](const SampleRun& r) { flipped[r.index] = read(r); });
        out.worst = std::min(out.worst, *std::ranges::min_element(flipped));
        bool turned = false;
        for (std::size_t k = 0; k < figures; ++k) {
            if (flipped[1 + k] >= flipped[0]) continue;
            corner[varying[k]] = other_end(k);
            turned = true;
        }
        if (!turned) break;
    }
    return out;
}

}  // namespace voltsill
