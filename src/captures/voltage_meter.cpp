#include "captures/voltage_meter.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace voltsill {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double moved = 0.02;          ///< of the swing
constexpr double least_of_range = 0.4;  ///< swing of two states, of the whole range

enum StayOf { between, above, below, over, under };

/// Limits that contradict each other are none.
PinLimits sound(PinLimits limits) {
    if (limits.vil && limits.vih && !(*limits.vil < *limits.vih)) limits.vil = limits.vih = std::nullopt;
    return limits;
}

bool two_states(const std::optional<StateLevels>& levels, double lowest, double highest) {
    return levels && levels->amplitude() >= VoltageMeter::least_swing &&
           levels->amplitude() >= least_of_range * (highest - lowest);
}

bool usable(double v) { return std::abs(v) <= LevelHistogram::most_volts; }

}  // namespace

VoltageMeter::VoltageMeter(const VoltageOptions& options) : options_(options), pulses_(options.glitch_limit) {
    options_.limits = sound(options.limits);
    out_.lowest = infinite;
    out_.highest = -infinite;
}

void VoltageMeter::set_cuts(const std::optional<StateLevels>& levels) {
    used_levels_ = levels;
    if (two_states(levels, out_.lowest, out_.highest) || options_.given_levels) {
        const auto at = [&](double share) { return levels->low + share * levels->amplitude(); };
        cuts_ = {{at(0.1), low_10}, {at(0.5), mid_50}, {at(0.9), high_90}};
    }
    // A level that just keeps a limit is within it: those from below count as passed only beyond.
    const PinLimits& l = options_.limits;
    if (l.vil) cuts_.push_back({std::nextafter(*l.vil, infinite), at_vil});
    if (l.vih) cuts_.push_back({*l.vih, at_vih});
    if (l.limit_min) cuts_.push_back({*l.limit_min, at_min});
    if (l.limit_max) cuts_.push_back({std::nextafter(*l.limit_max, infinite), at_max});
    std::ranges::stable_sort(cuts_, {}, &Cut::volts);
}

void VoltageMeter::add(std::span<const double> seconds, std::span<const double> values) {
    if (!learning_) return measure(seconds, values);
    const std::size_t taken = std::min(seconds.size(), learned_samples - learned_t_.size());
    learned_t_.insert(learned_t_.end(), seconds.begin(),
                      seconds.begin() + static_cast<std::ptrdiff_t>(taken));
    learned_v_.insert(learned_v_.end(), values.begin(), values.begin() + static_cast<std::ptrdiff_t>(taken));
    if (learned_t_.size() < learned_samples) return;
    learn();
    measure(seconds.subspan(taken), values.subspan(taken));
}

/// A gap among the samples kept is a value that is none.
void VoltageMeter::gap() {
    if (!learning_) return leave();
    const double none = std::numeric_limits<double>::quiet_NaN(),
                 at = learned_t_.empty() ? 0 : learned_t_.back();
    if (learned_v_.empty() || std::isnan(learned_v_.back())) return;
    --out_.samples;  // when it is measured it counts as one that is missing, and it is neither
    --out_.missing;
    add({&at, 1}, {&none, 1});
}

void VoltageMeter::learn() {
    learning_ = false;
    double lo = infinite, hi = -infinite;
    for (const double raw : learned_v_)
        if (const double v = raw * options_.scale; usable(v)) lo = std::min(lo, v), hi = std::max(hi, v);
    if (lo > hi) lo = hi = 0;
    histogram_.emplace(lo, hi);
    std::optional<StateLevels> levels = options_.given_levels;
    if (!levels) {
        LevelHistogram first(lo, hi);
        for (std::size_t k = 1; k < learned_v_.size(); ++k) {
            const double a = learned_v_[k - 1] * options_.scale, b = learned_v_[k] * options_.scale;
            const double half = 0.5 * (learned_t_[k] - learned_t_[k - 1]);
            if (usable(a) && usable(b) && half > 0) first.add(a, half), first.add(b, half);
        }
        levels = first.levels(lo, hi);
    }
    out_.lowest = lo;
    out_.highest = hi;
    set_cuts(levels);
    measure(learned_t_, learned_v_);
    learned_t_ = {};
    learned_v_ = {};
}

void VoltageMeter::measure(std::span<const double> seconds, std::span<const double> values) {
    const double scale = options_.scale;
    double lowest = out_.lowest, highest = out_.highest;
    bool only_0_and_1 = out_.only_0_and_1;
    for (std::size_t k = 0; k < seconds.size(); ++k) {
        const double t = seconds[k], v = values[k] * scale;
        only_0_and_1 &= (values[k] == 0) | (values[k] == 1);
        if (inside_ && v >= floor_ && v < ceiling_) [[likely]] {
            const double half = 0.5 * (t - t_);
            histogram_->add(v_, half_ + half);
            half_ = half;
            t_ = t;
            v_ = v;
        } else if (!usable(v)) {
            ++out_.missing;
            leave();
            continue;
        } else if (inside_) {
            move(t, v);
        } else {
            enter(t, v);
        }
        lowest = std::min(lowest, v);
        highest = std::max(highest, v);
    }
    out_.lowest = lowest;
    out_.highest = highest;
    out_.only_0_and_1 = only_0_and_1;
    out_.samples += seconds.size();
}

void VoltageMeter::find_interval(double v) {
    interval_ = 0;
    while (interval_ < cuts_.size() && v >= cuts_[interval_].volts) ++interval_;
    floor_ = interval_ > 0 ? cuts_[interval_ - 1].volts : -LevelHistogram::most_volts;
    ceiling_ = interval_ < cuts_.size() ? cuts_[interval_].volts : LevelHistogram::most_volts;
}

void VoltageMeter::enter(double t, double v) {
    inside_ = true;
    t_ = base_ = t;
    v_ = v;
    half_ = 0;
    state_ = State::unknown;
    left_10_ = left_90_ = past_mid_ = false;
    find_interval(v);
    bool reached[7] = {};
    for (std::size_t k = 0; k < interval_; ++k) reached[cuts_[k].kind] = true;
    if (cuts_.empty()) return;
    const bool states = std::ranges::any_of(cuts_, [](const Cut& c) { return c.kind == mid_50; });
    if (states && reached[high_90]) state_ = State::high;
    if (states && !reached[low_10]) state_ = State::low;
    const PinLimits& l = options_.limits;
    if (l.vil && !reached[at_vil]) begin_stay(below, t, 0);
    if (l.vih && reached[at_vih]) begin_stay(above, t, 0);
    if (l.vil && l.vih && reached[at_vil] && !reached[at_vih]) begin_stay(between, t, 0);
    if (l.limit_min && !reached[at_min]) begin_stay(under, t, 0);
    if (l.limit_max && reached[at_max]) begin_stay(over, t, 0);
}

void VoltageMeter::leave() {
    if (!inside_) return;
    histogram_->add(v_, half_);
    out_.seconds += t_ - base_;
    for (int k = 0; k < 5; ++k) end_stay(k, t_, 0);
    pulses_.gap();
    inside_ = false;
}

/// To a sample beyond a cut: everything passed on the way, in order.
void VoltageMeter::move(double t, double v) {
    const double half = 0.5 * (t - t_);
    histogram_->add(v_, half_ + half);
    half_ = half;
    const double slope = (t - t_) / (v - v_);
    const auto instant = [&](double volts) { return std::clamp(t_ + (volts - v_) * slope, t_, t); };
    while (interval_ < cuts_.size() && v >= cuts_[interval_].volts) {
        pass(cuts_[interval_], instant(cuts_[interval_].volts), true);
        ++interval_;
    }
    while (interval_ > 0 && v < cuts_[interval_ - 1].volts) {
        --interval_;
        pass(cuts_[interval_], instant(cuts_[interval_].volts), false);
    }
    t_ = t;
    v_ = v;
    find_interval(v);
}

void VoltageMeter::pass(const Cut& cut, double t, bool up) {
    if (cut.kind <= high_90)
        pass_state(cut.kind, t, up);
    else
        pass_limit(cut.kind, t, up);
}

void VoltageMeter::pass_state(CutKind kind, double t, bool up) {
    if (kind == mid_50) {
        at_50_ = t;
        past_mid_ |= state_ == (up ? State::low : State::high);
    } else if (kind == low_10 && up) {
        at_10_ = t;
        left_10_ = true;
    } else if (kind == high_90 && !up) {
        at_90_ = t;
        left_90_ = true;
    } else {
        const State reached = up ? State::high : State::low;
        if (state_ == reached && past_mid_) {
            ++out_.runts;
        } else if (state_ != State::unknown && state_ != reached) {
            if (up && left_10_) out_.rise.add(t - at_10_);
            if (!up && left_90_) out_.fall.add(t - at_90_);
            pulses_.edge(at_50_ - base_, up);
        }
        state_ = reached;
        past_mid_ = false;
    }
}

void VoltageMeter::pass_limit(CutKind kind, double t, bool up) {
    struct Sides {
        int beneath, above;  ///< the stay on either side of the cut; -1: none
    };
    const bool both = options_.limits.vil && options_.limits.vih;
    const Sides sides = kind == at_vil   ? Sides{below, both ? between : -1}
                        : kind == at_vih ? Sides{both ? between : -1, above}
                        : kind == at_min ? Sides{under, -1}
                                         : Sides{-1, over};
    end_stay(up ? sides.beneath : sides.above, t, up ? 1 : -1);
    begin_stay(up ? sides.above : sides.beneath, t, up ? -1 : 1);
}

/// `side` is where it comes from: 1 above, -1 below, 0 it begins there.
void VoltageMeter::begin_stay(int which, double t, int side) {
    if (which >= 0) open_[static_cast<std::size_t>(which)] = {true, t, side};
}

/// `side` is where it leaves to.
void VoltageMeter::end_stay(int which, double t, int side) {
    if (which < 0 || !open_[static_cast<std::size_t>(which)].open) return;
    OpenStay& open = open_[static_cast<std::size_t>(which)];
    Stay& stay = stays_[static_cast<std::size_t>(which)];
    ++stay.count;
    stay.seconds += t - open.since;
    stay.longest = std::max(stay.longest, t - open.since);
    if (side != 0 && side == open.side) ++stay.returned;
    open.open = false;
}

void VoltageMeter::finish() {
    if (learning_) learn();
    leave();
}

VoltageMeasures VoltageMeter::measures() const {
    VoltageMeasures out = out_;
    out.pulses = pulses_.measures(1);
    out.between = stays_[between];
    out.above_vih = stays_[above];
    out.below_vil = stays_[below];
    out.over = stays_[over];
    out.under = stays_[under];
    if (!(out.lowest <= out.highest)) out.lowest = out.highest = 0;
    if (histogram_) out.levels = histogram_->levels(out.lowest, out.highest);
    if (!out.levels) return out;
    out.two_states = two_states(out.levels, out.lowest, out.highest);
    out.overshoot = out.highest - out.levels->high;
    out.undershoot = out.levels->low - out.lowest;
    const double far = moved * out.levels->amplitude();
    const bool used = std::ranges::any_of(cuts_, [](const Cut& c) { return c.kind == mid_50; });
    out.levels_moved = out.two_states && !options_.given_levels &&
                       (!used || std::abs(out.levels->low - used_levels_->low) > far ||
                        std::abs(out.levels->high - used_levels_->high) > far);
    return out;
}

}  // namespace voltsill
