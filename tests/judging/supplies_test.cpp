/// Rails, grounds, budgets and dead supplies; unknown figures.
#include <gtest/gtest.h>

#include <algorithm>

#include "judging/partial.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

Build pair_on(Rail a, Pin out, Rail b, Pin in) {
    Build build({a, b});
    if (a.name == b.name) build.bench.rails.pop_back();
    out.name = "OUT";
    in.name = "IN";
    build.module("D", {out}, a.name);
    build.module("R", {in}, b.name);
    build.join("D.OUT", "R.IN");
    build.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return build;
}

void change(Build& b, size_t part, const std::function<void(PartType&)>& how) {
    auto type = std::make_shared<PartType>(*b.bench.parts[part].type);
    how(*type);
    b.bench.parts[part].type = type;
}

/// A row for 4.5 to 5.5 V says little of 6 V and nothing of 12 V.
TEST(Supplies, StretchedThresholdsAreToldAndFarOnesAreUnknown) {
    const auto on = [](double volts) {
        Rail rail = five;
        rail.volts.span = Span<Volts>::exactly(Volts{volts});
        Build b = pair_on(rail, output(""), rail, input("", ttl(), false));
        for (const size_t part : {0, 1})
            change(b, part, [](PartType& t) {
                t.supplies[0].range = Span<Volts>::between(Volts{4.5}, Volts{15}), t.supplies[0].max = Volts{18};
                for (ThresholdRow& row : t.pins[0].thresholds)
                    row.supply = Span<Volts>::between(Volts{4.5}, Volts{5.5});
            });
        return b.judge();
    };
    const Judgement at_five = on(5), at_six = on(6), at_twelve = on(12);
    EXPECT_EQ(find(at_five.findings, "high-level")->limit->what.find("stretched"), std::string::npos);
    EXPECT_NE(find(at_six.findings, "high-level")->limit->what.find("stretched from its row for 5 V ± 10 %"),
              std::string::npos)
        << find(at_six.findings, "high-level")->limit->what;
    EXPECT_NE(find(at_six.findings, "high-level")->sentence.find("stretched to 6 V"), std::string::npos);
    ASSERT_NE(find(at_twelve.findings, "threshold-unknown"), nullptr);
    EXPECT_GE(at_twelve.verdict, Verdict::unknown);
    EXPECT_EQ(find(at_twelve.findings, "high-level"), nullptr);
    const std::string advice = find(at_twelve.findings, "threshold-unknown")->advice;
    EXPECT_NE(advice.find("VIH is 11.6 V or less and VIL 400 mV or more"), std::string::npos)
        << advice;  // 0.4 V is wanted
}

TEST(Supplies, APartWithoutSupplyHasNoThresholds) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "R.VCC"; });
    const Judgement j = b.judge();
    int bands = 0;
    for (const LevelBand& band : j.links[0].levels) {
        if (band.point != "R.IN") continue;
        EXPECT_FALSE(band.threshold) << *band.threshold;
        ++bands;
    }
    EXPECT_EQ(bands, 2);
}

TEST(Supplies, BudgetCountsWhatPartsState) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    for (const auto& [milliamps, verdict] :
         {std::pair{3.0, Verdict::safe}, {2.2, Verdict::thin}, {1.5, Verdict::unreadable}}) {
        b.bench.rails[0].limit = Amps{milliamps * 1e-3};
        const Found f = find(b.judge().findings, "rail-budget");  // 1 mA each
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, 2e-3, 1e-12);
        EXPECT_EQ(f->verdict, verdict) << milliamps;
    }
}

TEST(Supplies, EveryRailHasItsBudget) {
    Build b = pair_on(five, output(""), three, input("", ttl(), true));
    for (Rail& rail : b.bench.rails) rail.limit = Amps{0.5e-3};
    int over = 0;
    for (const Finding& f : b.judge().findings)
        if (f.code == "rail-budget" && f.verdict == Verdict::unreadable) ++over;
    EXPECT_EQ(over, 2);
}

/// A linear regulator takes what it gives: a made rail counts on the one that feeds its maker.
TEST(Supplies, BudgetCountsMadeRailsAndNamesWhoDraws) {
    Build b = pair_on(five, output(""), three, input("", ttl(), true));
    change(b, 0, [](PartType& t) {
        t.supplies.push_back(port("OUT3", 3.2, 3.4, 4));
        t.supplies.back().provides = three.volts.span;
        t.pins.push_back(supply_pin("OUT3", 1));
    });
    b.bench.rails[0].limit = Amps{10e-3};
    b.bench.rails[1].from = "D.OUT3";
    b.bench.parts[0].supplies = {{"VCC", "five"}, {"OUT3", "three"}};
    change(b, 1, [](PartType& t) { t.supplies[0].current = {Span<Amps>::exactly(Amps{7e-3}), sheet}; });
    const Found f = find(b.judge().findings, "rail-budget");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 8e-3, 1e-12);
    EXPECT_EQ(f->arithmetic, "7 mA R + 1 mA D = 8 mA, of 10 mA");
}

TEST(Supplies, TooLowForThePart) {
    Build b = pair_on(three, output(""), three, input("", ttl(), false));
    change(b, 1, [](PartType& t) { t.supplies[0].range = Span<Volts>::between(Volts{4.5}, Volts{5.5}); });
    const Found f = find(b.judge().findings, "supply-too-low");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->margin, 3.2 - 4.5, 1e-9);
    // Where the rail is lowest decides.
    for (const auto& [lowest, low] : {std::pair{4.45, true}, {4.5, false}}) {
        Build weak = pair_on(rail("five", lowest, 5.0), output(""), rail("five", lowest, 5.0), input("", ttl(), false));
        change(weak, 1, [](PartType& t) { t.supplies[0].range = Span<Volts>::between(Volts{4.5}, Volts{5.5}); });
        EXPECT_EQ(find(weak.judge().findings, "supply-too-low") != nullptr, low) << lowest;
    }
}

TEST(Supplies, AboveTheAbsoluteMaximumSaysSo) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    change(b, 1, [](PartType& t) {
        t.supplies[0].range = Span<Volts>::between(Volts{1.65}, Volts{3.6}), t.supplies[0].max = Volts{4.6};
    });
    const Found f = find(b.judge().findings, "supply-too-high");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->limit->value, 4.6, 1e-12);
    EXPECT_EQ(f->limit->what, "absolute maximum supply");
}

TEST(Supplies, PartWithoutSupplyWire) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "R.VCC"; });
    const Judgement j = b.judge();
    ASSERT_NE(find(j.findings, "no-supply"), nullptr);
    EXPECT_EQ(find(j.findings, "no-supply")->part, "R");
}

TEST(Supplies, PartWithoutGroundWire) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "R.GND"; });
    const Judgement j = b.judge();
    ASSERT_NE(find(j.findings, "no-common-ground"), nullptr);
    EXPECT_EQ(find(j.findings, "no-common-ground")->part, "R");
}

TEST(Supplies, TolerantInputsDoNotLiftADeadRail) {
    EXPECT_EQ(find(pair_on(five, output(""), three, input("", ttl(), true)).judge().findings, "back-powering"),
              nullptr);
    EXPECT_NE(
        find(pair_on(five, output(""), three, input("", ttl(), false)).judge().findings, "back-powering", "three down"),
        nullptr);
}

/// Rails made by one part from one feed go down with it: no state has one without the other.
TEST(Supplies, RailMadeFromAnotherGoesDownWithIt) {
    Build b = pair_on(five, output(""), three, input("", ttl(), false));
    auto regulator = std::make_shared<PartType>();
    regulator->name = "regulator";
    regulator->supplies = {port("IN", 4.5, 12, 15), port("OUT", 3.2, 3.4, 4)};
    regulator->supplies[1].provides = Span<Volts>::between(Volts{3.2}, Volts{3.4});
    regulator->pins = {supply_pin("IN", 0), supply_pin("OUT", 1), ground_pin()};
    b.part("REG", regulator, {"five", "three"});
    b.bench.parts.back().supplies = {{"IN", "five"}};
    b.bench.rails[1].from = "REG.OUT";
    for (const Finding& f : b.judge().findings)
        EXPECT_EQ(f.state.find("three down"), f.state.find("five down, three down") == std::string::npos
                                                  ? std::string::npos
                                                  : f.state.find("three down"))
            << f.state;
}

TEST(Ratings, PinAboveItsRecommendedRange) {
    Pin in = input("", ttl(), true);
    in.range_max = Level{1, {}};  // recommended up to its supply, absolute maximum 6.5 V
    Build b = pair_on(five, output(""), three, in);
    const Found f = find(b.judge().findings, "above-recommended", "all rails up");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::thin);
    EXPECT_NEAR(f->margin, 3.3 - 5.0, 2e-3);
}

TEST(Ratings, UnknownRatingSaysWhatWouldDo) {
    Pin in = input("", ttl(), true);
    in.max.reset();
    const Judgement j = pair_on(five, output(""), three, in).judge();
    const Found f = find(j.findings, "rating-unknown", "all rails up");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::unknown);
    EXPECT_NE(f->advice.find("5 V"), std::string::npos);
    EXPECT_NEAR(f->margin, 3.3 + 0.3 - 5.0, 2e-3);
    EXPECT_EQ(j.links[0].verdict, Verdict::unknown);
}

TEST(Ratings, LevelsBelowGround) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.from == "D.OUT"; });
    Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};  // as a line driver for RS-232: -6 V
    out.analog_range = Span<Volts>::between(Volts{-6}, Volts{6});
    out.output_ohms = {Span<Ohms>::exactly(Ohms{300}), sheet};
    change(b, 0, [&](PartType& t) { t.pins[0] = out; });
    b.join("D.OUT", "R.IN");
    change(b, 1, [](PartType& t) { t.pins[0].clamp_to_ground = t.pins[0].clamp_to_supply = false; });
    const Found f = find(b.judge().findings, "under-voltage");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, -6.0, 1e-3);
    EXPECT_NEAR(f->limit->value, -0.5, 1e-9);
    EXPECT_NEAR(f->margin, -6.0 + 0.5, 1e-3);
}

/// The nominal value of a source says nothing about the top of its range.
TEST(Ratings, TopOfAnAnalogRangeCounts) {
    Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
    out.analog_range = Span<Volts>::between(Volts{0}, Volts{9});
    out.output_ohms = {Span<Ohms>::exactly(Ohms{300}), sheet};
    const Found f = find(pair_on(five, out, three, input("", ttl(), true)).judge().findings, "over-voltage");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 9.0, 1e-3);
}

TEST(Ratings, PermittedInjectionIsThin) {
    Pin in = input("", ttl(), false);
    in.injection_allowed = {Span<Amps>::exactly(Amps{5e-3}), sheet};
    Build b = pair_on(five, output(""), three, in);
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.from == "D.OUT"; });
    b.resistor(10e3, "D.OUT", "R.IN");
    EXPECT_EQ(find(b.judge().findings, "over-voltage", "all rails up")->verdict, Verdict::thin);
    b.resistor(100, "D.OUT", "R.IN");  // 10 mA and more
    EXPECT_EQ(find(b.judge().findings, "over-voltage", "all rails up")->verdict, Verdict::harmful);
}

TEST(Rates, AddedPartTooSlowForTheLink) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.from == "D.OUT"; });
    auto slow = std::make_shared<PartType>(*stock("HC 541"));
    slow->rate_max = Hertz{1e6};
    b.added("U1", slow, {"five"});
    b.join("U1.A1", "D.OUT");
    b.join("U1.Y1", "R.IN");
    b.join("U1.OE1", "ground");
    b.join("U1.OE2", "ground");
    b.bench.links[0].rate = Hertz{5e6};
    const Found f = find(b.judge().findings, "too-fast");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->part, "U1");
    b.bench.links[0].rate = Hertz{5e5};
    EXPECT_EQ(find(b.judge().findings, "too-fast"), nullptr);
}

TEST(Paths, StuckLineHasNoSwing) {
    Build b = pair_on(five, output("", 0.4), five, input("", ttl(), false));
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.from == "D.OUT"; });
    b.resistor(100e3, "D.OUT", "R.IN", 0.0);
    for (const char* to : {"ground", "rail five"}) {
        Build stuck = b;
        stuck.resistor(100, "R.IN", to, 0.0);
        const Found f = find(stuck.judge().findings, "no-swing");
        ASSERT_NE(f, nullptr) << to;
        EXPECT_NEAR(f->value->value, 5.0 * 100 / 100.15e3, 1e-4)
            << to;  // 5 V over 100 kΩ, 100 Ω and 50 Ω of the output
        EXPECT_NEAR(f->margin, f->value->value - 0.1, 1e-12);
    }
}

/// Eight lamps of 1 kOhm, each less than an output stands, together more than a part's supply pins do.
TEST(Supplies, OutputsTogetherOverloadTheirPart) {
    for (const double limit : {30e-3, 50e-3, 60e-3, 100e-3}) {
        std::vector<Pin> outs;
        for (int k = 1; k <= 8; ++k) outs.push_back(output("O" + std::to_string(k)));
        auto type = std::make_shared<PartType>(*hand::module("driver", outs));
        type->supply_current_max = {Span<Amps>::between(Amps{}, Amps{limit}), sheet};
        Build b({rail("five", 5, 5)});
        b.part("D", type, {"five"});
        for (int k = 1; k <= 8; ++k) b.resistor(1e3, "D.O" + std::to_string(k), "ground", 0.0);
        const Judgement j = b.judge();
        const Found f = find(j.findings, "part-overload");
        // typical output 50 Ohm: 8 * 5 V / 1050 Ohm = 38.1 mA
        if (limit > 80e-3) {
            EXPECT_EQ(f, nullptr);
            continue;
        }
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, 8 * 5.0 / 1050, 1e-5);
        EXPECT_EQ(f->verdict, limit < 38e-3   ? Verdict::harmful
                              : limit < 54e-3 ? Verdict::thin
                                              : Verdict::safe);  // 70 %
        EXPECT_NEAR(f->margin, limit - f->value->value, 1e-12);
    }
}

/// An integrated circuit the other way round has its supply pin on ground and its ground pin on the rail:
/// by the figures of hand_parts.h -5.25 V at the worst against -0.5 V.
TEST(Supplies, APartTheOtherWayRoundIsHarmed) {
    Build right({rail("five", 4.75, 5.25)});
    right.module("M", {input("IN", ttl(), true)}, "five");
    EXPECT_EQ(find(right.judge().findings, "supply-reversed"), nullptr);
    Wiring turned = right.wiring();
    WiredPart& part = turned.parts[turned.part("M")];
    std::swap(part.net_of_pin[part.type->pin_index("VCC")], part.net_of_pin[part.type->pin_index("GND")]);
    const auto found = find(judge(right.bench, turned).findings, "supply-reversed");
    ASSERT_TRUE(found);
    EXPECT_EQ(found->verdict, Verdict::harmful);
    EXPECT_NEAR(found->value->value, -5.25, 1e-9);
    EXPECT_NEAR(found->limit->value, -0.5, 1e-9);
    EXPECT_NEAR(found->margin, -5.25 + 0.5, 1e-9);
}

/// A wiring in which a rail of the bench has no net of its own: holes joined it to another supply.
TEST(Supplies, ARailWithoutANetOfItsOwnIsJoined) {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    build.module("M", {input("IN", ttl(), true)}, "five");
    Wiring wiring = build.wiring();
    EXPECT_EQ(find(judge(build.bench, wiring).findings, "supplies-joined"), nullptr);
    wiring.nets[wiring.rail("three")].rail.clear();
    const auto found = find(judge(build.bench, wiring).findings, "supplies-joined");
    ASSERT_TRUE(found);
    EXPECT_EQ(found->verdict, Verdict::harmful);
    EXPECT_EQ(found->net, "rail three");
}

/// By hand: (5.25 - 3.2) V times what the made rail gives; 0.4 A are 820 mW, 0.6 A 1.23 W.
TEST(Supplies, ARegulatorTurnsItsDropIntoHeat) {
    Build b = pair_on(five, output(""), three, input("", ttl(), true));
    EXPECT_EQ(find(b.judge().findings, "regulator-heat"), nullptr) << "two supplies of their own";
    b.bench.rails[1].from = "D.OUT3";
    for (const auto& [amps, verdict] : {std::pair{0.4, Verdict::safe}, {0.6, Verdict::thin}}) {
        change(b, 1, [&](PartType& t) { t.supplies[0].current = {Span<Amps>::exactly(Amps{amps}), sheet}; });
        change(b, 0, [](PartType& t) {
            t.supplies.resize(1);
            std::erase_if(t.pins, [](const Pin& p) { return p.name == "OUT3"; });
            t.supplies.push_back(port("OUT3", 3.2, 3.4, 4));
            t.supplies.back().provides = three.volts.span;
            t.pins.push_back(supply_pin("OUT3", 1));
        });
        b.bench.parts[0].supplies = {{"VCC", "five"}, {"OUT3", "three"}};
        const Found f = find(b.judge().findings, "regulator-heat");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, (5.25 - 3.2) * amps, 1e-9);
        EXPECT_EQ(f->verdict, verdict);
        EXPECT_EQ(f->part, "D");
        EXPECT_NE(f->arithmetic.find("(5.25 V - 3.2 V) * "), std::string::npos) << f->arithmetic;
    }
}

/// The six who draw most are named, the rest added up; who states no current is named as not counted.
TEST(Supplies, BudgetNamesSixAndAddsUpTheRest) {
    Build b({rail("five", 5, 5)});
    b.bench.rails[0].limit = Amps{1.0};
    const auto drawing = [](std::optional<double> amps) {
        auto type = std::make_shared<PartType>(*hand::module("drain", {}));
        type->supplies[0].current = {};
        if (amps) type->supplies[0].current = {Span<Amps>::exactly(Amps{*amps}), sheet};
        return type;
    };
    for (int k = 1; k <= 8; ++k) b.part("P" + std::to_string(k), drawing(k * 10e-3), {"five"});
    b.part("S1", drawing({}), {"five"});
    b.part("S2", drawing({}), {"five"});
    const Found f = find(b.judge().findings, "rail-budget");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 0.36, 1e-9);
    EXPECT_EQ(f->arithmetic,
              "80 mA P8 + 70 mA P7 + 60 mA P6 + 50 mA P5 + 40 mA P4 + 30 mA P3 + 30 mA of 2 more = 360 mA, of 1 A "
              "(not counted, no figure: S1, S2)");
    for (const auto& [limit, verdict] :
         {std::pair{0.5, Verdict::safe}, {0.44, Verdict::thin}, {0.35, Verdict::unreadable}}) {
        b.bench.rails[0].limit = Amps{limit};  // thin above 80 %
        EXPECT_EQ(find(b.judge().findings, "rail-budget")->verdict, verdict) << limit;
    }
}

/// By hand: 5.25 V over two of 950 Ω in series are 2.76 mA, over one of them alone 5.53 mA.
TEST(Supplies, BudgetCountsWhatResistorsTake) {
    Build b({rail("five", 4.75, 5.25), three});
    b.module("R", {input("IN", ttl(), false)}, "three");
    b.resistor(1e3, "rail five", "R.IN");
    b.resistor(1e3, "R.IN", "ground");
    b.resistor(1e3, "rail five", "ground");
    for (const auto& [milliamps, verdict] :
         {std::pair{11.0, Verdict::safe}, {10.0, Verdict::thin}, {8.0, Verdict::unreadable}}) {
        b.bench.rails[0].limit = Amps{milliamps * 1e-3};
        const Found f = find(b.judge().findings, "rail-budget");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, 5.25 / 1900 + 5.25 / 950, 1e-6) << f->arithmetic;
        EXPECT_EQ(f->verdict, verdict) << milliamps;
    }
}

/// A high at a load takes its current from the rail of who drives it, and is told by its link.
TEST(Supplies, BudgetCountsWhatOutputsGive) {
    Build b = pair_on(rail("five", 4.75, 5.25), output(""), three, input("", ttl(), true));
    const auto drawn = [&] { return find(b.judge().findings, "rail-budget")->value->value; };
    b.bench.rails[0].limit = Amps{20e-3};
    const double before = drawn();
    b.resistor(1e3, "R.IN", "ground");
    const Found f = find(b.judge().findings, "rail-budget");
    EXPECT_GT(f->value->value - before, 4.75 / 1050 * 0.9);
    EXPECT_LE(f->value->value - before, 5.25 / 950 * (1 + 1e-9));
    EXPECT_NE(f->arithmetic.find("mA signal"), std::string::npos) << f->arithmetic;
}

/// A capacitor counts where it goes from the rail to ground, for the rail it is on.
TEST(Supplies, OnlyACapacitorFromRailToGroundDecouples) {
    Build b({five, three});
    for (const char* name : {"U1", "U2"}) {
        b.added(name, stock("HCT 541"), {"five"});
        b.join(std::string(name) + ".OE1", "ground");
    }
    const auto capacitor = [&](const char* name, const char* from, const char* to) {
        b.added(name, stock("capacitor"));
        b.join(std::string(name) + ".1", from);
        b.join(std::string(name) + ".2", to);
    };
    capacitor("C1", "rail five", "rail three");
    capacitor("C2", "rail three", "ground");
    const Found f = find(b.judge().findings, "missing-decoupling");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->arithmetic, "0 of 2 capacitors (U1, U2)");
    EXPECT_EQ(f->margin, -2);
    capacitor("C3", "rail five", "ground");
    EXPECT_EQ(find(b.judge().findings, "missing-decoupling")->arithmetic, "1 of 2 capacitors (U1, U2)");
    capacitor("C4", "ground", "rail five");
    EXPECT_EQ(find(b.judge().findings, "missing-decoupling"), nullptr);
}

TEST(Supplies, WhoDrawsNothingIsNotNamed) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    change(b, 1, [](PartType& t) { t.supplies[0].current = {Span<Amps>::exactly(Amps{0}), sheet}; });
    b.bench.rails[0].limit = Amps{3e-3};
    EXPECT_EQ(find(b.judge().findings, "rail-budget")->arithmetic, "1 mA D, of 3 mA");
}

/// Without a printed maximum the operating range is what a supply may be; 5.25 V against 3.6 V.
TEST(Supplies, WithoutAMaximumTheRangeIsTheLimit) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    change(b, 1, [](PartType& t) {
        t.supplies[0].range = Span<Volts>::between(Volts{1.65}, Volts{3.6}), t.supplies[0].max = {};
    });
    const Found f = find(b.judge().findings, "supply-too-high");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->limit->what, "operating range");
    EXPECT_NEAR(f->margin, 3.6 - 5.25, 1e-12);
}

/// A supply pin behind a resistor of unknown value may be fed by it; behind 1 kΩ it surely is not, and a capacitor, an
/// input or another supply pin beside it feeds nothing.
TEST(Supplies, OnlyWhatCouldFeedASupplyCounts) {
    const auto unsupplied = [](std::optional<double> ohms, bool others) {
        Build b = pair_on(five, output(""), five, input("", ttl(), false));
        std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "R.VCC"; });
        if (ohms) {
            b.resistor(*ohms, "R.VCC", "rail five");
            if (*ohms == 0) b.bench.wiring->parts.back().value.reset();
        }
        if (others) {
            b.added("C1", stock("capacitor"));
            b.join("C1.1", "R.VCC");
            b.join("C1.2", "ground");
            b.module("E", {input("IN", ttl(), false)}, "five");
            b.join("E.IN", "R.VCC");
        }
        return find_at(b.judge(), "no-supply", "R") != nullptr;
    };
    EXPECT_TRUE(unsupplied({}, false));
    EXPECT_TRUE(unsupplied({}, true));
    EXPECT_TRUE(unsupplied(1e3, true));
    EXPECT_FALSE(unsupplied(100.0, false)) << "a filter";
    EXPECT_FALSE(unsupplied(0.0, false)) << "nobody has said how many ohms";
}

/// A part without a ground pin is asked for none, nor is it the wrong way round.
TEST(Supplies, APartWithoutAGroundPinMissesNone) {
    Build b = pair_on(five, output(""), five, input("", ttl(), false));
    change(b, 1, [](PartType& t) { t.pins.pop_back(); });
    std::erase_if(b.bench.wiring->wires, [](const Wire& w) { return w.to == "R.GND"; });
    const Judgement j = b.judge();
    EXPECT_EQ(find_at(j, "no-common-ground", "R"), nullptr);
    EXPECT_EQ(find_at(j, "supply-reversed", "R"), nullptr);
    Build first = pair_on(five, output(""), five, input("", ttl(), false));  // its ground is the first of its pins
    change(first, 1, [](PartType& t) { std::ranges::rotate(t.pins, t.pins.end() - 1); });
    std::erase_if(first.bench.wiring->wires, [](const Wire& w) { return w.to == "R.GND"; });
    EXPECT_NE(find_at(first.judge(), "no-common-ground", "R"), nullptr);
}

/// Two makers that feed each other make no sum without an end.
TEST(Supplies, MakersThatFeedEachOtherEnd) {
    Build b({rail("a", 5, 5), rail("b", 5, 5)});
    for (const auto& [name, in, out] : {std::tuple{"X", "a", "b"}, {"Y", "b", "a"}}) {
        auto maker = std::make_shared<PartType>(*hand::module(name, {}));
        maker->supplies.push_back(port("OUT", 4.5, 5.5, 6));
        maker->supplies.back().provides = Span<Volts>::exactly(Volts{5});
        maker->pins.push_back(supply_pin("OUT", 1));
        b.part(name, maker, {in, out});
        b.bench.parts.back().supplies = {{"VCC", in}, {"OUT", out}};
    }
    b.bench.rails[0].from = "Y.OUT", b.bench.rails[1].from = "X.OUT";
    for (Rail& r : b.bench.rails) r.limit = Amps{1.0};
    EXPECT_NE(find(b.judge().findings, "rail-budget"), nullptr);
}

/// What is fed into a rail elsewhere counts with what is fed here (a cut): 1 mA against a tenth of the 20 uA it draws.
TEST(Supplies, WhatIsFedElsewhereCountsIntoTheRail) {
    Build b = pair_on(five, output(""), three, input("", ttl(), true));
    change(b, 1, [](PartType& t) { t.supplies[0].current = {Span<Amps>::exactly(Amps{20e-6}), sheet}; });
    const Wiring wiring = b.wiring();
    const auto pumped = [&](const std::map<std::string, double>& fed) {
        const Elsewhere elsewhere{.driven_by_part = std::vector<double>(wiring.parts.size()), .fed_into_rail = fed};
        return find(judge_harm(b.bench, wiring, &elsewhere).findings, "rail-pumped");
    };
    EXPECT_EQ(pumped({}), nullptr);
    EXPECT_EQ(pumped({{"five", 1e-6}}), nullptr);
    EXPECT_EQ(pumped({{"three", 9e-6}}), nullptr) << "some microamperes pump nothing";
    EXPECT_NE(pumped({{"three", 11e-6}}), nullptr);
    const Found f = pumped({{"three", 1e-3}});
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->net, "rail three");
    EXPECT_NEAR(f->value->value, 1e-3, 1e-9);
    EXPECT_NEAR(f->margin, 2e-6 - 1e-3, 1e-12);
}

/// 5 V through the pull-up of a dead rail's pin and the 1 MΩ that stands in for its parts (assumed.h): 5.25 V less what
/// 10 kΩ ± 1 % takes of it. Its diode would conduct sooner.
TEST(Supplies, ADeadRailIsLiftedThroughWhatIsThere) {
    for (const bool diode : {true, false}) {
        Pin in = input("", ttl(), !diode);
        in.max = Level{0, Volts{6.5}};
        in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::within(Ohms{10e3}, 0.01), sheet}});
        Build b = pair_on(five, output(""), three, in);
        const Found f = find(b.judge().findings, "back-powering", "three down");
        ASSERT_NE(f, nullptr);
        EXPECT_NE(f->arithmetic.find(diode ? "protection diode" : "pull-up"), std::string::npos) << f->arithmetic;
        if (!diode) {
            EXPECT_NEAR(f->value->value, 5.25 * 1e6 / (1e6 + 9.9e3), 2e-3);
        }
        EXPECT_EQ(f->verdict, Verdict::thin);
    }
}

/// Lifted above what the weakest part on it stands, a dead rail harms; a part that states no maximum limits nothing.
TEST(Supplies, ADeadRailIsHeldAgainstTheWeakestPartOnIt) {
    for (const auto& [most, verdict] : {std::pair{0.0, Verdict::thin}, {4.0, Verdict::harmful}, {6.0, Verdict::thin}}) {
        Pin in = input("", ttl(), true);
        in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::within(Ohms{10e3}, 0.01), sheet}});
        Build b = pair_on(five, output(""), three, in);
        change(b, 1, [&](PartType& t) { t.supplies[0].max = Volts{most}; });
        b.part("S", hand::module("strapped", {input("IN", ttl(), true)}, 4.5, 5.5, 5), {"five"});
        b.join("S.IN", "rail three");  // an input takes nothing from it: what its part stands does not count
        const Found f = find(b.judge().findings, "back-powering", "three down");  // to 5.2 V
        ASSERT_NE(f, nullptr);
        EXPECT_EQ(f->verdict, verdict) << most;
        EXPECT_NEAR(f->limit->value, verdict == Verdict::harmful ? most : 0.3, 1e-12);
    }
}

/// Half a diode drop, 0.3 V (common practice): 5 V over R and the 1 MΩ of a dead rail (assumed.h) are more or less.
TEST(Supplies, ALittleLeakageIsNoBackPowering) {
    for (const auto& [ohms, lifts] : {std::pair{11.5e6, true}, {19e6, false}}) {  // 0.4 V, 0.25 V
        Build b = pair_on(rail("five", 5, 5), output(""), three, input("", ttl(), true));
        b.resistor(ohms, "D.OUT", "rail three", 0.0);
        const Found f = find(b.judge().findings, "back-powering", "three down");
        ASSERT_EQ(f != nullptr, lifts) << 5 / (1 + ohms / 1e6) << " V";
        if (lifts) {
            EXPECT_NEAR(f->margin, 0.3 - 5 / 12.5, 1e-3);
        }
    }
}

/// Of the pins that lift a dead rail three are named.
TEST(Supplies, ThreeWaysIntoADeadRailAreNamed) {
    Build b({five, three});
    std::vector<Pin> ins;
    for (int k = 0; k < 4; ++k) ins.push_back(input("I" + std::to_string(k), ttl(), false));
    b.module("D", {output("OUT")}, "five");
    b.module("R", ins, "three");
    for (const Pin& in : ins) b.join("D.OUT", "R." + in.name);
    const Found f = find(b.judge().findings, "back-powering", "three down");
    ASSERT_NE(f, nullptr);
    const size_t from = f->arithmetic.find("through");
    ASSERT_NE(from, std::string::npos);
    const std::string named = f->arithmetic.substr(from, f->arithmetic.find(';') - from);
    EXPECT_EQ(std::ranges::count(named, ','), 2) << named;
}

/// One output lifts two rails that are down through the diodes of two inputs: each names its own.
TEST(Supplies, ADeadRailNamesItsOwnWaysIn) {
    Build b({five, rail("b", 3.2, 3.4), rail("c", 3.2, 3.4)});
    b.module("D", {output("OUT")}, "five");
    for (const auto& [name, on] : {std::pair{"R", "b"}, {"S", "c"}}) {
        b.module(name, {input("IN", ttl(), false)}, on);
        b.join("D.OUT", std::string(name) + ".IN");
    }
    int seen = 0;
    for (const Finding& f : b.judge().findings) {
        if (f.code != "back-powering" || !f.state.starts_with("b down, c down")) continue;
        const bool at_b = f.net == "rail b";
        EXPECT_NE(f.arithmetic.find(at_b ? "through R.IN;" : "through S.IN;"), std::string::npos) << f.arithmetic;
        ++seen;
    }
    EXPECT_EQ(seen, 2);
}

/// Two pins of one supply are one supply: it draws its current once and wants one capacitor.
TEST(Supplies, TwoPinsOfASupplyCountOnce) {
    auto type = std::make_shared<PartType>(*stock("HCT 541"));
    type->pins.push_back(supply_pin("VCC2", 0));
    type->supplies[0].current = {Span<Amps>::exactly(Amps{2e-3}), sheet};
    Build b({five});
    b.bench.rails[0].limit = Amps{10e-3};
    b.added("U1", type, {"five"});
    const Judgement j = b.judge();
    EXPECT_NEAR(find(j.findings, "rail-budget")->value->value, 2e-3, 1e-12);
    EXPECT_EQ(find(j.findings, "missing-decoupling")->arithmetic, "0 of 1 capacitors (U1)");
}

/// A pin that a sheet calls a supply without saying of which: what is said of the others stays as it is.
TEST(Supplies, ASupplyPinThatNobodyDescribesChangesNothing) {
    std::vector<std::tuple<std::string, std::string, double>> said[2];
    for (const bool with : {false, true}) {
        const auto made = [&](const PartType& of) {
            auto type = std::make_shared<PartType>(of);
            if (with) type->pins.push_back(supply_pin("AUX", -1));
            return type;
        };
        Build b({five, three});
        b.module("D", {output("OUT")}, "five");
        const auto reader = made(*hand::module("receiver", {input("IN", ttl(), false)}));
        b.part("R", reader, {"three"});
        b.part("S", reader, {""});
        b.part("T", reader, {""});
        b.added("U1", made(*stock("HCT 541")), {"five"});
        b.join("D.OUT", "R.IN");
        b.resistor(10, "T.VCC", "rail five");
        if (with)
            for (const auto& [pin, to] :
                 {std::pair{"R.AUX", "rail three"}, {"S.AUX", "S.VCC"}, {"T.AUX", "T.VCC"}, {"U1.AUX", "rail five"}})
                b.join(pin, to);
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        for (const Finding& f : b.judge().findings) said[with].emplace_back(f.code, f.part, f.margin);
        EXPECT_NE(find_at(b.judge(), "no-supply", "S"), nullptr);
    }
    EXPECT_EQ(said[0], said[1]);
}

}  // namespace
}  // namespace voltsill
