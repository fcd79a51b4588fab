/// Laws of interpolation between printed rows: a printed value is given back where it is printed,
/// nothing leaves the band of its neighbours, and a heavier load never costs less.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>

#include "parts/model.h"

namespace voltsill {
namespace {

using namespace literals;

const Provenance printed{Certainty::guaranteed, "test"};
Span<Volts> at(double v) { return Span<Volts>::exactly(Volts(v)); }
Span<Volts> from(double lo, double hi) { return Span<Volts>::between(Volts(lo), Volts(hi)); }
Level volts(double v) { return {0, Volts(v)}; }
Level share(double ratio) { return {ratio, 0_V}; }

// SCHS119B section 5.3: VIL and VIH of HC at 2, 4.5 and 6 V.
Pin hc_input() {
    Pin pin;
    for (const auto& [v, low, high] : {std::array{2.0, 0.5, 1.5}, {4.5, 1.35, 3.15}, {6.0, 1.8, 4.2}})
        pin.thresholds.push_back({at(v), volts(low), volts(high), {}, {}, printed});
    return pin;
}

TEST(Thresholds, GiveBackPrintedRowsAndTheLineBetween) {
    const Pin pin = hc_input();
    for (const ThresholdRow& row : pin.thresholds) {
        const auto t = thresholds_at(pin, row.supply.lo);
        ASSERT_TRUE(t && t->exact);
        EXPECT_DOUBLE_EQ(t->high.at(row.supply.lo).si(), row.high.offset.si());
        EXPECT_DOUBLE_EQ(t->low.at(row.supply.lo).si(), row.low.offset.si());
    }
    // By hand: 3.15 + (5 - 4.5) / 1.5 * (4.2 - 3.15) = 3.5, the 0.7 VCC of the trade.
    EXPECT_NEAR(thresholds_at(pin, 5_V)->high.at(5_V).si(), 3.5, 1e-12);
    EXPECT_NEAR(thresholds_at(pin, 5_V)->low.at(5_V).si(), 1.5, 1e-12);
    EXPECT_EQ(thresholds_at(pin, 5_V)->origin.certainty, Certainty::guaranteed);
}

TEST(Thresholds, OutsideAllRowsTheNearestIsOnlyAssumed) {
    const auto t = thresholds_at(hc_input(), 1.5_V);
    ASSERT_TRUE(t);
    EXPECT_FALSE(t->exact);
    EXPECT_EQ(t->origin.certainty, Certainty::assumed);
    EXPECT_DOUBLE_EQ(t->high.at(1.5_V).si(), 1.5);
    EXPECT_DOUBLE_EQ(thresholds_at(hc_input(), 7_V)->high.at(7_V).si(), 4.2);
    EXPECT_FALSE(thresholds_at(Pin{}, 5_V));
}

TEST(Thresholds, RowsThatFollowTheSupplyDoSoInsideTheirRange) {
    Pin pin;
    pin.thresholds = {{from(1.65, 1.95), share(0.35), share(0.65), {}, {}, printed},
                      {from(2.3, 2.7), volts(0.7), volts(1.7), {}, {}, printed}};
    EXPECT_DOUBLE_EQ(thresholds_at(pin, 1.8_V)->high.at(1.8_V).si(), 0.65 * 1.8);
    // Between them: from 0.65 * 1.95 at 1.95 V to 1.7 at 2.3 V.
    const double middle = (0.65 * 1.95 + 1.7) / 2;
    EXPECT_NEAR(thresholds_at(pin, 2.125_V)->high.at(2.125_V).si(), middle, 1e-12);
}

TEST(Thresholds, WhereTwoRowsMeetTheStricterHolds) {
    Pin pin;
    pin.thresholds = {{from(1.2, 1.95), share(0.35), share(0.65), {}, {}, printed},
                      {from(1.95, 2.7), volts(0.7), volts(1.6), {}, {}, printed}};
    const auto t = thresholds_at(pin, 1.95_V);
    EXPECT_DOUBLE_EQ(t->high.at(1.95_V).si(), 1.6);
    EXPECT_DOUBLE_EQ(t->low.at(1.95_V).si(), 0.35 * 1.95);
}

TEST(Thresholds, StayBetweenTheirNeighbours) {
    EXPECT_TRUE(
        rc::check("between two rows nothing over- or undershoots, and the order of rows does not matter", [] {
            Pin pin;
            double v = 1.0;
            const auto steps = *rc::gen::container<std::vector<int>>(4, rc::gen::inRange(1, 100));
            for (int step : steps) {
                v += step / 50.0;
                const double low = *rc::gen::inRange(1, 100) / 100.0;
                pin.thresholds.push_back(
                    {at(v), volts(low), volts(low + *rc::gen::inRange(1, 100) / 50.0), {}, {}, printed});
            }
            const int gap = *rc::gen::inRange(0, 3);
            const ThresholdRow a = pin.thresholds[gap], b = pin.thresholds[gap + 1];
            const Volts s = a.supply.lo + (b.supply.lo - a.supply.lo) * (*rc::gen::inRange(0, 101) / 100.0);
            std::rotate(pin.thresholds.begin(), pin.thresholds.begin() + 1, pin.thresholds.end());
            const double high = thresholds_at(pin, s)->high.at(s).si();
            const auto [lo, hi] = std::minmax({a.high.offset.si(), b.high.offset.si()});
            RC_ASSERT(lo - 1e-9 <= high && high <= hi + 1e-9);
        }));
}

TEST(EdgeLimit, TurnsATotalTimeIntoTimePerVolt) {
    Pin pin;  // SCHS119B: 1000 ns at 2 V, 500 ns at 4.5 V, 400 ns at 6 V
    for (const auto& [v, ns] : {std::pair{2.0, 1000.0}, {4.5, 500.0}, {6.0, 400.0}})
        pin.transition.push_back({at(v), {}, Seconds(ns * 1e-9), printed});
    EXPECT_NEAR(edge_limit_at(pin, 2_V)->per_volt.si(), 500e-9, 1e-15);
    EXPECT_NEAR(edge_limit_at(pin, 4.5_V)->per_volt.si(), 500e-9 / 4.5, 1e-15);
    const double middle = edge_limit_at(pin, 5_V)->per_volt.si();
    EXPECT_LT(middle, 500e-9 / 4.5);
    EXPECT_GT(middle, 400e-9 / 6);
    EXPECT_EQ(edge_limit_at(pin, 7_V)->origin.certainty, Certainty::assumed);
    EXPECT_FALSE(edge_limit_at(Pin{}, 5_V));
    EXPECT_FALSE(edge_limit_at(pin, 0_V));
}

/// Linear between the points of the curve, the way a reader of the header would.
double drop(const DriveCurve& curve, double amps) {
    for (std::size_t i = 1; i < curve.points.size(); ++i) {
        const DrivePoint &a = curve.points[i - 1], &b = curve.points[i];
        if (amps <= b.current.si() + 1e-15)
            return a.drop.si() +
                   (b.drop.si() - a.drop.si()) * (amps - a.current.si()) / (b.current.si() - a.current.si());
    }
    return curve.points.back().drop.si();
}

// SCES223T: VOH of LVC 1G125.
Pin lvc_output() {
    Pin pin;
    pin.high.push_back({from(1.65, 5.5), 0.1_mA, {1, Volts(-0.1)}, printed});
    for (const auto& [v, ma, level] :
         {std::array{1.65, 4.0, 1.2}, {2.3, 8.0, 1.9}, {3.0, 16.0, 2.4}, {3.0, 24.0, 2.3}, {4.5, 32.0, 3.8}})
        pin.high.push_back({at(v), Amps(ma * 1e-3), volts(level), printed});
    return pin;
}

TEST(DriveCurve, GivesBackPrintedRows) {
    const Pin pin = lvc_output();
    for (const DriveRow& row : pin.high) {
        const Volts v = row.supply.lo;
        const auto curve = drive_curve(pin, true, v);
        ASSERT_TRUE(curve && curve->exact);
        EXPECT_EQ(curve->points.front().current, Amps{});
        EXPECT_EQ(curve->points.front().drop, Volts{});
        EXPECT_NEAR(drop(*curve, row.at.si()), (v - row.level.at(v)).si(), 1e-12) << v.si();
    }
    EXPECT_FALSE(drive_curve(pin, false, 3_V));
}

TEST(DriveCurve, BetweenSuppliesTheLineThroughBothCurves) {
    const auto curve = drive_curve(lvc_output(), true, 3.75_V);
    ASSERT_TRUE(curve && curve->exact);
    // At 24 mA: 0.7 V at 3.0 V; at 4.5 V the straight line from the origin through 32 mA, 0.7 V gives 0.525
    // V.
    EXPECT_NEAR(drop(*curve, 24e-3), (0.7 + 0.7 * 24 / 32) / 2, 1e-12);
    EXPECT_NEAR(drop(*curve, 0.1e-3), 0.1, 1e-12);
}

TEST(DriveCurve, AboveTheHighestRowItHoldsAndBelowTheLowestItIsAssumed) {
    const auto above = drive_curve(lvc_output(), true, 5.5_V);
    EXPECT_TRUE(above->exact);
    EXPECT_EQ(above->origin.certainty, Certainty::guaranteed);
    EXPECT_NEAR(drop(*above, 32e-3), 0.7, 1e-12);
    const auto below = drive_curve(lvc_output(), true, 1.5_V);
    EXPECT_FALSE(below->exact);
    EXPECT_EQ(below->origin.certainty, Certainty::assumed);
}

TEST(DriveCurve, NeverFallsWithCurrentOrRisesWithSupply) {
    EXPECT_TRUE(rc::check("drop is monotone in current, and in supply if the rows are", [] {
        Pin pin;
        double v = 1.5, ohms = 400;
        for (int group = 0; group < 3; ++group) {
            v += *rc::gen::inRange(1, 100) / 50.0;
            ohms *= *rc::gen::inRange(30, 100) / 100.0;
            const double ma = *rc::gen::inRange(1, 20);
            for (int k = 1; k <= 2; ++k)
                pin.low.push_back({at(v), Amps(k * ma * 1e-3), volts(ohms * k * ma * 1e-3), printed});
        }
        const Volts s{*rc::gen::inRange(1400, 7000) / 1000.0}, more = s + 0.2_V;
        const auto a = drive_curve(pin, false, s), b = drive_curve(pin, false, more);
        for (std::size_t i = 1; i < a->points.size(); ++i) {
            RC_ASSERT(a->points[i - 1].current < a->points[i].current);
            RC_ASSERT(a->points[i - 1].drop <= a->points[i].drop);
        }
        const double amps = std::min(a->points.back().current, b->points.back().current).si();
        RC_ASSERT(drop(*b, amps) <= drop(*a, amps) + 1e-9);
    }));
}

}  // namespace
}  // namespace voltsill
