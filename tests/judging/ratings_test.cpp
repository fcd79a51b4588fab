/// Discrete parts against their own absolute maxima, by Ohm's and Joule's law.
#include <gtest/gtest.h>

#include <cmath>

#include "quantity/print.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// 1.9..2.0..2.1 V at 20 mA; 30 mA at most.
std::shared_ptr<PartType> lamp() {
    auto type = std::make_shared<PartType>();
    type->name = type->title = "lamp";
    type->kind = PartKind::diode;
    type->pins = {{.name = "A"}, {.name = "K"}};
    type->model = DiodeModel{.forward = {{Volts{1.9}, Volts{2.0}, Volts{2.1}}, sheet},
                             .at = Amps{20e-3},
                             .current_max = {Span<Amps>::exactly(Amps{30e-3}), sheet},
                             .led = true};
    type->origin = sheet;
    return type;
}

Build lit(double ohms) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    b.added("L1", lamp());
    b.resistor(ohms, "rail five", "L1.A");
    b.join("L1.K", "ground");
    return b;
}

TEST(Ratings, LedCarriesWhatItsResistorLetsThrough) {
    // 5.25 V, 95 % of 82 Ohm, 1.9 V at 20 mA and 60 mV more for every e-fold.
    double amps = 20e-3;
    for (int k = 0; k < 100; ++k) amps = (5.25 - 1.9 - 0.06 * std::log(amps / 20e-3)) / (0.95 * 82);
    const Found f = find_at(lit(82).judge(), "current-rating", "L1");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, amps, 0.002 * amps);
    EXPECT_NEAR(f->limit->value, 30e-3, 1e-12);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_EQ(find_at(lit(150).judge(), "current-rating", "L1"), nullptr);
}

/// A pin that may have 2 V more than its supply, and whose protection diode stands `most`.
Build clamped(double ohms, double most) {
    Build b({five, three});
    Pin in = input("IN", ttl(), false);
    in.max = Level{1, Volts{2.5}};
    in.clamp_max = {Span<Amps>::exactly(Amps{most}), sheet};
    b.module("D", {output("OUT")}, "five");
    b.module("R", {in}, "three");
    b.resistor(ohms, "D.OUT", "R.IN");
    b.resistor(ohms, "rail five", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    return b;
}

/// I = (V - Vf(I)) / R with Vf 0.5 V at 1 mA and 26 mV for every e-fold or less: between Vf and Vf + 0.3 V.
TEST(Ratings, ProtectionDiodeIsHeldAgainstItsCurrent) {
    const Found f = find_at(clamped(47, 20e-3).judge(), "current-rating", "R");
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_NEAR(f->limit->value, 20e-3, 1e-12);
    const double one = (5.25 - 3.2 - 0.5) / (0.95 * 47);  // from the rail; the driver adds less than as much again
    EXPECT_GT(f->value->value, (5.25 - 3.2 - 0.8) / (0.95 * 47));
    EXPECT_LT(f->value->value, 2 * one);
    EXPECT_NEAR(f->margin, 20e-3 - f->value->value, 1e-12);
    EXPECT_NE(f->sentence.find("protection diode"), std::string::npos) << f->sentence;
    EXPECT_EQ(f->arithmetic, print(Amps{f->value->value}) + " - 20 mA = " + print(Amps{-f->margin}) + " over");
    EXPECT_EQ(find_at(clamped(470, 20e-3).judge(), "current-rating", "R"), nullptr) << "two of 3.5 mA";
    EXPECT_EQ(find_at(clamped(47, 200e-3).judge(), "current-rating", "R"), nullptr) << "it stands more";
}

/// More resistance never makes the current larger; a diode that stands more is never judged worse.
TEST(Ratings, ProtectionDiodeIsJudgedMonotonically) {
    double last = 1;
    for (const double ohms : {22.0, 33.0, 47.0, 68.0, 100.0}) {
        const Found f = find_at(clamped(ohms, 5e-3).judge(), "current-rating", "R");
        ASSERT_NE(f, nullptr) << ohms;
        EXPECT_LT(f->value->value, last) << ohms;
        last = f->value->value;
    }
    bool harmful = true;
    for (const double most : {1e-3, 5e-3, 20e-3, 40e-3, 60e-3, 80e-3, 100e-3}) {
        const bool now = find_at(clamped(47, most).judge(), "current-rating", "R") != nullptr;
        EXPECT_LE(now, harmful) << most;
        harmful = now;
    }
    EXPECT_FALSE(harmful);
}

TEST(Ratings, ResistorBetweenRailsIsHeldAgainstItsPower) {
    const auto heated = [](double ohms) {
        Build b = lit(150);
        b.resistor(ohms, "rail five", "ground");
        return find_at(b.judge(), "dissipation", "R2");
    };
    const Found hot = heated(100);  // 5.25^2 / 95 = 290 mW of 250 mW
    ASSERT_NE(hot, nullptr);
    EXPECT_NEAR(hot->value->value, 5.25 * 5.25 / 95, 1e-6);
    EXPECT_EQ(hot->verdict, Verdict::harmful);
    EXPECT_EQ(hot->arithmetic, "(55.26 mA)^2 * 95 Ω = 290 mW, rated 250 mW");
    EXPECT_EQ(heated(150)->verdict, Verdict::thin);  // 193 mW: above 70 %
    EXPECT_EQ(heated(220), nullptr);
}

/// A gate behind 1 MΩ on a rail of so many volts ± 0.5 V.
Found gate_on(double volts) {
    Build b = lit(150);
    b.bench.rails.push_back(rail("high", volts - 0.5, volts + 0.5));
    b.added("Q1", stock("n-mosfet 1.5 V threshold"));
    b.resistor(1e6, "rail high", "Q1.G");
    b.resistor(10e3, "rail five", "Q1.D");
    b.join("Q1.S", "ground");
    return find_at(b.judge(), "voltage-rating", "Q1");
}

/// The sheet of the small n-MOSFET prints 20 V at most for its gate (BSS138 Rev C, in the catalogue).
TEST(Ratings, GateAndDrainAreHeldAgainstTheirVoltages) {
    const Found f = gate_on(24);
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 24.5, 0.01);
    EXPECT_NEAR(f->limit->value, 20, 1e-12);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_EQ(gate_on(18), nullptr);
}

/// A LED the wrong way round takes no more than its reverse voltage: 5 V here, 9 V across it.
TEST(Ratings, LedTheWrongWayRoundIsHeldAgainstItsReverseVoltage) {
    Build b = lit(150);
    b.bench.rails.push_back(rail("nine", 8.5, 9.5));
    auto type = lamp();
    std::get<DiodeModel>(type->model).reverse_max = Volts{5};
    b.added("L2", type);
    b.resistor(470, "rail nine", "L2.K");
    b.join("L2.A", "ground");
    const Found f = find_at(b.judge(), "voltage-rating", "L2");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 9.5, 0.01);
}

TEST(Ratings, ResistorInSeriesIsHeldAgainstItsPower) {
    const Found f = find_at(lit(33).judge(), "dissipation", "R1");
    ASSERT_NE(f, nullptr);
    double amps = 20e-3;
    for (int k = 0; k < 100; ++k) amps = (5.25 - 1.9 - 0.06 * std::log(amps / 20e-3)) / (0.95 * 33);
    EXPECT_NEAR(f->value->value, amps * amps * 0.95 * 33, 0.005 * amps * amps * 33);
    EXPECT_EQ(f->verdict, Verdict::harmful);
}

/// Straight from rail to ground nothing limits the current of a diode but its own slope; the other way round it carries
/// none; one without a printed maximum is held against nothing.
TEST(Ratings, LedAcrossARailIsHeldAgainstItsCurrent) {
    const auto across = [](std::shared_ptr<PartType> type, const char* anode, const char* cathode) {
        Build b = lit(150);
        b.added("L2", std::move(type));
        b.join("L2.A", anode);
        b.join("L2.K", cathode);
        return find_at(b.judge(), "current-rating", "L2");
    };
    const Found f = across(lamp(), "rail five", "ground");
    ASSERT_NE(f, nullptr);
    EXPECT_GT(f->value->value, 30e-3);
    EXPECT_EQ(f->verdict, Verdict::harmful);
    EXPECT_EQ(across(lamp(), "ground", "rail five"), nullptr);
    const auto unrated = lamp();
    std::get<DiodeModel>(unrated->model).current_max = {};
    EXPECT_EQ(across(unrated, "rail five", "ground"), nullptr);
}

/// 5.25 V over the strongest output, four times what is printed: 0.4 V at 4 mA is 100 Ohm, so 25 Ohm and 210 mA.
TEST(Ratings, OutputTiedToGroundIsNamedWithOrWithoutARating) {
    for (const bool rated : {true, false}) {
        Build b({five});
        Pin out = output("OUT");
        if (!rated) out.drive_max = {};
        b.module("D", {out}, "five");
        b.module("R", {input("IN", ttl(), false)}, "five");
        b.join("D.OUT", "ground");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        const Found f = find_at(b.judge(), "output-overload", "D");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, 5.25 / 25, 2e-3);
        EXPECT_EQ(f->limit.has_value(), rated);
        EXPECT_NEAR(f->margin, (rated ? 40e-3 : 0) - f->value->value, 1e-9);
        EXPECT_NE(f->sentence.find("tied to ground"), std::string::npos) << f->sentence;
        EXPECT_EQ(f->verdict, Verdict::harmful);
    }
}

/// Which end of a resistor is on the rail makes no difference to it.
TEST(Ratings, AResistorTurnedRoundIsAsHot) {
    Build turned = lit(33);
    auto& wires = turned.bench.wiring->wires;
    std::erase_if(wires, [](const Wire& w) { return w.from.starts_with("R1."); });
    turned.join("R1.1", "L1.A");
    turned.join("R1.2", "rail five");
    const Found straight = find_at(lit(33).judge(), "dissipation", "R1"),
                round = find_at(turned.judge(), "dissipation", "R1");
    ASSERT_TRUE(straight && round);
    EXPECT_NEAR(round->value->value, straight->value->value, 1e-9);
    EXPECT_EQ(round->corner, straight->corner);
    EXPECT_NE(round->corner.find("five 5.25 V"), std::string::npos) << round->corner;
    EXPECT_NEAR(round->margin, 0.25 - round->value->value, 1e-12);
}

/// In series with its resistor as across a rail: without a printed maximum nothing is held against it.
TEST(Ratings, ALedWithoutAPrintedMaximumIsNotJudged) {
    Build b = lit(33);
    const auto unrated = lamp();
    std::get<DiodeModel>(unrated->model).current_max = {};
    b.bench.wiring->parts[0].type = unrated;
    EXPECT_EQ(find_at(b.judge(), "current-rating", "L1"), nullptr);
    EXPECT_NE(find_at(lit(33).judge(), "current-rating", "L1"), nullptr);
}

/// 20 V at most (BSS138 Rev C): a rail of 19.6 V ± 0.5 V gets there, one of 19.4 V ± 0.5 V does not.
TEST(Ratings, AVoltageIsHeldAtItsHighestCorner) {
    for (const auto& [volts, over] : {std::pair{19.4, false}, {19.6, true}}) {
        const Found f = gate_on(volts);
        ASSERT_EQ(f != nullptr, over) << volts;
        if (over) {
            EXPECT_NEAR(f->margin, 20 - 20.1, 0.01);
        }
    }
}

/// A rail that may fall far: 3.3 V into a pin of 0.3 V above its supply, which is 5.2 V or as low as 1 V.
TEST(Ratings, ASupplyThatMayFallFarIsLookedAtWhereItIsLowest) {
    Rail cell{.name = "cell", .volts = {{Volts{1.0}, Volts{5.2}, Volts{5.3}}, sheet}};
    Pin in = input("IN", ttl(), false);
    in.clamp_to_supply = false;
    Build b({rail("three", 3.3, 3.3), cell});
    for (Rail& r : b.bench.rails) r.switch_group = "bench";
    b.module("D", {output("OUT")}, "three");
    b.module("R", {in}, "cell");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Found f = find_at(b.judge(), "over-voltage", "R");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->margin, 1.0 + 0.3 - 3.3, 1e-3);
    EXPECT_NE(f->corner.find("cell 1 V"), std::string::npos) << f->corner;
    EXPECT_NE(f->sentence.find("gets 3.3 V, 2 V more than it stands"), std::string::npos) << f->sentence;
}

/// From rail to rail: at most 5.25 V against 3.2 V, whichever end is where.
/// P = V^2 / R of a resistor of 5 % at its lowest.
TEST(Ratings, BetweenRailsTheyAreTakenApart) {
    for (const bool turned : {true, false}) {
        Build b = lit(150);
        b.bench.rails.push_back(three);
        b.resistor(22, turned ? "rail three" : "rail five", turned ? "rail five" : "rail three");
        const Found f = find_at(b.judge(), "dissipation", "R2");
        ASSERT_NE(f, nullptr) << turned;
        EXPECT_NEAR(f->value->value, 2.05 * 2.05 / (0.95 * 22), 1e-6);
        EXPECT_TRUE(f->bound_exact);
    }
    Build b = lit(150);  // 20 mA at 1.9 V and an e-fold more for every 60 mV
    b.bench.rails.push_back(three);
    b.added("L2", lamp());
    b.join("L2.A", "rail five");
    b.join("L2.K", "rail three");
    const Found f = find_at(b.judge(), "current-rating", "L2");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->value->value, 20e-3 * std::exp((2.05 - 1.9) / 0.06), 0.02 * 0.244);
    EXPECT_TRUE(f->bound_exact);
}

/// Ratings are judged with every rail up: what a dead rail leaves is less.
TEST(Ratings, AreToldOnceWithEveryRailUp) {
    Build b = lit(33);
    b.bench.rails.push_back(three);
    const Judgement j = b.judge();
    EXPECT_NE(find(j.findings, "dissipation", "all rails up"), nullptr);
    EXPECT_EQ(find(j.findings, "dissipation", "down"), nullptr);
}

/// A network without a solution (a pull-up of no ohms) says so,
/// and nothing is made up of what its parts carry or stand.
TEST(Ratings, WithoutASolutionNothingIsHeldAgainstARating) {
    for (const double ohms : {0.0, 4.7e3}) {
        Build b({rail("five", 4.75, 5.25)});
        Pin in = input("IN", ttl(), true);
        in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::exactly(Ohms{ohms}), sheet}});
        b.module("D", {output("OUT")}, "five");
        b.module("R", {in}, "five");
        b.join("D.OUT", "R.IN");
        b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        auto type = lamp();
        std::get<DiodeModel>(type->model).reverse_max = Volts{4};
        b.added("L1", type);
        b.resistor(33, "R.IN", "L1.A");
        b.join("L1.K", "ground");
        const Judgement j = b.judge();
        EXPECT_EQ(find(j.findings, "not-solved") != nullptr, ohms == 0);
        EXPECT_EQ(find_at(j, "current-rating", "L1") != nullptr, ohms > 0);
        EXPECT_EQ(find_at(j, "voltage-rating", "L1"), nullptr);
    }
}

/// Tied to a rail the same output sinks 210 mA when it is low; to ground it is the high that harms.
TEST(Ratings, OutputTiedToASupplyIsNamedWithItsLevel) {
    for (const auto& [drain, to, level] :
         {std::tuple{false, "rail five", "low"}, {true, "rail five", "low"}, {false, "ground", "high"}}) {
        Build b({five});
        b.module("D", {drain ? open_drain("OUT") : output("OUT")}, "five");
        b.join("D.OUT", to);
        const Found f = find_at(b.judge(), "output-overload", "D");
        ASSERT_NE(f, nullptr) << to;
        EXPECT_NEAR(f->value->value, 5.25 / 25, 2e-3);
        EXPECT_EQ(f->state, std::string("all rails up; D.OUT ") + level);
        EXPECT_NE(f->sentence.find(std::string("tied to ") + to), std::string::npos) << f->sentence;
    }
    Build b({five});
    b.module("D", {open_drain("OUT")}, "five");
    b.join("D.OUT", "ground");
    EXPECT_EQ(find_at(b.judge(), "output-overload", "D"), nullptr) << "it can only pull where it is";
}

/// 5.25 V at the collector of a transistor that is off, made for 4 V (made up for the test); of an optocoupler only one
/// way round counts, of a transistor either.
TEST(Ratings, CollectorsAreHeldAgainstTheirVoltages) {
    for (const auto& [volts, turned] : {std::pair{4.0, false}, {4.0, true}, {6.0, false}}) {
        Build b({five});
        auto opto = std::make_shared<PartType>(*stock("optocoupler"));
        auto npn = std::make_shared<PartType>(*stock("npn"));
        std::get<OptoModel>(opto->model).vce_max = Volts{volts};
        std::get<BjtModel>(npn->model).vce_max = Volts{volts};
        b.added("U1", opto);
        b.added("Q1", npn);
        for (const auto& [pin, to] :
             {std::pair{"U1.A", "ground"}, {"U1.K", "ground"}, {"Q1.B", turned ? "Q1.C" : "ground"}})
            b.join(pin, to);
        for (const std::string part : {"U1", "Q1"}) {
            b.resistor(10e3, part + (turned ? ".E" : ".C"), "rail five");
            b.resistor(10e3, part + (turned ? ".C" : ".E"), "ground");
        }
        const Judgement j = b.judge();
        for (const auto& [part, over] : {std::pair{"U1", volts < 5 && !turned}, {"Q1", volts < 5}}) {
            const Found f = find_at(j, "voltage-rating", part);
            ASSERT_EQ(f != nullptr, over) << part << volts << turned;
            if (!over) continue;
            EXPECT_NEAR(f->value->value, 5.25, 0.05) << part;
            EXPECT_NEAR(f->margin, volts - f->value->value, 1e-9);
        }
    }
}

/// What counts lies between collector and emitter: 5.25 V at the collector and half of 5 V at the emitter are within
/// the same 4 V.
TEST(Ratings, ACollectorIsHeldAgainstItsEmitter) {
    for (const bool lifted : {false, true}) {
        Build b({five});
        auto opto = std::make_shared<PartType>(*stock("optocoupler"));
        auto npn = std::make_shared<PartType>(*stock("npn"));
        std::get<OptoModel>(opto->model).vce_max = std::get<BjtModel>(npn->model).vce_max = Volts{4};
        b.added("U1", opto);
        b.added("Q1", npn);
        for (const char* pin : {"U1.A", "U1.K", "Q1.B"}) b.join(pin, "ground");
        for (const std::string part : {"U1", "Q1"}) {
            b.resistor(10e3, part + ".C", "rail five");
            b.resistor(10e3, part + ".E", "ground");
            if (lifted) b.resistor(10e3, part + ".E", "rail five");
        }
        const Judgement j = b.judge();
        for (const char* part : {"U1", "Q1"}) EXPECT_EQ(find_at(j, "voltage-rating", part) == nullptr, lifted) << part;
    }
}

/// A rail that may rise far above its nominal value is looked at where it is highest: 6 V into a pin that stands 5.5 V.
TEST(Ratings, ASupplyThatMayRiseFarIsLookedAtWhereItIsHighest) {
    Rail solar{.name = "solar", .volts = {{Volts{3.0}, Volts{3.1}, Volts{6.0}}, sheet}};
    Pin in = input("IN", ttl(), true);
    in.max = Level{0, Volts{5.5}};
    Build b({solar, three});
    for (Rail& r : b.bench.rails) r.switch_group = "bench";
    b.module("D", {output("OUT")}, "solar");
    b.module("R", {in}, "three");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Found f = find_at(b.judge(), "over-voltage", "R");
    ASSERT_NE(f, nullptr);
    EXPECT_NEAR(f->margin, 5.5 - 6.0, 1e-3);
    EXPECT_NE(f->corner.find("solar 6 V"), std::string::npos) << f->corner;
}

}  // namespace
}  // namespace voltsill
