/// What has to move before an output does: gates, bases, optocouplers. Against closed forms, and against the same
/// links run over time.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "judging/traced.h"
#include "signals/simulate.h"
#include "support/hand_parts.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;

const Rail steady_five = rail("five", 5.0, 5.0);
const double ln9 = std::log(9.0);

/// A FET of 1.5 V threshold with `farads` of gate.
std::shared_ptr<const PartType> fet_of(double farads) {
    auto type = std::make_shared<PartType>(*stock("n-mosfet 1 V threshold"));
    auto& model = std::get<MosfetModel>(type->model);
    model.vth = {Span<Volts>{Volts{1.4}, Volts{1.5}, Volts{1.6}}, sheet};
    model.gate_capacitance = {Span<Farads>::exactly(Farads{farads}), sheet};
    return type;
}
std::shared_ptr<const PartType> opto_of(double turn_off, double rate_max) {
    auto type = std::make_shared<PartType>(*stock("optocoupler"));
    std::get<OptoModel>(type->model).turn_off = Seconds{turn_off};
    type->rate_max = Hertz{rate_max};
    return type;
}
/// An output that a capacitance of its own does not slow.
Pin driver() {
    Pin out = output("OUT");
    out.capacitance = {Span<Farads>::exactly(Farads{5e-12}), sheet};
    return out;
}

struct Inverter {
    double gate_ohms = 10e3, load_ohms = 1e3, rate = 0;
    std::vector<ThresholdRow> thresholds = ttl();
    std::optional<double> per_volt;

    Build with(const std::shared_ptr<const PartType>& part) const {
        Pin in = input("IN", thresholds, true);
        if (per_volt)
            in.transition = {{.supply = Span<Volts>::between(Volts{4.5}, Volts{5.5}),
                              .per_volt = SecondsPerVolt{*per_volt},
                              .origin = sheet}};
        Build b({steady_five});
        b.module("D", {driver()}, "five");
        b.module("R", {in}, "five");
        b.added("Q1", part);
        const PartKind kind = part->kind;
        b.resistor(gate_ohms, "D.OUT",
                   kind == PartKind::mosfet ? "Q1.G"
                   : kind == PartKind::bjt  ? "Q1.B"
                                            : "Q1.A",
                   0.0);
        b.join(kind == PartKind::mosfet ? "Q1.S" : "Q1.E", "ground");
        if (kind == PartKind::opto) b.join("Q1.K", "ground");
        b.join(kind == PartKind::mosfet ? "Q1.D" : "Q1.C", "R.IN");
        b.resistor(load_ohms, "R.IN", "rail five", 0.0);
        Link& l = b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        l.invert_allowed = true;
        if (rate > 0) l.rate = Hertz{rate};
        return b;
    }
};

/// From the rows of `output`: 100 Ω, and half of that for a typical one. C: 15 pF of wires, 10 pF of a pin that states
/// none; half of the gate's lies across to the drain, which it has to carry over 5 V at the threshold.
TEST(Ways, AGateMovesFirst) {
    const double ohms = 10e3 + 50, gate = 1e-9;
    const double slope = ln9 * ohms * (gate + 25e-12), plateau = ohms * gate / 2 * 5 / 1.5,
                 own = ln9 * 1e3 * (gate / 2 + 30e-12), all = slope + plateau + own;
    for (const double share : {0.9, 1.1}) {
        const Found f = find_at(Inverter{.rate = share / all}.with(fet_of(gate)).judge(), "bit-time", "R");
        ASSERT_NE(f, nullptr);
        EXPECT_NEAR(f->value->value, all, 0.02 * all) << f->arithmetic;
        EXPECT_EQ(f->verdict, share > 1 ? Verdict::unreadable : Verdict::safe) << f->arithmetic;
        EXPECT_EQ(f->margin<0, share> 1);
        EXPECT_NE(f->arithmetic.find("Q1.G: 2.197 * 10.05 kΩ * 1.025 nF"), std::string::npos) << f->arithmetic;
        EXPECT_NE(f->arithmetic.find("while Q1.D moves"), std::string::npos) << f->arithmetic;
    }
}

/// Its turn-off is what its record says; at its highest rate it is fast enough.
TEST(Ways, AnOptocouplerLetsGoLate) {
    for (const auto& [rate, too_fast, late] :
         {std::tuple{9e3, false, false}, {10e3, false, false}, {11e3, true, false}, {21e3, true, true}}) {
        const Judgement j =
            Inverter{.gate_ohms = 470, .load_ohms = 4.7e3, .rate = rate}.with(opto_of(50e-6, 10e3)).judge();
        EXPECT_EQ(find_at(j, "too-fast", "Q1") != nullptr, too_fast) << rate;
        const Found f = find_at(j, "bit-time", "R");
        ASSERT_NE(f, nullptr);
        EXPECT_GT(f->value->value, 50e-6);
        EXPECT_LT(f->value->value, 50.6e-6);
        EXPECT_EQ(f->verdict == Verdict::unreadable, late) << f->arithmetic;
        EXPECT_EQ(j.links[0].verdict == Verdict::unreadable, too_fast || late) << rate;
    }
}

/// A microsecond of stored charge (common practice, no source) is more than a bit of 500 ns.
TEST(Ways, ATransistorStoresItsBase) {
    const auto judged = [](double rate) {
        return Inverter{.gate_ohms = 4.7e3, .rate = rate}.with(stock("npn")).judge();
    };
    EXPECT_EQ(judged(50e3).links[0].verdict, Verdict::safe);
    const Judgement j = judged(2e6);
    EXPECT_EQ(j.links[0].verdict, Verdict::unreadable);
    EXPECT_NE(find_at(j, "bit-time", "R")->arithmetic.find("turn-off of Q1 1 µs"), std::string::npos);
    const Found late = find_at(j, "setup-time", "R");
    ASSERT_NE(late, nullptr);
    EXPECT_LT(late->margin, 0);
}

/// A gate beside the way, on the same output, delays nothing; one before the last does.
TEST(Ways, OnlyWhatLiesOnTheWayCounts) {
    const auto value = [](bool beside, bool before) {
        Build b = Inverter{.gate_ohms = 1e3, .rate = 1e3}.with(fet_of(100e-12));
        if (before) {
            b = Build({steady_five});
            b.module("D", {driver()}, "five");
            b.module("R", {input("IN", ttl(), true)}, "five");
            b.added("Q1", fet_of(100e-12));
            b.added("Q2", fet_of(100e-12));
            b.resistor(1e3, "D.OUT", "Q1.G", 0.0);
            b.resistor(4.7e3, "Q1.D", "rail five", 0.0);
            b.join("Q1.D", "Q2.G");
            b.resistor(1e3, "Q2.D", "rail five", 0.0);
            b.join("Q2.D", "R.IN");
            for (const char* source : {"Q1.S", "Q2.S"}) b.join(source, "ground");
            b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}}).rate = Hertz{1e3};
        }
        if (beside) {
            b.added("Q9", fet_of(100e-9));
            b.resistor(1e6, "D.OUT", "Q9.G", 0.0);
            b.join("Q9.S", "ground");
            b.resistor(1e3, "Q9.D", "rail five", 0.0);
        }
        return find_at(b.judge(), "bit-time", "R")->value->value;
    };
    const double alone = value(false, false);
    EXPECT_NEAR(value(true, false), alone, 1e-3 * alone);
    EXPECT_GT(value(false, true), alone + ln9 * 4.7e3 * 100e-12);
}

/// Its own net would rise in nanoseconds; behind a slow gate an edge takes as long as the run over time says.
TEST(Ways, ASlowGateMakesASlowEdge) {
    const Build free = Inverter{.gate_ohms = 100e3, .rate = 1e3, .per_volt = 1.0}.with(fet_of(20e-12));
    SimulateOptions nominal;
    double slowest = 0;
    const std::vector<LinkTrace> traces = simulate_links(free.bench, free.wiring(), nominal);
    for (const Measured& m : traces[0].measures)
        if (m.kind == MeasureKind::edge_rate && m.point == "R.IN") slowest = *m.nominal;
    ASSERT_GT(slowest, 30e-9);
    for (const auto& [share, verdict] :
         {std::pair{1.5, Verdict::safe}, {0.9, Verdict::thin}, {0.4, Verdict::unreadable}}) {
        const Found f =
            find_at(Inverter{.gate_ohms = 100e3, .rate = 1e3, .per_volt = share * slowest}.with(fet_of(20e-12)).judge(),
                    "edge-rate", "R");
        ASSERT_NE(f, nullptr);
        EXPECT_EQ(f->verdict, verdict) << share << ' ' << f->arithmetic;
        EXPECT_GE(f->value->value, slowest * (1 - 1e-6));
        EXPECT_LT(f->value->value, 1.5 * slowest);
        EXPECT_FALSE(f->bound_exact);
    }
}

/// Inverters of whatever there is, one behind another, at rates around what they manage: what a run over time
/// calls unreadable the check never calls safe.
TEST(Ways, NeverSaferThanOverTime) {
    std::mt19937 random(7);
    const auto between = [&](double lo, double hi) {
        return lo * std::pow(hi / lo, std::uniform_real_distribution<>(0, 1)(random));
    };
    const auto pick = [&](int n) { return std::uniform_int_distribution<>(0, n - 1)(random); };
    int unreadable = 0, safe = 0;
    const int rounds = static_cast<int>(made::how_many(60));
    for (int round = 0; round < rounds; ++round) {
        Build b({steady_five});
        b.module("D", {driver()}, "five");
        Pin in = input("IN", pick(2) ? ttl() : cmos(), true);
        if (pick(2))
            in.transition = {{.supply = Span<Volts>::between(Volts{4.5}, Volts{5.5}),
                              .per_volt = SecondsPerVolt{between(20e-9, 2e-6)},
                              .origin = sheet}};
        b.module("R", {in}, "five");
        std::string at = "D.OUT", words;
        const int stages = pick(3);
        int inverters = 0;
        for (int k = 0; k < stages; ++k) {
            const std::string q = "Q" + std::to_string(k + 1);
            const int kind = pick(8);
            const double ohms = kind == 0  ? 470
                                : kind < 4 ? between(2e3, 20e3)
                                           : between(100, 100e3),
                         load = kind == 0 ? 4.7e3 : between(1e3, 5e3);
            if (kind == 0 && k > 0) continue;
            ++inverters;
            b.added(q, kind == 0  ? opto_of(between(1e-6, 50e-6), 0)
                       : kind < 4 ? stock("npn")
                                  : fet_of(between(10e-12, 3e-9)));
            b.resistor(ohms, at, q + (kind == 0 ? ".A" : kind < 4 ? ".B" : ".G"));
            if (kind == 0) b.join(q + ".K", "ground");
            b.join(q + (kind < 4 ? ".E" : ".S"), "ground");
            at = q + (kind < 4 ? ".C" : ".D");
            b.resistor(load, at, "rail five");
            words += std::to_string(kind) + ' ' + std::to_string(ohms) + "; ";
        }
        b.resistor(between(10, 10e3), at, "R.IN");
        Link& l = b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
        l.rate = Hertz{between(3e3, 3e6)};
        l.invert_allowed = inverters % 2 == 1;
        const SimulateOptions some{.samples = 8};
        const std::vector<LinkTrace> traces = simulate_links(b.bench, b.wiring(), some);
        ASSERT_TRUE(traces[0].trouble.empty()) << traces[0].trouble;
        const Verdict over_time = verdict_of(traces[0]);
        const Judgement j = b.judge();
        unreadable += over_time == Verdict::unreadable;
        safe += j.links[0].verdict == Verdict::safe;
        std::string all;
        for (const Finding& f : j.findings) all += f.code + ": " + f.arithmetic + '\n';
        for (const Measured& m : traces[0].measures)
            if (verdict_of(m) == Verdict::unreadable) all += std::string(to_word(m.kind)) + ' ' + m.point + '\n';
        EXPECT_FALSE(over_time == Verdict::unreadable && j.links[0].verdict == Verdict::safe)
            << round << ": " << words << l.rate->si() << " Hz\n"
            << all;
    }
    EXPECT_GE(unreadable, rounds / 10);
    EXPECT_GE(safe, rounds / 10);
}

}  // namespace
}  // namespace voltsill
