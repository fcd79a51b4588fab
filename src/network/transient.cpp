#include "network/transient.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "network/block_equations.h"
#include "network/lane_array.h"
#include "network/transient_lane.h"

namespace voltsill {
namespace {

using namespace batch;

constexpr int log_records = 64;
/// How far past cut-off a FET may be taken in one step: the overdrive at which it carries this (K/2 v^2).
constexpr double pull_up_amps = 0.5e-3, most_free_change = 0.1;
constexpr double restart_share = 0.05;  ///< of the next interval, after a kink
constexpr double least_step = 1e-18;    ///< s; also 16 spacings of doubles at the end of the run

const TransientKernel& kernel_for(InstructionSet set) {
    switch (set) {
        case InstructionSet::avx512:
            return transient_avx512;
        case InstructionSet::avx2:
            return transient_avx2;
        case InstructionSet::baseline:
            break;
    }
    return transient_baseline;
}

/// Steady states of a row of samples, as many as there are lanes: found together.
struct Start {
    std::vector<std::vector<double>> values;
    std::vector<double> volts;
    std::vector<DcStatus> status;
    std::uint64_t first = 0, count = 0, next = 0;
};

}  // namespace

std::string_view to_words(RunEnd end) {
    switch (end) {
        case RunEnd::finished:
            return "finished";
        case RunEnd::cancelled:
            return "cancelled";
        case RunEnd::no_start:
            return "no steady state to start from";
        case RunEnd::step_too_small:
            return "the step became too small";
        case RunEnd::too_many_steps:
            return "too many steps";
        case RunEnd::bad_values:
            return "a value that cannot be";
    }
    return "?";
}

struct TransientSolver::Shared {
    TransientProblem problem;
    TransientOptions options;
    InstructionSet set;
    Partition partition;
    TransientPlan plan;
    std::vector<double> nominal;
    State at_rest;  ///< levels of all stages
    std::vector<char> reads, powered;
    std::string trouble;
    std::optional<BatchSolver> steady;

    Shared(TransientProblem p, const TransientOptions& o)
        : problem(std::move(p)),
          options(o),
          set(o.set.value_or(best_instruction_set())),
          partition(*problem.netlist, problem.start.source_on),
          plan(make_transient_plan(*problem.netlist, *problem.dynamics, partition, problem.start,
                                   o.volts_tolerance, o.amps_tolerance)),
          nominal(problem.netlist->nominal_values()) {
        trouble = plan.trouble;
        if (trouble.empty()) trouble = refusal();
        if (trouble.empty()) settle_start();
        if (trouble.empty()) steady.emplace(*problem.netlist, problem.start.source_on, set);
    }

    std::string refusal() const {
        if (!(problem.end > 0.0) || !std::isfinite(problem.end))
            return "the time to simulate must be above zero";
        if (!(options.volts_tolerance > 0.0) || !(options.amps_tolerance > 0.0))
            return "tolerances must be above zero";
        double before = 0.0;
        for (const Drive& d : problem.drives) {
            if (d.stage < 0 || d.stage >= static_cast<StageId>(problem.netlist->stages.size()))
                return "a drive of a stage that is not there";
            if (!(d.at >= before)) return "drives must be in order of time, from zero on";
            before = d.at;
        }
        for (Node n : problem.probes)
            if (n < 0 || n >= static_cast<Node>(problem.netlist->node_names.size()))
                return "a probe at a node that is not there";
        return {};
    }

    /// Levels at the nominal values. What a stage shows that could be either is taken as off.
    void settle_start() {
        const Netlist& net = *problem.netlist;
        const DcSolution rest = settle(net, nominal, problem.start);
        if (rest.status != DcStatus::converged) {
            trouble = fmt::format("no steady state to start from: {}", rest.trouble);
            return;
        }
        at_rest = problem.start;
        at_rest.levels = rest.levels;
        at_rest.levels.resize(net.stages.size(), Logic::Z);
        for (Logic& level : at_rest.levels)
            if (level == Logic::X) level = Logic::Z;
        std::size_t reading = 0;
        for (const WatchSite& site : plan.watch_sites) {
            const Watch& watch = plan.watches[&site - plan.watch_sites.data()];
            const double volts = rest.volts[plan.node_of[watch.pin]] - rest.volts[plan.node_of[watch.ground]];
            const Logic read = site.unit >= 0 ? rest.readings[reading++] : Logic::X;
            const double middle = site.point.rises != no_param ? nominal[site.point.rises]
                                  : site.vih != no_param       ? 0.5 * (nominal[site.vil] + nominal[site.vih])
                                                               : 0.0;
            reads.push_back(read == Logic::X || read == Logic::Z ? volts > middle : read == Logic::one);
        }
        for (const LogicUnit& unit : net.units)
            powered.push_back(unit.min_supply == no_param ||
                              rest.volts[unit.supply] - rest.volts[unit.ground] >= nominal[unit.min_supply]);
    }
};

namespace {

/// One thread's run: lanes, their arrays, and the samples on them.
class Run {
  public:
    Run(const TransientProblem& problem, const TransientOptions& options, const Partition& partition,
        const TransientPlan& plan, const std::vector<double>& nominal, const State& at_rest,
        const std::vector<char>& reads, const std::vector<char>& powered, const BatchSolver& steady,
        InstructionSet set)
        : problem_(problem),
          options_(options),
          partition_(partition),
          plan_(plan),
          nominal_(nominal),
          at_rest_(at_rest),
          steady_(steady),
          kernel_(kernel_for(set)),
          tape_(plan.tape()),
          w_(kernel_.width),
          context_{*problem.netlist, *problem.dynamics, problem, plan, at_rest.levels, reads, powered},
          lanes_(w_, SampleLane(context_)),
          coefficients_(w_ * plan.coefficients),
          volts_(w_ * tape_.slots),
          trial_(w_ * tape_.slots),
          linear_(w_ * tape_.entries),
          charge_(w_ * (tape_.capacitances + 1)),
          steady_in_(w_ * tape_.unknowns),
          arms_(w_ * (tape_.arms + 1) * arm_numbers),
          watch_at_(w_ * (tape_.watches + 1)),
          watch_sign_(w_ * (tape_.watches + 1)),
          clock_(w_ * 8),
          current_(w_ * (tape_.currents + 1)),
          conductance_(w_ * (tape_.conductances + 1)),
          by_time_(w_ * (tape_.arms + 1)),
          strength_(w_ * 2 * (tape_.arms + 1)),
          matrix_(w_ * tape_.entries),
          inverse_(w_ * tape_.unknowns),
          stage_(w_ * 6 * tape_.unknowns),
          mixed_(w_ * tape_.unknowns),
          log_(static_cast<std::size_t>(w_) * record_size(tape_.unknowns) * log_records) {
        for (int lane = 0; lane < w_; ++lane) idle(lane);
        held_.resize(problem.netlist->node_names.size());
        start_.values.assign(w_, nominal);
        changes_.resize(w_);
        cases_.resize(w_);
    }

    void samples(std::uint64_t first, std::uint64_t count, const TransientSolver::Fill& fill,
                 const TransientSolver::Sink& sink, const std::function<bool()>& go_on) {
        start_.first = start_.next = first;
        start_.count = 0;
        end_ = first + count;
        for (int lane = 0; lane < w_; ++lane) load(lane, fill, sink);
        const TransientLanes arrays = lane_arrays();
        while (running_ > 0) {
            const int records = kernel_.advance(tape_, arrays);
            for (int lane = 0; lane < w_; ++lane)
                if (lanes_[lane].running) look_at(lane, records, fill, sink);
            if (go_on && !go_on()) {
                for (int lane = 0; lane < w_; ++lane)
                    if (lanes_[lane].running) finish(lane, RunEnd::cancelled, sink);
                return;
            }
        }
    }

  private:
    double& number(const LaneArray& array, int index, int lane) const {
        return array.data()[index * w_ + lane];
    }
    double& time(int lane) const { return number(clock_, 0, lane); }
    double& step(int lane) const { return number(clock_, 1, lane); }
    double& stop(int lane) const { return number(clock_, 2, lane); }
    double& growth(int lane) const { return number(clock_, 3, lane); }
    double& active(int lane) const { return number(clock_, 4, lane); }
    double& attention(int lane) const { return number(clock_, 5, lane); }
    double& rejected(int lane) const { return number(clock_, 6, lane); }
    double& fresh(int lane) const { return number(clock_, 7, lane); }
    double record(int k, int index, int lane) const {
        return log_.data()[(static_cast<std::size_t>(k) * record_size(tape_.unknowns) + index) * w_ + lane];
    }

    TransientLanes lane_arrays() {
        return {
            .coefficients = coefficients_.data(),
            .volts = volts_.data(),
            .linear = linear_.data(),
            .charge = charge_.data(),
            .steady = steady_in_.data(),
            .arms = arms_.data(),
            .watch_at = watch_at_.data(),
            .watch_sign = watch_sign_.data(),
            .time = clock_.data(),
            .step = clock_.data() + w_,
            .stop = clock_.data() + 2 * w_,
            .fresh = clock_.data() + 7 * w_,
            .growth = clock_.data() + 3 * w_,
            .active = clock_.data() + 4 * w_,
            .attention = clock_.data() + 5 * w_,
            .rejected = clock_.data() + 6 * w_,
            .current = current_.data(),
            .conductance = conductance_.data(),
            .by_time = by_time_.data(),
            .strength = strength_.data(),
            .matrix = matrix_.data(),
            .inverse = inverse_.data(),
            .stage = stage_.data(),
            .mixed = mixed_.data(),
            .trial = trial_.data(),
            .log = log_.data(),
            .log_capacity = log_records,
            .least_step = std::max(least_step, 16 * problem_.end * std::numeric_limits<double>::epsilon()),
            .evaluate = &Run::evaluate,
            .context = this};
    }

    /// Devices without lane form: bipolar, optocoupler, amplifier (devices.h).
    static void evaluate(void* context, const double* volts, double* current, double* conductance,
                         bool slopes) {
        const Run& run = *static_cast<const Run*>(context);
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
                        conductance[(other.conductance + j * shape.controls + k) * run.w_ + lane] =
                            flow[j].d[k];
                }
            }
        }
    }

    void idle(int lane) {
        lanes_[lane].running = false;
        active(lane) = 0.0;
        time(lane) = 0.0;
        step(lane) = 1e-9;
        stop(lane) = 1.0;
        growth(lane) = 1.0;
        for (int k = 0; k < plan_.unknowns; ++k) number(linear_, plan_.lu.diagonal[k], lane) = 1.0;
    }

    /// Values and steady states of the next samples, one for every lane.
    void prepare(const TransientSolver::Fill& fill) {
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

    void load(int lane, const TransientSolver::Fill& fill, const TransientSolver::Sink& sink) {
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

    std::string value_trouble(const std::vector<double>& values) const {
        if (std::string why = network_refusal(*problem_.netlist, partition_, values); !why.empty())
            return why;
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

    void begin(int lane, const double* volts) {
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

    /// Everything due at the lane's time; then the stop and the step after it.
    void arrive(int lane) {
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
    void write_arms(int lane) {
        for (int k = 0; k < tape_.arms; ++k) {
            const ArmPiece& arm = lanes_[lane].arm(k);
            number(arms_, k * arm_numbers, lane) = arm.since;
            for (int j = 0; j < 4; ++j) number(arms_, k * arm_numbers + 1 + j, lane) = arm.k[j];
        }
    }
    void write_watches(int lane) {
        for (int k = 0; k < tape_.watches; ++k) {
            number(watch_at_, k, lane) = lanes_[lane].threshold(k);
            number(watch_sign_, k, lane) = lanes_[lane].sign(k);
        }
    }

    void write_coefficients(int lane, const std::vector<double>& values) {
        for (const Written& w : plan_.written) {
            Coefficients<double> c{};
            if (w.device >= 0) {
                c = coefficients_at(problem_.netlist->devices[w.device], values, at_rest_);
                if (problem_.netlist->devices[w.device].kind == DeviceKind::mosfet)
                    c[2] = std::min(most_free_change, std::sqrt(pull_up_amps / c[1]));
            } else {
                const Stage& s = problem_.netlist->stages[w.stage];
                const ParamId strength = w.up ? s.up_strength : s.down_strength;
                c = {1.0, strength == no_param ? 1.0 : values[strength]};
            }
            for (int k = 0; k < w.count; ++k) number(coefficients_, w.coefficient + k, lane) = c[k];
        }
    }

    /// G, C and b of the lane; currents of inductors at rest.
    void write_equations(int lane, const std::vector<double>& values, const double* volts) {
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

    void look_at(int lane, int records, const TransientSolver::Fill& fill,
                 const TransientSolver::Sink& sink) {
        SampleLane& sample = lanes_[lane];
        bool taken_back = false;
        if (attention(lane) == crossed) taken_back = handle_crossings(lane, records - 1);
        for (int k = 0; k < records - (taken_back ? 1 : 0); ++k) keep(lane, k);
        sample.out.steps += records;
        const double why = attention(lane);
        attention(lane) = 0.0;
        if (why == step_too_small) return end_lane(lane, RunEnd::step_too_small, fill, sink);
        if (sample.out.steps > options_.most_steps) return end_lane(lane, RunEnd::too_many_steps, fill, sink);
        if (time(lane) >= problem_.end) return end_lane(lane, RunEnd::finished, fill, sink);
        if (why == reached_stop || (why == crossed && time(lane) >= stop(lane))) arrive(lane);
    }

    void keep(int lane, int k) {
        const double length = record(k, 1, lane);
        if (!options_.keep_paths || length <= 0.0) return;
        const std::span<double> to = lanes_[lane].out.path.add(record(k, 0, lane), length);
        if (options_.keep_strengths)
            for (int a = 0; a < tape_.arms; ++a) {
                const ArmPiece& arm = lanes_[lane].arm(a);
                lanes_[lane].out.path.add_strength(arm.at(record(k, 0, lane)),
                                                   arm.at(record(k, 0, lane) + length));
            }
        std::size_t q = 0;
        for (Node node : problem_.probes) {
            const int slot = plan_.slot_of[node];
            for (int j = 0; j < record_numbers; ++j)
                to[q++] = slot < tape_.unknowns ? record(k, record_head + record_numbers * slot + j, lane)
                          : j < 2               ? number(volts_, slot, lane)
                                                : 0.0;
        }
    }

    /// Voltage of a slot within a record.
    double within(int k, int slot, int lane, double s) const {
        if (slot >= tape_.unknowns) return number(volts_, slot, lane);
        const int at = record_head + record_numbers * slot;
        const double r = 1.0 - s;
        return record(k, at, lane) * r +
               s * (record(k, at + 1, lane) + r * (record(k, at + 2, lane) + s * record(k, at + 3, lane)));
    }
    /// Share of the step at which a watch crosses; 0 if it is past its threshold from the start.
    double crossing(int k, int watch, int lane) const {
        const Watch& w = plan_.watches[watch];
        const double sign = number(watch_sign_, watch, lane), threshold = number(watch_at_, watch, lane);
        const auto over = [&](double s) {
            return sign * (within(k, w.pin, lane, s) - within(k, w.ground, lane, s) - threshold);
        };
        if (over(0.0) > 0.0) return 0.0;
        double lo = 0.0, hi = 1.0;
        for (int i = 0; i < 40; ++i) {
            const double mid = 0.5 * (lo + hi);
            (over(mid) > 0.0 ? hi : lo) = mid;
        }
        return hi;
    }

    /// What crossings in the last step lead to. If something is due before its end the step is taken
    /// back, to be done again up to there. True if it was.
    bool handle_crossings(int lane, int k) {
        SampleLane& sample = lanes_[lane];
        const double begin = record(k, 0, lane), length = record(k, 1, lane);
        crossings_.clear();
        for (int watch = 0; watch < tape_.watches; ++watch) {
            const Watch& w = plan_.watches[watch];
            const double end = within(k, w.pin, lane, 1.0) - within(k, w.ground, lane, 1.0);
            if (number(watch_sign_, watch, lane) * (end - number(watch_at_, watch, lane)) > 0.0)
                crossings_.push_back({begin + length * crossing(k, watch, lane), watch});
        }
        std::ranges::sort(crossings_);
        double back_to = time(lane);
        for (const auto& [when, watch] : crossings_) {
            if (when > back_to) break;
            back_to = std::min(back_to, std::max(when, sample.cross(watch, when)));
        }
        write_watches(lane);
        stop(lane) = sample.next_stop(begin);
        if (!(back_to < time(lane))) return false;
        time(lane) = begin;
        for (int slot = 0; slot < tape_.unknowns; ++slot)
            number(volts_, slot, lane) = record(k, record_head + record_numbers * slot, lane);
        step(lane) = std::max(back_to - begin, least_step);
        stop(lane) = std::max(back_to, begin);
        if (stop(lane) <= begin) arrive(lane);
        return true;
    }

    void finish(int lane, RunEnd end, const TransientSolver::Sink& sink) {
        SampleLane& sample = lanes_[lane];
        sample.running = false;
        --running_;
        sample.out.end = end;
        sample.out.rejected = static_cast<int>(rejected(lane));
        sample.out.values = sample.values;
        if (end == RunEnd::step_too_small || end == RunEnd::too_many_steps)
            sample.out.why = fmt::format("at {:.6g} s", time(lane));
        sink(sample.out);
    }
    void end_lane(int lane, RunEnd end, const TransientSolver::Fill& fill,
                  const TransientSolver::Sink& sink) {
        finish(lane, end, sink);
        load(lane, fill, sink);
    }

    const TransientProblem& problem_;
    const TransientOptions& options_;
    const Partition& partition_;
    const TransientPlan& plan_;
    const std::vector<double>& nominal_;
    const State& at_rest_;
    const BatchSolver& steady_;
    const TransientKernel& kernel_;
    const TransientTape tape_;
    const int w_;
    LaneContext context_;
    std::vector<SampleLane> lanes_;
    LaneArray coefficients_, volts_, trial_, linear_, charge_, steady_in_, arms_, watch_at_, watch_sign_,
        clock_, current_, conductance_, by_time_, strength_, matrix_, inverse_, stage_, mixed_, log_;
    std::vector<double> held_;
    Start start_;
    std::vector<std::vector<ValueChange>> changes_;
    std::vector<BatchCase> cases_;
    BatchResult steady_result_;
    std::vector<std::pair<double, int>> crossings_;
    std::uint64_t end_ = 0;
    int running_ = 0;
};

}  // namespace

TransientSolver::TransientSolver(TransientProblem problem, const TransientOptions& options)
    : shared_(std::make_unique<const Shared>(std::move(problem), options)) {}
TransientSolver::TransientSolver(TransientSolver&&) noexcept = default;
TransientSolver::~TransientSolver() = default;

const std::string& TransientSolver::trouble() const { return shared_->trouble; }
InstructionSet TransientSolver::instruction_set() const { return shared_->set; }
int TransientSolver::unknowns() const { return shared_->plan.unknowns; }
std::vector<TransientSolver::Side> TransientSolver::arms() const {
    std::vector<Side> sides;
    for (const Arm& arm : shared_->plan.arms) sides.push_back({arm.stage, arm.up});
    return sides;
}

void TransientSolver::run(std::uint64_t first, std::uint64_t count, const Fill& fill, const Sink& sink,
                          const std::function<bool()>& go_on) const {
    const Shared& s = *shared_;
    if (!s.trouble.empty() || count == 0) return;
    Run(s.problem, s.options, s.partition, s.plan, s.nominal, s.at_rest, s.reads, s.powered, *s.steady, s.set)
        .samples(first, count, fill, sink, go_on);
}

}  // namespace voltsill
