// A diagnosis through the engine: symptoms lead to faults that explain them, answers of a planted fault lead to it,
// the document keeps to its schema, memory changes nothing but the time.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/diagnose.h"

#include <algorithm>

#include "engine/reading.h"
#include "judging/power_off.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace voltsill;
using ::testing::HasSubstr;

std::string example_bytes(const std::string& name) {
    return voltsill::test::file_text("examples/" + name);
}

const PlaceOptions quick_placement{.effort = 0.1};

/// One memory for all tests of this file: a bench is made ready once.
DiagnoseResult asked_of(const std::string& name, const std::vector<std::string>& lines, const std::string& file = {}) {
    static const auto memory = diagnose_memory();
    DiagnoseOptions options{.lines = lines, .place = quick_placement, .memory = memory};
    DiagnoseResult r = diagnose(example_bytes(name), name, {}, file, "readings.toml", options);
    for (const Problems* problems : {&r.problems, &r.reading_problems, &r.misused})
        for (const Problem& p : *problems) ADD_FAILURE() << render(p);
    return r;
}

/// Kinds of the likeliest faults, by rank of their suspect.
std::vector<std::string> first_kinds(const DiagnoseResult& r, std::size_t suspects) {
    std::vector<std::string> out;
    for (std::size_t k = 0; k < std::min(suspects, r.members.size()); ++k)
        for (const SuspectMember& member : r.members[k])
            for (const Fault& fault : member.faults) out.emplace_back(to_key(fault.kind));
    return out;
}

struct Row {
    const char* says;                       ///< what the learner says
    std::vector<std::string> lines;
    std::vector<FaultKind> one_of;  ///< common practice: what to test first
};

/// The rows of a fault finder's table (common practice, no source): what the learner says, what to test first.
TEST(Diagnose, SymptomsLeadToWhatPracticeTestsFirst) {
    const std::vector<Row> rows{
        {"nothing works at all",
         {"nothing works"},
         {FaultKind::supply_off, FaultKind::ground_not_common, FaultKind::strip_gap_open, FaultKind::wire_missing}},
        {"works when I touch it",
         {"tank echo fails", "tank echo works when touched"},
         {FaultKind::pin_open, FaultKind::wire_missing, FaultKind::control_open, FaultKind::contact_resistance,
          FaultKind::one_row_off}},
        {"3.3 V rail reads 4.2 V",
         {"rail logic = 4.2 V"},
         {FaultKind::supply_high, FaultKind::wrong_strip, FaultKind::clamp_shorted, FaultKind::gate_on_wrong_rail}},
        {"failed on another bench", {"rail usb = 4.4 V"}, {FaultKind::supply_low, FaultKind::supply_off}},
        {"analyser clean, circuit fails",
         {"tank trigger looks clean on an analyser but fails"},
         {FaultKind::near_namesake, FaultKind::supply_high, FaultKind::supply_low, FaultKind::contact_resistance,
          FaultKind::wrong_value}},
    };
    for (const Row& row : rows) {
        const DiagnoseResult r = asked_of("rain-garden.toml", row.lines);
        if (!r.accepted()) continue;
        const std::vector<std::string> kinds = first_kinds(r, 3);
        const bool found = std::ranges::any_of(row.one_of, [&](FaultKind kind) {
            return std::ranges::find(kinds, to_key(kind)) != kinds.end();
        });
        EXPECT_TRUE(found) << row.says << ": " << r.diagnosis.sentence << " " << ::testing::PrintToString(kinds);
        EXPECT_EQ(exit_code(r), 1) << row.says;
        EXPECT_FALSE(r.diagnosis.next.empty() && !r.diagnosis.found) << row.says;
        EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(r))), "") << row.says;
    }
}

/// The same build and dictionary a second time, to answer as a faulty build would.
class FaultyBench {
  public:
    explicit FaultyBench(const std::string& name)
        : bench_(*read_for_job(example_bytes(name), name, {}).bench),
          build_(place(bench_, plan(bench_).wiring, quick_placement)),
          dictionary_(bench_, build_, faults_of(bench_, build_)) {}

    const Dictionary& dictionary() const { return dictionary_; }
    /// The line that asked for a reading, with what the fault makes of it.
    std::string answer(const LineForm& line, int hypothesis) {
        Questions& questions = dictionary_.questions();
        for (const char* any : {"yes", "1 V", "1 Ω", "1 s"}) {
            const ReadingsRead read = read_reading_lines({line.before + any + line.after}, "x", questions);
            if (!read.file) continue;
            Reading reading = read.file->readings[0].reading;
            const Prediction p = dictionary_.predict(reading.question, hypothesis);
            reading.value = p.nominal;
            reading.kind = p.kind == Prediction::Kind::chance ? (p.yes >= 0.5 ? Reading::Kind::yes : Reading::Kind::no)
                           : p.floats                          ? Reading::Kind::drifts
                           : p.kind == Prediction::Kind::ohms && p.lo >= meter_open.si() ? Reading::Kind::open
                                                               : Reading::Kind::value;
            if (reading.kind == Reading::Kind::no) reading.sight = p.sights[0];
            return line.before + answer_words(questions, reading) + line.after;
        }
        ADD_FAILURE() << line.before << "..." << line.after << " asks nothing";
        return {};
    }

  private:
    Bench bench_;
    PlacedWiring build_;
    Dictionary dictionary_;
};

TEST(Diagnose, AsPlannedIsSaidAndNothingReadIsNoFault) {
    EXPECT_EQ(exit_code(asked_of("first-bench.toml", {})), 0);
    FaultyBench sound("first-bench.toml");
    std::vector<std::string> lines{"first signal works"};
    DiagnoseResult r = asked_of("first-bench.toml", lines);
    for (int k = 0; k < 12 && !r.asked.empty() && !r.diagnosis.found; ++k) {
        lines.push_back(sound.answer(r.asked[0].line, 0));
        r = asked_of("first-bench.toml", lines);
    }
    EXPECT_EQ(exit_code(r), 0) << r.diagnosis.sentence;
    EXPECT_GT(r.diagnosis.ruled_out.size(), 0u);
}

/// Every seventh fault of a small bench, answered as it reads: it is among the first three.
TEST(Diagnose, AnswersOfAPlantedFaultLeadToIt) {
    const std::string name = "first-bench.toml";
    FaultyBench faulty(name);
    const auto& alike = faulty.dictionary().alike();
    int planted = 0, found = 0;
    for (std::size_t h = 1; h < faulty.dictionary().hypotheses().size(); h += 7) {
        if (alike[h] == alike[0]) continue;  // no meter shows it
        const std::string& id = faulty.dictionary().faults()[faulty.dictionary().hypotheses()[h].first].id;
        std::vector<std::string> lines{faulty.answer({"first signal works = ", ""}, static_cast<int>(h))};
        DiagnoseResult r = asked_of(name, lines);
        for (int k = 0; k < 30 && !r.diagnosis.found && !r.asked.empty(); ++k) {
            lines.push_back(faulty.answer(r.asked[0].line, static_cast<int>(h)));
            r = asked_of(name, lines);
        }
        ++planted;
        bool listed = false;
        for (std::size_t k = 0; k < std::min<std::size_t>(3, r.members.size()); ++k)
            for (const SuspectMember& m : r.members[k])
                listed |= std::ranges::any_of(m.faults, [&](const Fault& f) { return f.id == id; });
        found += listed;
    }
    EXPECT_GE(planted, 10);
    EXPECT_GE(found, planted * 9 / 10) << "of " << planted;
}

/// Two wires seen to be missing are two faults at once, once two are thought of.
TEST(Diagnose, PairsExplainWhatNoSingleFaultDoes) {
    const DiagnoseOptions options{
        .lines = {"wire 1 = missing", "wire 3 = missing"}, .pairs = true, .place = quick_placement};
    const DiagnoseResult r = diagnose(example_bytes("first-bench.toml"), "first-bench.toml", {}, "", "", options);
    ASSERT_TRUE(r.accepted());
    EXPECT_GT(r.pairs, 100);
    ASSERT_FALSE(r.members.empty());
    EXPECT_EQ(r.members[0][0].faults.size(), 2u) << r.diagnosis.sentence;
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(r))), "");
}

/// A file, the same as lines, and what was written of either: one answer.
TEST(Diagnose, FileAndLinesGiveOneAnswer) {
    const std::string file = "[[seen]]\nlink = \"first signal\"\nwhat = \"works\"\nis = false\n"
                             "[[readings]]\nat = \"receiver.IN\"\nreads = \"0.02 V\"\nwhen = \"sender.OUT high\"\n";
    const DiagnoseResult from_file = asked_of("first-bench.toml", {}, file);
    const DiagnoseResult from_lines =
        asked_of("first-bench.toml", {"first signal fails", "receiver.IN = 0.02 V when sender.OUT high"});
    ASSERT_TRUE(from_file.accepted() && from_lines.accepted());
    EXPECT_EQ(from_file.readings_file, from_lines.readings_file);
    const auto without_places = [](const DiagnoseResult& r) {
        auto json = nlohmann::json::parse(to_json(r));
        for (auto& reading : json["readings"]) reading.erase("place");
        return json.dump();
    };
    EXPECT_EQ(without_places(from_file), without_places(from_lines));
    const DiagnoseResult again = asked_of("first-bench.toml", {}, from_file.readings_file);
    EXPECT_EQ(without_places(again), without_places(from_file));
}

/// Without memory, and with more threads, every byte is the same.
TEST(Diagnose, TheSameWithoutMemoryAndWithThreads) {
    const std::vector<std::string> lines{"receiver.IN = drifts when sender.OUT high"};
    const std::string with_memory = to_json(asked_of("first-bench.toml", lines));
    for (const int threads : {1, 3}) {
        const DiagnoseOptions alone{.lines = lines, .place = quick_placement, .threads = threads};
        EXPECT_EQ(
            to_json(diagnose(example_bytes("first-bench.toml"), "first-bench.toml", {}, "", "readings.toml", alone)),
            with_memory);
    }
}

TEST(Diagnose, RefusesWithPlaces) {
    const DiagnoseOptions wrong_line{.lines = {"reciever.IN = 3 V"}, .place = quick_placement};
    DiagnoseResult r =
        diagnose(example_bytes("first-bench.toml"), "first-bench.toml", {}, "", "readings.toml", wrong_line);
    EXPECT_FALSE(r.accepted());
    EXPECT_EQ(exit_code(r), 3);
    const auto json = nlohmann::json::parse(to_json(r));
    EXPECT_EQ(sample::complaint(json), "");
    EXPECT_EQ(json["problems"][0]["nearest"], "receiver");
    r = diagnose("title = 3", "broken.toml", {}, "", "readings.toml", {});
    EXPECT_FALSE(r.accepted());
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(r))), "");
    r = diagnose(example_bytes("first-bench.toml"), "first-bench.toml", {}, "", "",
                 {.place = {.boards = {"no such board"}}});
    EXPECT_FALSE(r.accepted());
    EXPECT_EQ(r.misused.size(), 1u);
}

TEST(Diagnose, StopsWhenAsked) {
    for (const double at : {0.0, 0.2, 0.5}) {
        const DiagnoseResult r =
            diagnose(example_bytes("first-bench.toml"), "first-bench.toml", {}, "", "", {.place = quick_placement},
                     [&](double share, const std::string&) { return share < at; });
        EXPECT_TRUE(r.cancelled) << at;
        EXPECT_FALSE(r.accepted()) << at;
    }
}

TEST(Diagnose, ReportSaysWarningFirstAndHintsGrow) {
    const DiagnoseResult r = asked_of("first-bench.toml", {"first signal fails"});
    const doc::Document report = report_of(r);
    ASSERT_FALSE(report.blocks.empty());
    if (r.diagnosis.power_may_harm) {
        EXPECT_TRUE(std::holds_alternative<doc::Caution>(report.blocks[0]));
    }
    EXPECT_LT(report_of(r, 1).blocks.size(), report_of(r, 2).blocks.size());
    EXPECT_LT(report_of(r, 2).blocks.size(), report_of(r, 3).blocks.size());
}

}  // namespace
