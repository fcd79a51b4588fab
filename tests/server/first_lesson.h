#pragma once
/// The lesson of the first bench, and what a learner enters and hands in there when nothing is wrong.
#include <cmath>

#include "classroom.h"

namespace voltsill::testing {

inline const server::Lesson& first_lesson() {
    static const server::Lesson lesson = *server::make_lesson(
        make_sheets(example_text("first-bench"), "bench.toml", {}, {.audience = Audience::instructor, .slips = false}),
        "bench.toml");
    return lesson;
}

/// What a meter shows on a build that is right.
inline std::string right_entry(const server::LessonCheck& check) {
    if (check.kind == server::CheckKind::level) return check.level == '1' ? "high" : "low";
    if (check.floats) return "drifts";
    if (!std::isfinite(check.hi)) return "open";
    return std::to_string((check.lo + check.hi) / 2) + " " + server::unit_of(check.kind);
}

inline nlohmann::json entering(const server::LessonCheck& check, const std::string& value) {
    return {{"check", check.id}, {"value", value}};
}

inline const server::LessonCheck& first_of_gate(int gate) {
    return *std::ranges::find(first_lesson().checks, gate, &server::LessonCheck::gate);
}

inline void enter_all(Person& person, int gate) {
    for (const server::LessonCheck& check : first_lesson().checks)
        if (check.gate == gate) {
            const Reply reply = person.post("/api/class/reading", entering(check, right_entry(check)));
            EXPECT_EQ(reply.status, 200) << check.id << " " << reply.body;
            EXPECT_TRUE(reply.json().value("right", false)) << check.id << " " << right_entry(check);
        }
}

/// The wire list of the sheets, as a learner writes it down (docs/marking.md); 0: of all wires.
inline std::string wire_list(int without) {
    std::string out = "from,to\n";
    for (const BuildWire& wire : first_lesson().sheets.sheets.wires)
        if (wire.number != without) out += wire.from + "," + wire.to + "\n";
    return out;
}

}  // namespace voltsill::testing
