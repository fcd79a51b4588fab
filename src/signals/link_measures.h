#pragma once
/// Everything that is measured on one run of a link, in an order that is the same for every run, so
/// that the runs of many samples can be put side by side.
#include "signals/bits.h"
#include "signals/link_setup.h"

namespace voltsill {

/// One line of the table: what, where, and what it is held against.
struct MeasurePlan {
    MeasureKind kind{};
    int point = -1;  ///< index into LinkSetup::points; -1: the whole link
    std::optional<double> limit;
    bool limit_is_maximum = true;
    Provenance limit_origin;
};
/// For a bit time, since some limits are shares of it.
std::vector<MeasurePlan> plan_measures(const LinkSetup& setup, const TimedCircuit& timed, double bit_time);

/// Waves of all points in one run, in the order of the points.
using Waves = std::vector<Wave>;
Waves waves_of(const LinkSetup& setup, const Path& path);

/// As many as in the plan.
std::vector<Measurement> measure(const LinkSetup& setup, const std::vector<MeasurePlan>& plan,
                                 const Waves& waves, double bit_time);

/// Least time left before the end of a bit, over all receivers; an error if one never reads it.
Measurement least_setup(const LinkSetup& setup, const Waves& waves, double bit_time);

/// Levels a point settles to while the driver rests at zero and at one, and whether it is against the
/// driver.
struct Settled {
    SwingLevels levels;
    bool inverted = false;
};
Settled settled(const LinkSetup& setup, const Wave& wave, double bit_time);

}  // namespace voltsill
