/// Putting a sample on a lane: its steady state, coefficients, equations, and what is due.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "network/block_equations.h"
#include "network/transient_run.h"

namespace voltsill::batch {
namespace {

/// How far past cut-off a FET may be taken in one step: the overdrive at which it carries this (K/2 v^2).
constexpr double pull_up_amps = 0.5e-3, most_free_change = 0.1;
constexpr double restart_share = 0.05;  ///< of the next interval, after a kink

}  // namespace

void TransientRun::evaluate(void* context, const double* volts, double* current, double* conductance,
                            bool slopes) {
    const TransientRun& run = *static_cast<const TransientRun*>(context);
    for (const Other& other : run.plan_.others) {
        const Device& d = run.problem_.netlist->devices[other.device];
        const DeviceShape& shape = shape_of(d.kind);
        const double sign = d.reversed_polarity ? -1.0 : 1.0;
        for (int lane = 0; lane < run.w_; ++lane) {
            const auto at = [&](const double* array, int index) { return array[index * run.w_ + lane]; };
            Coefficients<double> c;
            for (int k = 0; k < 5; ++k) c[k] = at(run.coefficients_.data(), other.coefficient + k);
            Dual<3> u[3], flow[3];
            for (int k = 0; k < shape.controls; ++k)
                u[k] = Dual<3>::variable(sign * (at(volts, other.slots[shape.control[k][0]]) -
                                                 at(volts, other.slots[shape.control[k][1]])),
                                         k, 1.0);
            many_terminal_flows(d, c, u, flow);
            for (int j = 0; j < shape.flows; ++j) {
                current[(other.current + j) * run.w_ + lane] = sign * flow[j].value;
                for (int k = 0; slopes && k < shape.controls; ++k)
                    conductance[(other.conductance + j * shape.controls + k) * run.w_ + lane] = flow[j].d[k];
            }
        }
    }
}

void TransientRun::idle(int lane) {
    lanes_[lane].running = false;
    active(lane) = 0.0;
    time(lane) = 0.0;
    step(lane) = 1e-9;
    stop(lane) = 1.0;
    growth(lane) = 1.0;
    for (int k = 0; k < plan_.unknowns; ++k) number(linear_, plan_.lu.diagonal[k], lane) = 1.0;
}

void TransientRun::prepare(const TransientSolver::Fill& fill) {
    start_.first += start_.count;
    start_.count = std::min<std::uint64_t>(w_, end_ - start_.first);
    start_.next = start_.first;
    for (std::uint64_t k = 0; k < start_.count; ++k) {
        std::vector<double>& values = start_.values[k];
        values = nominal_;
        if (fill) fill(start_.first + k, values);
        changes_[k].clear();
        for (ParamId p = 0; p < static_cast<ParamId>(values.size()); ++p)
            if (values[p] != nominal_[p]) changes_[k].push_back({p, values[p]});
        cases_[k] = {.changes = changes_[k], .state = &at_rest_};
    }
    steady_.solve(nominal_, std::span(cases_).first(start_.count), steady_result_);
}

void TransientRun::load(int lane, const TransientSolver::Fill& fill, const TransientSolver::Sink& sink) {
    while (true) {
        if (start_.next == start_.first + start_.count) {
            if (start_.next >= end_) {
                idle(lane);
                return;
            }
            prepare(fill);
        }
        const std::size_t k = start_.next - start_.first;
        SampleLane& sample = lanes_[lane];
        sample.index = start_.next++;
        sample.values = start_.values[k];
        sample.out.index = sample.index;
        sample.out.end = RunEnd::finished;
        sample.out.why.clear();
        sample.out.steps = 0;
        sample.out.path.clear(static_cast<int>(problem_.probes.size()));
        const std::string bad = value_trouble(sample.values);
        if (bad.empty() && steady_result_.status[k] == DcStatus::converged) {
            begin(lane, steady_result_.volts.data() + k * problem_.netlist->node_names.size());
            return;
        }
        sample.out.end = bad.empty() ? RunEnd::no_start : RunEnd::bad_values;
        sample.out.why = bad;
        sample.out.values = sample.values;
        sink(sample.out);
    }
}

std::string TransientRun::value_trouble(const std::vector<double>& values) const {
    if (std::string why = network_refusal(*problem_.netlist, partition_, values); !why.empty()) return why;
    const auto positive = [&](ParamId p, bool zero_too) {
        return p == no_param ||
               (std::isfinite(values[p]) && (values[p] > 0.0 || (zero_too && values[p] == 0.0)));
    };
    const auto refuse = [&](ParamId p) {
        return fmt::format("{} is {}", problem_.netlist->parameters[p].name, values[p]);
    };
    for (const Capacitor& c : problem_.dynamics->capacitors)
        if (!positive(c.farads, true)) return refuse(c.farads);
    for (const Inductor& l : problem_.dynamics->inductors)
        if (!positive(l.henries, false)) return refuse(l.henries);
    for (const Switching& s : problem_.dynamics->stages)
        for (ParamId p : {s.rise, s.fall})
            if (!positive(p, true)) return refuse(p);
    return {};
}

void TransientRun::begin(int lane, const double* volts) {
    SampleLane& sample = lanes_[lane];
    sample.running = true;
    ++running_;
    sample.start();
    write_coefficients(lane, sample.values);
    partition_.fill_held(*problem_.netlist, sample.values, held_);
    for (int slot = 0; slot < tape_.slots; ++slot) {
        const Node node = plan_.node_of[slot];
        const double v = node < 0 ? 0.0 : partition_.held(node) ? held_[node] : volts[node];
        number(volts_, slot, lane) = number(trial_, slot, lane) = v;
    }
    write_equations(lane, sample.values, volts);
    active(lane) = 1.0;
    rejected(lane) = 0.0;
    time(lane) = 0.0;
    step(lane) = problem_.end;
    arrive(lane);
}

void TransientRun::arrive(int lane) {
    SampleLane& sample = lanes_[lane];
    const bool kink = sample.arrive(time(lane));
    stop(lane) = sample.next_stop(time(lane));
    const double interval = stop(lane) - time(lane);
    if (kink || step(lane) > interval) {
        step(lane) = std::min(step(lane), restart_share * interval);
        growth(lane) = 6.0;
        fresh(lane) = 1.0;
    }
    write_arms(lane);
    write_watches(lane);
}

void TransientRun::write_arms(int lane) {
    for (int k = 0; k < tape_.arms; ++k) {
        const ArmPiece& arm = lanes_[lane].arm(k);
        number(arms_, k * arm_numbers, lane) = arm.since;
        for (int j = 0; j < 4; ++j) number(arms_, k * arm_numbers + 1 + j, lane) = arm.k[j];
    }
}

void TransientRun::write_watches(int lane) {
    for (int k = 0; k < tape_.watches; ++k) {
        number(watch_at_, k, lane) = lanes_[lane].threshold(k);
        number(watch_sign_, k, lane) = lanes_[lane].sign(k);
    }
}

void TransientRun::write_coefficients(int lane, const std::vector<double>& values) {
    for (const Written& w : plan_.written) {
        Coefficients<double> c{};
        if (w.device >= 0) {
            c = coefficients_at(problem_.netlist->devices[w.device], values, at_rest_);
            if (problem_.netlist->devices[w.device].kind == DeviceKind::mosfet)
                c[2] = std::min(most_free_change, std::sqrt(pull_up_amps / c[1]));
        } else {
            const Stage& s = problem_.netlist->stages[w.stage];
            const ArmShares shares = shares_of(conducting_arm(s, w.up ? Logic::one : Logic::zero), values);
            c = {1.0, w.strong ? shares.strong : shares.plain};
        }
        for (int k = 0; k < w.count; ++k) number(coefficients_, w.coefficient + k, lane) = c[k];
    }
}

void TransientRun::write_equations(int lane, const std::vector<double>& values, const double* volts) {
    const Netlist& net = *problem_.netlist;
    for (int k = 0; k < tape_.entries; ++k) number(linear_, k, lane) = 0.0;
    for (int k = 0; k < tape_.capacitances; ++k) number(charge_, k, lane) = 0.0;
    for (int k = 0; k < tape_.unknowns; ++k) number(steady_in_, k, lane) = 0.0;
    for (int k = 0; k < tape_.unknowns; ++k)
        if (plan_.node_of[k] >= 0) number(linear_, plan_.lu.diagonal[k], lane) = DcOptions{}.gmin;
    const auto add = [&](const LaneArray& array, int entry, double x) {
        if (entry >= 0) number(array, entry, lane) += x;
    };
    const auto held = [&](int row, int slot) { return row < 0 ? number(volts_, slot, lane) : 0.0; };
    for (const Stamp& s : plan_.linear) {
        const Device& d = net.devices[s.id];
        const Coefficients<double> c = coefficients_at(d, values, at_rest_);
        double g = c[0], j = 0.0;
        if (d.kind == DeviceKind::source) g = c[1], j = -c[1] * c[0];
        if (d.kind == DeviceKind::current) g = 0.0, j = c[0];
        add(linear_, s.aa, g);
        add(linear_, s.bb, g);
        add(linear_, s.ab, -g);
        add(linear_, s.ba, -g);
        const double from_held = g * (held(s.row_a, s.slot_a) - held(s.row_b, s.slot_b)) + j;
        add(steady_in_, s.row_a, -from_held);
        add(steady_in_, s.row_b, from_held);
    }
    for (const Stamp& s : plan_.capacitors) {
        const double farads = values[problem_.dynamics->capacitors[s.id].farads];
        add(charge_, s.aa, farads);
        add(charge_, s.bb, farads);
        add(charge_, s.ab, -farads);
        add(charge_, s.ba, -farads);
    }
    for (const InductorStamp& s : plan_.inductors) {
        const Inductor& l = problem_.dynamics->inductors[s.id];
        const Device& d = net.devices[l.resistor];
        const double ohms = values[d.params[0]];
        add(linear_, s.a_row, 1.0);
        add(linear_, s.b_row, -1.0);
        add(linear_, s.row_a_entry, -1.0);
        add(linear_, s.row_b_entry, 1.0);
        add(linear_, s.own, ohms);
        add(charge_, s.charge, values[l.henries]);
        add(steady_in_, s.row, held(s.row_a, s.slot_a) - held(s.row_b, s.slot_b));
        number(volts_, s.row, lane) = (volts[d.nodes[0]] - volts[d.nodes[1]]) / ohms;
    }
}

}  // namespace voltsill::batch
