#include "faults/likelihood.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "judging/power_off.h"

namespace voltsill {
namespace {

constexpr double least_ohms = 0.1, least_seconds = 1e-10, most_seconds = 1e-1;

/// Shares of answers that are no number (common practice, no source): a meter on a floating node drifts more
/// often than it stands still by chance; two points on different nets mostly read open.
constexpr double floating_drifts = 0.6, anything_drifts = 0.15;
/// Where it stands still, half of the readings are near 0 V, to which a meter of 10 MΩ takes what nothing holds; the
/// others are anywhere (common practice, no source).
constexpr double near_nothing = 0.1;  ///< V
constexpr double apart_is_open = 0.4, anything_is_open = 0.3;
/// Of those who see that a thing is not as planned, how many say right what they see; each other thing they
/// could say instead has a small share of the rest (common practice, no source).
constexpr double seen_right = 0.95, seen_as_another = 0.01;
/// Looks that find things as planned although something else is wrong.
constexpr double looks_fine = 0.85;

bool is_open(const Prediction& p) { return p.lo >= meter_open.si(); }
bool may_be_open(const Prediction& p) { return p.hi >= meter_open.si(); }

}  // namespace

Likelihood::Likelihood(const Bench& bench, const DiagnosisOptions& options) : options_(options) {
    for (const Rail& rail : bench.rails) {
        highest_ = std::max(highest_, 1.5 * rail.volts.span.hi.si() + 1);
        lowest_ = std::min(lowest_, rail.volts.span.lo.si() - 1);
    }
}

bool Likelihood::beyond(const Reading& reading) const {
    return reading.kind == Reading::Kind::value && (reading.value > highest_ || reading.value < lowest_);
}

double Likelihood::error_of(const Reading& reading, Prediction::Kind kind) const {
    if (reading.error > 0) return reading.error;
    const MeterErrors& e = options_.errors;
    if (kind == Prediction::Kind::volts) return e.volts + e.volts_share * std::abs(reading.value);
    if (kind == Prediction::Kind::ohms) return e.ohms + e.ohms_share * std::abs(reading.value);
    return e.seconds_share * std::abs(reading.value);
}

std::pair<double, double> Likelihood::scale(Prediction::Kind kind) const {
    if (kind == Prediction::Kind::volts) return {lowest_, highest_};
    if (kind == Prediction::Kind::ohms) return {std::log10(least_ohms), std::log10(meter_open.si())};
    return {std::log10(least_seconds), std::log10(most_seconds)};
}

double Likelihood::on_scale(Prediction::Kind kind, double value) const {
    const auto [lo, hi] = scale(kind);
    if (kind == Prediction::Kind::volts) return std::clamp(value, lo, hi);
    return std::clamp(std::log10(std::max(value, 1e-12)), lo, hi);
}

std::vector<std::pair<double, double>> Likelihood::ends(const Prediction& p) const {
    auto out = windows_of(p);
    for (auto& [lo, hi] : out) {
        const Reading at_lo{.value = lo}, at_hi{.value = std::min(hi, 1e9)};
        lo = on_scale(p.kind, at_lo.value - error_of(at_lo, p.kind));
        hi = on_scale(p.kind, at_hi.value + error_of(at_hi, p.kind));
    }
    return out;
}

/// 1 inside, a Gaussian of width `soft` outside, with an integral of 1.
double Likelihood::flat(double x, double lo, double hi, double soft) const {
    const double outside = std::max({lo - x, x - hi, 0.0});
    return std::exp(-0.5 * outside * outside / (soft * soft)) /
           (hi - lo + soft * std::sqrt(2 * std::numbers::pi));
}

double Likelihood::of(const Reading& reading, const Question& question, const Prediction& p) const {
    const double slip = options_.slip_share;
    if (reading.kind == Reading::Kind::yes || reading.kind == Reading::Kind::no) {
        const double yes = p.kind == Prediction::Kind::chance ? p.yes : 0.5;
        const double said = (1 - slip) * (reading.kind == Reading::Kind::yes ? yes : 1 - yes) + slip / 2;
        return reading.sight < 0 ? said : said * of_sight(reading.sight, p);
    }
    if (!p.known) return of_something_else(reading, question);
    const auto [bottom, top] = scale(p.kind);
    const double span = top - bottom;
    if (p.may_float) {
        Prediction floats = p, holds = p;
        floats.floats = true;
        floats.may_float = holds.may_float = false;
        return (of(reading, question, floats) + of(reading, question, holds)) / 2;
    }
    if (reading.kind == Reading::Kind::drifts) return p.floats ? floating_drifts : slip / 4;
    if (reading.kind == Reading::Kind::open)
        return is_open(p) ? 1 - slip : may_be_open(p) ? apart_is_open : slip / 4;
    if (p.floats && p.kind == Prediction::Kind::volts && beyond(reading)) return slip / span;
    if (p.floats)
        return (1 - floating_drifts) / 2 *
               (1 / span + flat(on_scale(p.kind, reading.value), -near_nothing, near_nothing, options_.errors.volts));
    if (p.kind == Prediction::Kind::ohms && is_open(p)) return slip / span;
    const double x = on_scale(p.kind, reading.value), e = error_of(reading, p.kind);
    const double soft = p.kind == Prediction::Kind::volts
                            ? e
                            : std::max(0.02, on_scale(p.kind, reading.value + e) - x);
    const auto windows = windows_of(p);
    double density = 0;
    for (const auto& [lo, hi] : windows)
        density += p.kind == Prediction::Kind::volts
                       ? flat(x, lo - e, hi + e, soft)
                       : flat(x, on_scale(p.kind, lo) - soft, on_scale(p.kind, hi) + soft, soft);
    const double number = p.kind == Prediction::Kind::ohms && may_be_open(p) ? 1 - apart_is_open : 1;
    return number * ((1 - slip) * density / static_cast<double>(windows.size()) + slip / span);
}

/// Of a thing that is seen not to be as planned.
double Likelihood::of_sight(int sight, const Prediction& p) const {
    if (sight == p.sights[0] || sight == p.sights[1]) return p.sights[1] >= 0 ? seen_right / 2 : seen_right;
    return seen_as_another;
}

std::vector<double> Likelihood::chances_of_sights(const Prediction& p, const std::vector<int>& sights) const {
    const double slip = options_.slip_share, yes = (1 - slip) * p.yes + slip / 2;
    std::vector<double> out{yes};
    double sum = 0;
    for (const int sight : sights) out.push_back(of_sight(sight, p)), sum += out.back();
    for (std::size_t k = 1; k < out.size(); ++k) out[k] *= (1 - yes) / sum;
    return out;
}

double Likelihood::of_something_else(const Reading& reading, const Question& question) const {
    const Prediction::Kind kind = question.means == Means::ohmmeter ? Prediction::Kind::ohms
                                  : question.means == Means::scope  ? Prediction::Kind::seconds
                                                                    : Prediction::Kind::volts;
    const auto [bottom, top] = scale(kind);
    switch (reading.kind) {
        case Reading::Kind::drifts:
            return anything_drifts;
        case Reading::Kind::open:
            return anything_is_open;
        case Reading::Kind::yes:
            return question.means == Means::eye ? looks_fine : 0.5;
        case Reading::Kind::no:
            if (reading.sight >= 0) return (1 - looks_fine) * seen_as_another;
            return question.means == Means::eye ? 1 - looks_fine : 0.5;
        case Reading::Kind::value:
            break;
    }
    return (kind == Prediction::Kind::ohms ? 1 - anything_is_open : 1 - anything_drifts) / (top - bottom);
}

bool Likelihood::fits(const Reading& reading, const Prediction& p) const {
    switch (reading.kind) {
        case Reading::Kind::yes:
            return p.yes > 0.25;
        case Reading::Kind::no:
            return p.yes < 0.75 && (reading.sight < 0 || reading.sight == p.sights[0] || reading.sight == p.sights[1]);
        case Reading::Kind::drifts:
            return p.floats || p.may_float || !p.known;
        case Reading::Kind::open:
            return may_be_open(p) || !p.known;
        case Reading::Kind::value:
            break;
    }
    if (p.floats || p.may_float || !p.known) return true;
    const double e = error_of(reading, p.kind);
    if (p.kind == Prediction::Kind::ohms && is_open(p)) return reading.value >= meter_open.si();
    return std::ranges::any_of(windows_of(p), [&](const auto& window) {
        return reading.value >= window.first - 2 * e && reading.value <= window.second + 2 * e;
    });
}

std::vector<double> Likelihood::chances(const Prediction& p, const std::vector<double>& edges) const {
    if (p.kind == Prediction::Kind::chance) {
        const double yes = (1 - options_.slip_share) * p.yes + options_.slip_share / 2;
        return {yes, 1 - yes};
    }
    const auto [bottom, top] = scale(p.kind);
    const double slip = options_.slip_share;
    std::vector<double> out(edges.size() + 1);  // stretches between the edges and the ends; then no number
    double no_number = p.kind == Prediction::Kind::volts ? slip / 4 : 0;
    std::vector<std::pair<double, double>> windows{{bottom, top}};
    if (!p.known) {
        no_number = anything_drifts;
    } else if (p.floats) {
        no_number = floating_drifts;
        windows.emplace_back(-near_nothing, near_nothing);
    } else if (p.kind == Prediction::Kind::ohms && is_open(p)) {
        no_number = 1 - slip;
    } else {
        windows = ends(p);
        if (p.may_float) no_number = floating_drifts / 2;
        if (p.kind == Prediction::Kind::ohms && may_be_open(p)) no_number = apart_is_open;
    }
    const double inside = (1 - no_number) * (1 - slip) / static_cast<double>(windows.size());
    const double anywhere = (1 - no_number) * slip / (top - bottom);
    for (std::size_t k = 0; k + 1 < edges.size(); ++k) {
        const double from = edges[k], to = edges[k + 1];
        out[k] = anywhere * (to - from);
        for (const auto& [lo, hi] : windows)
            out[k] += inside * std::max(0.0, std::min(to, hi) - std::max(from, lo)) / std::max(hi - lo, 1e-9);
    }
    out.back() = no_number;
    return out;
}

}  // namespace voltsill
