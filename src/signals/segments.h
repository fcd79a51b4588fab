#pragma once
/// A wave as its straight lines, one after the other.
#include <cmath>

#include "signals/measure.h"

namespace voltsill {

struct Segment {
    double t0, v0, t1, v1;
    bool parted;  ///< does not begin where the last one ended: points between were not finite
};

/// The part of a line between two times that it touches.
inline Segment clipped(const Segment& s, double from, double to) {
    if (!(s.t0 < s.t1)) return s;
    const auto at = [&](double t) { return std::lerp(s.v0, s.v1, (t - s.t0) / (s.t1 - s.t0)); };
    Segment out = s;
    if (s.t0 < from) out.t0 = from, out.v0 = at(from);
    if (s.t1 > to) out.t1 = to, out.v1 = at(to);
    return out;
}

template <class Visit>
void for_each_segment(WaveView wave, Visit&& visit) {
    bool parted = false;
    for (std::size_t k = 1; k < wave.size(); ++k) {
        const Segment s{wave.seconds[k - 1], wave.volts[k - 1], wave.seconds[k], wave.volts[k], parted};
        parted = !(std::isfinite(s.t0) && std::isfinite(s.v0) && std::isfinite(s.t1) && std::isfinite(s.v1));
        if (!parted) visit(s);
    }
}

}  // namespace voltsill
