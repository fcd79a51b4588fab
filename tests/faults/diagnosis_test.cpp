/// The laws of a diagnosis, and what it says of builds whose faults are known.
#include "faults/diagnosis.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <map>
#include <numeric>
#include <random>

#include "faults/next_reading.h"
#include "faults/placed_benches.h"
#include "support/bench_work.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

struct Diagnosed {
    const placed::Build& build;
    Dictionary dictionary;
    explicit Diagnosed(const char* name = "first-bench.toml")
        : build(placed::named(name)), dictionary(build.bench, build.placed, faults_of(build.bench, build.placed)) {}

    /// What the dictionary says a fault reads.
    Reading reading_of(int question, int hypothesis) const {
        const Prediction p = dictionary.predict(question, hypothesis);
        Reading r{.question = question, .value = p.nominal};
        if (p.kind == Prediction::Kind::chance) r.kind = p.yes > 0.5 ? Reading::Kind::yes : Reading::Kind::no;
        if (r.kind == Reading::Kind::no) r.sight = p.sights[0];
        if (p.floats) r.kind = Reading::Kind::drifts;
        if (p.kind == Prediction::Kind::ohms && p.nominal >= 20e6) r.kind = Reading::Kind::open;
        return r;
    }
    std::vector<Reading> some(int hypothesis, int count, std::mt19937& random) const {
        std::vector<Reading> out;
        for (int k = 0; k < count; ++k)
            out.push_back(
                reading_of(dictionary.worth_asking()[random() % dictionary.worth_asking().size()], hypothesis));
        return out;
    }
};

/// Of the plausible faults that could harm, the likeliest.
int most_harmful(const Diagnosed& bench, const Diagnosis& d) {
    int out = 0;
    for (std::size_t h = 1; h < d.share.size(); ++h)
        if (d.share[h] > DiagnosisOptions{}.plausible && (out == 0 || d.share[h] > d.share[out]) &&
            bench.dictionary.may_harm(int(h)))
            out = int(h);
    return out;
}

double sum_of(const Diagnosis& d) { return std::accumulate(d.share.begin(), d.share.end(), d.something_else); }

TEST(Diagnosing, SharesAddUpAndTheOrderOfReadingsDoesNotMatter) {
    const Diagnosed bench;
    std::mt19937 random(1);
    EXPECT_NEAR(sum_of(diagnose(bench.dictionary, {})), 1, 1e-9);
    for (unsigned k = 0; k < made::how_many(20); ++k) {
        std::vector<Reading> readings = bench.some(int(random() % bench.dictionary.hypotheses().size()), 5, random);
        const Diagnosis one = diagnose(bench.dictionary, readings);
        std::ranges::shuffle(readings, random);
        const Diagnosis other = diagnose(bench.dictionary, readings);
        EXPECT_NEAR(sum_of(one), 1, 1e-9);
        for (std::size_t h = 0; h < one.share.size(); ++h) ASSERT_NEAR(one.share[h], other.share[h], 1e-9);
    }
}

/// Ground against ground reads 0 V under every fault there is.
TEST(Diagnosing, WhatAllPredictChangesNothing) {
    Diagnosed bench;
    const int ground = bench.dictionary.questions().volts(0, Questions::at_rest);
    const DiagnosisOptions options{.something_else = 0};
    const Diagnosis before = diagnose(bench.dictionary, {}, options);
    const std::vector<Reading> nothing{{.question = ground, .value = 0}};
    const Diagnosis after = diagnose(bench.dictionary, nothing, options);
    for (std::size_t h = 0; h < before.share.size(); ++h) ASSERT_NEAR(before.share[h], after.share[h], 1e-9);
}

TEST(Diagnosing, InformationIsNeverNegativeNorMoreThanIsOpen) {
    const Diagnosed bench;
    const DiagnosisOptions options;
    const Likelihood likelihood(bench.build.bench, options);
    std::mt19937 random(2);
    for (int k = 0; k < 3; ++k) {
        const Diagnosis d = diagnose(bench.dictionary, bench.some(1 + k * 7, k, random), options);
        double open = 0;
        for (const double s : d.share) open -= s > 0 ? s * std::log2(s) : 0;
        for (const int question : bench.dictionary.worth_asking()) {
            const double bits = expected_bits(bench.dictionary, likelihood, question, d.share);
            ASSERT_GE(bits, 0);
            ASSERT_LE(bits, open + 0.1);
        }
    }
}

/// Readings as a fault has them put it, or one no meter tells from it, before all others.
TEST(Diagnosing, EnoughReadingsFindTheFault) {
    const Diagnosed bench;
    int first = 0, tried = 0;
    for (int h = 1; h < std::ssize(bench.dictionary.hypotheses()); h += 13) {
        std::vector<Reading> readings;
        for (const int question : bench.dictionary.worth_asking()) {
            const Means means = bench.dictionary.questions().all()[question].means;
            if (means != Means::eye) readings.push_back(bench.reading_of(question, h));
        }
        const Diagnosis d = diagnose(bench.dictionary, readings);
        ASSERT_FALSE(d.suspects.empty());
        first += bench.dictionary.alike()[d.suspects.front().hypotheses.front()] == bench.dictionary.alike()[h];
        ++tried;
    }
    EXPECT_GE(first, tried * 9 / 10) << tried;
}

TEST(Diagnosing, SaysWhatIsRuledOutWithNumbers) {
    Diagnosed bench;
    Questions& q = bench.dictionary.questions();
    int question = -1, hypothesis = -1;
    for (const int candidate : bench.dictionary.worth_asking())
        for (const auto& [h, p] : bench.dictionary.others(candidate))
            if (q.all()[candidate].means == Means::voltmeter && question < 0 && p.known && !p.floats &&
                told_apart(p, bench.dictionary.predict(candidate, 0)))
                question = candidate, hypothesis = h;
    ASSERT_GE(question, 0);
    const std::vector<Reading> readings{bench.reading_of(question, 0)};
    const Diagnosis d = diagnose(bench.dictionary, readings);
    bool said = false;
    for (const RuledOut& r : d.ruled_out) {
        EXPECT_EQ(r.reading, 0);
        EXPECT_FALSE(r.sentence.empty());
        said |= std::ranges::find(r.hypotheses, hypothesis) != r.hypotheses.end();
    }
    EXPECT_TRUE(said) << bench.dictionary.words(hypothesis);
    ASSERT_FALSE(d.ruled_out.empty());
    EXPECT_NE(d.ruled_out.front().sentence.find("would read"), std::string::npos);
    EXPECT_NE(d.ruled_out.front().sentence.find("you read"), std::string::npos);
    EXPECT_LT(d.share[hypothesis], diagnose(bench.dictionary, {}).share[hypothesis]);
}

TEST(Diagnosing, TwoAnswersToOneQuestionAreReported) {
    Diagnosed bench;
    Questions& q = bench.dictionary.questions();
    const int rail = q.volts(1, Questions::at_rest);
    const std::vector<Reading> readings{{.question = rail, .value = 3.3}, {.question = rail, .value = 4.9}};
    const Diagnosis d = diagnose(bench.dictionary, readings);
    ASSERT_EQ(d.contradictions.size(), 1u);
    EXPECT_EQ(d.contradictions[0].readings, (std::vector<int>{0, 1}));
    const std::vector<Reading> same{{.question = rail, .value = 3.30}, {.question = rail, .value = 3.31}};
    EXPECT_TRUE(diagnose(bench.dictionary, same).contradictions.empty());
}

/// A rail far from anything a fault of the list makes of it.
TEST(Diagnosing, NothingKnownExplainsThis) {
    Diagnosed bench;
    Questions& q = bench.dictionary.questions();
    const Rail& rail = bench.build.bench.rails.front();
    std::vector<Reading> readings;
    for (int state = 1; state < std::ssize(q.states()); ++state)
        readings.push_back({.question = q.volts(1, state), .value = 0.42 * rail.volts.span.nominal.si()});
    const Diagnosis d = diagnose(bench.dictionary, readings);
    EXPECT_GT(d.something_else, 0.5);
    EXPECT_NE(d.sentence.find("No known fault"), std::string::npos) << d.sentence;
}

TEST(Diagnosing, HintsGoFromAQuestionToTheCause) {
    const Diagnosed bench;
    const Diagnosis d = diagnose(bench.dictionary, {});
    ASSERT_FALSE(d.next.empty());
    EXPECT_EQ(d.hints.question.back(), '?');
    EXPECT_EQ(d.hints.reading, d.next.front().how);
    EXPECT_FALSE(d.hints.cause.empty());
    for (std::size_t k = 1; k < d.next.size(); ++k)
        EXPECT_GE(d.next[k - 1].bits / d.next[k - 1].effort, d.next[k].bits / d.next[k].effort - 1e-12);
}

/// A part whose supply is above its absolute maximum gets hot (common practice), whatever its current was taken to be.
TEST(Diagnosing, WhatGetsTooHighASupplyGetsHot) {
    Diagnosed bench;
    const Wiring& planned = bench.build.placed.wiring;
    const int receiver = planned.part("receiver");
    const SupplyPort& port = planned.parts[receiver].type->supplies.front();
    const int hot = bench.dictionary.questions().behaviour(Behaviour::runs_hot, receiver);
    int above = 0, within = 0;
    for (std::size_t f = 0; f < bench.dictionary.faults().size(); ++f) {
        const Fault& fault = bench.dictionary.faults()[f];
        if (fault.rail != "three" || fault.kind == FaultKind::supply_off) continue;
        const FaultyBuild made = with_fault(bench.build.bench, bench.build.placed, fault);
        const Volts volts = made.bench.rail("three")->volts.span.nominal;
        const double yes = bench.dictionary.predict(hot, static_cast<int>(f) + 1).yes;
        if (volts > port.max) {
            EXPECT_GT(yes, 0.5) << fault.words;
        } else if (volts <= bench.build.bench.rail("three")->volts.span.hi) {
            EXPECT_LT(yes, 0.5) << fault.words;
        }
        ++(volts > port.max ? above : within);
    }
    EXPECT_GT(above, 0);
    EXPECT_GT(within, 0);
}

/// What a point held by nothing reads adds up to 1, and 0 V by a meter's own resistance is likelier there than the
/// volts of a rail (common practice, no source).
TEST(Diagnosing, AFloatingPointReadsNearNothingRatherThanARail) {
    Diagnosed bench;
    const DiagnosisOptions options;
    const Likelihood likelihood(bench.build.bench, options);
    const Question asked = bench.dictionary.questions().all()[bench.dictionary.questions().volts(1, 1)];
    const Prediction floats{.kind = Prediction::Kind::volts, .floats = true};
    const auto of = [&](double volts) { return likelihood.of({.question = 0, .value = volts}, asked, floats); };
    EXPECT_GT(of(0.0), 20 * of(5.02));
    EXPECT_NEAR(of(3.3), of(5.02), 1e-9);
    double sum = likelihood.of({.question = 0, .kind = Reading::Kind::drifts}, asked, floats);
    constexpr double step = 1e-3;
    for (double v = -2.5; v < 8; v += step) sum += of(v) * step;
    EXPECT_NEAR(sum, 1, 0.02);
}

/// ± of a reading is a floor and a share of it, of a time a share only; what is said of one reading goes before.
/// A number counts by where it lies on its scale: twice what a window allows, or ten times a rise time, is far off.
TEST(Diagnosing, AMeterErrsByAFloorAndAShare) {
    Diagnosed bench;
    using Kind = Prediction::Kind;
    const DiagnosisOptions options{
        .errors = {.volts = 0.01, .volts_share = 0.02, .ohms = 0.5, .ohms_share = 0.03, .seconds_share = 0.1}};
    const Likelihood likelihood(bench.build.bench, options);
    EXPECT_NEAR(likelihood.error_of({.value = -5}, Kind::volts), 0.11, 1e-12);
    EXPECT_NEAR(likelihood.error_of({.value = 1e3}, Kind::ohms), 30.5, 1e-9);
    EXPECT_NEAR(likelihood.error_of({.value = 1e-6}, Kind::seconds), 1e-7, 1e-15);
    EXPECT_NEAR(likelihood.error_of({.value = 1e3, .error = 2}, Kind::ohms), 2, 1e-12);
    Questions& questions = bench.dictionary.questions();
    const Question ohms = questions.all()[questions.ohms(0, 1)], time = questions.all()[questions.rise_time(0, 2)];
    const Prediction resistor{.kind = Kind::ohms, .lo = 4465, .nominal = 4700, .hi = 4935},
        rise{.kind = Kind::seconds, .lo = 90e-9, .nominal = 100e-9, .hi = 110e-9};
    const auto of = [&](const Question& asked, const Prediction& p, double value) {
        return likelihood.of({.question = 0, .value = value}, asked, p);
    };
    for (const double far : {2350.0, 9400.0, 47e3})
        EXPECT_GT(of(ohms, resistor, 4700), 50 * of(ohms, resistor, far)) << far;
    EXPECT_GT(of(ohms, resistor, 4935 * 1.02), of(ohms, resistor, 4700) / 2) << "within the meter's error";
    for (const double far : {10e-9, 1e-6}) EXPECT_GT(of(time, rise, 100e-9), 50 * of(time, rise, far)) << far;
}

/// A cause is told as sure only when it is: else with its share, those beside it, and what tells them apart.
TEST(Diagnosing, TheLastHintSaysHowSureItIs) {
    const Diagnosed bench;
    std::mt19937 random(23);
    std::map<std::string, int> seen;
    for (unsigned k = 0; k < made::how_many(40); ++k) {
        const int h = int(random() % bench.dictionary.hypotheses().size());
        const Diagnosis d = diagnose(bench.dictionary, bench.some(h, int(random() % 6), random));
        if (d.something_else >= 0.5 || d.next.empty() || d.suspects.front().hypotheses.front() == 0) continue;
        const std::string& said = d.hints.cause;
        if (said.starts_with("Not as planned is what you saw")) continue;
        const double share = d.suspects.front().share;
        const char* begins = share >= DiagnosisOptions{}.sure ? ""
                             : share >= 0.5                   ? "Likely, not sure: "
                                                              : "Not sure yet";
        ++seen[begins];
        EXPECT_TRUE(said.starts_with(begins)) << said;
        EXPECT_NE(said.find(d.suspects.front().words.substr(1)), std::string::npos) << said;
        EXPECT_EQ(said.find("ot sure") != std::string::npos, share < DiagnosisOptions{}.sure) << said;
        EXPECT_EQ(said.find(d.next.front().how) != std::string::npos, share < DiagnosisOptions{}.sure) << said;
        if (d.suspects.size() > 1 && share < DiagnosisOptions{}.sure && d.suspects[1].share > 0.9 * share) {
            EXPECT_NE(said.find(d.suspects[1].words), std::string::npos) << said;
        }
    }
    if (made::how_many(40) == 40) {
        EXPECT_EQ(seen.size(), 3u);
    }
}

/// The best of each means stands among those proposed, and nothing that is worth more is left out for less of the same.
TEST(Diagnosing, ProposesTheBestOfEachMeans) {
    const Diagnosed bench("existing-build.toml");
    const auto means = [&](const NextReading& next) { return bench.dictionary.questions().all()[next.question].means; };
    const auto worth = [](const NextReading& next) { return next.bits / next.effort; };
    std::mt19937 random(11);
    int mixed = 0;
    for (unsigned k = 0; k < made::how_many(8); ++k) {
        const auto readings =
            bench.some(int(random() % bench.dictionary.hypotheses().size()), int(random() % 3), random);
        const Diagnosis d = diagnose(bench.dictionary, readings);
        std::map<Means, double> best;
        for (const Means one : DiagnosisOptions{}.means) {
            const Diagnosis alone = diagnose(bench.dictionary, readings, {.means = {one}, .next = 1});
            if (!alone.next.empty()) best[one] = worth(alone.next.front());
        }
        std::map<Means, double> shown;
        for (const NextReading& next : d.next) shown.try_emplace(means(next), worth(next));
        EXPECT_EQ(shown, best) << "of those that may be asked";
        mixed += shown.size() > 1;
        // The first is the best of all, whatever else is shown.
        if (d.next.empty()) continue;
        const Diagnosis one = diagnose(bench.dictionary, readings, {.next = 1});
        EXPECT_EQ(one.next.at(0).question, d.next.front().question);
    }
    EXPECT_GT(mixed, 0);
}

/// While a fault that could harm is plausible, nothing that needs power is asked for.
TEST(Diagnosing, NeverAsksForPowerWhileItCouldHarm) {
    const Diagnosed bench("existing-build.toml");
    std::mt19937 random(6);
    int kept_off = 0;
    for (unsigned k = 0; k < made::how_many(40); ++k) {
        const Diagnosis d = diagnose(bench.dictionary, bench.some(int(random() % bench.dictionary.hypotheses().size()),
                                                                  int(random() % 4), random));
        bool could = false;
        for (std::size_t h = 1; h < d.share.size(); ++h)
            could |= d.share[h] > DiagnosisOptions{}.plausible && bench.dictionary.may_harm(int(h));
        EXPECT_EQ(could, d.power_may_harm);
        kept_off += could;
        if (!could) continue;
        const std::string first = bench.dictionary.words(most_harmful(bench, d));
        EXPECT_NE(d.keep_off.find(first), std::string::npos) << d.keep_off;
        EXPECT_FALSE(d.hints.keep_off.empty());
        EXPECT_EQ(d.hints.keep_off.find(first), std::string::npos) << "told before the cause was asked for";
        for (const NextReading& next : d.next)
            EXPECT_FALSE(needs_power(bench.dictionary.questions().all()[next.question])) << next.words;
    }
    if (made::how_many(40) == 40) {
        EXPECT_GT(kept_off, 0);
    }
}

/// A supply that is off lets others feed into what it should hold up, so that power stays off: what is to be done about
/// it may not say otherwise.
TEST(Diagnosing, NoRemedyOfAMissingSupplySwitchesOn) {
    for (const char* name : {"existing-build.toml", "up-shift.toml"}) {
        const placed::Build& build = placed::named(name);
        int off = 0;
        for (const Fault& fault : faults_of(build.bench, build.placed)) {
            if (fault.kind != FaultKind::supply_off) continue;
            ++off;
            EXPECT_TRUE(fault.remedy.starts_with("with all supplies off, ")) << fault.remedy;
            EXPECT_EQ(fault.remedy.find("switch the supply"), std::string::npos) << fault.remedy;
        }
        EXPECT_GT(off, 1) << name;
    }
}

/// What got hot stays off as long as looks and ohms tell more, whatever harm is known; when all of them read as
/// planned, the rest is asked for.
TEST(Diagnosing, WhatGotHotStaysOffWhileLooksTellMore) {
    Diagnosed bench("up-shift.toml");
    Questions& questions = bench.dictionary.questions();
    const int u1 = bench.dictionary.questions().build().wiring.part("U1");
    std::vector<Reading> taken{{.question = questions.behaviour(Behaviour::runs_hot, u1), .kind = Reading::Kind::yes}};
    const DiagnosisOptions no_harm{.plausible = 1.0};
    int powerless = 0;
    Diagnosis d = diagnose(bench.dictionary, taken, no_harm);
    EXPECT_NE(d.keep_off.find("U1 got hot"), std::string::npos) << d.keep_off;
    for (; d.power_may_harm && !d.next.empty() && powerless < 200; ++powerless) {
        for (const NextReading& next : d.next) ASSERT_FALSE(needs_power(questions.all()[next.question])) << next.words;
        taken.push_back(bench.reading_of(d.next.front().question, 0));
        d = diagnose(bench.dictionary, taken, no_harm);
    }
    EXPECT_GT(powerless, 3);
    EXPECT_FALSE(d.power_may_harm && d.something_else < 0.5);
}

/// Two faults that read alike at every point with all rails up, and apart at one with a rail off: an input that
/// bears volts without supply, say, against one whose diode lifts the rail.
TEST(Diagnosing, ARailTakenDownTellsApartWhatReadsAlikeWithAllUp) {
    Diagnosed bench("up-shift.toml");
    Dictionary& dictionary = bench.dictionary;
    Questions& questions = dictionary.questions();
    const int points = static_cast<int>(questions.points().size());
    std::vector<int> up{Questions::at_rest}, down;
    for (const bool high : {false, true})
        if (const int state = questions.state_of_link(0, high); state >= 0) up.push_back(state);
    for (const int state : std::vector(up))
        for (const Rail& rail : bench.build.bench.rails) {
            BenchState off = questions.states()[state];
            off.down = {rail.name};
            down.push_back(questions.state(off));
        }
    const auto asked = [&](const std::vector<int>& states) {
        std::vector<int> found;
        for (const int state : states)
            for (int point = 0; point < points; ++point) found.push_back(questions.volts(point, state));
        return found;
    };
    const std::vector<int> all_up = asked(up), one_down = asked(down);
    const auto two = [&](int q, int a, int b) { return std::pair(dictionary.predict(q, a), dictionary.predict(q, b)); };
    const auto alike = [&](int q, int a, int b) {
        const auto [x, y] = two(q, a, b);
        return !told_apart(x, y);
    };
    const auto apart = [&](int q, int a, int b) {  // by more than a hand-held meter's error, whatever the tolerances
        const auto [x, y] = two(q, a, b);
        return x.known && y.known && !x.floats && !y.floats && (x.hi < y.lo - 0.1 || y.hi < x.lo - 0.1);
    };
    std::string found;
    const int count = static_cast<int>(dictionary.faults().size());
    for (int a = 1; a <= count && found.empty(); ++a)
        for (int b = a + 1; b <= count && found.empty(); ++b)
            if (std::ranges::all_of(all_up, [&](int q) { return alike(q, a, b); }))
                if (const auto q = std::ranges::find_if(one_down, [&](int k) { return apart(k, a, b); });
                    q != one_down.end()) {
                    found = dictionary.words(a) + " and " + dictionary.words(b);
                    const Diagnosis d = diagnose(dictionary, std::vector{bench.reading_of(*q, a)});
                    const auto grown = [&](int h) { return d.share[h] / dictionary.hypotheses()[h].weight; };
                    EXPECT_GT(grown(a), 10 * grown(b)) << found;
                }
    EXPECT_NE(found, "");
    RecordProperty("pair", found);
}

/// With noise, and readings of the network with every figure drawn from its tolerance.
TEST(Diagnosing, NoiseIsBorne) {
    Diagnosed bench("up-shift.toml");
    std::mt19937_64 random(8);
    int top = 0, all = 0;
    for (int k = 0; k < 12; ++k) {  // sanitized as well: of fewer, one lost by chance would weigh too much
        const int fault = test::draw_fault(bench.dictionary, random);
        ASSERT_GE(fault, 0);
        const test::Game game =
            test::play(bench.build.bench, bench.build.placed, bench.dictionary, fault, test::Order::best, random);
        EXPECT_FALSE(game.asked_harmful) << game.truth;
        top += game.top_three, ++all;
    }
    EXPECT_GE(10 * top, 8 * all) << top << " of " << all;
}

/// Who sees where a wire is, not only that it is not as planned, has found the fault among those of the wire.
TEST(Diagnosing, WhatALookShowsSinglesOutTheFault) {
    const Diagnosed bench;
    const auto& faults = bench.dictionary.faults();
    Questions& questions = const_cast<Dictionary&>(bench.dictionary).questions();
    int told = 0;
    for (std::size_t f = 0; f < faults.size(); ++f) {
        if (faults[f].sights.size() != 1 || faults[f].by_print) continue;
        const Sight& sight = faults[f].sights.front();
        const int look = sight.wire >= 0 ? questions.look_at_wire(sight.wire) : questions.look_at_part(faults[f].part);
        const Reading seen{.question = look, .kind = Reading::Kind::no,
                           .sight = questions.sight(sight.wire, sight.wire < 0 ? faults[f].part : -1, sight.text)};
        const Reading unsaid{.question = look, .kind = Reading::Kind::no};
        const auto share = [&](const Reading& r) {
            return diagnose(bench.dictionary, {&r, 1}, {.next = 0}).share[1 + f];
        };
        const double exactly = share(seen);
        EXPECT_GT(exactly, 0.25) << faults[f].id;
        EXPECT_GE(exactly, share(unsaid)) << faults[f].id;
        ++told;
    }
    EXPECT_GT(told, 60);
}

/// A look along a rail meets the wires that are on it as planned, and no others.
TEST(Diagnosing, ALookAlongARailMeetsItsWires) {
    Diagnosed bench;
    Questions& questions = bench.dictionary.questions();
    const Wiring& wiring = questions.build().wiring;
    std::map<int, int> seen;  // by wire: how often
    for (const LaidWire& wire : questions.build().placement.wires)
        for (int point = 0; point <= std::ssize(bench.build.bench.rails); ++point) {
            const bool on_it = questions.sees(questions.all()[questions.look_along(point)], wire.number, -1);
            seen[wire.number] += on_it;
            const NetId of_point = point == 0 ? wiring.ground() : wiring.rail(questions.points()[point].rail);
            for (const WireEnd* end : {&wire.from, &wire.to})
                if (end->kind == WireEnd::Kind::pin) {
                    EXPECT_EQ(on_it, wiring.parts[end->part].net_of_pin[end->pin] == of_point) << wire.number;
                }
            const std::string how = questions.how(questions.look_along(point));
            if (questions.wires_along(point).size() <= 16) {
                EXPECT_EQ(how.find(fmt::format(" {} from ", wire.number)) != std::string::npos, on_it);
            }
        }
    int shared = 0, signals = 0;
    for (const auto& [wire, times] : seen) {
        EXPECT_LE(times, 1) << wire;
        ++(times == 1 ? shared : signals);
    }
    EXPECT_GE(shared, 6);
    EXPECT_GE(signals, 2);
}

/// A look says where things belong: who stands at the bench has no sheet in the hand.
TEST(Diagnosing, ALookSaysBothEndsOfItsWires) {
    Diagnosed bench;
    Questions& questions = bench.dictionary.questions();
    const PlacedWiring& placed = questions.build();
    for (const LaidWire& wire : placed.placement.wires) {
        const std::string how = questions.how(questions.look_at_wire(wire.number));
        for (const WireEnd* end : {&wire.from, &wire.to})
            EXPECT_NE(how.find(words(placed.placement, placed.wiring, *end)), std::string::npos) << how;
    }
    const int receiver = placed.wiring.part("receiver");
    const std::string around = questions.how(questions.look_around(receiver));
    for (const int wire : questions.wires_around(receiver)) {
        const LaidWire& laid = *std::ranges::find(placed.placement.wires, wire, &LaidWire::number);
        EXPECT_NE(around.find(fmt::format("{} from {}", wire, words(placed.placement, placed.wiring, laid.from))),
                  std::string::npos)
            << around;
    }
    const int c1 = placed.wiring.part("C1");  // one lead in the strip of the ground, whose other wires are not its own
    ASSERT_GE(c1, 0);
    EXPECT_LE(questions.wires_around(c1).size(), 2u);
    const int u1 = placed.wiring.part("U1");
    EXPECT_NE(questions.how(questions.look_at_part(u1))
                  .find("pin 1 in " + words(placed.placement, placed.placement.parts[u1].holes[0])),
              std::string::npos);
}

/// Whatever else is likely: what was seen to be wrong is put right, and no other look meets it again.
TEST(Diagnosing, WhatIsSeenWrongIsPutRightFirst) {
    Diagnosed bench;
    Questions& questions = bench.dictionary.questions();
    const LaidWire& wire = questions.build().placement.wires.back();
    const Reading seen{.question = questions.look_at_wire(wire.number), .kind = Reading::Kind::no};
    DiagnosisOptions options{.next = 50};
    options.sure = 1;
    const Diagnosis d = diagnose(bench.dictionary, {&seen, 1}, options);
    EXPECT_NE(d.sentence.find(fmt::format("put wire {} from {} to {}", wire.number,
                                          words(questions.build().placement, questions.build().wiring, wire.from),
                                          words(questions.build().placement, questions.build().wiring, wire.to))),
              std::string::npos)
        << d.sentence;
    ASSERT_FALSE(d.next.empty());
    for (const NextReading& next : d.next)
        EXPECT_FALSE(questions.sees(questions.all()[next.question], wire.number, -1)) << next.words;
}

/// 33 V typed for 3.3 V: on a bench of 5 V nobody takes it for a reading like others, also where a point may float.
TEST(Diagnosing, AVoltageNoSupplyGivesIsNamed) {
    Diagnosed bench;
    Questions& questions = bench.dictionary.questions();
    const int receiver = questions.build().wiring.part("receiver");
    int asked = 0;
    for (const int q : bench.dictionary.worth_asking()) {
        const Question question = questions.all()[q];
        if (question.means != Means::voltmeter || questions.points()[question.point].part != receiver) continue;
        for (const double volts : {33.0, -33.0, 3.3}) {
            const Reading typed{.question = q, .value = volts};
            const Diagnosis d = diagnose(bench.dictionary, {&typed, 1}, {.next = 0});
            const bool named = std::ranges::any_of(d.contradictions, [](const Contradiction& c) {
                return c.sentence.find("far beyond what the supplies") != std::string::npos;
            });
            EXPECT_EQ(named, volts != 3.3) << volts;
            EXPECT_FALSE(d.found) << d.sentence;
        }
        ++asked;
    }
    EXPECT_GT(asked, 2);
}

}  // namespace
}  // namespace voltsill
