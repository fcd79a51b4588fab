// The gates: what a learner may do before the first, and whose leave opens the next.
#include "first_lesson.h"
#include "quantity/print.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;
using nlohmann::json;

/// Wires of the sheets, and 5 V where 3.3 V is the most: it would harm.
std::string harmful_wires() { return wire_list(0) + "supply five +,receiver.IN\n"; }

/// Right readings of the gates before power, and the instructor's leave after each.
void pass_first_gates(Classroom& c, Person& robin) {
    for (const int gate : {1, 2}) {
        enter_all(robin, gate);
        c.act("Robin", "pass", gate);
    }
}

TEST(ClassGates, AreWorkedThroughInOrder) {
    Classroom c;
    Person robin = c.learner("Robin");
    for (int gate = 1; gate <= 4; ++gate) {
        EXPECT_EQ(robin.get("/api/class/me").json()["gate"], gate);
        if (gate < 4) {
            const Reply early = robin.post("/api/class/reading", entering(first_of_gate(gate + 1), "1 V"));
            EXPECT_TRUE(early.status == 409 || early.status == 422) << "a later gate, or no level";
            EXPECT_EQ(c.row("Robin")["danger"].is_null(), gate > 1) << "before gate 1 nothing is powered";
        }
        if (gate <= 2) {
            EXPECT_FALSE(c.row("Robin")["waiting"]);
            EXPECT_EQ(c.act("Robin", "pass", 3 - gate).status, 409) << "only the gate where they are";
        }
        enter_all(robin, gate);
        if (gate > 2) continue;
        EXPECT_TRUE(c.row("Robin")["waiting"]);
        EXPECT_EQ(robin.get("/api/class/me").json()["gate"], gate) << "the instructor has to look";
        EXPECT_EQ(c.act("Robin", "pass", gate).status, 200);
        EXPECT_TRUE(c.row("Robin")["danger"].is_null());
    }
    EXPECT_EQ(robin.get("/api/class/me").json()["gate"], 5);
    EXPECT_EQ(c.act("Robin", "pass", 3).status, 409) << "nobody's to give";
    // After an over-voltage the build goes back to gate 1 (common practice).
    EXPECT_EQ(c.act("Robin", "back", 1).json()["gate"], 1);
}

TEST(ClassGates, BeforeTheFirstALearnerSeesTheLessonAndBuilds) {
    Classroom c;
    Person robin = c.learner("Robin");
    const json me = robin.get("/api/class/me").json();
    EXPECT_EQ(me["gate"], 1);
    EXPECT_EQ(me["passed"], json({nullptr, nullptr, nullptr, nullptr}));
    EXPECT_EQ(me["waiting"], false);
    EXPECT_TRUE(me["danger"].is_null());
    // What lies ahead is no secret: steps, and what will be asked at every gate.
    const json lesson = robin.get("/api/class/lesson").json();
    ASSERT_EQ(lesson["gates"].size(), 4u);
    for (const json& gate : lesson["gates"]) EXPECT_FALSE(gate["checks"].empty()) << gate["title"];
    for (int step = 0; step < lesson["steps"]; ++step)
        EXPECT_EQ(robin.post("/api/class/tick", {{"step", step}, {"done", true}}).status, 200) << step;
    EXPECT_EQ(robin.post("/api/class/help", {{"wanted", true}}).status, 200);
    EXPECT_EQ(robin.post("/api/class/submit", {{"wires", wire_list(0)}}).json()["build"]["accepted"], true);
    enter_all(robin, 1);
    const json row = c.row("Robin");
    EXPECT_EQ(row["ticked"], lesson["steps"]);
    EXPECT_EQ(row["waiting"], true);
    EXPECT_EQ(row["gate"], 1) << "however much is done, the instructor looks first";
    EXPECT_TRUE(row["danger"].is_null());
}

TEST(ClassGates, BeforeTheFirstNothingOfALaterOneIsTaken) {
    Classroom c({.learner = {1e6, 1e6}});
    Person robin = c.learner("Robin");
    enter_all(robin, 1);
    int refused = 0;
    for (const LessonCheck& check : first_lesson().checks) {
        if (check.gate == 1) continue;
        EXPECT_EQ(robin.post("/api/class/hint", {{"check", check.id}, {"depth", 1}}).code(), "read-first") << check.id;
        const std::string other =
            check.kind == CheckKind::level ? std::string("low") : "9 " + std::string(unit_of(check.kind));
        for (const std::string& value : {right_entry(check), other}) {
            const Reply reply = robin.post("/api/class/reading", entering(check, value));
            EXPECT_EQ(reply.status, 409) << check.id << " " << value;
            EXPECT_EQ(reply.code(), "gate-first");
            EXPECT_EQ(reply.body.find("right"), std::string::npos) << "not told whether it would have been";
            ++refused;
        }
    }
    EXPECT_GE(refused, 8);
    const json me = robin.get("/api/class/me").json();
    for (const LessonCheck& check : first_lesson().checks)
        EXPECT_EQ(me["checks"].contains(check.id), check.gate == 1) << check.id;
    EXPECT_FALSE(me["danger"].is_null()) << "something is powered";
    EXPECT_EQ(c.row("Robin")["danger"], me["danger"]) << "and the instructor is told";
    EXPECT_EQ(robin.get("/api/class/me/export").json()["learners"][0]["readings"].size(), me["checks"].size());
}

TEST(ClassGates, OnlyTheInstructorLetsPass) {
    Classroom c;
    Person robin = c.learner("Robin"), kim = c.learner("Kim"), nobody = c.person();
    enter_all(robin, 1);
    const json pass = {{"learner", c.row("Robin")["id"]}, {"do", "pass"}, {"gate", 1}};
    EXPECT_EQ(nobody.post("/api/class/learner", pass).status, 401);
    EXPECT_EQ(robin.post("/api/class/learner", pass).status, 403);
    EXPECT_EQ(kim.post("/api/class/learner", pass).status, 403);
    Person without_token(c.served.port());
    EXPECT_EQ(without_token.call("POST", "/api/class/learner", pass, {{"Cookie", c.instructor.cookie()}}).status, 401);
    EXPECT_EQ(c.row("Robin")["gate"], 1);
    EXPECT_EQ(c.instructor.post("/api/class/learner", pass).json()["gate"], 2);
    EXPECT_EQ(c.row("Kim")["gate"], 1) << "one learner at a time";
    EXPECT_EQ(c.instructor.post("/api/class/learner", pass).status, 409) << "twice";
}

TEST(ClassGates, APassOpensOneGateWhateverWasReadAndIsTakenBack) {
    Classroom c;
    Person robin = c.learner("Robin");
    const auto enter = [&](int gate) {
        return robin.post("/api/class/reading", entering(first_of_gate(gate), right_entry(first_of_gate(gate))));
    };
    enter(2);
    EXPECT_FALSE(c.row("Robin")["danger"].is_null());
    EXPECT_EQ(c.act("Robin", "pass", 1).status, 200) << "the instructor has looked, with readings or without";
    EXPECT_TRUE(c.row("Robin")["danger"].is_null());
    EXPECT_EQ(enter(1).status, 200) << "what was passed over can still be read";
    EXPECT_EQ(enter(2).status, 200);
    EXPECT_EQ(enter(3).json()["problems"][0]["message"], "gate 2, Limited power, comes first");
    EXPECT_TRUE(c.row("Robin")["danger"].is_null()) << "power is on by leave";
    c.act("Robin", "pass", 2);
    EXPECT_EQ(enter(3).status, 200);
    EXPECT_EQ(enter(4).code(), "gate-first");
    EXPECT_EQ(c.act("Robin", "back", 1).json()["gate"], 1);
    EXPECT_EQ(enter(2).code(), "gate-first");
    const json me = robin.get("/api/class/me").json();
    EXPECT_TRUE(me["checks"].contains(first_of_gate(3).id)) << "what was read stays";
    c.act("Robin", "pass", 1);
    EXPECT_EQ(c.act("Robin", "pass", 2).json()["gate"], 3);
}

/// The limit that the test sheet says: 1.5 times what the rail gives at most and 20 mA (common practice, no source).
TEST(ClassGates, FirstPowerSaysItsLimitsAndItsOrder) {
    const voltsill::Sheets& sheets = first_lesson().sheets.sheets;
    std::size_t rails = 0;
    for (const LessonCheck& check : first_lesson().checks) {
        if (check.gate != 2 || check.kind != CheckKind::volts) continue;
        const auto& current = *std::ranges::find(sheets.currents, check.rail, &voltsill::RailCurrent::rail);
        const double amps = 1.5 * current.hi + 20e-3;
        EXPECT_NE(check.what.find("limited to " + voltsill::print(voltsill::Amps{amps})), std::string::npos)
            << check.what;
        EXPECT_TRUE(check.what.starts_with("switched on ")) << check.what;
        ++rails;
    }
    EXPECT_EQ(rails, first_lesson().sheets.bench->rails.size());
}

/// receiver.IN stands 0.3 V more than its supply, which is 3.3 V + 3 % (examples/first-bench.toml).
TEST(ClassGates, AReadingBeyondWhatAPinStandsStopsAtOnce) {
    Classroom c;
    Person robin = c.learner("Robin");
    pass_first_gates(c, robin);
    const LessonCheck* high = nullptr;
    for (const LessonCheck& check : first_lesson().checks)
        if (check.what == "sender.OUT high: read receiver.IN") high = &check;
    ASSERT_TRUE(high);
    EXPECT_NEAR(high->stands, 3.3 * 1.03 + 0.3, 1e-6) << high->stands_at;
    robin.post("/api/class/reading", entering(*high, "3.73 V"));
    EXPECT_EQ(c.row("Robin")["gate"], 3) << "a meter may be that far off";
    const json told = robin.post("/api/class/reading", entering(*high, "4.9 V")).json();
    EXPECT_EQ(told["right"], false);
    EXPECT_EQ(told["learner"]["gate"], 1);
    const std::string danger = told["learner"]["danger"].get<std::string>();
    for (const char* words : {"receiver.IN", "4.9 V", "power off"})
        EXPECT_NE(danger.find(words), std::string::npos) << danger;
    EXPECT_EQ(c.row("Robin")["danger"], danger);
    EXPECT_EQ(robin.post("/api/class/reading", entering(*high, "3.3 V")).status, 409) << "no reading under power";
    c.act("Robin", "pass", 1);
    EXPECT_TRUE(c.row("Robin")["danger"].is_null());
    c.act("Robin", "pass", 2);
    EXPECT_EQ(robin.post("/api/class/reading", entering(*high, right_entry(*high))).json()["right"], true);
}

TEST(ClassGates, NoReadingUnderPowerIsTakenWhileABuildMayHarm) {
    Classroom c;
    Person robin = c.learner("Robin");
    pass_first_gates(c, robin);
    robin.post("/api/class/submit", {{"wires", harmful_wires()}});
    const Reply refused = robin.post("/api/class/reading", entering(first_of_gate(3), right_entry(first_of_gate(3))));
    EXPECT_EQ(refused.code(), "power-off");
    EXPECT_EQ(robin.post("/api/class/reading", entering(first_of_gate(1), right_entry(first_of_gate(1)))).status, 200);
    robin.post("/api/class/submit", {{"wires", wire_list(0)}});
    EXPECT_EQ(robin.post("/api/class/reading", entering(first_of_gate(3), right_entry(first_of_gate(3)))).status, 200);
}

TEST(ClassGates, AHarmfulBuildStopsAfterTheFirstAsBefore) {
    Classroom c;
    Person robin = c.learner("Robin");
    const auto danger = [&] {
        EXPECT_EQ(c.row("Robin")["danger"], robin.get("/api/class/me").json()["danger"]);
        return !c.row("Robin")["danger"].is_null();
    };
    const auto submit = [&](const std::string& wires) {
        EXPECT_EQ(robin.post("/api/class/submit", {{"wires", wires}}).status, 200);
    };
    submit(harmful_wires());
    EXPECT_TRUE(danger());
    c.act("Robin", "pass", 1);
    EXPECT_FALSE(danger()) << "the instructor has looked";
    submit(harmful_wires());
    EXPECT_TRUE(danger()) << "handed in under power, and nobody has looked since";
    submit(wire_list(0));
    EXPECT_FALSE(danger());
    c.act("Robin", "pass", 2);
    submit(harmful_wires());
    EXPECT_TRUE(danger());
    c.act("Robin", "back", 1);
    EXPECT_TRUE(danger()) << "sent back is not looked at";
    c.act("Robin", "pass", 1);
    EXPECT_FALSE(danger());
}

}  // namespace
