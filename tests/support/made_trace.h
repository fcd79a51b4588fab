#pragma once
/// The trace of a link made by hand: a 5 V output over a divider into a 3.3 V input, a pole of
/// known time constant, 200 samples. All figures are invented; waves follow closed forms.
#include <cmath>

#include "signals/statistics.h"

namespace voltsill::made {

inline constexpr double bit_time = 2e-6;

/// `high` volts behind a single pole `tau`, ringing by `ring`.
inline Wave pole(const std::string& bits, double high, double tau, double ring = 0) {
    Wave wave;
    double v = 0;
    for (std::size_t k = 0; k < bits.size(); ++k) {
        const double target = bits[k] == '1' ? high : 0, from = v;
        for (int i = 0; i < 200; ++i) {
            const double t = bit_time * i / 200;
            v = target + (from - target) * std::exp(-t / tau) * (1 - ring + ring * std::cos(12 * t / tau));
            wave.seconds.push_back(static_cast<double>(k) * bit_time + t);
            wave.volts.push_back(v);
        }
    }
    wave.seconds.push_back(static_cast<double>(bits.size()) * bit_time);
    wave.volts.push_back(v);
    return wave;
}

inline TracePoint point(const std::string& label, PointRole role, double supply, const std::string& bits,
                        double high, double tau, double ring, int samples) {
    TracePoint p{
        .label = label, .role = role, .supply = supply, .nominal = pole(bits, high, tau, ring), .worst = {}};
    if (samples == 0) return p;
    p.worst = pole(bits, 0.93 * high, 1.35 * tau, ring);
    EnvelopeOf all(common_times(p.nominal, 300));
    for (int k = 0; k < samples; ++k)
        all.add(pole(bits, high * (0.93 + 0.14 * std::fmod(k * 0.618, 1)),
                     tau * (0.7 + 0.65 * std::fmod(k * 0.414, 1)), ring));
    p.envelope = all.envelope();
    return p;
}

inline Measured measured(MeasureKind kind, const std::string& at, double nominal, double lo, double median,
                         double hi) {
    return {.kind = kind,
            .point = at,
            .nominal = nominal,
            .lo = lo,
            .median = median,
            .hi = hi,
            .limit_origin = {}};
}

inline LinkTrace trace(const std::string& link = "tank echo", int samples = 200) {
    LinkTrace t{.link = link,
                .rate = 1 / bit_time,
                .rate_assumed = false,
                .pattern = "0100110101",
                .points = {},
                .measures = {},
                .samples = samples,
                .asked = samples,
                .seed = 7,
                .worst_by = {},
                .trouble = {},
                .leans_on = {"output resistance of gauge.ECHO: 50 Ω (typical)",
                             "wires and board: 15 pF a net (common practice)"}};
    t.duration = 10 * bit_time;
    t.points = {point("gauge.ECHO", PointRole::driver, 5, t.pattern, 4.9, 4e-8, 0.2, samples),
                point("controller.D4", PointRole::receiver, 3.3, t.pattern, 3.1, 3.5e-7, 0, samples)};
    t.points[1].vil = 0.8;
    t.points[1].vih = 2.0;
    t.points[1].limit_min = -0.3;
    t.points[1].limit_max = 3.6;
    const Provenance printed{Certainty::guaranteed, "invented data sheet, table 4"};
    Measured setup = measured(MeasureKind::setup_left, "controller.D4", 1.5e-6, 1.1e-6, 1.49e-6, 1.7e-6);
    setup.limit = 0.0;
    setup.limit_is_maximum = false;
    setup.limit_origin = {Certainty::standard, "a bit must arrive before it ends"};
    setup.influences = {{"R1", 0.71, false}, {"bus data wire capacitance", 0.18, false}};
    Measured rate = measured(MeasureKind::edge_rate, "controller.D4", 3.1e-7, 2.2e-7, 3.1e-7, 5.4e-7);
    rate.limit = 5e-7;
    rate.limit_origin = printed;
    rate.influences = {{"R1", 0.8, true}};
    for (Measured* m : {&setup, &rate}) {
        if (samples == 0) m->lo = m->median = m->hi = std::nullopt;
        m->counted = samples;
        m->kept = m == &rate ? samples * 97 / 100 : samples;
        const Interval yield = wilson(m->kept, m->counted);
        m->yield_lo = yield.lo;
        m->yield_hi = yield.hi;
    }
    t.measures = {setup, rate,
                  measured(MeasureKind::rise_time, "controller.D4", 7.7e-7, 5.4e-7, 7.6e-7, 1e-6),
                  measured(MeasureKind::overshoot, "gauge.ECHO", 0.31, 0.29, 0.31, 0.33),
                  measured(MeasureKind::power, "gauge", 1.2e-3, 1e-3, 1.2e-3, 1.5e-3)};
    if (samples > 0) {
        t.worst_sample = 17;
        t.worst_by = "edge rate at controller.D4";
    }
    return t;
}

/// What a link that cannot be run comes to.
inline LinkTrace failed(const std::string& link) {
    LinkTrace t;
    t.link = link;
    t.trouble = "nothing drives it";
    return t;
}

}  // namespace voltsill::made
