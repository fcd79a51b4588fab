/// What questions answer under faults: by hand, and as the network of the faulty wiring has it.
#include "faults/dictionary.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <random>
#include <set>

#include "faults/placed_benches.h"
#include "judging/power_off.h"
#include "support/hand_parts.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

constexpr const char* small_bench = "first-bench.toml";

int hypothesis_of(const Dictionary& dictionary, const std::function<bool(const Fault&)>& wanted) {
    for (std::size_t f = 0; f < dictionary.faults().size(); ++f)
        if (wanted(dictionary.faults()[f])) return 1 + int(f);
    return -1;
}

/// A 5 V output over 10 kΩ and 20 kΩ at a tolerant input, and an open-drain output with a pull-up of 10 kΩ.
struct ByHand {
    hand::Build build{{hand::rail("five", 5, 5)}};
    PlacedWiring placed;
    ByHand() {
        build.module("D", {hand::output("OUT", 0.0001), hand::open_drain("OD")}, "five");
        build.module("R", {hand::input("IN", hand::ttl(), true), hand::input("SENSE", hand::ttl(), true)}, "five");
        build.resistor(10e3, "D.OUT", "R.IN");
        build.resistor(20e3, "R.IN", "ground");
        build.resistor(10e3, "rail five", "D.OD");
        build.join("D.OD", "R.SENSE");
        build.link("level", {"D", "OUT"}, {"R", "IN"});
        build.link("sense", {"D", "OD"}, {"R", "SENSE"});
        placed.wiring = build.wiring();
        placed.trouble = "built without boards";
    }
};

TEST(FaultDictionary, DividerAndPullUpByHand) {
    const ByHand hand;
    Dictionary d(hand.build.bench, hand.placed, faults_of(hand.build.bench, hand.placed));
    Questions& q = d.questions();
    const int in_high = q.volts(q.point("R.IN"), q.state_of_link(0, true));
    EXPECT_NEAR(d.predict(in_high, 0).nominal, 5 * 20.0 / 30.0, 1e-2);
    // Ten times the upper resistor: 5 V * 20 / 120.
    const int decade = hypothesis_of(d, [](const Fault& f) {
        return f.kind == FaultKind::wrong_value && std::abs(f.value - 100e3) < 1 &&
               f.words.find("R1") != std::string::npos;
    });
    ASSERT_GT(decade, 0);
    EXPECT_NEAR(d.predict(in_high, decade).nominal, 5 * 20.0 / 120.0, 1e-2);
    // Both resistors at the ends of 5 %: V R2 / (R1 + R2).
    EXPECT_NEAR(d.predict(in_high, 0).lo, 5 * 19.0 / (19.0 + 10.5), 1e-2);
    EXPECT_NEAR(d.predict(in_high, 0).hi, 5 * 21.0 / (21.0 + 9.5), 1e-2);
    // No pull-up: an output that lets go leaves its line floating, and still pulls it low.
    const int missing = hypothesis_of(d, [](const Fault& f) { return f.kind == FaultKind::pull_missing; });
    ASSERT_GT(missing, 0);
    const int sense = q.point("R.SENSE");
    EXPECT_FALSE(d.predict(q.volts(sense, q.state_of_link(1, true)), 0).floats);
    EXPECT_TRUE(d.predict(q.volts(sense, q.state_of_link(1, true)), missing).floats);
    EXPECT_FALSE(d.predict(q.volts(sense, q.state_of_link(1, false)), missing).floats);
    EXPECT_NEAR(d.predict(q.volts(sense, q.state_of_link(1, false)), missing).nominal, 0, 0.05);
    // "Works when touched" is likelier of that than of the build as planned.
    const int touched = q.behaviour(Behaviour::works_when_touched, 1);
    EXPECT_GT(d.predict(touched, missing).yes, 0.5);
    EXPECT_LT(d.predict(touched, 0).yes, 0.1);
    EXPECT_LT(d.predict(q.behaviour(Behaviour::link_works, 1), missing).yes, 0.5);
    EXPECT_GT(d.predict(q.behaviour(Behaviour::link_works, 1), 0).yes, 0.9);
}

/// A receiver that wants 0.7 of 5 V, driven from 3.3 V: an analyser that decides at 1.4..1.65 V shows it clean
/// (practice: F23; common practice, no source).
TEST(FaultDictionary, AnalyserIsCleanWhereTheReceiverIsNot) {
    hand::Build build({hand::rail("five", 5, 5), hand::rail("three", 3.3, 3.3)});
    build.module("D", {hand::output("OUT", 0.0001)}, "three");
    build.module("R", {hand::input("IN", hand::ttl(), true)}, "five");
    build.join("D.OUT", "R.IN");
    build.link("data", {"D", "OUT"}, {"R", "IN"});
    PlacedWiring placed{.wiring = build.wiring()};
    placed.trouble = "built without boards";
    // The same part with the other letters, as a fault of the list would have it.
    Fault letters{.kind = FaultKind::supply_low,
                  .id = "low",
                  .words = "three at 2.2 V",
                  .weight = 1,
                  .rail = "three",
                  .value = 1.9};
    Dictionary d(build.bench, placed, {letters});
    const int clean = d.questions().behaviour(Behaviour::analyser_clean, 0);
    EXPECT_GT(d.predict(clean, 1).yes, d.predict(clean, 0).yes + 0.05);  // 1.9 V: above 1.65 V, under 2.0 V
}

/// Some ohms in a supply leave it a supply: the parts behind them speak as planned.
TEST(FaultDictionary, ABadContactInASupplyIsNoMissingSupply) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    const int high = d.questions().volts(d.questions().point("receiver.IN"), d.questions().state_of_link(0, true));
    const int works = d.questions().behaviour(Behaviour::link_works, 0);
    int met = 0;
    for (std::size_t f = 0; f < d.faults().size(); ++f) {
        if (d.faults()[f].kind != FaultKind::contact_resistance || d.faults()[f].value != 10) continue;
        const Prediction p = d.predict(high, 1 + int(f));
        EXPECT_FALSE(p.floats || p.may_float || p.gap_lo < p.gap_hi) << d.faults()[f].id << ' ' << words(p);
        EXPECT_NEAR(p.nominal, d.predict(high, 0).nominal, 0.3) << d.faults()[f].id;
        EXPECT_GT(d.predict(works, 1 + int(f)).yes, 0.9) << d.faults()[f].id;
        ++met;
    }
    EXPECT_GE(met, 4);
}

/// What follows an input that floats is at one level or the other, whatever its driver says.
TEST(FaultDictionary, WhatFollowsAFloatingInputIsAtEitherLevel) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    const int open = hypothesis_of(d, [](const Fault& f) {
        return f.kind == FaultKind::wire_missing && f.words.find("first signal at sender") != std::string::npos;
    });
    ASSERT_GT(open, 0);
    for (const bool high : {false, true}) {
        const Prediction p = d.predict(
            d.questions().volts(d.questions().point("receiver.IN"), d.questions().state_of_link(0, high)), open);
        EXPECT_LT(p.gap_lo, 0.5) << words(p);
        EXPECT_GT(p.gap_hi, 2.5) << words(p);
    }
    EXPECT_LT(d.predict(d.questions().behaviour(Behaviour::link_works, 0), open).yes, 0.2);
}

/// A supply that nothing is joined to shows what the supply does, and none of the faults behind it.
TEST(FaultDictionary, ASupplyAloneShowsTheSupplyOnly) {
    const placed::Build& build = placed::named("up-shift.toml");
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    int of_supplies = 0;
    for (const Rail& rail : build.bench.rails) {
        if (!rail.from.empty()) continue;
        const int q = d.questions().supply_alone(d.questions().point("rail " + rail.name));
        for (std::size_t f = 0; f < d.faults().size(); ++f) {
            const Fault& fault = d.faults()[f];
            const bool of_it = fault.part < 0 && fault.rail == rail.name;
            EXPECT_EQ(told_apart(d.predict(q, 1 + int(f)), d.predict(q, 0)), of_it) << fault.id;
            if (!of_it) continue;
            EXPECT_NEAR(d.predict(q, 1 + int(f)).nominal, fault.value, 1e-6);
            ++of_supplies;
        }
    }
    EXPECT_GE(of_supplies, 3);
}

/// From the post of a supply to where its lead goes: the lead, and beside it no more than the parts behind it conduct,
/// each at least 100 ohm from supply to ground (common practice, no source).
TEST(FaultDictionary, ALeadOfASupplyIsReadFromItsPost) {
    int contacts = 0, open = 0, off = 0;
    for (const char* name : {"up-shift.toml", small_bench}) {
        const placed::Build& build = placed::named(name);
        const Wiring& wiring = build.placed.wiring;
        Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
        Questions& q = d.questions();
        const auto supplied = [&](const std::string& rail) {  // supplies of all parts; "": of any rail
            double count = 0;
            for (const WiredPart& part : wiring.parts) {
                std::set<std::string> rails;
                for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
                    if (part.type->pins[k].role == PinRole::supply && part.net_of_pin[k] >= 0)
                        rails.insert(wiring.nets[part.net_of_pin[k]].rail);
                count += double(rail.empty() ? rails.size() : rails.count(rail));
            }
            return count;
        };
        for (int post = 0; post < std::ssize(q.points()); ++post) {
            const ProbePoint at = q.points()[post];
            if (!at.is_post()) continue;
            const bool plus = at.kind == ProbePoint::Kind::plus;
            const int ohms = q.ohms(post, q.point(plus ? "rail " + at.rail : "ground"));
            EXPECT_LE(d.predict(ohms, 0).hi, 1.0);
            const double behind = supplied(plus ? at.rail : "") / 100;
            for (std::size_t f = 0; f < d.faults().size(); ++f) {
                const Fault& fault = d.faults()[f];
                const Prediction p = d.predict(ohms, 1 + int(f));
                if (fault.kind == FaultKind::supply_off && ++off)
                    EXPECT_FALSE(told_apart(p, d.predict(ohms, 0))) << fault.id;
                if (std::ranges::count(fault.wires, at.lead) == 0) continue;
                EXPECT_TRUE(told_apart(p, d.predict(ohms, 0))) << fault.id << ' ' << words(p);
                if (fault.kind != FaultKind::contact_resistance) continue;
                const bool some = fault.value == 10;
                ++(some ? contacts : open);
                const double least = 1 / (behind + (some ? 1 / 9.5 : 0.0));
                if (some) EXPECT_NEAR(p.hi, 10.5, 1e-6) << fault.id;
                if (plus) EXPECT_NEAR(p.lo, least, 1e-3 * least) << fault.id;
                else EXPECT_GE(p.lo, 0.999 * least) << fault.id;
            }
        }
    }
    EXPECT_GE(contacts, 4);
    EXPECT_GE(open, 4);
    EXPECT_GE(off, 2);
}

/// The answers are those of the network of the faulty wiring.
TEST(FaultDictionary, AnswersAreThoseOfTheFaultyWiring) {
    std::mt19937 random(3);
    int compared = 0;
    for (const char* name : {small_bench, "two-way-bus.toml", "many ways"}) {
        const placed::Build& build = placed::named(name);
        Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
        Questions& q = d.questions();
        for (unsigned k = 0; k < made::how_many(120); ++k) {
            const int f = int(random() % d.faults().size());
            const FaultyBuild faulty = with_fault(build.bench, build.placed, d.faults()[f]);
            if (faulty.wiring.parts.size() < build.placed.wiring.parts.size()) continue;
            const int part = int(random() % build.placed.wiring.parts.size());
            const WiredPart& planned = build.placed.wiring.parts[part];
            if (faulty.wiring.parts[part].type != planned.type) continue;
            const int pin = int(random() % planned.type->pins.size()), point = q.point_of_pin(part, pin);
            if (point < 0) continue;
            const int state = 1 + int(random() % (q.states().size() - 1));
            SettledLevels levels(faulty.bench, faulty.wiring);
            if (levels.largest() > 12) continue;  // known at rest and at nominal values only
            levels.tell(q.states()[state].told);
            const MeterReading direct = levels.at(part, pin);
            const Prediction p = d.predict(q.volts(point, state), 1 + f);
            const std::string where = std::string(name) + " " + d.faults()[f].id + " " + q.words(q.volts(point, state));
            EXPECT_EQ(p.known, direct.solved) << where;
            EXPECT_EQ(p.floats, direct.floats && !direct.may_hold) << where;
            EXPECT_EQ(p.may_float, direct.may_hold) << where;
            if (!direct.solved || direct.floats) continue;
            EXPECT_NEAR(p.gap_lo, direct.gap_lo, 2e-3) << where;
            EXPECT_NEAR(p.gap_hi, direct.gap_hi, 2e-3) << where;
            EXPECT_NEAR(p.lo, direct.lo, 2e-3) << where;
            EXPECT_NEAR(p.nominal, direct.nominal, 2e-3) << where;
            EXPECT_NEAR(p.hi, direct.hi, 2e-3) << where;
            ++compared;
        }
    }
    EXPECT_GE(compared, int(made::how_many(60)));
}

/// Rayleigh: what the ohmmeter shows lies within the bounds.
TEST(FaultDictionary, OhmsLieWithinTheirBounds) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    const Questions& q = d.questions();
    std::mt19937 random(4);
    std::vector<int> asked;
    for (const int question : d.worth_asking())
        if (q.all()[question].means == Means::ohmmeter) asked.push_back(question);
    ASSERT_GT(asked.size(), 5u);
    for (unsigned k = 0; k < made::how_many(150); ++k) {
        const Question& question = q.all()[asked[random() % asked.size()]];
        const int f = int(random() % d.faults().size());
        const FaultyBuild faulty = with_fault(build.bench, build.placed, d.faults()[f]);
        std::pair<NetId, NetId> nets{unconnected, unconnected};
        bool plain = true;
        for (const auto& [net, point] : {std::pair{&nets.first, question.point}, {&nets.second, question.against}}) {
            const ProbePoint& at = q.points()[point];
            if (at.kind == ProbePoint::Kind::rail) plain = false;
            else if (at.kind == ProbePoint::Kind::ground) *net = faulty.wiring.ground();
            else if (faulty.wiring.parts[at.part].type != build.placed.wiring.parts[at.part].type) plain = false;
            else *net = faulty.wiring.parts[at.part].net_of_pin[at.pin];
        }
        if (!plain || nets.first < 0 || nets.second < 0) continue;
        const Prediction p = d.predict(d.questions().ohms(question.point, question.against), 1 + f);
        const ResistanceWindow direct = resistances(faulty.bench, faulty.wiring, {&nets, 1})[0];
        if (direct.open())
            EXPECT_GE(p.hi, meter_open.si()) << d.faults()[f].id;
        else
            EXPECT_LE(std::min(p.lo, meter_open.si()), direct.nominal * 1.001)
                << d.faults()[f].id << " " << q.words(d.questions().ohms(question.point, question.against));
        EXPECT_GE(p.hi * 1.001, std::min(direct.nominal, meter_open.si())) << d.faults()[f].id;
    }
}

TEST(FaultDictionary, IsTheSameAgainAndByAnyNumberOfThreads) {
    const placed::Build& build = placed::named(small_bench);
    const std::vector<Fault> faults = faults_of(build.bench, build.placed);
    const auto memory = dictionary_memory();
    Dictionary first(build.bench, build.placed, faults, {.memory = memory});
    Dictionary again(build.bench, build.placed, faults, {.memory = memory});
    Dictionary threads(build.bench, build.placed, faults, {.threads = 3});
    EXPECT_GT(first.solved(), 0);
    EXPECT_EQ(again.solved(), 0);
    ASSERT_EQ(first.worth_asking(), again.worth_asking());
    ASSERT_EQ(first.worth_asking(), threads.worth_asking());
    for (const int question : first.worth_asking())
        for (const Dictionary* other : {&again, &threads}) {
            ASSERT_EQ(first.others(question).size(), other->others(question).size());
            for (std::size_t k = 0; k < first.others(question).size(); ++k) {
                EXPECT_EQ(first.others(question)[k].first, other->others(question)[k].first);
                EXPECT_EQ(first.others(question)[k].second.lo, other->others(question)[k].second.lo);
                EXPECT_EQ(first.others(question)[k].second.hi, other->others(question)[k].second.hi);
            }
        }
}

TEST(FaultDictionary, CanBeStopped) {
    const placed::Build& build = placed::named(small_bench);
    int told = 0;
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed),
                 {.progress = [&](int, int) { return ++told < 3; }});
    EXPECT_TRUE(d.cancelled());
    EXPECT_EQ(told, 3);
}

/// No meter and no scope tells the members of a group from the first of it.
TEST(FaultDictionary, GroupsAreNotToldApart) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    int groups = 0;
    for (int h = 0; h < std::ssize(d.hypotheses()); ++h) {
        const int leader = d.alike()[h];
        EXPECT_EQ(d.alike()[leader], leader);
        groups += leader == h;
        for (const int question : d.worth_asking()) {
            const Means means = d.questions().all()[question].means;
            if (means == Means::eye || means == Means::behaviour) continue;
            EXPECT_FALSE(told_apart(d.predict(question, leader), d.predict(question, h))) << d.words(h);
        }
    }
    EXPECT_GT(groups, 10);
    EXPECT_LT(groups, std::ssize(d.hypotheses()));
}

/// Answers that count as one read alike on a hand meter: within 30 mV, a twentieth of a decade, a fiftieth of a chance
/// at both ends, and what is seen is the same.
TEST(FaultDictionary, AnswersThatCountAsOneReadAlike) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    const auto differ = [](const Prediction& a, const Prediction& b, double x, double y) {
        if (a.kind == Prediction::Kind::chance) return std::abs(a.yes - b.yes) / 0.02;
        if (a.kind == Prediction::Kind::volts) return std::abs(x - y) / 0.03;
        const auto decades = [](double v) { return std::log10(std::clamp(v, 1e-12, 1e9)); };
        return 20 * std::abs(decades(x) - decades(y));
    };
    std::map<Means, int> several;
    for (const int question : d.worth_asking()) {
        const Dictionary::Answers& answers = d.answers(question);
        ASSERT_EQ(answers.of_other.size(), d.others(question).size());
        for (std::size_t k = 0; k < answers.of_other.size(); ++k) {
            const auto& [h, b] = d.others(question)[k];
            const Prediction& a = answers.distinct.at(answers.of_other[k]);
            const std::string where = d.questions().words(question) + ": " + d.words(h);
            EXPECT_EQ(std::tuple(a.known, a.floats, a.sights), std::tuple(b.known, b.floats, b.sights)) << where;
            if (!a.known || a.floats) continue;
            EXPECT_LE(differ(a, b, a.lo, b.lo), 1 + 1e-9) << where;
            EXPECT_LE(differ(a, b, a.hi, b.hi), 1 + 1e-9) << where;
        }
        several[d.questions().all()[question].means] += answers.distinct.size() > 2;
    }
    for (const Means means : {Means::voltmeter, Means::ohmmeter, Means::eye}) EXPECT_GT(several[means], 0);
}

/// A driver stuck at one level reads as planned at the other: where the levels differ, each is worth asking for.
TEST(FaultDictionary, ADriverIsAskedForAtEachOfItsLevels) {
    const placed::Build& build = placed::named(small_bench);
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    Questions& q = d.questions();
    int asked = 0;
    for (int link = 0; link < std::ssize(build.bench.links); ++link)
        for (const bool high : {false, true}) {
            const PinRef& from = build.bench.links[link].from.front();
            const int point = q.point(from.part + "." + from.pin), state = q.state_of_link(link, high);
            if (point < 0 || state < 0) continue;
            const int told = q.volts(point, state), rest = q.volts(point, Questions::at_rest);
            if (!told_apart(d.predict(told, 0), d.predict(rest, 0))) continue;
            EXPECT_NE(std::ranges::find(d.worth_asking(), told), d.worth_asking().end()) << q.words(told);
            ++asked;
        }
    EXPECT_GT(asked, 0);
}

/// Two faults that do not reach each other read as each alone.
TEST(FaultDictionary, PairsAreThoseOfBothFaults) {
    const placed::Build& build = placed::named("two-way-bus.toml");
    Dictionary d(build.bench, build.placed, faults_of(build.bench, build.placed));
    Questions& q = d.questions();
    EXPECT_GT(d.add_pairs(60), 0);
    const int singles = 1 + int(d.faults().size());
    ASSERT_EQ(std::ssize(d.hypotheses()), singles + 60);
    std::mt19937 random(5);
    int compared = 0;
    for (int h = singles; h < std::ssize(d.hypotheses()); ++h) {
        const auto both = with_faults(build.bench, build.placed, d.faults()[d.hypotheses()[h].first],
                                      d.faults()[d.hypotheses()[h].second]);
        if (!both) continue;
        const int part = int(random() % build.placed.wiring.parts.size());
        if (both->wiring.parts[part].type != build.placed.wiring.parts[part].type) continue;
        const int pin = int(random() % build.placed.wiring.parts[part].type->pins.size()),
                  point = q.point_of_pin(part, pin);
        SettledLevels levels(both->bench, both->wiring);
        if (point < 0 || levels.largest() > 12) continue;
        levels.tell({});
        const MeterReading direct = levels.at(part, pin);
        const Prediction p = d.predict(q.volts(point, Questions::at_rest), h);
        EXPECT_EQ(p.floats, direct.floats) << d.words(h);
        if (direct.floats || !direct.solved) continue;
        EXPECT_NEAR(p.nominal, direct.nominal, 2e-3) << d.words(h);
        ++compared;
    }
    EXPECT_GT(compared, 10);
}

}  // namespace
}  // namespace voltsill
