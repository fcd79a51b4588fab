// Minutes: from what learners do to the time plan of the next class, and back.
#include <numeric>

#include "classroom.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;
using namespace voltsill::store;
using nlohmann::json;

voltsill::SheetsResult sheets_of_first_bench(std::vector<voltsill::LoggedMinutes> logs = {}) {
    return voltsill::make_sheets(
        example_text("first-bench"), "bench.toml", {},
        {.audience = voltsill::Audience::instructor, .time_logs = std::move(logs), .slips = false});
}

/// A class on the first bench whose learners have spent so many minutes with wires and have passed gate 1 or not.
void kept_class(const std::string& path, Seconds begun, const std::vector<std::pair<double, bool>>& wires) {
    auto store = ClassStore::open(path);
    ASSERT_TRUE(store);
    store->begin();
    StoredClass made{.bench = "bench.toml",
                     .version = sheets_of_first_bench().sheets.version,
                     .title = "x",
                     .begun = begun,
                     .keep_until = begun + 24 * 3600};
    made.id = store->add_class(made);
    for (const auto& [minutes, passed] : wires) {
        StoredLearner learner{.class_id = made.id,
                              .nickname = std::to_string(minutes),
                              .name_key = std::to_string(minutes),
                              .joined = begun};
        learner.id = store->add_learner(learner);
        store->add_spent({learner.id, "wires", static_cast<Seconds>(30 * minutes)});
        store->add_spent({learner.id, "wires", static_cast<Seconds>(30 * minutes)});
        if (passed) store->add_pass({learner.id, 1, begun});
    }
    ASSERT_TRUE(store->commit());
}

json minutes_row(const json& summary, const std::string& phase) {
    for (const json& row : summary["minutes"])
        if (row["phase"] == phase) return row;
    return nullptr;
}

/// The class as held: median of those who passed; its file corrects the plan of the sheets as time_plan.h says.
TEST(ClassMinutes, CorrectThePlanOfTheNextClass) {
    const Folder kept;
    const Seconds now = now_seconds();
    kept_class(kept.path("class.sqlite"), now - 30 * 24 * 3600,
               {{20, true}, {26, true}, {90, false}});  // over: history
    kept_class(kept.path("class.sqlite"), now - 3600, {{10, true}, {16, true}, {12, true}, {14, true}, {99, false}});
    const Served served(class_options(kept.path("class.sqlite")), example_text("first-bench"));
    Person instructor(served.port());
    ASSERT_TRUE(instructor.sign_in());
    const json summary = instructor.get("/api/class/summary").json();
    const json wires = minutes_row(summary, "wires");
    EXPECT_EQ(wires["learners"], 4) << "who is still at it says nothing of how long it takes";
    EXPECT_NEAR(wires["minutes"].get<double>(), 13, 1e-9) << "the median of 10, 12, 14, 16";
    EXPECT_EQ(wires["logs"], 2) << "two classes";
    const double planned = wires["planned"].get<double>();
    EXPECT_NEAR(wires["next"].get<double>(), planned * (3 + 23 / planned + 13 / planned) / 5, 1e-9);
    EXPECT_TRUE(minutes_row(summary, "levels")["minutes"].is_null());

    const Reply file = instructor.get("/api/class/minutes");
    EXPECT_EQ(file.body, "phase,minutes\r\nwires,23.0\r\nwires,13.0\r\n");
    voltsill::Problems problems;
    const auto logs = voltsill::read_time_log(file.body, "minutes.csv", problems);
    EXPECT_TRUE(problems.empty());
    double sheets = 0;
    for (const voltsill::TimePhase& phase : sheets_of_first_bench(logs).sheets.time.phases)
        if (phase.id == "wires") sheets = phase.minutes();
    EXPECT_NEAR(sheets, wires["next"].get<double>(), 1e-9);
    const json history = instructor.get("/api/class/history").json();
    EXPECT_EQ(history["classes"][0]["minutes"], json::parse(R"([{"phase": "wires", "learners": 2, "minutes": 23.0}])"));
}

TEST(ClassMinutes, PhasesAreThoseOfTheTimePlan) {
    const std::vector<std::string> ids = voltsill::time_phase_ids();
    for (const SpentPhase& phase : spent_phases) EXPECT_NE(std::ranges::find(ids, phase.id), ids.end()) << phase.id;
}

/// What is done one second after the other is a second of its phase; it goes with the learner.
TEST(ClassMinutes, AreLoggedByWhatIsDone) {
    Classroom c;
    Person robin = c.learner("Robin");
    const auto spent = [&] {
        std::map<std::string, double> out;
        const std::string id = std::to_string(c.row("Robin")["id"].get<int>());
        const json full = c.instructor.get("/api/class/learner?learner=" + id).json();
        for (const json& row : full["minutes"])
            out[row["phase"]] = row["minutes"].get<double>() * 60;
        return out;
    };
    const json lesson = robin.get("/api/class/lesson").json();
    int wire = -1;
    for (const json& phase : lesson["phases"])
        for (const json& step : phase["steps"])
            if (wire < 0 && !step["wire"].is_null()) wire = step["id"];
    ASSERT_GE(wire, 0);
    EXPECT_TRUE(spent().empty());
    const Seconds begun = now_seconds();
    while (now_seconds() < begun + 2) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    robin.post("/api/class/tick", {{"step", wire}, {"done", true}});
    EXPECT_GE(spent()["wires"], 1);
    EXPECT_LE(spent()["wires"], 4);
    const Seconds ticked = now_seconds();
    while (now_seconds() < ticked + 2) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    robin.post("/api/class/reading", {{"check", "ohm-1"}, {"value", "1 Ω"}});
    EXPECT_GE(spent()["power off"], 1);
    const json mine = robin.get("/api/class/me/export").json()["learners"][0];
    EXPECT_EQ(mine["minutes"].size(), 2u);
    c.act("Robin", "reset");
    EXPECT_TRUE(spent().empty());
}

}  // namespace
