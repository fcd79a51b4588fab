#include "network/transient_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace voltsill::batch {
namespace {

constexpr int log_records = 64;
constexpr double least_step = 1e-18;  ///< s; also 16 spacings of doubles at the end of the run

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

}  // namespace

TransientRun::TransientRun(const TransientSetting& setting)
    : problem_(setting.problem),
      options_(setting.options),
      partition_(setting.partition),
      plan_(setting.plan),
      nominal_(setting.nominal),
      at_rest_(setting.at_rest),
      steady_(*setting.steady),
      kernel_(kernel_for(setting.set)),
      tape_(setting.plan.tape()),
      w_(kernel_.width),
      context_{*problem_.netlist, *problem_.dynamics, problem_,       plan_,
               at_rest_.levels,   setting.reads,      setting.powered},
      lanes_(w_, SampleLane(context_)),
      coefficients_(w_ * plan_.coefficients),
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
    held_.resize(problem_.netlist->node_names.size());
    start_.values.assign(w_, nominal_);
    changes_.resize(w_);
    cases_.resize(w_);
}

TransientLanes TransientRun::lane_arrays() {
    return {.coefficients = coefficients_.data(),
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
            .evaluate = &TransientRun::evaluate,
            .context = this};
}

void TransientRun::samples(std::uint64_t first, std::uint64_t count, const TransientSolver::Fill& fill,
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

void TransientRun::look_at(int lane, int records, const TransientSolver::Fill& fill,
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

void TransientRun::keep(int lane, int k) {
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

double TransientRun::within(int k, int slot, int lane, double s) const {
    if (slot >= tape_.unknowns) return number(volts_, slot, lane);
    const int at = record_head + record_numbers * slot;
    const double r = 1.0 - s;
    return record(k, at, lane) * r +
           s * (record(k, at + 1, lane) + r * (record(k, at + 2, lane) + s * record(k, at + 3, lane)));
}

double TransientRun::crossing(int k, int watch, int lane) const {
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

bool TransientRun::handle_crossings(int lane, int k) {
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

void TransientRun::finish(int lane, RunEnd end, const TransientSolver::Sink& sink) {
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

void TransientRun::end_lane(int lane, RunEnd end, const TransientSolver::Fill& fill,
                            const TransientSolver::Sink& sink) {
    finish(lane, end, sink);
    load(lane, fill, sink);
}

}  // namespace voltsill::batch
