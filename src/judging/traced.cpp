#include "judging/traced.h"

namespace voltsill {
namespace {

/// What a link may do for nanoseconds without harm, by common practice: ring past a rating, into the
/// protection diodes. What it does for longer the judge of steady states looks at.
bool passes_quickly(MeasureKind kind) {
    switch (kind) {
        case MeasureKind::highest:
        case MeasureKind::lowest:
        case MeasureKind::overshoot:
        case MeasureKind::undershoot:
            return true;
        default:
            return false;
    }
}

/// Whoever receives every bit has one.
bool every_reader_has(MeasureKind kind) {
    switch (kind) {
        case MeasureKind::time_high:
        case MeasureKind::time_low:
        case MeasureKind::setup_left:
        case MeasureKind::highest_rate:
            return true;
        default:
            return false;
    }
}

}  // namespace

bool breaks(const Measured& m, double value) {
    return m.limit && (m.limit_is_maximum ? value > *m.limit : value < *m.limit);
}

std::optional<Verdict> verdict_of(const Measured& m) {
    if (!m.limit) return std::nullopt;
    bool broken = m.kept < m.counted;
    for (const auto& value : {m.nominal, m.lo, m.hi}) broken = broken || (value && breaks(m, *value));
    if (broken && passes_quickly(m.kind)) return m.lasting ? Verdict::harmful : Verdict::thin;
    if (broken) return m.kind == MeasureKind::power ? Verdict::harmful : Verdict::unreadable;
    if (!m.nominal) return every_reader_has(m.kind) ? Verdict::unreadable : Verdict::unknown;
    return Verdict::safe;
}

Verdict verdict_of(const LinkTrace& trace) {
    std::optional<Verdict> worst;
    for (const Measured& m : trace.measures)
        if (const auto v = verdict_of(m)) worst = worse(worst.value_or(Verdict::safe), *v);
    // An input of which nobody has said what it reads may read anything.
    for (const TracePoint& p : trace.points)
        if (p.reads && !(p.vil && p.vih)) worst = worse(worst.value_or(Verdict::safe), Verdict::unknown);
    return worst.value_or(Verdict::unknown);
}

}  // namespace voltsill
