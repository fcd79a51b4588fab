#include "signals/link_trace.h"

namespace voltsill {
namespace {

struct KindInfo {
    MeasureKind kind;
    std::string_view word;
    Dimension dimension;
};

constexpr KindInfo kinds[] = {
    {MeasureKind::rise_time, "rise time", Dimension::time},
    {MeasureKind::fall_time, "fall time", Dimension::time},
    {MeasureKind::delay_rise, "delay of a rising edge", Dimension::time},
    {MeasureKind::delay_fall, "delay of a falling edge", Dimension::time},
    {MeasureKind::overshoot, "overshoot", Dimension::voltage},
    {MeasureKind::undershoot, "undershoot", Dimension::voltage},
    {MeasureKind::time_high, "time above VIH", Dimension::time},
    {MeasureKind::time_low, "time below VIL", Dimension::time},
    {MeasureKind::edge_rate, "edge rate", Dimension::time_per_voltage},
    {MeasureKind::setup_left, "set-up time left", Dimension::time},
    {MeasureKind::pulse_width_distortion, "pulse-width distortion", Dimension::time},
    {MeasureKind::settling, "settling time", Dimension::time},
    {MeasureKind::skew, "skew", Dimension::time},
    {MeasureKind::power, "power", Dimension::power},
    {MeasureKind::highest_rate, "highest rate", Dimension::frequency},
    {MeasureKind::highest, "highest voltage", Dimension::voltage},
    {MeasureKind::lowest, "lowest voltage", Dimension::voltage},
};

const KindInfo& info_of(MeasureKind kind) {
    for (const KindInfo& k : kinds)
        if (k.kind == kind) return k;
    return kinds[0];
}

}  // namespace

std::string_view to_word(MeasureKind kind) { return info_of(kind).word; }
Dimension dimension_of(MeasureKind kind) { return info_of(kind).dimension; }

}  // namespace voltsill
