/// How many states are looked at: what outputs can say together, and which supplies are off.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// One output of each role on a line with an input.
Build on_a_line(const std::vector<PinRole>& roles) {
    Build b({rail("five", 5, 5)});
    std::vector<Pin> outs;
    for (const PinRole role : roles) {
        outs.push_back(output("O" + std::to_string(outs.size() + 1)));
        outs.back().role = role;
    }
    b.module("D", outs, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    for (const Pin& out : outs) b.join("D." + out.name, "R.IN");
    b.resistor(10e3, "R.IN", "rail five");
    b.link("signal", {"D", "O1", {}}, {"R", "IN", {}});
    return b;
}

/// States in which the input is read, in their order.
std::vector<std::string> states_of(const Build& b) {
    std::vector<std::string> out;
    for (const StateReading& r : readings(b.bench, b.wiring()))
        if (r.point == "R.IN") out.push_back(r.state);
    return out;
}

/// 2^n mixtures of n open-drain outputs up to 256 in all; beyond, all low, all let go, and each of these with one
/// output changed; more than 64 outputs are only taken together.
TEST(Combinations, EveryMixtureUpTo256) {
    for (const auto& [outputs, states] :
         {std::pair{1, 2}, {2, 4}, {5, 32}, {8, 256}, {9, 2 + 2 * 9}, {64, 2 + 2 * 64}, {65, 2}})
        EXPECT_EQ(states_of(on_a_line(std::vector(outputs, PinRole::open_drain))).size(), states) << outputs;
}

/// Outputs that let go drive one at a time; those that never do, in every mixture.
TEST(Combinations, WhoeverLetsGoTakesTurns) {
    using enum PinRole;
    EXPECT_EQ(states_of(on_a_line({three_state, three_state, three_state})).size(), 1u + 3 * 2);
    EXPECT_EQ(states_of(on_a_line({push_pull, push_pull})).size(), 4u);
    EXPECT_EQ(states_of(on_a_line({push_pull, three_state})).size(), 2u * 3);
    EXPECT_EQ(states_of(on_a_line({open_source, open_source})).size(), 1u + 2)
        << "they can pull up, so they take turns";
    EXPECT_EQ(states_of(on_a_line({io, io})).size(), 3u) << "the second is no end of a link: it only listens";
}

/// A state names who is low or high, and an open-drain output also when it is off; four at most.
TEST(Combinations, AStateNamesWhoSaysWhat) {
    using enum PinRole;
    const auto named = [](const std::vector<PinRole>& roles) {
        const auto all = states_of(on_a_line(roles));
        return std::set<std::string>(all.begin(), all.end());
    };
    EXPECT_EQ(named({three_state, three_state}),
              (std::set<std::string>{"all rails up; D.O1 low", "all rails up; D.O1 high", "all rails up; D.O2 low",
                                     "all rails up; D.O2 high", "all rails up; nothing drives"}));
    EXPECT_EQ(named({open_drain}), (std::set<std::string>{"all rails up; D.O1 low", "all rails up; D.O1 off"}));
    EXPECT_EQ(named({io}),
              (std::set<std::string>{"all rails up; D.O1 low", "all rails up; D.O1 high", "all rails up; D.O1 off"}));
    EXPECT_TRUE(named({open_drain, push_pull}).contains("all rails up; D.O1 off, D.O2 high"));
    for (const std::string& state : named(std::vector(6, open_drain)))
        EXPECT_EQ(std::ranges::count(state, ','), 3) << state;
}

/// 10 kΩ ± 5 % to ground against 100 Ω (0.4 V at 4 mA): 5 V less 52 mV when high; let go, the resistor says low.
TEST(Combinations, AnOutputThatOnlyPullsUpNeedsAResistorToGround) {
    Build b({rail("five", 5, 5)});
    Pin out = output("OUT");
    out.role = PinRole::open_source;
    b.module("D", {out}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN");
    b.resistor(10e3, "R.IN", "ground");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Judgement j = b.judge();
    EXPECT_EQ(j.links[0].verdict, Verdict::safe);
    EXPECT_NEAR(*j.links[0].high_margin, 5 - 5 * 100.0 / 9600 - 2.0, 1e-3);
    EXPECT_NEAR(*j.links[0].low_margin, 0.8, 1e-3);
}

/// Names of the rails that are up, by state.
std::set<std::string> patterns(const std::vector<std::string>& rails, const std::string& one_switch = {}) {
    std::vector<Rail> all;
    for (const std::string& name : rails) all.push_back(rail(name, 5, 5));
    Build b(all);
    for (Rail& r : b.bench.rails) r.switch_group = one_switch;
    b.module("M", {input("IN", ttl(), true)}, rails.front());
    std::set<std::string> out;
    for (const StateReading& r : readings(b.bench, b.wiring())) out.insert(r.state.substr(0, r.state.find(';')));
    return out;
}

/// Up to three switches in every mixture but all off; more of them one at a time.
TEST(Scenes, SwitchesAreOffInEveryMixtureUpToThree) {
    EXPECT_EQ(patterns({"a"}), std::set<std::string>{"all rails up"});
    EXPECT_EQ(patterns({"a", "b"}), (std::set<std::string>{"all rails up", "a down", "b down"}));
    EXPECT_EQ(patterns({"a", "b"}, "bench"), std::set<std::string>{"all rails up"}) << "one switch for both";
    EXPECT_EQ(patterns({"a", "b", "c"}), (std::set<std::string>{"all rails up", "a down", "b down", "c down",
                                                                "a down, b down", "a down, c down", "b down, c down"}));
    EXPECT_EQ(patterns({"a", "b", "c", "d"}),
              (std::set<std::string>{"all rails up", "a down", "b down", "c down", "d down"}));
    std::vector<std::string> many;
    for (char c = 'a'; c <= 'q'; ++c) many.push_back(std::string(1, c));
    EXPECT_EQ(patterns(many).size(), 17u) << "the seventeenth switch is taken to be on";
    EXPECT_FALSE(patterns(many).contains("q down"));
}

/// Nine outputs on each of two rails that are down lift these through the diodes of nine inputs: what one rail does, it
/// does whatever the other is.
TEST(Scenes, TwoDeadRailsAreEachTheirOwn) {
    Build b({rail("a", 5, 5), rail("b", 3.3, 3.3), rail("c", 3.3, 3.3)});
    for (const auto& [driver, reader, on] : {std::tuple{"D", "R", "b"}, {"E", "S", "c"}}) {
        std::vector<Pin> outs, ins;
        for (int k = 0; k < 9; ++k)
            outs.push_back(output("O" + std::to_string(k))),
                ins.push_back(input("I" + std::to_string(k), cmos(), false));
        b.module(driver, outs, "a");
        b.module(reader, ins, on);
        for (int k = 0; k < 9; ++k)
            b.resistor(10e3, std::string(driver) + ".O" + std::to_string(k),
                       std::string(reader) + ".I" + std::to_string(k), 0.01);
    }
    std::map<std::string, std::vector<double>> at;  // by state without what drives
    for (const StateReading& r : readings(b.bench, b.wiring()))
        if (r.point == "R.I0" || r.point == "R.VCC")
            for (const double v : {r.lo, r.nominal, r.hi}) at[r.state.substr(0, r.state.find(';'))].push_back(v);
    ASSERT_EQ(at["b down"].size(), at["b down, c down"].size());
    ASSERT_GT(at["b down"].size(), 6u);
    for (size_t k = 0; k < at["b down"].size(); ++k) EXPECT_NEAR(at["b down"][k], at["b down, c down"][k], 1e-3) << k;
    // All high: 5 V less the drop of a diode of 0.5 to 0.7 V at 1 mA, at less than that; all low: nothing.
    EXPECT_GT(*std::ranges::max_element(at["b down"]), 4.2);
    EXPECT_LT(*std::ranges::max_element(at["b down"]), 5.0 + 1e-3);
    EXPECT_NEAR(*std::ranges::min_element(at["b down"]), 0, 0.05);
}

}  // namespace
}  // namespace voltsill
