/// Sheets of a class: learners get no answers, counts agree with each other, the document keeps to its schema.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <regex>
#include <sstream>

#include "documents/markdown.h"
#include "engine/sheets.h"
#include "schema_check.h"

namespace voltsill {
namespace {

const SheetsResult& class_sheets(Audience audience) {
    static std::map<Audience, SheetsResult> made;
    if (const auto at = made.find(audience); at != made.end()) return at->second;
    std::ifstream in(VOLTSILL_ROOT "/examples/up-shift.toml", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    SheetsOptions options{.audience = audience, .seats = 12, .question_seed = 3, .slips = false};
    options.place.effort = 0.02;
    options.time_logs = {{"wires", 90}};
    return made.emplace(audience, make_sheets(text.str(), "up-shift.toml", {}, options)).first->second;
}

std::string sheet_text(const SheetsResult& result, const std::string& name) {
    for (const NamedDocument& d : result.documents)
        if (d.name == name) return doc::render_markdown(d.document);
    ADD_FAILURE() << "no sheet " << name;
    return "";
}

TEST(ClassSheets, LearnersGetQuestionsAndNoAnswers) {
    const SheetsResult& learner = class_sheets(Audience::learner);
    for (const NamedDocument& d : learner.documents) EXPECT_EQ(d.name.find("key"), std::string::npos) << d.name;
    const std::string all = sheet_text(learner, "questions") + sheet_text(learner, "lesson");
    const std::string json = to_json(learner);
    for (const LearnerQuestions& one : learner.sheets.questions.learners)
        for (const TestQuestion& q : one.questions) {
            EXPECT_NE(all.find(doc::escape_markdown(q.text)), std::string::npos) << q.text;
            EXPECT_EQ(all.find(doc::escape_markdown(q.arithmetic)), std::string::npos) << q.arithmetic;
            for (const QuestionOption& o : q.options) {
                EXPECT_EQ(all.find(doc::escape_markdown(o.why)), std::string::npos) << o.why;
                EXPECT_EQ(json.find(o.why), std::string::npos) << o.why;
            }
        }
    EXPECT_EQ(json.find("\"right\": true"), std::string::npos);
}

TEST(ClassSheets, TheKeyHasEveryAnswerWithItsSources) {
    const SheetsResult& result = class_sheets(Audience::instructor);
    const std::string key = sheet_text(result, "question-key");
    for (const LearnerQuestions& one : result.sheets.questions.learners)
        for (const TestQuestion& q : one.questions) {
            if (q.numeric) {
                EXPECT_NE(key.find(doc::escape_markdown(answer_words(*q.numeric))), std::string::npos) << q.text;
            }
            for (const std::string& s : q.sources) EXPECT_NE(key.find(doc::escape_markdown(s)), std::string::npos) << s;
        }
    EXPECT_NE(to_json(result).find("\"right\": true"), std::string::npos);
    EXPECT_EQ(result.sheets.questions.learners.size(), 12u);
}

/// "| what | 2 x 12 = 24 | 5 | 29 |": a seat's count times the seats, and spares, is what goes out and comes back.
TEST(ClassSheets, CountedOutIsPerSeatTimesSeatsAndSpares) {
    const SheetsResult& result = class_sheets(Audience::instructor);
    const std::string out = sheet_text(result, "count-out"), back = sheet_text(result, "count-back");
    std::size_t rows = 0;
    const std::regex row("\\|\\s*([0-9]+) x ([0-9]+) = ([0-9]+)\\s*\\|\\s*([0-9]+)\\s*\\|\\s*\\**([0-9]+)\\**\\s*\\|");
    for (std::sregex_iterator at(out.begin(), out.end(), row), end; at != end; ++at, ++rows) {
        const auto n = [&](int k) { return std::stoi((*at)[k]); };
        EXPECT_EQ(n(2), 12);
        EXPECT_EQ(n(1) * n(2), n(3));
        EXPECT_EQ(n(3) + n(4), n(5));
    }
    EXPECT_EQ(rows, result.sheets.kit.size());
    for (const KitEntry& entry : result.sheets.kit) {
        EXPECT_EQ(entry.total(), entry.per_seat * 12 + entry.spares);
        EXPECT_NE(back.find(std::to_string(entry.total())), std::string::npos);
    }
}

TEST(ClassSheets, TheTimePlanCountsTheBuildAndTheLog) {
    const SheetsResult& result = class_sheets(Audience::instructor);
    const auto phase = [&](const char* id) {
        return *std::ranges::find(result.sheets.time.phases, id, &TimePhase::id);
    };
    EXPECT_EQ(phase("wires").items, static_cast<int>(result.sheets.wires.size()));
    EXPECT_EQ(phase("levels").items, static_cast<int>(result.sheets.levels.size()));
    EXPECT_EQ(phase("wires").logs, 1);
    EXPECT_NEAR(phase("wires").minutes(), phase("wires").prior() * (3 + 90 / phase("wires").prior()) / 4, 1e-9);
}

TEST(ClassSheets, LessonsSayTheWorkedNumbersOfTheJudge) {
    for (const auto& [audience, name] :
         {std::pair{Audience::learner, "lesson"}, std::pair{Audience::instructor, "lesson-notes"}}) {
        const SheetsResult& result = class_sheets(audience);
        const std::string text = sheet_text(result, name);
        std::size_t worked = 0;
        for (const Finding& f : result.sheets.judgement.findings)
            if ((f.code == "high-level" || f.code == "low-level") && text.find(f.arithmetic) != std::string::npos)
                ++worked;
        EXPECT_GE(worked, 2u) << name;
        for (const char* heading :
             {"What you will be able to do", "The idea", "The checks", "Test yourself", "Cautions"})
            EXPECT_NE(text.find(heading), std::string::npos) << heading;
        EXPECT_NE(text.find("licensed practice"), std::string::npos);
        EXPECT_EQ(text.find("Time plan") != std::string::npos, audience == Audience::instructor);
    }
}

TEST(ClassSheets, DocumentsKeepToTheSchema) {
    for (const Audience audience : {Audience::learner, Audience::instructor})
        EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(class_sheets(audience)))), "");
}

}  // namespace
}  // namespace voltsill
