/// Currents of pins behind resistors: V = R * I at the Thevenin resistance, either way or as bipolar inputs say.
#include <gmock/gmock.h>

#include <random>

#include "judging/leaks.h"
#include "judging/scene.h"
#include "judging/settled_levels.h"
#include "support/hand_parts.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;
using ::testing::EndsWith;

Figure<Amps> at_most(double amps) { return {Span<Amps>::exactly(Amps{amps}), sheet}; }
Pin leaking(double amps) {
    Pin in = input("IN", ttl(), false);
    in.leakage = at_most(amps);
    return in;
}
Pin bipolar() {
    Pin in = input("IN", ttl(), true);
    in.input_low = at_most(0.4e-3), in.input_high = at_most(20e-6);
    return in;
}

/// D.OUT at 5 V through one resistor to R.IN, another from there to ground (none: 0).
Build through(double upper, double lower, Pin in, const char* receiver_rail = "three") {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {std::move(in)}, receiver_rail);
    b.resistor(upper, "D.OUT", "R.IN", 0.01);
    if (lower > 0) b.resistor(lower, "R.IN", "ground", 0.01);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

/// Worst of all corners: rail, output of 25 to 100 Ohm, both resistors of 1 %. The pin's own diode does not conduct.
struct Worst {
    double high = 1e9, low = -1e9;
};
Worst divider(double upper, double lower, double amps) {
    Worst w;
    for (const double a : {0.99, 1.01})
        for (const double b : {0.99, 1.01})
            for (const double out : {25.0, 100.0}) {
                const double r1 = upper * a + out, r2 = lower * b, r = r1 * r2 / (r1 + r2);
                w.high = std::min(w.high, 4.75 * r2 / (r1 + r2) - amps * r);
                w.low = std::max(w.low, amps * r);
            }
    return w;
}

/// 300 kOhm seen by a pin of 5 uA: neither level is read.
TEST(Leakage, ShiftsADividerThatAnOutputDrives) {
    const Build b = through(470e3, 820e3, leaking(5e-6));
    const Worst by_hand = divider(470e3, 820e3, 5e-6);
    const Judgement j = b.judge();
    const Found high = find_at(j, "high-level", "R"), low = find_at(j, "low-level", "R");
    ASSERT_TRUE(high && low);
    EXPECT_NEAR(high->value->value, by_hand.high, 2e-3);
    EXPECT_NEAR(low->value->value, by_hand.low, 2e-3);
    EXPECT_EQ(high->verdict, Verdict::unreadable);
    EXPECT_EQ(low->verdict, Verdict::unreadable);
    EXPECT_THAT(low->arithmetic, EndsWith("; 0 V + 5 µA of leakage * 301.8 kΩ = 1.509 V"));
    EXPECT_NEAR(*j.links[0].low_margin, 0.8 - by_hand.low, 2e-3);
    for (const char* code : {"high-level", "low-level"})
        EXPECT_EQ(find_at(through(470e3, 820e3, leaking(0)).judge(), code, "R")->verdict, Verdict::safe) << code;
}

/// What a meter may read is bounded by the same.
TEST(Leakage, IsInWhatAMeterMayRead) {
    const Build b = through(470e3, 820e3, leaking(5e-6));
    const Wiring wiring = b.wiring();
    SettledLevels levels(b.bench, wiring);
    const Worst by_hand = divider(470e3, 820e3, 5e-6);
    levels.tell({{"D", "OUT", true}});
    EXPECT_NEAR(levels.at(wiring.part("R"), 0).lo, by_hand.high, 2e-3);
    levels.tell({{"D", "OUT", false}});
    EXPECT_NEAR(levels.at(wiring.part("R"), 0).hi, by_hand.low, 2e-3);
    EXPECT_EQ(levels.at(wiring.part("R"), 0).lo, 0) << "no pin pulls below its ground";
}

/// 100 Ohm of an output times 5 uA: half a millivolt.
TEST(Leakage, VanishesWhereAnOutputDrives) {
    Build b({three});
    b.module("D", {output("OUT")}, "three");
    b.module("R", {leaking(5e-6)}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    EXPECT_NEAR(*j.links[0].high_margin, 3.2 - 5e-6 * 100 - 2.0, 1e-6);
    EXPECT_NEAR(*j.links[0].low_margin, 0.8 - 5e-6 * 100, 1e-6);
}

/// 0.4 mA at a megohm would be 400 V: what lifts the line is the pin's own supply.
TEST(Leakage, LiftsNoFurtherThanTheSupplyItComesFrom) {
    const Found low = find_at(through(1e6, 1e6, leaking(0.4e-3)).judge(), "low-level", "R");
    ASSERT_TRUE(low);
    EXPECT_NEAR(low->value->value, 3.4, 1e-6);
    EXPECT_THAT(low->arithmetic, EndsWith(", no further than the supply = 3.4 V"));
}

/// IIL flows out of a pin that is low and lifts it; while it is high it does not count.
TEST(Leakage, IilLiftsALowAndIihLowersAHigh) {
    const Judgement j = through(4.7e3, 0, bipolar(), "five").judge();
    const Found low = find_at(j, "low-level", "R"), high = find_at(j, "high-level", "R");
    ASSERT_TRUE(low && high);
    EXPECT_NEAR(low->value->value, 0.4e-3 * (4.7e3 * 1.01 + 100), 2e-3);
    EXPECT_EQ(low->verdict, Verdict::unreadable);
    EXPECT_NEAR(high->value->value, 4.75 - 20e-6 * (4.7e3 * 1.01 + 100), 2e-3);
    EXPECT_EQ(high->verdict, Verdict::safe);
    EXPECT_THAT(low->arithmetic, testing::HasSubstr("400 µA of input current * 4.847 kΩ"));
}

TEST(Leakage, APullUpHoldsABipolarInputHigh) {
    Build b({five});
    b.module("D", {open_drain("OUT")}, "five");
    b.module("R", {bipolar()}, "five");
    b.join("D.OUT", "R.IN");
    b.resistor(10e3, "R.IN", "rail five", 0.01);
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    EXPECT_NEAR(*j.links[0].high_margin, 4.75 - 20e-6 * 10.1e3 - 2.0, 1e-3);
    EXPECT_GT(*j.links[0].low_margin, 0.4);
}

/// The corner is searched with currents to first order: where a diode just conducts it may be off by this, V.
constexpr double corner_error = 1e-4;

/// Two pins at two nodes of one network: no sample of figures and currents lies outside.
TEST(Leakage, NoRandomSampleBeatsTheBound) {
    Build b = through(100e3, 220e3, leaking(5e-6));
    b.module("S", {leaking(2e-6)}, "three");
    b.resistor(68e3, "R.IN", "S.IN");
    b.resistor(330e3, "S.IN", "ground");
    const Wiring wiring = b.wiring();
    const Circuit circuit = lower(b.bench, wiring);
    Effort effort;
    const Scene scene = scenes_of(b.bench, circuit, effort).front();
    const LeakSupplies supplies{[](Node) { return true; }, [](Node) { return 3.4; }};
    std::mt19937 random(20261128);
    int held = 0;
    for (const Island& island : scene.islands)
        for (const Combination& c : combinations(circuit, scene, island)) {
            const Leaks leaks = leaks_in(circuit, island, c.levels, supplies, [] { return std::vector<double>{}; });
            if (leaks.inflows.size() < 2) continue;
            Island with = island;
            for (const Inflow& i : leaks.inflows)
                with.net.add({.kind = DeviceKind::current,
                              .nodes = {ground_node, i.node},
                              .params = {with.net.add_parameter("leak", i.lo, 0, i.hi)}});
            with.partition = Partition(with.net, {});
            with.shape = -1;
            for (const Inflow& at : leaks.inflows) {
                Leaks here = leaks.seen_at(at.node);
                here.bottom = -100;
                for (Inflow& i : here.inflows) i.top = 100;  // the current sources below know neither ground nor supply
                const Range bound = range_of(island, c.levels, voltage_of(at.node), effort, &here);
                const Range dry = range_of(island, c.levels, voltage_of(at.node), effort);
                EXPECT_GT(bound.hi - bound.lo, dry.hi - dry.lo + 0.3);
                std::vector<double> values = with.net.nominal_values(), volts;
                for (unsigned sample = 0; sample < made::how_many(2000); ++sample, ++held) {
                    for (std::size_t p = 0; p < values.size(); ++p) {
                        const Parameter& q = with.net.parameters[p];
                        const bool at_an_end = sample % 2 == 0;
                        values[p] = at_an_end ? (random() % 2 ? q.lo : q.hi)
                                              : std::uniform_real_distribution(q.lo, std::nextafter(q.hi, 1e9))(random);
                    }
                    ASSERT_TRUE(solve(with, c.levels, values, volts, effort));
                    EXPECT_GE(volts[at.node], bound.lo - corner_error) << c.words;
                    EXPECT_LE(volts[at.node], bound.hi + corner_error) << c.words;
                }
            }
        }
    EXPECT_GT(held, 100);
}

}  // namespace
}  // namespace voltsill
