/// The fault chart against the dictionary it is made from: its symptoms, its order, every number.
#include "faults/fault_chart.h"

#include <gtest/gtest.h>

#include "faults/placed_benches.h"

namespace voltsill {
namespace {

struct Charted {
    const placed::Build& build;
    Dictionary dictionary;
    FaultChart chart;
    explicit Charted(const std::string& name)
        : build(placed::named(name)),
          dictionary(build.bench, build.placed, faults_of(build.bench, build.placed)),
          chart(fault_chart(dictionary)) {}
};

Charted& charted(const std::string& name) {
    static std::map<std::string, std::unique_ptr<Charted>> made;
    auto& one = made[name];
    if (!one) one = std::make_unique<Charted>(name);
    return *one;
}
constexpr const char* charted_benches[] = {"first-bench.toml", "two-way-bus.toml"};

void expect_same(const Prediction& a, const Prediction& b, const std::string& where) {
    EXPECT_EQ(words(a), words(b)) << where;
    EXPECT_EQ(a.floats, b.floats) << where;
    EXPECT_DOUBLE_EQ(a.lo, b.lo) << where;
    EXPECT_DOUBLE_EQ(a.hi, b.hi) << where;
}

TEST(FaultChart, EveryNumberIsAPredictionOfTheDictionary) {
    for (const char* name : charted_benches) {
        Charted& c = charted(name);
        ASSERT_GE(c.chart.rows.size(), 2u) << name;
        for (const ChartRow& row : c.chart.rows) {
            EXPECT_FALSE(row.readings.empty()) << row.symptom;
            for (const ChartReading& reading : row.readings) {
                const std::string where = row.symptom + ": " + reading.how;
                expect_same(reading.planned, c.dictionary.predict(reading.question, 0), where);
                ASSERT_FALSE(reading.answers.empty()) << where;
                for (const ChartAnswer& answer : reading.answers) {
                    ASSERT_FALSE(answer.causes.empty()) << where;
                    double lo = 1e99, hi = -1e99;
                    for (const ChartCause& cause : answer.causes) {
                        const Prediction p = c.dictionary.predict(reading.question, cause.hypothesis);
                        lo = std::min(lo, p.lo), hi = std::max(hi, p.hi);
                        EXPECT_EQ(p.floats, answer.reads.floats) << where;
                        EXPECT_TRUE(told_apart(p, reading.planned)) << where << ": " << cause.words;
                        EXPECT_EQ(cause.words, c.dictionary.words(cause.hypothesis));
                    }
                    if (answer.reads.kind == Prediction::Kind::chance || answer.reads.floats) continue;
                    EXPECT_DOUBLE_EQ(answer.reads.lo, lo) << where;
                    EXPECT_DOUBLE_EQ(answer.reads.hi, hi) << where;
                }
            }
        }
    }
}

/// By the formula of the header, worked out here from single predictions.
TEST(FaultChart, SymptomsComeByHowMuchLikelierFaultsMakeThem) {
    for (const char* name : charted_benches) {
        Charted& c = charted(name);
        double last = 1;
        for (const ChartRow& row : c.chart.rows) {
            const auto chance = [&](int h) {
                const double yes = c.dictionary.predict(row.said.question, h).yes;
                return row.said.kind == Reading::Kind::yes ? yes : 1 - yes;
            };
            double weight = 0;
            for (int h = 1; h <= std::ssize(c.dictionary.faults()); ++h)
                weight += c.dictionary.hypotheses()[h].weight * std::max(0.0, chance(h) - chance(0));
            EXPECT_GT(weight, 0) << row.symptom;
            EXPECT_LE(weight, last + 1e-9) << row.symptom;
            last = weight;
            ASSERT_FALSE(row.causes.empty()) << row.symptom;
            // What follows an input that floats works every other time: then it looks clean and fails every other time.
            const Question& said = c.dictionary.questions().all()[row.said.question];
            const bool half = said.means == Means::behaviour && said.behaviour == Behaviour::analyser_clean;
            EXPECT_GT(chance(row.causes.front().hypothesis), half ? 0.4 : 0.5)
                << row.symptom << ": " << row.causes.front().words;
            for (std::size_t k = 1; k < row.causes.size(); ++k)
                EXPECT_GE(row.causes[k - 1].share, row.causes[k].share) << row.symptom;
        }
    }
}

/// A row is the conversation of the diagnosis with a build on which everything reads as planned; what is hot stays off.
TEST(FaultChart, ReadingsAreThoseTheDiagnosisAsksFor) {
    Charted& c = charted("first-bench.toml");
    for (const ChartRow& row : c.chart.rows) {
        std::vector<Reading> taken{row.said};
        for (const ChartReading& reading : row.readings) {
            DiagnosisOptions how{.next = 8};
            if (!row.keep_off.empty()) how.means = {Means::eye, Means::ohmmeter};
            const Diagnosis d = diagnose(c.dictionary, taken, how);
            EXPECT_TRUE(
                std::ranges::any_of(d.next, [&](const NextReading& n) { return n.question == reading.question; }))
                << row.symptom << ": " << reading.how;
            const bool hot = c.dictionary.questions().all()[row.said.question].behaviour == Behaviour::runs_hot;
            EXPECT_TRUE(!hot || !row.keep_off.empty()) << row.symptom;
            if (d.power_may_harm || hot) {
                EXPECT_TRUE(reading.means == Means::eye || reading.means == Means::ohmmeter) << reading.how;
            }
            Reading said{.question = reading.question, .value = reading.planned.nominal};
            if (reading.planned.kind == Prediction::Kind::chance)
                said.kind = reading.planned.yes >= 0.5 ? Reading::Kind::yes : Reading::Kind::no;
            else if (reading.words == "open")
                said.kind = Reading::Kind::open;
            else if (reading.planned.floats)
                said.kind = Reading::Kind::drifts;
            taken.push_back(said);
        }
    }
}

/// What is printed of an answer lies within what its causes read, and outside of what is planned.
TEST(FaultChart, AnAnswerIsToldByWhatThePlannedOneLeavesFree) {
    for (const char* name : charted_benches)
        for (const ChartRow& row : charted(name).chart.rows)
            for (const ChartReading& reading : row.readings)
                for (const ChartAnswer& answer : reading.answers) {
                    const Prediction left = outside_of(answer.reads, reading.planned);
                    const std::string where = row.symptom + ": " + reading.how + " " + answer.words;
                    EXPECT_NE(answer.words, reading.words) << where;
                    for (const auto& [lo, hi] : windows_of(left)) {
                        EXPECT_GE(lo, answer.reads.lo) << where;
                        EXPECT_LE(hi, answer.reads.hi) << where;
                    }
                }
    const auto window = [](Prediction::Kind kind, double lo, double hi) {
        return Prediction{.kind = kind, .lo = lo, .nominal = (lo + hi) / 2, .hi = hi};
    };
    constexpr auto volts = Prediction::Kind::volts, ohms = Prediction::Kind::ohms;
    const Prediction planned = window(volts, 0.06, 0.29);
    EXPECT_EQ(words(outside_of(window(volts, 0.02, 0.15), planned)), "0.02..0.06 V");
    EXPECT_EQ(words(outside_of(window(volts, 0.1, 1.1), planned)), "0.29..1.10 V");
    EXPECT_EQ(words(outside_of(window(volts, 0, 5), planned)), "0.00..0.06 V or 0.29..5.00 V");
    EXPECT_EQ(words(outside_of(window(volts, 1.1, 1.2), planned)), "1.10..1.20 V");
    EXPECT_EQ(words(outside_of(window(volts, 0.1, 0.2), planned)), "0.10..0.20 V") << "nothing would be left";
    Prediction either = window(volts, 0.1, 5);
    either.gap_lo = 0.3, either.gap_hi = 4.7;
    EXPECT_EQ(words(outside_of(either, window(volts, 4.6, 5.1))), "0.10..0.30 V");
    const double never = 1e9;
    EXPECT_EQ(words(outside_of(window(ohms, 4460, never), window(ohms, 4460, 4940))), "more than 4.94 kΩ");
    EXPECT_EQ(words(outside_of(window(ohms, 0, 4940), window(ohms, 4460, 4940))), "under 4.46 kΩ");
    EXPECT_EQ(words(window(ohms, 0, never)), "anything");
}

/// A look that is not as the sheet has it says what there is to see.
TEST(FaultChart, ALookSaysWhatThereIsToSee) {
    Charted& c = charted("first-bench.toml");
    Questions& questions = c.dictionary.questions();
    int looks = 0;
    for (int h = 1; h <= std::ssize(c.dictionary.faults()); ++h) {
        const Fault& fault = c.dictionary.faults()[h - 1];
        if (fault.kind != FaultKind::one_row_off || fault.wires.size() != 1) continue;
        const int look = questions.look_at_wire(fault.wires.front());
        EXPECT_EQ(answer_words(questions, look, c.dictionary.predict(look, 0)), "as the sheet has it");
        const std::string seen = answer_words(questions, look, c.dictionary.predict(look, h));
        ASSERT_TRUE(seen.starts_with("in ")) << seen;
        EXPECT_TRUE(fault.words.contains(seen + " in place of")) << fault.words << ": " << seen;
        ++looks;
    }
    EXPECT_GT(looks, 0);
}

TEST(FaultChart, KeepsToWhatWasAskedForAndStopsWhenToldTo) {
    Charted& c = charted("first-bench.toml");
    const FaultChart small = fault_chart(c.dictionary, {.rows = 1, .readings = 1, .answers = 1, .causes = 1});
    ASSERT_EQ(small.rows.size(), 1u);
    ASSERT_EQ(small.rows[0].readings.size(), 1u);
    EXPECT_EQ(small.rows[0].readings[0].answers.size(), 1u);
    EXPECT_EQ(small.rows[0].causes.size(), 1u);
    EXPECT_EQ(small.rows[0].symptom, c.chart.rows[0].symptom);
    FaultChartOptions stopped;
    stopped.progress = [](int done, int) { return done < 1; };
    EXPECT_EQ(fault_chart(c.dictionary, stopped).rows.size(), 1u);
}

}  // namespace
}  // namespace voltsill
