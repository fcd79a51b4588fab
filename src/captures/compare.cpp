#include "captures/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "quantity/print.h"

namespace voltsill {
namespace {

/// Nobody measures below half a millivolt.
double seen(double v) { return std::abs(v) < 5e-4 ? 0.0 : v; }
std::string volts(double v) { return print(Volts{seen(v)}); }
std::string range(const Span<double>& s) {
    return print_span(Dimension::voltage, {seen(s.lo), 0.5 * (seen(s.lo) + seen(s.hi)), seen(s.hi)});
}

Evidence evidence(double value, Certainty certainty, std::string source, std::string what) {
    return {value, {certainty, std::move(source)}, std::move(what)};
}

struct Comparison {
    const ChannelCapture& measured;
    const Expectation& expected;
    const std::string& file;
    const CompareOptions& options;
    std::vector<Finding> out;

    Finding finding(const char* code, Dimension dimension, double value, const std::string& what) const {
        Finding f{.code = code, .link = expected.link, .dimension = dimension};
        const std::string& point = expected.point;
        const std::size_t dot = point.find('.');
        f.part = point.substr(0, dot);
        if (dot != std::string::npos) f.pin = point.substr(dot + 1);
        f.value = evidence(value, Certainty::measured, fmt::format("{}, {}", file, measured.channel.name), what);
        f.bound_exact = false;  // a capture shows what happened while it ran
        return f;
    }

    double doubt(const VoltageMeasures& v) const {
        return std::max(options.least_doubt, options.accuracy * (v.highest - v.lowest));
    }

    /// Ten times too much or too little is a probe.
    std::string probe_advice(double value, double predicted) const {
        const double ratio = value / predicted;
        const char* factor = ratio > 8 && ratio < 12 ? "0.1" : ratio > 0.08 && ratio < 0.12 ? "10" : nullptr;
        return factor ? fmt::format("A tenfold difference points to the probe: try --scale {}={}. ",
                                    measured.channel.name, factor)
                      : "";
    }

    std::string level_advice(bool high, bool below, double value, double predicted) const {
        std::string words = probe_advice(value, predicted);
        if (high && below)
            words +=
                "Something pulls it down, or nothing pulls it up enough: another output on the net "
                "(contention), a load or "
                "pull-down that was not planned, a pull-up too weak or missing, a supply of the driver that "
                "is too low.";
        else if (high)
            words +=
                "It is driven from a higher rail than planned: look whether the interface circuit is "
                "bypassed, whether a "
                "pull-up goes to the wrong rail, and measure that rail.";
        else if (!below)
            words +=
                "What pulls it low cannot sink the current: another output drives high (contention), a "
                "pull-up is too strong, "
                "or the driver's ground is not joined well.";
        else
            words +=
                "It lies below ground as planned: check the zero of the instrument and where the probe's "
                "ground is clipped.";
        return words + fmt::format(" Compare `voltsill readings` at {}.", expected.point);
    }

    void level(const VoltageMeasures& v, bool high) {
        const auto& predicted = high ? expected.high : expected.low;
        const auto& threshold = high ? expected.limits.vih : expected.limits.vil;
        const double value = high ? v.levels->high : v.levels->low, d = doubt(v);
        const char* word = high ? "high" : "low";
        const bool unread = threshold && (high ? value < *threshold : value > *threshold);
        Finding f = finding("measured-level", Dimension::voltage, value,
                            fmt::format("measured {} at {}", word, expected.point));
        if (predicted) {
            const bool below = value<predicted->lo - d, above = value> predicted->hi + d;
            const bool near_lo = value - predicted->lo < predicted->hi - value;
            f.margin = std::min(value - (predicted->lo - d), predicted->hi + d - value);
            f.verdict = below || above ? Verdict::thin : Verdict::safe;
            f.limit = evidence(near_lo ? predicted->lo : predicted->hi, expected.certainty, "predicted for this wiring",
                               fmt::format("{} predicted {}", near_lo ? "lowest" : "highest", word));
            f.sentence = fmt::format("Measured {} {} at {}, predicted {}.", word, volts(value),
                                     expected.point, range(*predicted));
            f.arithmetic =
                fmt::format("{} against {}, instrument within {}", volts(value), range(*predicted), volts(d));
            if (below || above) f.advice = level_advice(high, below, value, predicted->nominal);
        }
        if (unread) {
            f.verdict = Verdict::unreadable;
            f.margin = high ? value - *threshold : *threshold - value;
            f.limit = evidence(*threshold, expected.certainty, "input threshold",
                               fmt::format("{} of {}", high ? "VIH min" : "VIL max", expected.point));
            f.sentence = fmt::format("Measured {} {} at {}; it is read for sure from {} {}{}.", word,
                                     volts(value), expected.point, volts(*threshold), high ? "up" : "down",
                                     predicted ? ", predicted " + range(*predicted) : "");
            f.arithmetic = fmt::format("{} against {}", volts(value), volts(*threshold));
            if (f.advice.empty()) f.advice = level_advice(high, high, value, *threshold);
        }
        if (f.limit) out.push_back(std::move(f));
    }

    void beyond(const VoltageMeasures& v, bool over) {
        const auto& limit = over ? expected.limits.limit_max : expected.limits.limit_min;
        if (!limit) return;
        const double value = over ? v.highest : v.lowest, excess = over ? value - *limit : *limit - value;
        const Stay& stay = over ? v.over : v.under;
        Finding f = finding("measured-extreme", Dimension::voltage, value,
                            fmt::format("{} voltage at {}", over ? "highest" : "lowest", expected.point));
        f.limit = evidence(*limit, expected.certainty, "absolute maximum rating of the part",
                           fmt::format("absolute {} of {}", over ? "maximum" : "minimum", expected.point));
        f.margin = -excess;
        f.verdict = excess <= 0 ? Verdict::safe : excess <= doubt(v) ? Verdict::thin : Verdict::harmful;
        f.arithmetic = fmt::format("{} against {}", volts(value), volts(*limit));
        f.sentence =
            excess <= 0
                ? fmt::format("{} keeps within {} ({}).", expected.point, volts(*limit), volts(value))
                : fmt::format("{} went to {}, {} beyond what it stands: {} times, {} in all.", expected.point,
                              volts(value), volts(excess), stay.count, print(Seconds{stay.seconds}));
        if (excess > 0)
            f.advice = over ? "Take it off before anything else. A plateau points to a missing or bypassed "
                              "interface circuit; a spike "
                              "to ringing: shorten the wire and the probe's ground lead, or put a resistor "
                              "in series at the driver."
                            : "A spike points to ringing or to a long ground lead of the probe; a plateau to "
                              "grounds that are apart.";
        out.push_back(std::move(f));
    }

    void stuck(double at, bool known) {
        Finding f =
            finding("measured-stuck", Dimension::voltage, at, fmt::format("level at {}", expected.point));
        if (!known) f.value.reset();  // a logic channel carries no voltage
        f.verdict = Verdict::unreadable;
        const double d = options.least_doubt + options.accuracy * std::abs(at);
        const auto in = [&](const std::optional<Span<double>>& s) {
            return s && at >= s->lo - d && at <= s->hi + d;
        };
        f.sentence = known ? fmt::format("{} stays at {} for all of {}: nothing switches it.", expected.point,
                                         volts(at), print(Seconds{measured.seconds()}))
                     : measured.seconds() > 0
                         ? fmt::format("{} does not change for all of {}.", expected.point,
                                       print(Seconds{measured.seconds()}))
                         : fmt::format("{} has one state in the whole capture.", expected.point);
        f.arithmetic = known && expected.high ? fmt::format("{}; predicted low {}, high {}", volts(at),
                                                            expected.low ? range(*expected.low) : "unknown",
                                                            range(*expected.high))
                                              : "no edge";
        if (!known || in(expected.high))
            f.advice =
                "It may be idle. If it should move: is the driver supplied, is its program running, does it "
                "pull this net?";
        else if (in(expected.low))
            f.advice =
                "It may be idle, or held low: an output that stays on, a short to ground, a pull-up that is "
                "missing.";
        else
            f.advice =
                "This is neither level: two outputs against each other, a pin that floats, a missing ground, "
                "or a driver that "
                "is off. Compare `voltsill readings` with its rail down.";
        out.push_back(std::move(f));
    }

    void rate() {
        const PulseMeasures& p = measured.pulses();
        if (!expected.rate || !p.frequency) return;
        Finding f = finding("measured-rate", Dimension::frequency, *p.frequency,
                            fmt::format("frequency at {}", expected.point));
        f.limit =
            evidence(*expected.rate, Certainty::guaranteed, "bench file", fmt::format("rate of {}", expected.link));
        f.margin = *expected.rate - *p.frequency;
        f.verdict = *p.frequency > 1.02 * *expected.rate
                        ? Verdict::thin
                        : Verdict::safe;  // clocks differ by a percent or two
        f.arithmetic = fmt::format("{} against {}", print(Hertz{*p.frequency}), print(Hertz{*expected.rate}));
        f.sentence = fmt::format("{} repeats at {}, the bench states {}.", expected.point,
                                 print(Hertz{*p.frequency}), print(Hertz{*expected.rate}));
        if (f.verdict != Verdict::safe)
            f.advice =
                "The wiring was judged for the stated rate: put the true one into the bench file and check "
                "again.";
        out.push_back(std::move(f));
    }

    void glitches(std::uint64_t runts) {
        const PulseMeasures& p = measured.pulses();
        if (p.glitches + runts == 0 || !p.glitch_limit) return;
        Finding f = finding("measured-glitch", Dimension::ratio, static_cast<double>(p.glitches + runts),
                            "glitches and runts");
        f.limit = evidence(0, Certainty::common_practice, "", "none");
        f.margin = -f.value->value;
        f.verdict = Verdict::thin;
        f.arithmetic = fmt::format("{} pulses shorter than {}, {} runts", p.glitches,
                                   print(Seconds{*p.glitch_limit}), runts);
        f.sentence = fmt::format("{} shows {} pulses shorter than {} and {} runts.", expected.point,
                                 p.glitches, print(Seconds{*p.glitch_limit}), runts);
        f.advice =
            "Look for crosstalk from a neighbouring wire, a slow edge at an input without hysteresis, two "
            "drivers that change over, "
            "or a missing decoupling capacitor.";
        out.push_back(std::move(f));
    }

    void between(const VoltageMeasures& v) {
        if (!expected.limits.vil || !expected.limits.vih || v.between.count == 0) return;
        const double allowed = glitch_limit(expected);
        const bool lingers = allowed > 0 && v.between.longest > allowed;
        Finding f = finding("measured-between", Dimension::time, v.between.longest,
                            fmt::format("longest stay between VIL and VIH of {}", expected.point));
        if (allowed > 0)
            f.limit = evidence(allowed, Certainty::common_practice, "",
                               fmt::format("a quarter of the period of {}", expected.link));
        f.margin = allowed > 0 ? allowed - v.between.longest : 0;
        f.verdict = v.between.returned > 0 || lingers ? Verdict::thin : Verdict::safe;
        f.arithmetic = fmt::format("{} stays between {} and {}, {} in all, {} the longest, {} went back",
                                   v.between.count, volts(*expected.limits.vil), volts(*expected.limits.vih),
                                   print(Seconds{v.between.seconds}), print(Seconds{v.between.longest}),
                                   v.between.returned);
        f.sentence = fmt::format(
            "{} was {} times where it is read neither as low nor as high, {} at the longest{}.",
            expected.point, v.between.count, print(Seconds{v.between.longest}),
            v.between.returned ? fmt::format("; {} times it went back the way it came", v.between.returned)
                               : "");
        if (f.verdict != Verdict::safe)
            f.advice =
                "A slow or unsteady edge: too much resistance for the capacitance, or noise. A Schmitt input "
                "reads such a signal once.";
        out.push_back(std::move(f));
    }

    /// An edge shorter than a few samples cannot be told from one that is not there.
    void edge(const VoltageMeasures& v, const Tally& tally, const std::optional<Span<double>>& simulated,
              const char* word) {
        if (!simulated || tally.count == 0) return;
        const double resolution = 3 * v.seconds / static_cast<double>(v.samples);
        const double most = 2 * simulated->hi + resolution;  // the instrument has an edge of its own
        Finding f = finding("measured-edge", Dimension::time, tally.mean(),
                            fmt::format("mean {} time at {}", word, expected.point));
        f.limit = evidence(most, Certainty::assumed, "simulated for this wiring",
                           fmt::format("twice the simulated {} time, and three samples", word));
        f.margin = most - tally.mean();
        f.verdict = f.margin < 0 ? Verdict::thin : Verdict::safe;
        f.sentence =
            fmt::format("Measured {} time {} at {}, simulated {}.", word, print(Seconds{tally.mean()}),
                        expected.point, print(Seconds{simulated->nominal}));
        f.arithmetic = fmt::format("{} against 2 x {} + {} (three samples)", print(Seconds{tally.mean()}),
                                   print(Seconds{simulated->hi}), print(Seconds{resolution}));
        if (f.verdict != Verdict::safe)
            f.advice =
                "More capacitance or resistance than planned: a long wire, a probe without 10:1, a weaker "
                "pull-up.";
        out.push_back(std::move(f));
    }

    void unknown(const LogicMeasures& l) {
        const double lost =
            l.seconds[static_cast<std::size_t>(Bit::x)] + l.seconds[static_cast<std::size_t>(Bit::z)];
        if (lost <= 0) return;
        Finding f = finding("measured-unknown", Dimension::time, lost,
                            fmt::format("time of {} as x or z", expected.point));
        f.limit = evidence(0, Certainty::common_practice, "", "none");
        f.margin = -lost;
        f.verdict = l.unknown_spells > 0 ? Verdict::thin : Verdict::safe;
        f.arithmetic = fmt::format("{} of {}", print(Seconds{lost}), print(Seconds{measured.seconds()}));
        f.sentence = fmt::format("{} is x or z for {}, after it had a level {} times.", expected.point,
                                 print(Seconds{lost}), l.unknown_spells);
        if (f.verdict != Verdict::safe)
            f.advice = "x: two drivers disagree; z: none drives. Look at who owns the line at that time.";
        out.push_back(std::move(f));
    }

    void all() {
        const PulseMeasures& p = measured.pulses();
        const bool moves = p.rising + p.falling > 0;
        if (const VoltageMeasures* v = measured.voltage(); v && !measured.digital) {
            if (!v->levels) return;
            beyond(*v, true);
            beyond(*v, false);
            if (!v->two_states) return stuck(0.5 * (v->levels->low + v->levels->high), true);
            level(*v, true);
            level(*v, false);
            between(*v);
            edge(*v, v->rise, expected.rise, "rise");
            edge(*v, v->fall, expected.fall, "fall");
        } else if (!moves) {
            return stuck(0, false);
        } else if (const LogicMeasures* l = measured.logic()) {
            unknown(*l);
        }
        rate();
        glitches(measured.voltage() ? measured.voltage()->runts : 0);
    }
};

}  // namespace

std::vector<Finding> hold_against(const ChannelCapture& measured, const Expectation& expected,
                                  const std::string& file, const CompareOptions& options) {
    Comparison c{measured, expected, file, options, {}};
    c.all();
    std::ranges::stable_sort(c.out, [](const Finding& a, const Finding& b) { return a.verdict > b.verdict; });
    return std::move(c.out);
}

}  // namespace voltsill
