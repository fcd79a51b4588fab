/// Laws: what must not change, what may only move one way, and what must always end.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <map>
#include <random>
#include <set>

#include "judging/island.h"
#include "judging/scene.h"
#include "support/hand_parts.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;

/// Some of everything: a push-pull link down, one up through an octal, an open-drain line, a load.
Build mixed() {
    Build b({five, three});
    b.module("D", {output("OUT"), open_drain("OC", 10e3)}, "five");
    b.module("C", {input("IN", ttl(), false), input("IN2", cmos(), true), output("UP")}, "three");
    b.module("M", {input("IN", cmos(), false)}, "five");
    b.added("U1", stock("HCT 541"), {"five"});
    b.join("D.OUT", "C.IN");
    b.join("D.OC", "C.IN2");
    b.join("C.UP", "U1.A1");
    b.join("U1.Y1", "M.IN");
    b.join("U1.OE1", "ground");
    b.join("U1.OE2", "ground");
    b.resistor(22e3, "C.IN2", "rail three");
    b.link("down", {"D", "OUT", {}}, {"C", "IN", {}});
    b.link("line", {"D", "OC", {}}, {"C", "IN2", {}});
    b.link("up", {"C", "UP", {}}, {"M", "IN", {}});
    return b;
}

/// Everything a finding says in numbers, by code, link and pin.
std::multimap<std::string, std::pair<Verdict, double>> essence(const Judgement& j,
                                                               const std::map<std::string, std::string>& names = {}) {
    std::multimap<std::string, std::pair<Verdict, double>> out;
    const auto plain = [&](const std::string& name) { return names.contains(name) ? names.at(name) : name; };
    for (const Finding& f : j.findings)
        out.emplace(f.code + "|" + plain(f.link) + "|" + plain(f.part) + "|" + f.pin + "|" +
                        f.state.substr(0, f.state.find(';')),
                    std::pair{f.verdict, f.margin});
    return out;
}

void expect_same(const auto& a, const auto& b) {
    ASSERT_EQ(a.size(), b.size());
    for (auto x = a.begin(), y = b.begin(); x != a.end(); ++x, ++y) {
        EXPECT_EQ(x->first, y->first);
        EXPECT_EQ(x->second.first, y->second.first) << x->first;
        EXPECT_NEAR(x->second.second, y->second.second, 1e-6 + 1e-6 * std::abs(x->second.second)) << x->first;
    }
}

TEST(Laws, JudgingTwiceSaysTheSame) {
    const Build b = mixed();
    const Judgement first = b.judge(), second = b.judge();
    ASSERT_EQ(first.findings.size(), second.findings.size());
    for (size_t k = 0; k < first.findings.size(); ++k) {
        EXPECT_EQ(first.findings[k].sentence, second.findings[k].sentence);
        EXPECT_EQ(first.findings[k].margin, second.findings[k].margin);
    }
    EXPECT_EQ(first.states_solved, second.states_solved);
}

TEST(Laws, OrderOfPartsAndLinksDoesNotMatter) {
    const auto reference = essence(mixed().judge());
    std::mt19937 random(7);
    for (int round = 0; round < 20; ++round) {
        Build b = mixed();
        std::ranges::shuffle(b.bench.parts, random);
        std::ranges::shuffle(b.bench.links, random);
        std::ranges::shuffle(b.bench.rails, random);
        std::ranges::shuffle(b.bench.wiring->parts, random);
        std::ranges::shuffle(b.bench.wiring->wires, random);
        auto shuffled = essence(b.judge());
        // "five down, three down" names rails in their order in the file
        EXPECT_EQ(reference.size(), shuffled.size());
        expect_same(reference, shuffled);
    }
}

TEST(Laws, NamesDoNotMatter) {
    Build b = mixed();
    const std::map<std::string, std::string> renamed{{"zz D", "D"},       {"zz C", "C"},       {"zz M", "M"},
                                                     {"zz down", "down"}, {"zz line", "line"}, {"zz up", "up"}};
    for (BenchPart& p : b.bench.parts) p.name = "zz " + p.name;
    for (Link& l : b.bench.links) {
        l.name = "zz " + l.name;
        for (auto* ends : {&l.from, &l.to})
            for (PinRef& end : *ends) end.part = "zz " + end.part;
    }
    for (Wire& w : b.bench.wiring->wires)
        for (std::string* end : {&w.from, &w.to})
            if (end->starts_with("D.") || end->starts_with("C.") || end->starts_with("M.")) *end = "zz " + *end;
    expect_same(essence(mixed().judge()), essence(b.judge(), renamed));
}

TEST(Laws, PartThatTouchesNothingChangesNoLink) {
    Build b = mixed();
    const Judgement without = b.judge();
    b.added("U9", stock("HC 245"), {"three"});
    b.module("idle", {output("OUT"), input("IN", ttl(), false)}, "three");
    const Judgement with = b.judge();
    ASSERT_EQ(without.links.size(), with.links.size());
    for (size_t k = 0; k < with.links.size(); ++k) {
        EXPECT_EQ(without.links[k].verdict, with.links[k].verdict);
        EXPECT_EQ(without.links[k].high_margin, with.links[k].high_margin);
        EXPECT_EQ(without.links[k].low_margin, with.links[k].low_margin);
    }
}

/// A link's verdict is its worst finding, the bench's the worst of all; findings come worst first.
TEST(Laws, VerdictsAreTheWorstOfTheirFindings) {
    const Judgement j = mixed().judge();
    Verdict all = Verdict::safe;
    for (const Finding& f : j.findings) all = worse(all, f.verdict);
    EXPECT_EQ(j.verdict, all);
    for (const LinkJudgement& l : j.links) {
        Verdict worst = Verdict::safe;
        for (size_t k = 0; k < l.findings.size(); ++k) {
            EXPECT_EQ(j.findings[l.findings[k]].link, l.link);
            worst = worse(worst, j.findings[l.findings[k]].verdict);
            if (k > 0) {
                EXPECT_GE(j.findings[l.findings[k - 1]].verdict, j.findings[l.findings[k]].verdict);
            }
        }
        EXPECT_EQ(l.verdict, worst);
    }
}

RC_GTEST_PROP(Laws, HigherDriverSupplyNeverLowersTheHighMargin, ()) {
    const double a = *rc::gen::inRange(2500, 5500) / 1e3, b = a + *rc::gen::inRange(1, 500) / 1e3;
    const double pull = *rc::gen::inRange(2, 100) * 1e3;
    const auto margin = [&](double volts) {
        Pin in = input("", ttl(), true);
        in.pulls.push_back({.up = false, .ohms = {Span<Ohms>::within(Ohms{pull}, 0.05), sheet}});
        const Bench bench = pair(rail("a", volts * 0.97, volts * 1.03), output(""), rail("b", 4.9, 5.1), in);
        return *judge(bench, wire_directly(bench)).links[0].high_margin;
    };
    RC_ASSERT(margin(b) >= margin(a) - 1e-9);
}

/// Few drivers and many are looked at in two ways (whole, and branch by branch): verdicts agree.
TEST(Laws, ManyEqualLinksAreJudgedLikeOne) {
    // Inputs with a diode to their supply, tolerant ones, and those that are so with a supply only and have a pull-up.
    enum class Kind { clamped, tolerant, with_supply };
    const auto bench_of = [](int links, Kind kind) {
        Bench bench;
        bench.rails = {five, three};
        bench.catalogue = std::make_shared<Catalogue>();
        Pin in = input("IN", ttl(), kind != Kind::clamped);
        if (kind == Kind::with_supply) {
            in.max_unpowered = Level{0, Volts{2.0}};
            in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::within(Ohms{10e3}, 0.01), sheet}});
        }
        const auto driver = module("driver", {output("OUT")}), receiver = module("receiver", {in});
        for (int k = 0; k < links; ++k) {
            const std::string n = std::to_string(k);
            bench.parts.push_back(part("D" + n, driver, "five"));
            bench.parts.push_back(part("R" + n, receiver, "three"));
            bench.links.push_back(link("link " + n, {"D" + n, "OUT", {}}, {"R" + n, "IN", {}}));
        }
        return bench;
    };
    for (const Kind kind : {Kind::clamped, Kind::tolerant, Kind::with_supply}) {
        const Bench few = bench_of(4, kind), many = bench_of(40, kind);
        const Judgement a = judge(few, wire_directly(few)), b = judge(many, wire_directly(many));
        std::set<std::string> codes_a, codes_b;
        for (const Finding& f : a.findings) codes_a.insert(f.code + std::string(to_word(f.verdict)));
        for (const Finding& f : b.findings) codes_b.insert(f.code + std::string(to_word(f.verdict)));
        EXPECT_EQ(codes_a, codes_b);
        EXPECT_EQ(codes_a.contains("over-voltage-unpoweredharmful"), kind == Kind::with_supply);
        for (const LinkJudgement& l : b.links) {
            EXPECT_EQ(l.verdict, a.links[0].verdict);
            EXPECT_NEAR(*l.high_margin, *a.links[0].high_margin, 1e-9);
        }
        if (const Found lifted = find(b.findings, "back-powering", "three down")) {
            EXPECT_NEAR(lifted->value->value, find(a.findings, "back-powering", "three down")->value->value, 0.1);
        }
    }
}

/// Work grows with the bench, not with its square.
TEST(Laws, SolvesGrowInProportionToLinks) {
    const auto solves = [](int links) {
        Bench bench;
        bench.rails = {five, three};
        bench.catalogue = std::make_shared<Catalogue>();
        const auto driver = module("driver", {output("OUT")}),
                   receiver = module("receiver", {input("IN", ttl(), false)});
        for (int k = 0; k < links; ++k) {
            const std::string n = std::to_string(k);
            bench.parts.push_back(part("D" + n, driver, "five"));
            bench.parts.push_back(part("R" + n, receiver, "three"));
            bench.links.push_back(link("link " + n, {"D" + n, "OUT", {}}, {"R" + n, "IN", {}}));
        }
        return double(judge(bench, wire_directly(bench)).states_solved);
    };
    EXPECT_LT(solves(160) / solves(20), 8 * 1.2);
}

// Bounds ---------------------------------------------------------------------------------------------------

/// No random sample of the parameters beats the bound of any pin in any state.
void expect_bounds_hold(const Build& b, int samples) {
    const Wiring wiring = b.wiring();
    const Circuit circuit = lower(b.bench, wiring);
    Effort effort;
    std::mt19937 random(20261125);
    for (const Scene& scene : scenes_of(b.bench, circuit, effort))
        for (const Island* island : scene.pieces())
            for (const Combination& c : combinations(circuit, scene, *island))
                for (int s : island->pins) {
                    const Node node = island->local(circuit.pins[s].node);
                    const Range bound = range_of(*island, c.levels, Functional{.terms = {{node, 1.0}}}, effort);
                    ASSERT_TRUE(bound.solved);
                    std::vector<double> values = island->nominal, volts;
                    for (int sample = 0; sample < samples; ++sample) {
                        for (ParamId p : island->varying) {
                            const Parameter& q = island->net.parameters[p];
                            values[p] = std::uniform_real_distribution(q.lo, q.hi)(random);
                        }
                        ASSERT_TRUE(solve(*island, c.levels, values, volts, effort));
                        // A parameter that moves the node by less than 0.1 uV stays nominal.
                        ASSERT_GE(volts[node], bound.lo - 2e-6)
                            << circuit.label(circuit.pins[s]) << "; " << scene.words << "; " << c.words;
                        ASSERT_LE(volts[node], bound.hi + 2e-6)
                            << circuit.label(circuit.pins[s]) << "; " << scene.words << "; " << c.words;
                    }
                }
}

TEST(Laws, BoundsHoldForTheTwoWayFet) {
    Build b({five, three});
    b.module("C", {open_drain("SDA", 4.7e3)}, "three");
    b.module("M", {open_drain("SDA", 10e3)}, "five");
    b.added("Q1", stock("n-mosfet 1.5 V threshold"));
    b.join("Q1.S", "C.SDA");
    b.join("Q1.D", "M.SDA");
    b.join("Q1.G", "rail three");
    b.link("SDA", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    expect_bounds_hold(b, 10000);
}

TEST(Laws, BoundsHoldForTheNpnInverter) {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", cmos(), false)}, "three");
    b.added("Q1", stock("npn"));
    b.resistor(10e3, "D.OUT", "Q1.B");
    b.join("Q1.E", "ground");
    b.join("Q1.C", "R.IN");
    b.resistor(4.7e3, "Q1.C", "rail three");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    expect_bounds_hold(b, 10000);
}

// Whatever is joined
// -------------------------------------------------------------------------------------------

/// Parts of the catalogue joined at random, absurd ones among them: the judge answers.
TEST(Laws, AnyWiringGetsAnAnswer) {
    std::mt19937 random(1);
    const auto& types = Catalogue::built_in().types();
    const auto pick = [&](size_t n) { return std::uniform_int_distribution<size_t>(0, n - 1)(random); };
    int unsolved = 0;
    const int rounds = static_cast<int>(made::how_many(600));
    for (int round = 0; round < rounds; ++round) {
        Bench bench;
        bench.rails = {five, three, rail("twelve", 11, 13)};
        bench.catalogue = std::make_shared<Catalogue>();
        bench.wiring.emplace();
        Wiring w = wire_supplies(bench);
        const size_t nets = 2 + pick(6);
        for (size_t k = 0; k < nets; ++k) w.add_net("n" + std::to_string(k));
        const size_t count = 2 + pick(2), sparse = round % 100 == 0 ? 3 : 10;  // a few wired densely
        for (size_t p = 0; p < count; ++p) {
            const auto& type = types[pick(types.size())];
            bench.parts.push_back({.name = "P" + std::to_string(p), .type_name = type->name, .type = type});
            WiredPart wired{.name = bench.parts.back().name, .type = type};
            for (size_t k = 0; k < type->pins.size(); ++k)
                wired.net_of_pin.push_back(pick(sparse) > 0 ? unconnected : static_cast<NetId>(pick(w.nets.size())));
            if (pick(2) == 0) wired.value = 1e3;
            w.parts.push_back(std::move(wired));
        }
        const auto end = [&] {
            const BenchPart& p = bench.parts[pick(count)];
            return PinRef{p.name, p.type->pins[pick(p.type->pins.size())].name, {}};
        };
        for (size_t k = 0; k < 3; ++k) {
            bench.links.push_back(link("l" + std::to_string(k), end(), end()));
            bench.links.back().kind = static_cast<LinkKind>(pick(5));
            bench.links.back().rate = Hertz{1e4};
        }
        const Judgement j = judge(bench, w);
        EXPECT_EQ(j.links.size(), 3u);
        for (const Finding& f : j.findings) {
            EXPECT_TRUE(std::isfinite(f.margin)) << f.code;
            EXPECT_FALSE(f.sentence.empty()) << f.code;
            EXPECT_FALSE(f.arithmetic.empty()) << f.code;
        }
        unsolved += !j.trouble.empty();
        EXPECT_TRUE(j.trouble.empty() || j.verdict >= Verdict::unknown);
    }
    // Absurd circuits may have no balance of currents within the device models; they must be few and say so.
    EXPECT_LT(unsolved, rounds / 20);
}

}  // namespace
}  // namespace voltsill
