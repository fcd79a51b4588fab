// A class marked from bytes: documents against their schema, names gone where asked, hand marks with places.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/marking_report.h"
#include "engine/marking.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace voltsill;

std::string bytes_at(const std::string& path) {
    return test::file_text("examples/" + path);
}

const PreparedMarking& marking() {
    static const MarkingReady ready = prepare_marking(bytes_at("first-bench.toml"), "first-bench.toml", {}, {});
    EXPECT_TRUE(ready.prepared);
    return *ready.prepared;
}

MarkedClass the_class() {
    std::vector<MarkedBuild> builds;
    for (const char* name : {"heron", "kestrel", "linnet", "wren"})
        builds.push_back(
            mark_build(marking(), bytes_at(fmt::format("class/{}.csv", name)), fmt::format("{}.csv", name)));
    return class_of(marking(), std::move(builds));
}

TEST(MarkedExamples, AreWhatTheySayTheyAre) {
    const MarkedClass c = the_class();
    EXPECT_TRUE(c.builds[0].as_planned);
    EXPECT_TRUE(c.builds[1].as_planned) << "another channel of U1 is as good";
    ASSERT_EQ(c.builds[2].mistakes.size(), 1u);
    EXPECT_EQ(c.builds[2].mistakes[0].kind, MistakeKind::one_row_off);
    EXPECT_EQ(c.builds[3].harm, Verdict::harmful);
    EXPECT_NE(c.builds[3].stop, "");
    EXPECT_EQ(c.builds[3].problems.size(), 3u);
    EXPECT_EQ(c.summary.learners, 4);
    EXPECT_EQ(c.summary.stopped, 1);
    EXPECT_EQ(exit_code(c), 1);
}

TEST(MarkedExamples, DocumentsFollowTheSchema) {
    const MarkedClass c = the_class();
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(c))), "");
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(c.builds[3]))), "");
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(without_names(c, 5)))), "");
}

TEST(MarkedExamples, AnonymousHoldsNoNameAndNothingTyped) {
    const MarkedClass c = the_class(), hidden = without_names(c, 5), again = without_names(c, 5);
    std::string all = to_json(hidden) + marks_csv(hidden) + doc::render_html(class_sheet(hidden));
    for (const MarkedBuild& b : hidden.builds) all += doc::render_markdown(learner_sheet(hidden.title, b));
    for (const char* name : {"heron", "kestrel", "linnet", "wren", "OUTT", "U2"})
        EXPECT_EQ(all.find(name), std::string::npos) << name;
    for (std::size_t k = 0; k < hidden.builds.size(); ++k)
        EXPECT_EQ(hidden.builds[k].learner, again.builds[k].learner);
    EXPECT_NE(hidden.builds[0].learner, without_names(c, 6).builds[0].learner);
}

TEST(MarkedExamples, TheTableHasARowALearner) {
    MarkedClass c = the_class();
    c.builds[0].learner = "=1+1,\"x";
    const std::string csv = marks_csv(c);
    EXPECT_EQ(std::ranges::count(csv, '\n'), 5);
    EXPECT_NE(csv.find("\"'=1+1,\"\"x\""), std::string::npos) << csv;  // no formula for a spreadsheet, RFC 4180 quotes
}

TEST(HandMarksFile, MistakesHaveTheirPlaces) {
    const HandMarks m = read_hand_marks(
        "learner,criterion,points,note\nanna,neatness,8,tidy\nanna,neatnes,8,\nbert,neatness,11,\nanna,neatness,7,\n",
        "marks.csv", default_rubric());
    ASSERT_EQ(m.problems.size(), 3u);
    EXPECT_EQ(m.problems[0].nearest, "neatness");
    EXPECT_EQ(m.problems[1].place.line, 4);
    EXPECT_EQ(m.problems[2].code, "marked-twice");
    EXPECT_EQ(m.of.at("anna").size(), 1u);
}

TEST(PrepareMarking, RefusesWithPlaces) {
    MarkingOptions options{.rubric = "title = 3\n", .rubric_file = "r.toml"};
    const MarkingReady ready = prepare_marking(bytes_at("first-bench.toml"), "b.toml", {}, options);
    EXPECT_FALSE(ready.prepared);
    EXPECT_EQ(ready.rubric_problems.at(0).place.file, "r.toml");
    EXPECT_FALSE(prepare_marking("nonsense", "b.toml", {}, {}).prepared);
    options = {};
    options.place.boards = {"huge"};
    EXPECT_EQ(prepare_marking(bytes_at("first-bench.toml"), "b.toml", {}, options).misused.at(0).code, "unknown-board");
}

}  // namespace
