#include "signals/setup_time.h"

#include <algorithm>
#include <functional>
#include <optional>

namespace voltsill {
namespace {

/// A figure that costs less than this share of a bit is not worth telling.
constexpr double worth_telling = 1e-4;
constexpr int passes = 3;
/// A worst case needs less than this times what the nominal needs (common practice: figures double at most).
constexpr double patience = 3.0;

class Search {
  public:
    /// What is left of `whole` in a run, nothing where it cannot be told: then minus all of it.
    using Left = std::function<std::optional<double>(const Waves&)>;
    Search(const LinkSetup& setup, const TransientSolver& solver, double whole, Left left)
        : setup_(setup),
          solver_(solver),
          left_(std::move(left)),
          varying_(setup.scope.varying),
          corner_(setup.scope.net.nominal_values()) {
        out_.bit_time = whole;
    }
    SetupTime run(double enough) {
        out_.nominal = out_.worst = left(1, {})[0];
        out_.searched = patience * (out_.bit_time - out_.nominal) >= (1 - enough) * out_.bit_time;
        if (!out_.searched) return std::move(out_);
        move_each_alone();
        // At the corner a figure may pull the other way: look again from there.
        for (int pass = 0; pass < passes && turn_what_helps(); ++pass) {
        }
        return std::move(out_);
    }

  private:
    const Parameter& parameter(std::size_t k) const { return setup_.scope.net.parameters[varying_[k]]; }
    double other_end(std::size_t k) const {
        const Parameter& p = parameter(k);
        return corner_[varying_[k]] == p.lo ? p.hi : p.lo;
    }
    /// Set-up left in each of `count` samples.
    std::vector<double> left(std::size_t count, const TransientSolver::Fill& fill) {
        std::vector<double> out(count);
        solver_.run(0, count, fill, [&](const SampleRun& r) {
            const auto here = r.end == RunEnd::finished ? left_(waves_of(setup_, r.path)) : std::nullopt;
            out[r.index] = here.value_or(-out_.bit_time);
        });
        return out;
    }
    /// Figure k at its low end in sample 2k, at its high end in 2k + 1.
    void move_each_alone() {
        const std::vector<double> ends =
            left(2 * varying_.size(), [&](std::uint64_t index, std::span<double> values) {
                const Parameter& p = parameter(index / 2);
                values[varying_[index / 2]] = index % 2 == 0 ? p.lo : p.hi;
            });
        out_.origin = {Certainty::guaranteed, "figures of all parts on the way"};
        for (std::size_t k = 0; k < varying_.size(); ++k) {
            const double low = ends[2 * k], high = ends[2 * k + 1], cost = out_.nominal - std::min(low, high);
            const Parameter& p = parameter(k);
            corner_[varying_[k]] = low < high ? p.lo : p.hi;
            out_.worst = std::min({out_.worst, low, high});
            if (cost < worth_telling * out_.bit_time) continue;
            out_.costly.emplace_back(p.name, cost);
            out_.origin = weakest(out_.origin, p.origin);
        }
        std::ranges::sort(out_.costly, [](const auto& a, const auto& b) { return a.second > b.second; });
    }
    /// Sample 0 is the corner, sample 1 + k the corner with figure k at its other end. True if one turned.
    bool turn_what_helps() {
        const std::vector<double> turned =
            left(1 + varying_.size(), [&](std::uint64_t index, std::span<double> values) {
                std::ranges::copy(corner_, values.begin());
                if (index > 0) values[varying_[index - 1]] = other_end(index - 1);
            });
        out_.worst = std::min(out_.worst, *std::ranges::min_element(turned));
        bool any = false;
        for (std::size_t k = 0; k < varying_.size(); ++k) {
            if (turned[1 + k] >= turned[0]) continue;
            corner_[varying_[k]] = other_end(k);
            any = true;
        }
        return any;
    }

    const LinkSetup& setup_;
    const TransientSolver& solver_;
    const Left left_;
    const std::vector<ParamId>& varying_;
    std::vector<double> corner_;
    SetupTime out_;
};

}  // namespace

SetupTime setup_time(const LinkSetup& setup, double bit_time, double enough) {
    const TransientSolver solver(setup.problem(bit_time));
    if (!solver.trouble().empty()) return {.trouble = solver.trouble(), .bit_time = bit_time};
    const auto left = [&](const Waves& waves) -> std::optional<double> {
        const Measurement seconds = least_setup(setup, waves, bit_time);
        return seconds ? std::optional(*seconds) : std::nullopt;
    };
    return Search(setup, solver, bit_time, left).run(enough);
}

SetupTime edge_left(const LinkSetup& setup, double bit_time, std::size_t point, double allowed) {
    const TransientSolver solver(setup.problem(bit_time));
    if (!solver.trouble().empty()) return {.trouble = solver.trouble(), .bit_time = allowed};
    const TracePoint& at = setup.points[point];
    const auto left = [&](const Waves& waves) -> std::optional<double> {
        const Measurement per_volt = edge_rate(waves[point], *at.vil, *at.vih);
        return per_volt ? std::optional(allowed - *per_volt) : std::nullopt;
    };
    return Search(setup, solver, allowed, left).run(0.0);
}

}  // namespace voltsill
