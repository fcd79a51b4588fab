/// Values of the parts against arithmetic done here from the bench's own figures, not the planner's.
#include <gmock/gmock.h>

#include <cmath>

#include "quantity/preferred.h"
#include "sample.h"

namespace voltsill {
namespace {

using namespace sample;

double ohms_of(const Plan& p, std::string_view purpose) {
    const WiredPart* part = added(p.wiring, purpose);
    EXPECT_NE(part, nullptr) << purpose;
    return part && part->value ? *part->value : NAN;
}
Plan planned(Two two, std::string_view circuit) {
    two.link += fmt::format("\ninterface = \"{}\"", circuit);
    Plan p = plan(two.bench());
    EXPECT_TRUE(p.links.at(0).chosen && p.links[0].chosen->circuit == circuit) << circuit;
    return p;
}
bool in_series(Series s, double ohms) { return std::abs(*nearest(s, ohms) / ohms - 1) < 1e-9; }

/// LVTTL pin: VIH 2.0 V (JESD8C.01), stands 3.2 V + 0.3 V; driver 5.25 V at most, 4.75 V - 0.1 V at least.
TEST(Values, DividerKeepsBothEndsOfItsWindow) {
    const Plan p = planned(down, "divider");
    const double up = ohms_of(p, "upper"), low = ohms_of(p, "lower"), t = 0.05;
    EXPECT_LE(5.25 * low * (1 + t) / (low * (1 + t) + up * (1 - t)), 3.201 + 0.3);
    EXPECT_LE(5.0 * low / (low + up), 3.3);
    EXPECT_GE(4.65 * low * (1 - t) / (low * (1 - t) + up * (1 + t)) - 2.0, 0.4);
    EXPECT_LE(up * low / (up + low), 6.8e3);
    for (double r : {up, low}) EXPECT_TRUE(in_series(Series::E12, r)) << r;
    EXPECT_EQ(p.links[0].chosen->verdict, Verdict::safe);
}

/// 2.2 Rth C (25 pF: 10 pF of pin, 15 pF of wire) within a tenth of a bit.
TEST(Values, DividerGetsStifferWithTheRate) {
    double last = 1e9;
    for (const char* rate : {"10 kHz", "1 MHz", "2 MHz", "5 MHz"}) {
        Two two = down;
        two.link = fmt::format("rate = \"{}\"", rate);
        const Plan p = planned(two, "divider");
        const double up = ohms_of(p, "upper"), low = ohms_of(p, "lower"), source = up * low / (up + low);
        const double hertz = std::string(rate) == "10 kHz" ? 1e4 : std::stod(rate) * 1e6;
        EXPECT_LE(2.2 * source * 25e-12, 0.1 / hertz * 1.0001) << rate;
        EXPECT_LE(source, last);
        last = source;
    }
}

TEST(Values, DividerIntoAConverterUsesItsRangeAndNoMore) {
    const Plan p = planned(analog, "divider");
    const double up = ohms_of(p, "upper"), low = ohms_of(p, "lower"), t = 0.05;
    EXPECT_LE(4.5 * low * (1 + t) / (low * (1 + t) + up * (1 - t)), 3.201);  // full scale is the rail
    EXPECT_GE(4.5 * low / (low + up), 0.85 * 3.3);
    EXPECT_LE(up * low / (up + low) + 1000, 10e3);  // the pin wants 10 kΩ; the source has 1 kΩ
}

/// The module's 10 kΩ ± 5 % is the upper resistor; the pin stands 3.5 V, 3.3 V nominal.
TEST(Values, ResistorUnderAModulesPullUp) {
    const Plan p = planned(bucket, "divider");
    const double low = ohms_of(p, "lower");
    EXPECT_LE(5.25 * low * 1.05 / (low * 1.05 + 9.5e3), 3.501);
    EXPECT_LE(5.0 * low / (low + 10e3), 3.3);
    EXPECT_GT(4.75 * low * 0.95 / (low * 0.95 + 10.5e3), 0.7 * 3.399);
    EXPECT_EQ(count_of(p.wiring, PartKind::resistor), 1);
}

/// UM10204 rev 7: 3 mA sink at 0.4 V, 1000 ns rise at 100 kHz with tr = 0.8473 R C.
TEST(Values, BusPullUpsSatisfyTheBusStandard) {
    const Plan p = planned(bus, "two-way-fet");
    const double low = ohms_of(p, "pull-up"),
                 sink = (3.399 - 0.4) / (0.95 * low) + (5.25 - 0.4) / (0.95 * low);
    EXPECT_LE(sink, 3e-3);
    EXPECT_LE(0.8473 * 1.05 * low * 60e-12, 1000e-9);
    EXPECT_EQ(count_of(p.wiring, PartKind::resistor), 2);
}

TEST(Values, FastBusGetsSmallerPullUps) {
    Two fast = bus;
    fast.link = "kind = \"open-drain\"\nbus = \"I2C\"\nrate = \"400 kHz\"";
    EXPECT_LT(ohms_of(planned(fast, "pass-gate"), "pull-up"), ohms_of(planned(bus, "pass-gate"), "pull-up"));
}

/// Forced gain 10 or better from VOH min 4.65 V and VBE 0.85 V; the relay takes (5.25 - 1.0) / 950 Ω.
TEST(Values, BaseResistorsSaturateTheTransistor) {
    Two inverting = down;
    inverting.link += "\ninvert = true";
    const Plan p = planned(inverting, "npn-inverter");
    const double collector = 3.399 / ohms_of(p, "pull-up"),
                 base = (4.65 - 0.85) / ohms_of(p, "base resistor");
    EXPECT_GE(base, collector / 10 * 0.999);
}

/// LED current and CTR 50 %: the collector resistor needs no more than half of what the output gives.
TEST(Values, OptocouplerHasTwiceTheCurrentItNeeds) {
    Two slow = down;
    slow.link = "rate = \"1 kHz\"\ninvert = true";
    const Plan p = planned(slow, "opto");
    const double led = (4.65 * 0.95 - 1.4) / ohms_of(p, "LED"), collector = 3.399 / ohms_of(p, "pull-up");
    EXPECT_GE(0.5 * led, 2 * collector * 0.999);
    EXPECT_LT(led, 0.02);
}

TEST(Values, FinerSeriesOfTheStockIsTaken) {
    Two fine = down;
    fine.tail = "[stock]\n\"resistor E96\" = \"100 Ω .. 100 kΩ\"\n";
    const Plan p = planned(fine, "divider");
    for (const char* which : {"upper", "lower"}) EXPECT_TRUE(in_series(Series::E96, ohms_of(p, which)));
}

}  // namespace
}  // namespace voltsill
