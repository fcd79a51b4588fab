/// Every question of every example, solved once more: choices by judging each option's wiring here, numbers by
/// closed forms written here. Nothing of the question's own answer is used but to be compared.
#include "teaching/questions.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <regex>
#include <set>

#include "course.h"
#include "judging/link_readings.h"
#include "quantity/parse.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

constexpr std::uint64_t class_seed = 7;

const QuestionSet& asked(const std::string& name) {
    static std::map<std::string, QuestionSet> made;
    if (const auto at = made.find(name); at != made.end()) return at->second;
    const course::Built& b = course::built(name);
    return made.emplace(name, make_questions(b.bench, b.wiring, static_cast<int>(made::how_many(20)), class_seed))
        .first->second;
}

/// Judged here, once for each wiring that learners share.
const Judgement& judged_again(const QuestionCase& solved) {
    static std::map<const QuestionCase*, Judgement> done;
    const auto at = done.find(&solved);
    if (at != done.end()) return at->second;
    return done.emplace(&solved, judge(solved.bench, solved.wiring)).first->second;
}

double given_figure(const TestQuestion& q, const std::string& symbol) {
    for (const GivenFigure& f : q.figures)
        if (f.symbol == symbol) return f.value;
    ADD_FAILURE() << q.family << " gives no " << symbol;
    return NAN;
}

/// Verdict of the link and of parts that stand between its ends.
Verdict worst_between(const TestQuestion& q, const QuestionCase& solved) {
    Verdict worst = Verdict::safe;
    for (const Finding& f : judged_again(solved).findings) {
        const int p = solved.wiring.part(f.part);
        if (f.link == q.link || (p >= 0 && solved.wiring.parts[p].added)) worst = worse(worst, f.verdict);
    }
    return worst;
}

bool harms_while_down(const QuestionCase& solved, const std::string& rail) {
    return std::ranges::any_of(judged_again(solved).findings, [&](const Finding& f) {
        return f.verdict == Verdict::harmful && f.state.find(rail + " down") != std::string::npos;
    });
}

/// The option's words are about the wiring that was judged for it.
void expect_told_wiring(const TestQuestion& q, const QuestionOption& option) {
    const Wiring& w = option.solved->wiring;
    std::vector<double> ohms;
    std::string ic;
    for (const WiredPart& part : w.parts) {
        if (part.added && part.type->kind == PartKind::resistor) ohms.push_back(*part.value);
        if (part.name == "U1") ic = part.type->name;
    }
    if (q.family == "part-letters") {
        EXPECT_EQ(option.text, ic);
    }
    std::smatch m;
    if (q.family == "divider-pair") {
        ASSERT_TRUE(std::regex_match(option.text, m, std::regex("(.*) above, (.*) below"))) << option.text;
        ASSERT_EQ(ohms.size(), 2u);
        EXPECT_DOUBLE_EQ(parse<Ohms>(m[1].str())->nominal.si(), ohms[0]);
        EXPECT_DOUBLE_EQ(parse<Ohms>(m[2].str())->nominal.si(), ohms[1]);
    }
    if (q.family == "channel-pin") {
        ASSERT_TRUE(std::regex_match(option.text, m, std::regex("pin ([0-9]+)"))) << option.text;
        const WiredPart& u1 = w.parts[w.part("U1")];
        const auto dot = q.point.find('.');
        EXPECT_EQ(u1.net_of_pin[u1.package->pin_of_number[std::stoul(m[1]) - 1]],
                  w.net_at(q.point.substr(0, dot), q.point.substr(dot + 1)));
    }
}

bool right_when_solved(const TestQuestion& q, const QuestionOption& option) {
    if (q.family == "rail-off") {
        std::smatch m;
        EXPECT_TRUE(std::regex_search(q.text, m, std::regex("^Rail (.*) is off"))) << q.text;
        return !harms_while_down(*option.solved, m[1]);
    }
    if (q.family == "channel-pin") return judged_again(*option.solved).links[0].verdict <= Verdict::thin;
    return worst_between(q, *option.solved) <= Verdict::thin;
}

template <class Look>
void each(const std::string& bench, Look look) {
    for (const LearnerQuestions& learner : asked(bench).learners)
        for (const TestQuestion& q : learner.questions) {
            SCOPED_TRACE(bench + ", learner " + std::to_string(learner.learner) + ", " + q.family + ": " + q.text);
            look(q);
        }
}

void expect_one_option_is_right_when_each_is_judged_again(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        if (q.options.empty() || q.family == "expected-reading") return;
        int right = 0;
        for (const QuestionOption& option : q.options) {
            ASSERT_TRUE(option.solved) << option.text;
            expect_told_wiring(q, option);
            const bool is = right_when_solved(q, option);
            EXPECT_EQ(is, option.right) << option.letter << " " << option.text;
            right += is;
        }
        EXPECT_EQ(right, 1);
        EXPECT_GE(q.options.size(), 3u);
    });
}

/// Of the windows one holds what the wiring reads, and the others are well away from it.
void expect_one_window_holds_the_reading(const std::string& bench) {
    std::map<const QuestionCase*, std::vector<StateReading>> read;
    each(bench, [&](const TestQuestion& q) {
        if (q.family != "expected-reading") return;
        auto [at, is_new] = read.try_emplace(q.solved.get());
        if (is_new) at->second = readings(q.solved->bench, q.solved->wiring);
        std::smatch m;
        ASSERT_TRUE(std::regex_search(q.sources.front(), m, std::regex("state \"(.*)\"$")));
        const auto r = std::ranges::find_if(
            at->second, [&](const StateReading& s) { return s.point == q.point && s.state == m[1]; });
        ASSERT_NE(r, at->second.end());
        int holding = 0;
        constexpr double rounded = 1e-8;  // V: an output without load is some nanovolts below its rail
        for (const QuestionOption& o : q.options) {
            double lo = 0, hi = 0;
            ASSERT_EQ(std::sscanf(o.text.c_str(), "%lf V to %lf V", &lo, &hi), 2) << o.text;
            const bool holds = lo <= r->lo + rounded && r->hi <= hi + rounded;
            EXPECT_EQ(holds, o.right) << o.text;
            if (!holds) {
                EXPECT_TRUE(lo - r->hi > 0.1 || r->lo - hi > 0.1) << o.text;
            }
            holding += holds;
        }
        EXPECT_EQ(holding, 1);
    });
}

/// high margin = lowest high - (ratio V + offset), low margin = (ratio V + offset) - highest low: the definition
/// of noise margins in every text on logic families; and the judge's own margin of that wiring.
void expect_margins_are_those_of_the_closed_form_and_of_the_judge(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        if (q.family != "noise-margin") return;
        const bool high = q.text.find("high margin") != std::string::npos;
        const double limit = given_figure(q, "ratio") * given_figure(q, "supply") + given_figure(q, "offset");
        const double margin = high ? given_figure(q, "level") - limit : limit - given_figure(q, "level");
        EXPECT_NEAR(q.numeric->value, margin, 2e-3);
        double nearest = 1e9;
        for (const Finding& f : judged_again(*q.solved).findings)
            if (f.link == q.link && f.code == (high ? "high-level" : "low-level"))
                nearest = std::min(nearest, std::abs(f.margin - q.numeric->value));
        EXPECT_LT(nearest, 1e-9) << "no margin of the judge";
        if (given_figure(q, "ratio") > 0) {  // the supply is that of the worst rail, not of the nominal one
            double off = 1e9;
            for (const Rail& rail : q.solved->bench.rails)
                off = std::min(
                    off, std::abs((high ? rail.volts.span.hi : rail.volts.span.lo).si() - given_figure(q, "supply")));
            EXPECT_LT(off, 1e-9);
        }
    });
}

void expect_highest_tap_is_that_of_the_divider_and_of_the_judge(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        if (q.family != "divider-level") return;
        const double t = given_figure(q, "t"), r1 = given_figure(q, "R1") * (1 - t),
                     r2 = given_figure(q, "R2") * (1 + t);
        EXPECT_NEAR(q.numeric->value, given_figure(q, "drive") * r2 / (r1 + r2), 1e-9);
        const auto& levels = judged_again(*q.solved).links[0].levels;
        const auto band =
            std::ranges::find_if(levels, [&](const LevelBand& b) { return b.high && b.point == q.point; });
        ASSERT_NE(band, levels.end());
        EXPECT_NEAR(band->hi, q.numeric->value, q.numeric->tolerance);
    });
}

/// UM10204 rev 7.0, 7.1: Rp min = (VDD - VOL) / IOL with VOL 0.4 V at 3 mA; Rp max = tr / (0.8473 Cb) with tr 1000 ns
/// in Standard-mode and 300 ns in Fast-mode (tables 10 and 11).
void expect_pull_ups_are_those_of_the_bus_standard(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        if (q.family != "pull-up-window") return;
        const bool least = q.text.find("least") != std::string::npos;
        const bool fast = q.given[1].find("400 kHz") != std::string::npos;
        const double ohms = least ? (given_figure(q, "rail") - 0.4) / 3e-3
                                  : (fast ? 300e-9 : 1000e-9) / (0.8473 * given_figure(q, "Cb"));
        EXPECT_NEAR(q.numeric->value, ohms, 1e-3 * ohms);
        for (const Finding& f : judged_again(*q.solved).findings)
            if (f.code == "bus-rise-time" || f.code == "sink-current") {
                const bool asked_here = f.code == (least ? std::string("sink-current") : std::string("bus-rise-time"));
                if (asked_here) {
                    EXPECT_LE(f.verdict, Verdict::thin) << f.sentence;
                }
            }
    });
}

/// The printed answer is right, and nobody who goes a known wrong way is.
void expect_tolerance_holds_the_rounding_and_no_wrong_way(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        if (!q.numeric) return;
        const NumericAnswer& a = *q.numeric;
        const double printed = std::stod(answer_words(a)) * a.unit_size;
        EXPECT_LE(std::abs(printed - a.value), a.tolerance);
        EXPECT_FALSE(a.wrong.empty());
        for (const WrongPath& w : a.wrong) EXPECT_GT(std::abs(w.value - a.value), 2 * a.tolerance) << w.how;
        EXPECT_GT(q.distance, 2 * a.tolerance);
    });
}

void expect_every_question_says_what_it_rests_on(const std::string& bench) {
    each(bench, [](const TestQuestion& q) {
        EXPECT_FALSE(q.sources.empty());
        EXPECT_FALSE(q.arithmetic.empty());
        EXPECT_FALSE(q.given.empty());
        EXPECT_NE(q.solved, nullptr);
        for (const QuestionOption& o : q.options) EXPECT_FALSE(o.why.empty()) << o.text;
        if (!q.options.empty() && q.family != "channel-pin") {
            EXPECT_GE(q.distance, 0.05);
        }
    });
}

void expect_what_is_not_asked_says_why(const std::string& bench) {
    const QuestionSet& set = asked(bench);
    for (const LearnerQuestions& learner : set.learners)
        for (const QuestionFamily& family : question_families()) {
            const bool there =
                std::ranges::any_of(learner.questions, [&](const TestQuestion& q) { return q.family == family.id; });
            const auto missing = std::ranges::find(set.missing, family.id, &MissingFamily::family);
            EXPECT_TRUE(there || missing != set.missing.end()) << family.id;
            if (missing != set.missing.end()) {
                EXPECT_GT(missing->why.size(), 20u);
            }
        }
}

void expect_every_family(const std::string& bench) {
    const QuestionSet& set = asked(bench);
    for (const MissingFamily& m : set.missing) ADD_FAILURE() << m.family << ": " << m.why;
    for (const LearnerQuestions& learner : set.learners)
        EXPECT_EQ(learner.questions.size(), question_families().size());
}

/// A bus that everybody only pulls low offers no divider.
void expect_pull_ups_and_no_divider(const std::string& bench) {
    const QuestionSet& set = asked(bench);
    EXPECT_NE(std::ranges::find(set.missing, "divider-pair", &MissingFamily::family), set.missing.end());
    EXPECT_TRUE(std::ranges::any_of(set.learners[0].questions,
                                    [](const TestQuestion& q) { return q.family == "pull-up-window"; }));
}

void expect_different_questions(const std::string& bench) {
    std::map<std::string, std::set<std::string>> texts;
    for (const LearnerQuestions& learner : asked(bench).learners)
        for (const TestQuestion& q : learner.questions) {
            std::string all = q.text + q.link;
            for (const std::string& g : q.given) all += g;
            for (const QuestionOption& o : q.options) all += o.text;
            texts[q.family].insert(all);
        }
    const std::size_t learners = asked(bench).learners.size();
    for (const auto& [family, different] : texts) EXPECT_GE(2 * different.size(), learners) << family;
}

/// RFC 4180: every row has as many cells as the header, quotes doubled, CRLF at the end of a row.
void expect_whole_rows(const std::string& bench) {
    const std::string csv = questions_csv(asked(bench), true);
    std::vector<std::size_t> cells{1};
    bool quoted = false;
    for (std::size_t k = 0; k < csv.size(); ++k) {
        if (csv[k] == '"') quoted = !quoted;
        if (quoted) continue;
        if (csv[k] == ',') ++cells.back();
        if (csv[k] == '\n') {
            ASSERT_EQ(csv[k - 1], '\r');
            cells.push_back(1);
        }
    }
    cells.pop_back();
    EXPECT_FALSE(quoted);
    EXPECT_GT(cells.size(), asked(bench).learners.size());
    for (const std::size_t n : cells) EXPECT_EQ(n, cells.front());
}

/// One test a bench: its questions are made once.
class Asked : public ::testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Questions, Asked, ::testing::ValuesIn(course::examples),
                         [](const auto& p) { return std::regex_replace(p.param, std::regex("-"), "_"); });

TEST_P(Asked, HoldsWhenSolvedAgain) {
    expect_one_option_is_right_when_each_is_judged_again(GetParam());
    expect_one_window_holds_the_reading(GetParam());
    expect_margins_are_those_of_the_closed_form_and_of_the_judge(GetParam());
    expect_highest_tap_is_that_of_the_divider_and_of_the_judge(GetParam());
    expect_pull_ups_are_those_of_the_bus_standard(GetParam());
    expect_tolerance_holds_the_rounding_and_no_wrong_way(GetParam());
    expect_every_question_says_what_it_rests_on(GetParam());
    expect_what_is_not_asked_says_why(GetParam());
    if (GetParam() == "two-way-bus") expect_pull_ups_and_no_divider(GetParam());
    if (GetParam() != "rain-garden") return;
    expect_every_family(GetParam());
    expect_different_questions(GetParam());
    expect_whole_rows(GetParam());
}

TEST(QuestionSets, ASeedMeansTheSameQuestionsHoweverManyLearners) {
    for (const char* name : {"first-bench"}) {
        const course::Built& b = course::built(name);
        const std::string three = questions_csv(make_questions(b.bench, b.wiring, 3, 11), true);
        EXPECT_EQ(three, questions_csv(make_questions(b.bench, b.wiring, 3, 11), true));
        const std::string one = questions_csv(make_questions(b.bench, b.wiring, 1, 11), true);
        EXPECT_EQ(three.substr(0, one.size()), one);
        EXPECT_NE(three, questions_csv(make_questions(b.bench, b.wiring, 3, 12), true));
    }
}

TEST(QuestionSets, TheLearnersCsvHoldsNoAnswer) {
    const QuestionSet& set = asked("first-bench");
    const std::string csv = questions_csv(set, false);
    for (const LearnerQuestions& learner : set.learners)
        for (const TestQuestion& q : learner.questions) {
            if (q.numeric) {
                EXPECT_EQ(csv.find(answer_words(*q.numeric)), std::string::npos) << q.text;
            }
            for (const QuestionOption& o : q.options)
                if (!o.right) {
                    EXPECT_EQ(csv.find(o.why), std::string::npos);
                }
        }
}

}  // namespace
}  // namespace voltsill
