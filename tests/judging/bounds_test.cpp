/// Worst case: no random sample beats the bound, and margins move the way they must.
#include <gtest/gtest.h>

#include <map>
#include <random>

#include "judging/island.h"
#include "judging/scene.h"
#include "support/hand_parts.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;

/// 5 V output, divider of two resistors, clamped input, pull-up inside the receiver.
Bench divided() {
    Pin in = input("", ttl(), false);
    in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::between(Ohms{20e3}, Ohms{50e3}), sheet}});
    return pair(rail("usb", 4.5, 5.5), output(""), rail("logic", 3.0, 3.6), in);
}

Wiring with_divider(const Bench& bench, double upper, double lower) {
    Wiring w = wire_supplies(bench);
    const NetId d = w.add_net("at D"), r = w.add_net("at R");
    w.connect(w.part("D"), "OUT", d);
    w.connect(w.part("R"), "IN", r);
    const auto resistor_type = resistor();
    for (const auto& [ohms, a, b] : {std::tuple{upper, d, r}, std::tuple{lower, r, w.ground()}}) {
        const int p = w.add_part("R", resistor_type, "divider");
        w.parts[p].value = ohms;
        w.parts[p].net_of_pin = {a, b};
    }
    return w;
}

TEST(Bounds, NoRandomSampleBeatsThem) {
    const Bench bench = divided();
    std::mt19937 random(20261125);
    for (const auto& [upper, lower] :
         {std::pair{2200.0, 3300.0}, std::pair{470.0, 10e3}, std::pair{22e3, 10e3}}) {
        const Wiring wiring = with_divider(bench, upper, lower);
        const Circuit circuit = voltsill::lower(bench, wiring);
        Effort effort;
        for (const Scene& scene : scenes_of(bench, circuit, effort))
            for (const Island& island : scene.islands)
                for (const Combination& c : combinations(circuit, scene, island))
                    for (int s : island.pins) {
                        const Node node = island.local(circuit.pins[s].node);
                        const Functional f{.terms = {{node, 1.0}}};
                        const Range bound = range_of(island, c.levels, f, effort);
                        ASSERT_TRUE(bound.solved);
                        std::vector<double> values = island.nominal, volts;
                        for (unsigned sample = 0; sample < voltsill::made::how_many(10000); ++sample) {
                            for (ParamId p : island.varying) {
                                const Parameter& q = island.net.parameters[p];
                                values[p] = std::uniform_real_distribution(q.lo, q.hi)(random);
                            }
                            ASSERT_TRUE(solve(island, c.levels, values, volts, effort));
                            EXPECT_GE(volts[node], bound.lo - 1e-6) << scene.words << "; " << c.words;
                            EXPECT_LE(volts[node], bound.hi + 1e-6) << scene.words << "; " << c.words;
                        }
                    }
    }
}

/// Twelve drivers meet at a rail that is down: readings are then bounded branch by branch. No sample of the
/// whole lies outside, and the bounds are no more than 50 mV wider than those of the whole.
TEST(Bounds, ReadingsOfManyBranchesHoldEverySampleOfTheWhole) {
    Bench bench;
    bench.rails = {rail("usb", 4.5, 5.5), rail("logic", 3.0, 3.6)};
    bench.catalogue = std::make_shared<Catalogue>();
    const auto driver = module("driver", {output("OUT")}),
               receiver = module("receiver", {input("IN", ttl(), false)});
    for (const std::string n : {"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}) {
        bench.parts.push_back(part("D" + n, driver, "usb"));
        bench.parts.push_back(part("R" + n, receiver, "logic"));
        bench.links.push_back(link("link " + n, {"D" + n, "OUT", {}}, {"R" + n, "IN", {}}));
    }
    const Wiring wiring = wire_directly(bench);
    const Circuit circuit = lower(bench, wiring);
    std::multimap<std::string, StateReading> said;
    for (const StateReading& r : readings(bench, wiring)) said.emplace(r.state, r);
    std::mt19937 random(20261127);
    Effort effort;
    int held = 0;
    for (const Scene& scene : scenes_of(bench, circuit, effort))
        for (size_t i = 0; i < scene.islands.size(); ++i) {
            if (scene.apart.empty() || !scene.apart[i]) continue;
            const Island& whole = scene.islands[i];
            for (const Combination& c : combinations(circuit, scene, whole)) {
                std::vector<double> values = whole.nominal, volts;
                std::map<std::string, Node> node_of;
                for (int s : whole.pins)
                    node_of[circuit.label(circuit.pins[s])] = whole.local(circuit.pins[s].node);
                const auto [from, till] = said.equal_range(scene.words + "; " + c.words);
                for (unsigned sample = 0; sample < made::how_many(300); ++sample) {
                    for (ParamId p : whole.varying) {
                        const Parameter& q = whole.net.parameters[p];
                        values[p] = std::uniform_real_distribution(q.lo, q.hi)(random);
                    }
                    ASSERT_TRUE(solve(whole, c.levels, values, volts, effort));
                    for (auto r = from; r != till; ++r, ++held) {
                        const double here = volts[node_of.at(r->second.point)];
                        EXPECT_GE(here, r->second.lo - 1e-6) << r->second.point << ", " << r->first;
                        EXPECT_LE(here, r->second.hi + 1e-6) << r->second.point << ", " << r->first;
                    }
                }
                for (auto r = from; r != till; ++r) {
                    const Node node = node_of.at(r->second.point);
                    const Range bound = range_of(whole, c.levels, Functional{.terms = {{node, 1.0}}}, effort);
                    EXPECT_LE(r->second.hi - r->second.lo, bound.hi - bound.lo + 0.05)
                        << r->second.point << ", " << r->first;
                }
            }
        }
    EXPECT_GT(held, 1000);
}

/// Closed form of the loaded divider, worst corner by hand: high at the pin is lowest with the
/// rail low, the output weak, the upper resistor high, the lower resistor low, the pull-up weak.
TEST(Bounds, DividerEqualsItsClosedForm) {
    const Bench bench = divided();
    const Wiring wiring = with_divider(bench, 2200, 3300);
    const Judgement j = judge(bench, wiring);
    const double upper = 2200 * 1.05 + 0.4 / 4e-3, lower = 3300 * 0.95, pull = 50e3;
    const double v = (4.5 / upper + 3.0 / pull) / (1 / upper + 1 / lower + 1 / pull);
    ASSERT_TRUE(j.links[0].high_margin);
    EXPECT_NEAR(*j.links[0].high_margin, v - 2.0, 2e-3);
}

TEST(Bounds, MarginsAreMonotoneInTheSupplyOfTheDriver) {
    double last = -10;
    for (double volts = 2.6; volts < 5.0; volts += 0.1) {
        const Bench bench =
            pair(rail("a", volts, volts), output(""), rail("b", 4.9, 5.1), input("", cmos(), true));
        const Judgement j = judge(bench, wire_directly(bench));
        ASSERT_TRUE(j.links[0].high_margin);
        EXPECT_GT(*j.links[0].high_margin, last);
        last = *j.links[0].high_margin;
    }
}

TEST(Bounds, MarginsFallAsTheSupplyOfACmosReceiverRises) {
    double last = 10;
    for (double volts = 3.4; volts < 5.5; volts += 0.1) {
        const Bench bench =
            pair(rail("a", 3.3, 3.3), output(""), rail("b", volts, volts), input("", cmos(), false));
        const Judgement j = judge(bench, wire_directly(bench));
        EXPECT_LT(*j.links[0].high_margin, last);
        EXPECT_NEAR(*j.links[0].high_margin, 3.3 - 0.7 * volts, 1e-3);
        last = *j.links[0].high_margin;
    }
}

TEST(Bounds, WiderRailsNeverRaiseAMargin) {
    double last = 10;
    for (double spread = 0; spread < 0.5; spread += 0.05) {
        const Bench bench = pair(rail("a", 3.3 - spread, 3.3 + spread), output(""),
                                 rail("b", 5 - spread, 5 + spread), input("", ttl(), false));
        const double margin = *judge(bench, wire_directly(bench)).links[0].high_margin;
        EXPECT_LE(margin, last + 1e-9);
        last = margin;
    }
}

}  // namespace
}  // namespace voltsill
