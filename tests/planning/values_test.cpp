/// Values of the parts against arithmetic done here from the bench's own figures, not the planner's.
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <tuple>

#include "planning/assembly.h"
#include "quantity/preferred.h"
#include "quantity/print.h"
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

/// ln 9 Rth C (25 pF: 10 pF of pin, 15 pF of wire) within a tenth of a bit.
TEST(Values, DividerGetsStifferWithTheRate) {
    double last = 1e9;
    for (const char* rate : {"10 kHz", "1 MHz", "2 MHz", "5 MHz"}) {
        Two two = down;
        two.link = fmt::format("rate = \"{}\"", rate);
        const Plan p = planned(two, "divider");
        const double up = ohms_of(p, "upper"), low = ohms_of(p, "lower"), source = up * low / (up + low);
        const double hertz = std::string(rate) == "10 kHz" ? 1e4 : std::stod(rate) * 1e6;
        EXPECT_LE(std::log(9.0) * source * 25e-12, 0.1 / hertz * 1.0001) << rate;
        EXPECT_LE(source, last);
        last = source;
    }
}

/// Whoever computes a line again comes to what it prints, with the factor by which the judge judges the edge.
TEST(Values, EdgesAreSizedByTheFactorTheyAreJudgedBy) {
    for (const char* circuit : {"divider", "pull-up", "npn-inverter", "fet-inverter"}) {
        Two two = circuit == std::string("pull-up") ? bucket : down;
        two.link += "\ninvert = true";
        const Plan p = planned(two, circuit);
        const std::string& words = p.links.at(0).chosen->how_sized;
        const auto at = words.find("2.197 * ");
        ASSERT_NE(at, std::string::npos) << circuit << ": " << words;
        double ohms = 0, farads = 0, nanoseconds = 0;
        ASSERT_EQ(
            std::sscanf(words.c_str() + at, "2.197 * %lf kΩ * %lf pF = %lf ns rise", &ohms, &farads, &nanoseconds), 3)
            << words;
        EXPECT_NEAR(std::log(9.0) * ohms * farads, nanoseconds, 0.005 * nanoseconds) << words;
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

/// UM10204 rev 7, section 7.1: Rp >= (VDD - VOL) / IOL, of both sides as one sink takes both, and Rp <= tr / (0.8473
/// Cb). Wherever a value of E12 lies between, the plan has one; C: the wires', 10 pF of the FET, 10 pF of the pin.
TEST(Values, BusPullUpsLieInTheWindow) {
    int fits = 0, none = 0;
    for (const auto& [rate, rise] : {std::pair{"100 kHz", 1000e-9}, {"400 kHz", 300e-9}})
        for (const double wires : {15e-12, 40e-12, 60e-12, 75e-12, 120e-12, 170e-12, 300e-12}) {
            Two two = bus;
            two.link = fmt::format("kind = \"open-drain\"\nbus = \"I2C\"\nrate = \"{}\"", rate);
            two.tail = fmt::format("[wishes]\nwire_capacitance = \"{:.0f} pF\"", wires * 1e12);
            const Evaluated e = of(two.bench(), "two-way-fet");
            const double least = (3.399 - 0.4 + 5.25 - 0.4) / 3e-3 / 0.95,
                         most = rise / (0.8473 * (wires + 20e-12)) / 1.05;
            bool possible = false;
            for (const double ohms : {2.2e3, 2.7e3, 3.3e3, 3.9e3, 4.7e3, 5.6e3, 6.8e3, 8.2e3, 10e3})
                possible = possible || (least <= ohms && ohms <= most);
            EXPECT_EQ(e.would_serve, possible)
                << rate << ", " << wires * 1e12 << " pF: " << e.candidate.why_not << ' ' << e.recipe.how_sized;
            (possible ? fits : none) += 1;
        }
    EXPECT_GT(fits, 4);
    EXPECT_GT(none, 1);
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

/// 0.4 V under the lowest rail where no row is printed (common practice); the row with least current where one is.
TEST(Values, SurelyHighComesFromTheFirstPrintedRow) {
    Side side{.volts = {Volts{3.2}, Volts{3.3}, Volts{3.4}}};
    Pin pin{.role = PinRole::push_pull, .supply = 0};
    side.facts = &pin;
    EXPECT_NEAR(surely_high(side).si(), 2.8, 1e-12);
    const Span<Volts> any = Span<Volts>::between(Volts{3}, Volts{3.6});
    pin.high = {{any, Amps{4e-3}, {1, Volts{-0.5}}, {}}, {any, Amps{1e-3}, {1, Volts{-0.1}}, {}}};
    EXPECT_NEAR(surely_high(side).si(), 3.1, 1e-12);
}

/// A pull-up in operation goes to the supply, is no thing of the reset, and has not been taken off.
TEST(Values, OnlyWhatPullsUpInOperationIsAPullUp) {
    BenchPart part{.name = "M"};
    Pin pin{.name = "SDA"};
    Side side{.bench_part = &part, .facts = &pin};
    const auto pulls = [&](bool up, bool removable, bool at_reset, const char* removed) {
        pin.pulls = {{.up = up, .removable = removable, .at_reset = at_reset}};
        part.pulls_removed = {removed};
        return own_pull_up({side}) != nullptr;
    };
    EXPECT_TRUE(pulls(true, false, false, "SCL"));
    EXPECT_TRUE(pulls(true, true, false, "SCL"));
    EXPECT_FALSE(pulls(true, true, false, "SDA"));
    EXPECT_TRUE(pulls(true, false, false, "SDA")) << "nobody can take it off";
    EXPECT_FALSE(pulls(false, false, false, "SCL"));
    EXPECT_FALSE(pulls(true, false, true, "SCL"));
}

/// Alike crossings are tried once: a module with its pull-up off is not alike one with it on.
TEST(Values, APullTakenOffMakesAnotherCrossing) {
    Bench bench = bucket.bench();
    const std::string before = signature(crossings_of(bench)[0]);
    bench.parts[0].pulls_removed = {"OTHER"};
    EXPECT_EQ(signature(crossings_of(bench)[0]), before);
    bench.parts[0].pulls_removed = {"OUT"};
    EXPECT_NE(signature(crossings_of(bench)[0]), before);
}

/// 2.2 R C within 1 µs where no rate is stated: R <= 1 µs / (2.2 * 110 pF) = 4.1 kΩ, of E12 3.9 kΩ.
TEST(Values, PullUpWithoutARateTakesAMicrosecond) {
    Two two = bare;
    two.link = "";
    Bench bench = two.bench();
    bench.wishes.wire_capacitance = Farads{100e-12};
    EXPECT_NEAR(pull_up_for(crossings_of(bench)[0]), 3.9e3, 1.0);
    bench.links[0].rate = Hertz{1e6};  // 0.2 µs: the least that is common, 1 kΩ
    EXPECT_NEAR(pull_up_for(crossings_of(bench)[0]), 1e3, 1.0);
    bench.links[0].rate = Hertz{100};
    EXPECT_NEAR(pull_up_for(crossings_of(bench)[0]), 10e3, 1.0);
}

/// The module's 10 kΩ to 12 V under which 1 kΩ leaves a 1.2 V pin 1.09 V: a lower resistor of a tenth of the upper.
TEST(Values, ALowerResistorMayBeATenthOfTheUpper) {
    Two two = bucket;
    two.out_rail = "twelve", two.in = "CMOS input, 1.8 V", two.in_rail = "tiny";
    const Evaluated e = of(two.bench(), "divider");
    EXPECT_THAT(e.recipe.title, testing::StartsWith("1 kΩ to ground"));
}

/// Of the two pull-ups of a two-way FET only those that are missing are added, each to the rail of its side.
TEST(Values, TwoWayFetAddsThePullUpsThatAreMissing) {
    const char* const pull = "pulls = [{ to = \"supply\", ohms = \"10 kΩ\" }]";
    struct Pulled {
        const char *low, *high, *title;
        std::vector<std::string> rails;
    };
    const Two plain = bus;
    for (const Pulled& c : {Pulled{"", "", "pull-ups 4.7 kΩ", {"three", "five"}},
                            Pulled{pull, "", "pull-up 4.7 kΩ to rail five", {"five"}},
                            Pulled{"", pull, "pull-up 4.7 kΩ to rail three", {"three"}},
                            Pulled{pull, pull, "pull-ups as they are", {}}}) {
        Two two = plain;
        two.out_keys = fmt::format("max = \"supply + 0.3 V\"{}{}", *c.low ? ", " : "", c.low);
        two.in_keys = c.high;
        const Plan p = planned(two, "two-way-fet");
        EXPECT_THAT(p.links[0].chosen->title, testing::EndsWith(c.title));
        std::vector<std::string> rails;
        for (const WiredPart& part : p.wiring.parts)
            if (part.added && part.type->kind == PartKind::resistor)
                rails.push_back(p.wiring.nets[part.net_of_pin[0]].rail);
        EXPECT_EQ(rails, c.rails) << c.title;
    }
}

/// What a pull-up circuit says of pull-ups that are there: on the lower rail it stays, on others it is taken off.
TEST(Values, PullUpCircuitKeepsTheOneOnTheLowerRail) {
    const char* const pull = "pulls = [{ to = \"supply\", ohms = \"10 kΩ\", removable = true }]";
    Two two = bare;
    two.link += "\nkind = \"open-drain\"";
    two.in = "I2C pin", two.out = "I2C pin";
    two.out_keys = pull, two.in_keys = pull;
    const Recipe both = of(two.bench(), "pull-up").recipe;
    EXPECT_EQ(both.title, "the pull-up on rail three as it is, the module's at D.OUT taken off");
    EXPECT_THAT(both.pulls_removed, testing::ElementsAre("D.OUT"));
    two.in_keys = "";
    EXPECT_THAT(of(two.bench(), "pull-up").recipe.title,
                testing::EndsWith("to rail three, the module's at D.OUT taken off"));
    two.out_keys = "";
    const Recipe none = of(two.bench(), "pull-up").recipe;
    EXPECT_THAT(none.title, testing::EndsWith("to rail three"));
    EXPECT_LT(none.simplicity, both.simplicity);
    two.in_keys = pull;
    EXPECT_THAT(of(two.bench(), "pull-up").candidate.why_not, testing::HasSubstr("pull-up already"));
}

/// The relay takes (5.25 V - 1.0 V) / 950 Ω at most; a tenth of that through the
/// base from the controller's lowest high.
TEST(Values, BaseResistorOfALoadFollowsItsCurrent) {
    for (const Evaluated& e : tried(relay.bench())) {
        if (e.candidate.circuit != "load-driver" || !e.candidate.title.starts_with("npn")) continue;
        const Pin& in = *crossings_of(relay.bench())[0].receiver().facts;
        const double amps = (5.25 - in.load->forward.span.lo.si()) / in.load->ohms.span.lo.si();
        EXPECT_THAT(e.candidate.how_sized, testing::HasSubstr("load " + print(Amps{amps})));
        return;
    }
    FAIL() << "no npn";
}

/// Weights of the wishes, one at a time: what a score is made of (units: 100 a thin verdict).
TEST(Values, ScoresMoveWithTheWishesAlone) {
    Bench bench = down.bench();
    Wishes none;
    none.weight_margin = none.weight_stock = none.weight_parts = none.weight_cost = none.weight_simple =
        none.weight_teach = 0;
    none.margin = Volts{0.4};
    Candidate c{.verdict = Verdict::safe, .parts = 3, .price = 2, .in_stock = false};
    c.high_margin = 0.3, c.low_margin = 0.75;
    c.inverted = true;
    const Recipe r{.simplicity = 5};
    const auto score = [&](double Wishes::* weight) {
        bench.wishes = none;
        if (weight) bench.wishes.*weight = 1;
        return score_of(bench, c, r);
    };
    EXPECT_NEAR(score(nullptr), 0, 1e-12);
    EXPECT_NEAR(score(&Wishes::weight_margin), 4 * (1 - 0.3) + 50, 1e-9);  // short of the wish, and of a volt
    EXPECT_NEAR(score(&Wishes::weight_stock), 30, 1e-9);
    EXPECT_NEAR(score(&Wishes::weight_parts), 3, 1e-9);
    EXPECT_NEAR(score(&Wishes::weight_cost), 2, 1e-9);
    EXPECT_NEAR(score(&Wishes::weight_simple), 0.7 * 5, 1e-9);
    EXPECT_NEAR(score(&Wishes::weight_teach), 3, 1e-9);
    for (const auto& [verdict, worth] :
         {std::pair{Verdict::thin, 100.0}, {Verdict::unknown, 1000.0}, {Verdict::harmful, 5000.0}}) {
        c.verdict = verdict;
        EXPECT_NEAR(score(nullptr), worth, 1e-9);
    }
    c.verdict = Verdict::safe;
    Recipe removed = r;
    removed.pulls_removed = {"D.OUT"};
    EXPECT_NEAR(score_of(bench, c, removed) - score_of(bench, c, r), 2, 1e-9);
}

/// Nobody has said what R.IN reads: of what cannot be called safe, what swings over more of its supply scores better.
TEST(Values, WhereThresholdsAreUnknownMoreSwingIsBetter) {
    std::string text = up.text();
    const std::string like = "like = \"CMOS input, 5 V\"";
    text.replace(text.find(like), like.size(), "is = \"input\", max = \"6 V\", min = \"-0.3 V\"");
    const Bench bench = read(text);
    Evaluated direct, buffer;
    for (const Evaluated& e : tried(bench))
        if (e.leaves_unknown && e.candidate.circuit == "direct")
            direct = e;
        else if (e.leaves_unknown && e.candidate.circuit == "high-rail-buffer")
            buffer = e;
    ASSERT_TRUE(direct.leaves_unknown) << direct.candidate.why_not;
    ASSERT_TRUE(buffer.leaves_unknown) << buffer.candidate.why_not;
    // 40 for no swing at all: 3.3 V of 5 V costs a third of it, less the drop of the output;
    // the buffer's 5 V nearly none.
    const auto swing = [&](const Evaluated& e) {
        return (e.candidate.score - score_of(bench, e.candidate, e.recipe)) / 40;
    };
    EXPECT_NEAR(swing(direct), 1 - 3.0 / 5, 0.12);
    EXPECT_NEAR(swing(buffer), 0, 0.1);
}

/// A comparator compares the driver with its threshold, a follower repeats the divided voltage: the channel that is
/// used, not the spare one beside it.
TEST(Values, AmplifiersAreWiredAtTheChannelThatIsUsed) {
    Two slow = up;
    slow.link = "rate = \"1 kHz\"";
    for (const auto& [two, circuit, purpose] :
         {std::tuple{slow, "comparator", "threshold of signal"}, {analog, "follower", "lower resistor of signal"}}) {
        const Plan p = planned(two, circuit);
        const int u = p.wiring.part("U1");
        ASSERT_GE(u, 0) << circuit;
        const WiredPart& part = p.wiring.parts[u];
        const Channel& used = part.type->channels[0];
        const WiredPart* resistor = added(p.wiring, purpose);
        ASSERT_NE(resistor, nullptr) << circuit;
        const auto net = [&](int pin) { return part.net_of_pin[pin]; };
        EXPECT_EQ(net(used.output), p.wiring.net_at("R", "IN")) << circuit;
        const bool follows = std::string_view(circuit) == "follower";
        if (follows)
            EXPECT_EQ(net(used.inputs[1]), net(used.output));
        else
            EXPECT_EQ(net(used.inputs[0]), p.wiring.net_at("D", "OUT"));
        const NetId set = net(used.inputs[follows ? 0 : 1]);
        EXPECT_TRUE(std::ranges::count(resistor->net_of_pin, set) == 1) << circuit;
        EXPECT_NE(set, p.wiring.net_at("R", "IN"));
    }
}

}  // namespace
}  // namespace voltsill
