#pragma once
/// What a link does over time: its waves, what was measured on them, and how much of that the
/// tolerances of its parts leave standing.
///
/// Yield: k of n samples keep a limit; the interval is E. B. Wilson's score interval at 95 %
/// (J. Amer. Statist. Assoc. 22, 1927, pp. 209-212, from memory).
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "quantity/dimension.h"
#include "quantity/figure.h"
#include "signals/wave.h"

namespace voltsill {

enum class PointRole { driver, passed, receiver };  ///< passed: in or out of something on the way

/// A pin on the way of a link, in the order in which the signal meets it.
struct TracePoint {
    std::string label;  ///< "gauge.ECHO", "U1.18 (Y1)"
    PointRole role = PointRole::passed;
    bool inverted = false;                       ///< against the driver
    bool reads = false;                          ///< a logic input at the end of the link
    double supply = 0;                           ///< nominal, V; 0: none
    std::optional<double> vil, vih;              ///< of an input: VIL max, VIH min, V
    std::optional<double> falls, rises;          ///< of a Schmitt input: VT- nominal, VT+ nominal, V
    std::optional<double> limit_min, limit_max;  ///< absolute maximum, V
    Wave nominal, worst;                         ///< worst: of the sample `LinkTrace::worst_sample`
    std::optional<Envelope> envelope;            ///< with more than one sample
};

enum class MeasureKind {
    rise_time,               ///< 10..90 % of the swing (IEEE 181), s
    fall_time,               ///< 90..10 %, s
    delay_rise,              ///< driver's edge to the point's edge, each at half its swing; driver rising, s
    delay_fall,              ///< driver falling, s
    overshoot,               ///< above the level the point settles to, V
    undershoot,              ///< below, V
    time_high,               ///< for how long a one stands above VIH within its bit: shortest one, s
    time_low,                ///< likewise a zero below VIL, s
    edge_rate,               ///< slowest edge between VIL and VIH, s/V
    setup_left,              ///< bit time less what the slowest edge needs to reach the level, s
    pulse_width_distortion,  ///< |delay_rise - delay_fall| through the whole link, s
    settling,                ///< of an ADC input to half a step of its resolution, s
    skew,                    ///< latest less earliest receiver of a group, s
    power,                   ///< drawn by a part on average, W
    highest_rate,            ///< at which every receiver still reads every bit, Hz
    highest,
    lowest,  ///< voltage at the point, V
};
std::string_view to_word(MeasureKind kind);  ///< "rise time"
Dimension dimension_of(MeasureKind kind);

/// Share of the variance of a measure that a parameter explains: squared rank correlation.
struct Influence {
    std::string parameter;  ///< "R1", "bus data wire capacitance"
    double share = 0;       ///< 0..1
    bool raises = true;     ///< a larger parameter makes the measure larger
};

struct Measured {
    MeasureKind kind{};
    std::string point;                     ///< label; part name for `power`; empty: the whole link
    std::optional<double> nominal;         ///< empty: not there (no such edge), see `why`
    std::optional<double> lo, median, hi;  ///< over the samples that have it
    std::string why;
    bool lasting = false;         ///< the point also rests beyond the limit
    std::optional<double> limit;  ///< what it is held against
    bool limit_is_maximum = true;
    Provenance limit_origin;
    int kept = 0, counted = 0;          ///< samples that keep the limit, of those that could be measured
    double yield_lo = 0, yield_hi = 1;  ///< Wilson, 95 %
    std::vector<Influence> influences;  ///< strongest first
};

struct LinkTrace {
    std::string link;
    double rate = 0;            ///< as the bench states it, or as asked for, Hz
    int bits_a_cycle = 1;       ///< 2: a bus clock, high and low in each period
    bool rate_assumed = false;  ///< the bench states none
    double duration = 0;        ///< s
    std::string pattern;        ///< "0100110..." as driven
    bool analog = false;        ///< 0 and 1 are the ends of the driver's range, no bits
    std::vector<TracePoint> points;
    std::vector<Measured> measures;
    int samples = 0,
        asked = 0;   ///< samples simulated; fewer than asked: the run was cancelled or samples failed
    int failed = 0;  ///< samples without a solution
    bool cancelled = false;
    std::uint64_t seed = 0;
    std::optional<std::uint64_t> worst_sample;  ///< index; `--replay INDEX` runs it alone
    std::string worst_by;                       ///< which measure makes it the worst
    std::string trouble;                        ///< why nothing could be simulated, or what was left out
    std::vector<std::string> leans_on;          ///< assumed or typical figures it rests on, in words
};

}  // namespace voltsill
