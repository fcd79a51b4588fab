// Hints from the diagnosis: the same as `voltsill diagnose` gives, never with power where that may harm, and never long
// in the way of a request.
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <set>
#include <thread>

#include "classroom.h"
#include "engine/diagnose.h"
#include "faults/harm.h"
#include "server/hall_diagnosis.h"
#include "support/how_many.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;
using namespace std::chrono_literals;
using nlohmann::json;

Lesson lesson_of(const std::string& example) {
    return *make_lesson(voltsill::make_sheets(example_text(example), "bench.toml", {},
                                              {.audience = voltsill::Audience::instructor, .slips = false}),
                        "bench.toml");
}
const Lesson& hinted_lesson() {
    static const Lesson lesson = lesson_of("first-bench");
    return lesson;
}

void wait_until_made(const HallDiagnosis& diagnosis) {
    while (diagnosis.waiting_for()) std::this_thread::sleep_for(5ms);
}
/// Made once for all tests that only ask.
HallDiagnosis& made_diagnosis() {
    static HallDiagnosis diagnosis(hinted_lesson(), [] {});
    static const bool begun = [] {
        diagnosis.begin();
        wait_until_made(diagnosis);
        return true;
    }();
    EXPECT_TRUE(begun);
    return diagnosis;
}

const LessonCheck& low_level_check() {
    return *std::ranges::find_if(hinted_lesson().checks, [](const LessonCheck& c) {
        return c.kind == CheckKind::volts && c.reading >= 0 && c.what.find(" low: ") != std::string::npos;
    });
}

HintAsked about(const LessonCheck& check, double value, int depth, bool power = true) {
    return {.check = &check, .entered = {{&check, value, false}}, .depth = depth, .power = power, .danger = {}};
}

/// The reading as a line of `voltsill diagnose`.
std::string line_of(const LessonCheck& check, double volts) {
    const voltsill::LinkReading& r = hinted_lesson().sheets.sheets.levels[static_cast<std::size_t>(check.reading)];
    const auto bare = [](const std::string& label) { return label.substr(0, label.find(' ')); };
    return bare(r.reading.point) + " = " + std::to_string(volts) + " V when " + bare(r.driver) +
           (r.set == '0' ? " low" : " high");
}

TEST(ClassHints, AreThoseOfTheDiagnosis) {
    const LessonCheck& check = low_level_check();
    const auto memory = voltsill::diagnose_memory();
    for (const double volts : {0.9, 1.6, 3.3}) {
        voltsill::DiagnoseOptions ask{.lines = {line_of(check, volts)}};
        ask.memory = memory;
        ask.how.means = {voltsill::Means::eye, voltsill::Means::ohmmeter, voltsill::Means::voltmeter};
        const auto said = voltsill::diagnose(example_text("first-bench"), "bench.toml", {}, "", "", ask);
        ASSERT_TRUE(said.accepted()) << (said.reading_problems.empty() ? "" : said.reading_problems[0].message);
        const voltsill::Hints& hints = said.diagnosis.hints;
        const std::string expected[] = {hints.question, hints.reading, hints.cause};
        for (int depth = 1; depth <= 3; ++depth) {
            const Hint hint = made_diagnosis().hint(about(check, volts, depth));
            EXPECT_EQ(hint.keep_off, hints.keep_off);
            if (said.diagnosis.something_else >= 0.5)
                EXPECT_NE(hint.from_sheet, "");
            else if (!expected[depth - 1].empty() && said.diagnosis.contradictions.empty())
                EXPECT_EQ(hint.words, expected[depth - 1]) << volts << " V, depth " << depth;
        }
    }
}

TEST(ClassHints, AFurtherReadingChangesTheCause) {
    // A low that arrives high: its supply may be off, or its row open. What else was read decides.
    const LessonCheck& check = low_level_check();
    HintAsked alone = about(check, 3.3, 3), with_more = alone;
    for (const LessonCheck& other : hinted_lesson().checks)
        if (&other != &check && (other.kind == CheckKind::ohms || other.kind == CheckKind::volts) &&
            std::isfinite(other.hi) && !other.floats)
            with_more.entered.push_back({&other, (other.lo + other.hi) / 2, true});
    ASSERT_GT(with_more.entered.size(), 1u);
    const Hint few = made_diagnosis().hint(alone), many = made_diagnosis().hint(with_more);
    EXPECT_EQ(many.from_sheet, "");
    EXPECT_FALSE(few.words.empty());
    EXPECT_FALSE(many.words.empty());
    EXPECT_NE(few.words, many.words) << "supplies that read as they should are not the cause";
}

bool asks_for_power(const std::string& words) {
    return words.find("Switch all supplies on") != std::string::npos ||
           words.find("as it is and read") != std::string::npos;
}

TEST(ClassHints, DoNotAskForPowerBeforeGateTwoIsPassedOrWhereABuildWouldHarm) {
    for (const LessonCheck& check : hinted_lesson().checks) {
        if (check.kind == CheckKind::level) continue;
        for (const double value : {0.0, 0.4, 2.5, 9.0}) {
            HintAsked asked = about(check, value, 2, false);
            EXPECT_FALSE(asks_for_power(made_diagnosis().hint(asked).words)) << check.what << " " << value;
            asked.power = true;
            asked.danger = "This build would harm a part.";
            const Hint hint = made_diagnosis().hint(asked);
            EXPECT_FALSE(asks_for_power(hint.words)) << check.what << " " << value;
            EXPECT_NE(hint.keep_off, "") << check.what;
        }
    }
}

/// Every fault that could harm, read as a learner would read it: when its share is more than a little, power stays off.
TEST(ClassHints, DoNotAskForPowerWhileAPlausibleFaultCouldHarm) {
    const voltsill::Bench& bench = *hinted_lesson().sheets.bench;
    const voltsill::PlacedWiring& build = hinted_lesson().sheets.sheets.placed;
    voltsill::Dictionary own(bench, build, voltsill::faults_of(bench, build));
    const LessonCheck& check = low_level_check();
    const voltsill::LinkReading& r = hinted_lesson().sheets.sheets.levels[static_cast<std::size_t>(check.reading)];
    const voltsill::ProbePoint driver =
        own.questions().points()[static_cast<std::size_t>(own.questions().point(r.driver))];
    const voltsill::WiredPart& part = build.wiring.parts[static_cast<std::size_t>(driver.part)];
    const int question = own.questions().volts(
        own.questions().point(r.reading.point),
        own.questions().state(
            {.told = {{part.name, part.type->pins[static_cast<std::size_t>(driver.pin)].name, r.set != '0'}}}));
    int kept_off = 0, tried = 0;
    std::set<int> values;
    for (const auto& [fault, prediction] : own.others(question)) {
        if (!prediction.known || prediction.floats || !values.insert(static_cast<int>(prediction.nominal * 50)).second)
            continue;
        if (++tried > static_cast<int>(voltsill::made::how_many(60))) break;
        const std::vector<voltsill::Reading> readings{{.question = question, .value = prediction.nominal}};
        const voltsill::Diagnosis d = voltsill::diagnose(own, readings);
        double harmful = 0;
        for (std::size_t h = 1; h < d.share.size(); ++h)
            if (d.share[h] > 0.05 && own.may_harm(static_cast<int>(h))) harmful = std::max(harmful, d.share[h]);
        const Hint hint = made_diagnosis().hint(about(check, prediction.nominal, 2));
        if (harmful <= 0.05) continue;
        ++kept_off;
        EXPECT_NE(hint.keep_off, "") << prediction.nominal << " V";
        for (const voltsill::Suspect& suspect : d.suspects)
            EXPECT_EQ(hint.keep_off.find(suspect.words), std::string::npos) << "told before the cause was asked for";
        EXPECT_FALSE(asks_for_power(hint.words)) << hint.words;
    }
    EXPECT_GT(tried, 1);
    RecordProperty("kept_off", kept_off);
}

TEST(ClassHints, OfTheSheetsSaySo) {
    const LessonCheck& check = low_level_check();
    HallDiagnosis none(hinted_lesson(), [] {});
    const Hint without = none.hint(about(check, 3.3, 3));
    EXPECT_NE(without.from_sheet, "");
    EXPECT_EQ(without.words, hint_for(hinted_lesson(), check, 3.3, 3, true));
    const auto amps = std::ranges::find(hinted_lesson().checks, CheckKind::amps, &LessonCheck::kind);
    if (amps == hinted_lesson().checks.end()) return;
    EXPECT_NE(made_diagnosis().hint(about(*amps, 1.0, 1)).from_sheet, "")
        << "no question of the dictionary is a current";
}

TEST(ClassHints, AreAskedForByManyAtOnce) {
    const LessonCheck& check = low_level_check();
    std::vector<std::thread> learners;
    std::vector<std::string> said(8);
    (void)made_diagnosis();
    for (std::size_t k = 0; k < said.size(); ++k)
        learners.emplace_back(
            [&, k] { said[k] = made_diagnosis().hint(about(check, 0.9, 1 + static_cast<int>(k % 2)), 60s).words; });
    for (std::thread& learner : learners) learner.join();
    for (std::size_t k = 2; k < said.size(); ++k) EXPECT_EQ(said[k], said[k % 2]);
}

TEST(ClassHints, TheMakingEndsWhenTheClassDoes) {
    if (std::getenv("VOLTSILL_SANITIZED")) GTEST_SKIP() << "about time; a large bench takes minutes under sanitizers";
    const Lesson lesson = lesson_of("rain-garden");
    HallDiagnosis diagnosis(lesson, [] {});
    diagnosis.begin();
    std::this_thread::sleep_for(50ms);
    const Hint meanwhile = diagnosis.hint({.check = &lesson.checks.front(), .entered = {}, .depth = 1});
    EXPECT_NE(meanwhile.from_sheet.find("not ready"), std::string::npos) << meanwhile.from_sheet;
    const auto begun = std::chrono::steady_clock::now();
    diagnosis.stop();
    EXPECT_LT(std::chrono::steady_clock::now() - begun, 20s);  // alone on the machine: under a second
    EXPECT_FALSE(diagnosis.waiting_for());
}

TEST(ClassHints, ReachTheLearnerOverTheNetwork) {
    const Folder kept;
    ServerOptions options = class_options(kept.path("class.sqlite"));
    options.hall->diagnosis = true;
    std::atomic<int> said = 0;
    options.hall->say = [&](const std::string&) { ++said; };
    const Served served(options, example_text("first-bench"));
    Person instructor(served.port()), robin(served.port());
    ASSERT_TRUE(instructor.sign_in());
    const json room = instructor.get("/api/class/room").json();
    ASSERT_TRUE(robin.join(room["code"], "Robin"));
    while (!instructor.get("/api/class/room").json()["diagnosis"].is_null()) std::this_thread::sleep_for(20ms);
    const auto ohms = std::ranges::find_if(hinted_lesson().checks, [](const LessonCheck& c) {
        return c.kind == CheckKind::ohms && !std::isfinite(c.hi);
    });
    ASSERT_EQ(robin.post("/api/class/reading", {{"check", ohms->id}, {"value", "0.4 Ω"}}).json()["right"], false);
    for (int depth = 1; depth <= 3; ++depth) {
        const json hint = robin.post("/api/class/hint", {{"check", ohms->id}, {"depth", depth}}).json();
        EXPECT_TRUE(hint["from_sheet"].is_null()) << hint;
        EXPECT_FALSE(hint["keep_off"].is_null()) << "0.4 ohms between rails: power would harm";
        EXPECT_EQ(hint["hint"], made_diagnosis().hint({.check = &*ohms,
                                                       .entered = {{&*ohms, 0.4, false}},
                                                       .depth = depth,
                                                       .danger = hint["keep_off"]}).words);
    }
    EXPECT_EQ(said, 1);
}

}  // namespace
