/// Measures of waves against figures that are printed somewhere.
#include <gtest/gtest.h>

#include <cmath>

#include "signals/measure.h"
#include "signals/statistics.h"

namespace voltsill {
namespace {

/// Charging towards 1 V with a time constant of 1 s.
Wave charging() {
    Wave wave;
    for (int k = 0; k <= 20000; ++k) {
        wave.seconds.push_back(k * 1e-3);
        wave.volts.push_back(1 - std::exp(-k * 1e-3));
    }
    return wave;
}

// From 0.3 to 0.7 VDD a bus needs 0.8473 RC.
// Source: UM10204 rev 7.0; section 7.1; read
TEST(WavesPublished, RiseTimeOfABusBetweenItsThresholds) {
    EXPECT_NEAR(*transition_time(charging(), {0, 1}, Direction::rising, 0.3, 0.7), 0.8473, 0.00005);
    EXPECT_NEAR(*edge_rate(charging(), 0.3, 0.7), 0.8473 / 0.4, 0.0002);
}

// A single pole rises from 10 to 90 % in 2.2 time constants (2.1972).
// Source: no document; pulse circuits, ln 9; common practice
TEST(WavesPublished, RiseTimeOfASinglePole) {
    EXPECT_NEAR(*transition_time(charging(), {0, 1}, Direction::rising), 2.1972, 0.00005);
}

// Score method without continuity correction: 81 of 263: 0.2553..0.3662; 15 of 148: 0.0624..0.1605; 0 of
// 20: 0..0.1611; 1 of 29: 0.0061..0.1718.
// Source: R. G. Newcombe, Statistics in Medicine 17 (1998), pp. 857-872; table I; from memory
TEST(WavesPublished, ScoreIntervalOfNewcombe) {
    const struct {
        int kept, counted;
        double lo, hi;
    } rows[] = {
        {81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}};
    for (const auto& row : rows) {
        EXPECT_NEAR(wilson(row.kept, row.counted).lo, row.lo, 0.00005) << row.kept;
        EXPECT_NEAR(wilson(row.kept, row.counted).hi, row.hi, 0.00005) << row.kept;
    }
}

}  // namespace
}  // namespace voltsill
