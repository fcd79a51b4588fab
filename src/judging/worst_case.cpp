#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/leaks.h"
#include "judging/solution_memory.h"
#include "quantity/print.h"

namespace voltsill {

double value_of(const Functional& f, std::span<const double> volts) {
    double sum = f.offset;
    for (const auto& [node, weight] : f.terms) sum += weight * volts[node];
    return sum;
}
namespace {

constexpr int few = 4;

/// A parameter that moves the result by less over its whole range stays nominal (V or A).
constexpr double negligible = 1e-7;

/// From here leaks may open or close a diode: its law bends within n VT (V).
constexpr double bends = 35e-3;

template <class T>
int find_in(const std::vector<T>& list, T wanted) {
    const auto at = std::ranges::find(list, wanted);
    return at == list.end() ? -1 : static_cast<int>(at - list.begin());
}

}  // namespace

Node Island::local(Node circuit_node) const {
    if (circuit_node == ground_node) return ground_node;
    const auto at = std::ranges::lower_bound(local_of_node, circuit_node, {}, &std::pair<Node, Node>::first);
    return at != local_of_node.end() && at->first == circuit_node ? at->second : -1;
}
int Island::local_stage(StageId stage) const { return find_in(stage_of, stage); }
DeviceId Island::local_device(DeviceId device) const { return find_in(device_of, device); }

bool solve(const Island& island, const Levels& levels, std::span<const double> values,
           std::vector<double>& volts, Effort& effort, std::span<const double> near) {
    const bool hurried = effort.failures > Effort::patient_failures;
    std::string key;
    const std::vector<double>* known = nullptr;
    if (effort.memory) {
        key = effort.memory->key_of(island, levels, values, hurried, !near.empty());
        known = effort.memory->find(key);
    }
    if (known) {
        volts = *known;
    } else {
        volts.assign(near.begin(), near.end());
        volts.resize(island.net.node_names.size());
        island.partition.fill_held(island.net, values, volts);
    }
    const State state{.levels = levels};
    DcOptions options{.from_given = !near.empty()};
    if (hurried) options.max_iterations = Effort::hurried_iterations;
    for (size_t b = 0; b < island.partition.blocks().size(); ++b) {
        ++effort.solves;
        const double unknowns = static_cast<double>(island.partition.blocks()[b].nodes.size());
        effort.work += unknowns * unknowns;
        if (effort.work > effort.most_work) {
            if (effort.trouble.empty()) effort.trouble = "it has more states than were looked at";
            return false;
        }
        if (known) continue;  // counted as work all the same: what is said does not hang on what was met
        std::string trouble;
        if (solve_block(island.net, island.partition, static_cast<int>(b), values, state, volts, options,
                        &trouble) != DcStatus::converged) {
            ++effort.failures;
            if (effort.trouble.empty()) effort.trouble = trouble;
            return false;
        }
    }
    if (effort.memory && !known) effort.memory->keep(std::move(key), volts);
    return true;
}

namespace {

/// What is measured, at a balance that was found.
struct Probe {
    virtual ~Probe() = default;
    virtual double value(std::span<const double> values, const Corners::Balance& at) const = 0;
    /// By how much leaks raise it at most (`up`), or lower it.
    virtual double shift(const Corners::Balance&, bool) const { return 0.0; }
    /// The value with that at a corner, where it is too much for first order.
    virtual double pushed(const std::vector<double>&, const Corners::Balance&, bool, double first, Effort&) const {
        return first;
    }
    /// By parameter, of the value with that.
    virtual std::vector<double> slopes(const std::vector<double>& values, const Corners::Balance& at,
                                       bool up) const = 0;
};

struct VoltageProbe : Probe {
    const Island& island;
    const Functional& f;
    const Levels& levels;
    const Leaks* leaks;
    std::vector<double> weights;
    VoltageProbe(const Island& i, const Levels& at, const Functional& functional, const Leaks* l)
        : island(i),
          f(functional),
          levels(at),
          leaks(l && !l->inflows.empty() && !i.partition.held(l->at) ? l : nullptr),
          weights(i.net.node_names.size(), 0.0) {
        for (const auto& [node, weight] : f.terms) weights[node] += weight;
    }
    double value(std::span<const double>, const Corners::Balance& at) const override { return value_of(f, at.volts); }
    double shift(const Corners::Balance& at, bool up) const override {
        return leaks ? leaks->shift(transfer(at), at.volts, up) : 0.0;
    }
    double pushed(const std::vector<double>& values, const Corners::Balance& at, bool up, double first,
                  Effort& effort) const override {
        if (!leaks || std::abs(first - value_of(f, at.volts)) < bends) return first;
        return leaks->pushed(island, levels, f, values, transfer(at), at.volts, up, effort).value_or(first);
    }
    std::vector<double> slopes(const std::vector<double>&, const Corners::Balance& at, bool up) const override {
        if (shift(at, up) == 0.0) return at.linear.slopes(weights);
        return at.linear.slopes(weights, leaks->amps(transfer(at), up));
    }

  private:
    /// Both ends of a range, and the slopes there, are asked for at the same balance.
    const std::vector<double>& transfer(const Corners::Balance& at) const {
        if (of_ != &at) of_ = &at, per_amp_ = at.linear.transfer(weights);
        return per_amp_;
    }
    mutable const Corners::Balance* of_ = nullptr;
    mutable std::vector<double> per_amp_;
};

/// Currents have no adjoint of their own here: slopes by re-solving with each parameter moved.
template <class F>
struct CurrentProbe : Probe {
    const Island& island;
    F current;
    Corners& corners;
    Effort& effort;
    CurrentProbe(const Island& i, F f, Corners& c, Effort& e) : island(i), current(f), corners(c), effort(e) {}
    double value(std::span<const double> values, const Corners::Balance& at) const override {
        return current(values, at.volts);
    }
    std::vector<double> slopes(const std::vector<double>& values, const Corners::Balance& at, bool) const override {
        std::vector<double> out(island.net.parameters.size(), 0.0), moved = values;
        const double here = current(values, at.volts);
        for (ParamId p : island.varying) {
            const Parameter& q = island.net.parameters[p];
            const double far = values[p] < 0.5 * (q.lo + q.hi) ? q.hi : q.lo;
            moved[p] = far;
            if (const Corners::Balance* there = corners.at(moved, effort))
                out[p] = (current(moved, there->volts) - here) / (far - values[p]);
            moved[p] = values[p];
        }
        return out;
    }
};

struct CornerSearch {
    const Island& island;
    Corners& corners;
    const Probe& probe;
    Effort& effort;

    /// nullptr: nothing is found there.
    const Corners::Balance* evaluate(const std::vector<double>& values, double& out) {
        const Corners::Balance* at = corners.at(values, effort);
        if (at) out = probe.value(values, *at);
        return at && std::isfinite(out) ? at : nullptr;
    }

    void all_corners(Range& range) {
        std::vector<double> values = island.nominal;
        for (unsigned corner = 0; corner < (1u << island.varying.size()); ++corner) {
            for (size_t k = 0; k < island.varying.size(); ++k) {
                const Parameter& q = island.net.parameters[island.varying[k]];
                values[island.varying[k]] = (corner >> k) & 1u ? q.hi : q.lo;
            }
            double v = 0;
            const Corners::Balance* at = evaluate(values, v);
            if (!at) {
                range.solved = false;
                return;
            }
            if (const double low = v + probe.shift(*at, false); low < range.lo) range.lo = low, range.at_lo = values;
            if (const double high = v + probe.shift(*at, true); high > range.hi) range.hi = high, range.at_hi = values;
        }
        keep_what_matters(range.lo, range.at_lo, false);
        keep_what_matters(range.hi, range.at_hi, true);
    }

    /// Parameters that do not move the extreme go back to nominal, so that the corner names the others.
    void keep_what_matters(double extreme, std::vector<double>& corner, bool up) {
        for (ParamId p : island.varying) {
            const double end = corner[p];
            corner[p] = island.nominal[p];
            double v = 0;
            const Corners::Balance* at = evaluate(corner, v);
            if (!at || std::abs(v + probe.shift(*at, up) - extreme) > negligible) corner[p] = end;
        }
    }

    /// Follows the signs of the sensitivities to a corner, until they agree with it.
    void by_sign(Range& range, const std::vector<double>& first, bool up) {
        std::vector<double> slopes = first, values = island.nominal;
        double& best = up ? range.hi : range.lo;
        std::vector<double>& where = up ? range.at_hi : range.at_lo;
        for (int round = 0; round < 4; ++round) {
            bool moved = false;
            for (ParamId p : island.varying) {
                const Parameter& q = island.net.parameters[p];
                if (std::abs(slopes[p]) * (q.hi - q.lo) < negligible) continue;
                const double end = (slopes[p] > 0) == up ? q.hi : q.lo;
                if (values[p] != end) values[p] = end, moved = true;
            }
            if (!moved) return;
            double v = 0;
            const Corners::Balance* at = evaluate(values, v);
            if (!at) {
                range.solved = false;
                return;
            }
            v += probe.shift(*at, up);
            if (up ? v > best : v < best) best = v, where = values;
            slopes = probe.slopes(values, *at, up);
            if (round > 0) range.exact = false;
        }
        range.exact = false;
    }

    void push(double& end, const std::vector<double>& corner, bool up) {
        double v = 0;
        if (const Corners::Balance* at = evaluate(corner, v)) end = probe.pushed(corner, *at, up, end, effort);
    }

    Range run() {
        Range range = search();
        if (!range.solved) return range;
        push(range.lo, range.at_lo, false);
        push(range.hi, range.at_hi, true);
        return range;
    }

    Range search() {
        Range range;
        range.at_lo = range.at_hi = island.nominal;
        const Corners::Balance* at = evaluate(island.nominal, range.nominal);
        if (!at) {
            range.solved = false;
            return range;
        }
        range.lo = range.nominal + probe.shift(*at, false);
        range.hi = range.nominal + probe.shift(*at, true);
        if (island.varying.empty()) return range;
        if (island.varying.size() <= few) {
            all_corners(range);
            return range;
        }
        const bool leaks = range.lo < range.hi;
        const std::vector<double> falling = probe.slopes(island.nominal, *at, false);
        by_sign(range, falling, false);
        by_sign(range, leaks ? probe.slopes(island.nominal, *at, true) : falling, true);
        return range;
    }
};

}  // namespace

const Corners::Balance* Corners::at(const std::vector<double>& values, Effort& effort) {
    std::string ends;
    for (ParamId p : island_.varying) {
        const Parameter& q = island_.net.parameters[p];
        ends += values[p] == island_.nominal[p] ? 'n' : values[p] == q.lo ? 'l' : 'h';
    }
    const auto [found, fresh] = met_.try_emplace(std::move(ends));
    std::unique_ptr<Balance>& balance = found->second;
    if (!fresh) return balance.get();
    std::vector<double> volts, near;
    const bool nominal = values == island_.nominal;
    if (!nominal) {
        if (!at(island_.nominal, effort)) return nullptr;
        near = nominal_->linear.moved_to(values);
    }
    if (!solve(island_, levels_, values, volts, effort, near)) return nullptr;
    Linearized linear(island_.net, island_.partition, values, State{.levels = levels_}, volts);
    balance = std::make_unique<Balance>(std::move(volts), std::move(linear));
    if (nominal) nominal_ = balance.get();
    return balance.get();
}

Range Corners::range_of(const Functional& functional, Effort& effort, const Leaks* leaks) {
    const VoltageProbe probe(island_, levels_, functional, leaks);
    return CornerSearch{island_, *this, probe, effort}.run();
}

std::vector<double> Corners::ohms(Effort& effort) {
    const std::size_t nodes = island_.net.node_names.size();
    std::vector<double> out(nodes, open_ohms);
    if (const Balance* nominal = at(island_.nominal, effort))
        for (std::size_t n = 0; n < nodes; ++n) out[n] = nominal->linear.ohms(static_cast<Node>(n));
    return out;
}

Range range_of(const Island& island, const Levels& levels, const Functional& functional, Effort& effort,
               const Leaks* leaks) {
    return Corners(island, levels).range_of(functional, effort, leaks);
}

Range device_range(const Island& island, const Levels& levels, DeviceId device, Effort& effort, int terminal) {
    const State state{.levels = levels};
    Corners corners(island, levels);
    const CurrentProbe probe(
        island,
        [&](std::span<const double> values, std::span<const double> volts) {
            return device_current(island.net, values, state, volts, device, terminal);
        },
        corners, effort);
    return CornerSearch{island, corners, probe, effort}.run();
}

Range stage_range(const Island& island, const Levels& levels, int stage, Effort& effort) {
    Corners corners(island, levels);
    const CurrentProbe probe(
        island,
        [&](std::span<const double> values, std::span<const double> volts) {
            return stage_current(island.net, values, levels[stage], volts, stage);
        },
        corners, effort);
    return CornerSearch{island, corners, probe, effort}.run();
}

double resistance_at(const Island& island, const Levels& levels, std::span<const double> values,
                     std::span<const double> volts, Node node) {
    return Linearized(island.net, island.partition, values, State{.levels = levels}, volts).ohms(node);
}

double resistance_at(const Island& island, const Levels& levels, Node node, Effort& effort) {
    if (island.partition.held(node)) return 0.0;
    std::vector<double> volts;
    if (!solve(island, levels, island.nominal, volts, effort)) return open_ohms;
    return resistance_at(island, levels, island.nominal, volts, node);
}

std::vector<double> resistances(const Island& island, const Levels& levels, std::span<const double> values,
                                std::span<const double> volts) {
    const Linearized linear(island.net, island.partition, values, State{.levels = levels}, volts);
    std::vector<double> out;
    for (Node n = 0; n < std::ssize(island.net.node_names); ++n) out.push_back(linear.ohms(n));
    return out;
}

std::string corner_words(const Island& island, std::span<const double> values) {
    std::string words;
    int listed = 0;
    for (ParamId p : island.varying) {
        const Parameter& q = island.net.parameters[p];
        if (values[p] == q.nominal || listed == 6) continue;
        const bool rail = std::ranges::any_of(island.net.devices, [&](const Device& d) {
            return d.kind == DeviceKind::source && d.params[0] == p;
        });
        words += fmt::format("{}{} {}", words.empty() ? "" : ", ", q.name,
                             rail                ? print(Volts{values[p]})
                             : values[p] == q.hi ? "high"
                                                 : "low");
        ++listed;
    }
    return words;
}

}  // namespace voltsill
