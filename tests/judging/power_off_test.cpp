/// What an ohmmeter shows: closed forms of series, parallel and bridged resistors.
#include "judging/power_off.h"

#include <gtest/gtest.h>

#include "support/hand_parts.h"

namespace voltsill {
namespace {

/// Nets a, b, c and resistors between them; `ohms` by pair ab, bc, ca.
Wiring triangle(double ab, double bc, double ca) {
    Wiring w;
    w.nets = {{.name = "ground", .ground = true}};
    for (const char* name : {"a", "b", "c"}) w.add_net(name);
    const auto add = [&](double ohms, NetId from, NetId to) {
        const int r = w.add_part("R", hand::resistor(), "");
        w.parts[r].value = ohms;
        w.parts[r].tolerance = 0.05;
        w.connect(r, "1", from);
        w.connect(r, "2", to);
    };
    add(ab, 1, 2), add(bc, 2, 3), add(ca, 3, 1);
    return w;
}

TEST(PowerOff, SeriesAndParallelResistors) {
    const Wiring w = triangle(1000, 2000, 3000);
    const std::vector<std::pair<NetId, NetId>> pairs = {{1, 2}, {2, 1}, {2, 3}, {3, 1}, {1, 1}, {0, 1}};
    const auto windows = resistances(Bench{}, w, pairs);
    const auto beside = [](double own, double way_round) { return own * way_round / (own + way_round); };
    // R of a side beside the two others in series.
    EXPECT_NEAR(windows[0].nominal, beside(1000, 5000), 1e-3);
    EXPECT_NEAR(windows[1].nominal, windows[0].nominal, 1e-6) << "leads exchanged";
    EXPECT_NEAR(windows[2].nominal, beside(2000, 4000), 1e-3);
    EXPECT_NEAR(windows[3].nominal, beside(3000, 3000), 1e-3);
    for (int k = 0; k < 4; ++k) {  // every resistor 5 % off the same way scales all resistances
        EXPECT_NEAR(windows[k].lo, 0.95 * windows[k].nominal, 1e-2);
        EXPECT_NEAR(windows[k].hi, 1.05 * windows[k].nominal, 1e-2);
        EXPECT_FALSE(windows[k].open());
    }
    EXPECT_EQ(windows[4].hi, 0.0);
    EXPECT_TRUE(windows[5].open()) << "nothing joins the triangle to ground";
}

TEST(PowerOff, WheatstoneBridge) {
    // Between the ends of a balanced bridge the middle resistor carries nothing: 2R beside 2R is R.
    Wiring w = triangle(1000, 1000, 5000);  // a-b, b-c, c-a: c-a is the bridge arm
    const NetId d = w.add_net("d");
    for (const NetId end : {NetId{1}, NetId{3}}) {
        const int r = w.add_part("R", hand::resistor(), "");
        w.parts[r].value = 1000;
        w.connect(r, "1", end);
        w.connect(r, "2", d);
    }
    const std::vector<std::pair<NetId, NetId>> pairs = {{2, d}};  // b to d; a and c are equal by symmetry
    EXPECT_NEAR(resistances(Bench{}, w, pairs)[0].nominal, 1000.0, 1e-3);
}

/// A rail at rest shows what was wired to it, not the stand-in for parts that draw from it; leads either way round.
TEST(PowerOff, RailToGroundShowsTheResistorsBetweenThem) {
    using namespace hand;
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), true)}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    b.resistor(10e3, "rail five", "ground", 0.05);
    const Wiring w = b.wiring();
    const NetId rail = w.rail("five"), other = w.rail("three"), ground = w.ground();
    const std::vector<std::pair<NetId, NetId>> pairs = {{rail, ground}, {ground, rail}, {other, ground}, {rail, other}};
    const auto windows = resistances(b.bench, w, pairs);
    for (int k = 0; k < 2; ++k) {
        EXPECT_NEAR(windows[k].nominal, 10e3, 1.0) << k;
        EXPECT_NEAR(windows[k].lo, 9.5e3, 1.0) << k;
        EXPECT_NEAR(windows[k].hi, 10.5e3, 1.0) << k;
    }
    EXPECT_TRUE(windows[2].open()) << windows[2].lo;
    EXPECT_TRUE(windows[3].open()) << windows[3].lo;
}

}  // namespace
}  // namespace voltsill
