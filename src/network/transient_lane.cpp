#include "network/transient_lane.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace voltsill::batch {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();
/// A threshold that rises and falls at one voltage gets this much between the two, so that the
/// rounding of a crossing is not taken for the way back.
constexpr double least_hysteresis = 2e-3;

/// Slope of a curve through equally spaced points at point `k`, per step, without overshoot
/// (F. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5, 1984, pp. 300-304, from memory).
double slope_at(const std::vector<double>& y, std::size_t k) {
    if (k == 0) return y[1] - y[0];
    if (k + 1 == y.size()) return y[k] - y[k - 1];
    const double before = y[k] - y[k - 1], after = y[k + 1] - y[k];
    return before * after <= 0.0 ? 0.0 : 2.0 * before * after / (before + after);
}

}  // namespace

SampleLane::SampleLane(const LaneContext& context)
    : values(context.netlist.parameters.size()), context_(context), arms_(context.plan.arms.size()) {
    due_.reserve(64);
}

void SampleLane::start() {
    reads_ = context_.reads;
    levels_ = context_.levels;
    due_.clear();
    next_drive_ = 0;
    for (std::size_t k = 0; k < arms_.size(); ++k) {
        const Arm& arm = context_.plan.arms[k];
        const double on = levels_[arm.stage] == (arm.up ? Logic::one : Logic::zero) ? 1.0 : 0.0;
        arms_[k] = {.until = never, .k = {on, 0, 0, 0}, .target = on};
    }
}

double SampleLane::threshold(int watch) const {
    const WatchSite& site = context_.plan.watch_sites[watch];
    const double middle =
        site.vil != no_param && site.vih != no_param ? 0.5 * (values[site.vil] + values[site.vih]) : 0.0;
    const double rises = value(site.point.rises, middle);
    const double falls = std::min(value(site.point.falls, rises), rises - least_hysteresis);
    return reads_[watch] ? falls : rises;
}

double SampleLane::next_stop(double now) const {
    double stop = context_.problem.end;
    if (next_drive_ < context_.problem.drives.size())
        stop = std::min(stop, context_.problem.drives[next_drive_].at);
    if (!due_.empty()) stop = std::min(stop, due_.front().at);
    for (const ArmPiece& arm : arms_)
        if (arm.until > now) stop = std::min(stop, arm.until);
    return stop;
}

bool SampleLane::arrive(double now) {
    bool kink = false;
    const auto& drives = context_.problem.drives;
    for (; next_drive_ < drives.size() && drives[next_drive_].at <= now; ++next_drive_) {
        set_level(drives[next_drive_].stage, drives[next_drive_].level, now);
        kink = true;
    }
    std::size_t done = 0;
    for (; done < due_.size() && due_[done].at <= now; ++done) {
        set_level(due_[done].stage, due_[done].level, now);
        kink = true;
    }
    due_.erase(due_.begin(), due_.begin() + static_cast<std::ptrdiff_t>(done));
    for (std::size_t k = 0; k < arms_.size(); ++k) {
        ArmPiece& arm = arms_[k];
        if (arm.until > now) continue;
        if (arm.curve >= 0) {
            follow_curve(arm, context_.plan.arms[k].up, now);
            kink = kink || arm.curve < 0;
        } else {
            arm = {.since = now, .until = never, .k = {arm.target, 0, 0, 0}, .target = arm.target};
            kink = true;
        }
    }
    return kink;
}

void SampleLane::follow_curve(ArmPiece& arm, bool up, double now) {
    const StrengthCurve& curve = context_.dynamics.curves[arm.curve];
    const std::vector<double>& y = up ? curve.up : curve.down;
    if (++arm.step >= static_cast<int>(y.size()) - 1) {
        arm = {.since = now, .until = never, .k = {y.back(), 0, 0, 0}, .target = arm.target};
        return;
    }
    const double step = arm.duration / static_cast<double>(y.size() - 1);
    const double m0 = slope_at(y, arm.step), m1 = slope_at(y, arm.step + 1),
                 rise = y[arm.step + 1] - y[arm.step];
    arm.since = now;
    arm.until = arm.start + (arm.step + 1) * step;
    arm.k[0] = y[arm.step];
    arm.k[1] = m0 / step;
    arm.k[2] = (3.0 * rise - 2.0 * m0 - m1) / (step * step);
    arm.k[3] = (m0 + m1 - 2.0 * rise) / (step * step * step);
}

void SampleLane::set_level(StageId stage, Logic level, double now) {
    if (levels_[stage] == level) return;
    const bool from_rest = levels_[stage] == Logic::zero || levels_[stage] == Logic::one;
    levels_[stage] = level;
    Switching how;
    if (stage < static_cast<StageId>(context_.dynamics.stages.size())) how = context_.dynamics.stages[stage];
    const bool rising = level == Logic::one;
    const double whole = level == Logic::Z ? std::min(value(how.rise, 0.0), value(how.fall, 0.0))
                                           : value(rising ? how.rise : how.fall, 0.0);
    const int curve = level == Logic::Z ? -1 : rising ? how.rise_curve : how.fall_curve;
    for (int k : context_.plan.arms_of_stage[stage]) {
        ArmPiece& arm = arms_[k];
        const bool up = context_.plan.arms[k].up;
        const double k_now = arm.at(now), target = level == (up ? Logic::one : Logic::zero) ? 1.0 : 0.0;
        const bool resting = arm.until == never;
        if (curve >= 0 && from_rest && resting && whole > 0.0) {
            arm = {.target = target, .curve = curve, .step = -1, .start = now, .duration = whole};
            follow_curve(arm, up, now);
            continue;
        }
        const double duration = whole * std::abs(target - k_now);
        if (duration <= 0.0)
            arm = {.since = now, .until = never, .k = {target, 0, 0, 0}, .target = target};
        else
            arm = {.since = now,
                   .until = now + duration,
                   .k = {k_now, (target - k_now) / duration, 0, 0},
                   .target = target};
    }
}

Logic SampleLane::last_told(StageId stage) const {
    for (auto d = due_.rbegin(); d != due_.rend(); ++d)
        if (d->stage == stage) return d->level;
    return levels_[stage];
}

void SampleLane::schedule(double at, StageId stage, Logic level) {
    std::erase_if(due_, [&](const Due& d) { return d.stage == stage && d.at >= at; });
    if (last_told(stage) == level) return;
    const auto place =
        std::upper_bound(due_.begin(), due_.end(), at, [](double t, const Due& d) { return t < d.at; });
    due_.insert(place, {at, stage, level});
}

double SampleLane::schedule_unit(int unit_index, double when) {
    if (!context_.powered[unit_index]) return never;
    const LogicUnit& unit = context_.netlist.units[unit_index];
    std::size_t row = 0;
    for (std::size_t w = 0; w < context_.plan.watch_sites.size(); ++w) {
        const WatchSite& site = context_.plan.watch_sites[w];
        if (site.unit == unit_index && reads_[w]) row |= std::size_t{1} << site.input;
    }
    UnitTiming none;
    const bool timed = unit_index < static_cast<int>(context_.dynamics.units.size());
    const UnitTiming& timing = timed ? context_.dynamics.units[unit_index] : none;
    double first = never;
    for (std::size_t k = 0; k < unit.outputs.size(); ++k) {
        const Logic level = unit.rows[row * unit.outputs.size() + k];
        if (level == Logic::X) continue;
        const double delay = std::max(0.0, value(level == Logic::one    ? timing.to_high
                                                 : level == Logic::zero ? timing.to_low
                                                                        : timing.to_off,
                                                 0.0));
        schedule(when + delay, unit.outputs[k], level);
        if (last_told(unit.outputs[k]) == level) first = std::min(first, when + delay);
    }
    return first;
}

double SampleLane::cross(int watch, double when) {
    reads_[watch] = !reads_[watch];
    const WatchSite& site = context_.plan.watch_sites[watch];
    if (site.accelerator < 0) return schedule_unit(site.unit, when);
    const Accelerator& a = context_.dynamics.accelerators[site.accelerator];
    if (static_cast<bool>(reads_[watch]) != a.on_rise) return never;
    const double at = when + std::max(0.0, value(a.delay, 0.0));
    schedule(at, a.stage, a.on_rise ? Logic::one : Logic::zero);
    schedule(at + std::max(0.0, values[a.lasts]), a.stage, Logic::Z);
    return at;
}

}  // namespace voltsill::batch
