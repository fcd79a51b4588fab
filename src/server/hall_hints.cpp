/// Hints of the sheets for one wrong reading, in three depths; where there is a diagnosis, hall_diagnosis.h.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "quantity/hand_meter.h"
#include "server/hall_lesson.h"

namespace voltsill::server {
namespace {

const LinkReading* reading_of(const Lesson& lesson, const LessonCheck& check) {
    return check.reading < 0 ? nullptr : &lesson.sheets.sheets.levels[static_cast<std::size_t>(check.reading)];
}

std::string question(const Lesson& lesson, const LessonCheck& check) {
    if (const LinkReading* r = reading_of(lesson, check))
        return fmt::format("Which way does the signal take from {} to {}, and what has to be powered and enabled on "
                           "that way?", r->driver, r->reading.point);
    switch (check.kind) {
        case CheckKind::ohms:
            return "Are both probes on the points named here, and is every supply unplugged? Which wires join these "
                   "points, and which must not?";
        case CheckKind::amps:
            return "Which parts hang on this rail, and does one of them get warm?";
        default:
            return "Is the supply at its limit, and what hangs on this rail?";
    }
}

/// The same driver saying the same, read nearer to it.
const LinkReading* nearer(const Lesson& lesson, const LinkReading& r) {
    for (const LinkReading& other : lesson.sheets.sheets.levels)
        if (other.link == r.link && other.driver == r.driver && other.set == r.set &&
            other.reading.point != r.reading.point)
            return &other;
    return nullptr;
}

std::string next_reading(const Lesson& lesson, const LessonCheck& check, bool power) {
    if (const LinkReading* r = reading_of(lesson, check)) {
        if (!power)
            return fmt::format(
                "Switch off. Measure each wire on the way from {} to {} from end to end: where it is not "
                "below 1 Ω, it has no contact.",
                r->driver, r->reading.point);
        const LinkReading* other = nearer(lesson, *r);
        if (other && other->reading.point != r->driver)
            return fmt::format("Leave {} as it is and read {}: is the level already wrong there?", r->driver,
                               other->reading.point);
        return fmt::format(
            "Leave {} as it is and read at its own pin, then at the far end of each wire on the way to {}.", r->driver,
            r->reading.point);
    }
    switch (check.kind) {
        case CheckKind::ohms:
            return "Measure from each of the two points to the nearest hole of its row: where it is not below 1 Ω, a "
                   "wire or a pin has no contact.";
        case CheckKind::amps:
            return power ? "Switch off, take off one part after the other, and read the current again each time."
                         : "Switch off. Measure the resistance from this rail to ground and to each other rail.";
        default:
            return "Switch off and measure the resistance from this rail to ground.";
    }
}

bool covers(const MeterReading& reading, const std::optional<double>& value) {
    if (!value) return reading.floats;
    const double error = hand_meter::volts_floor.si() + hand_meter::volts_share * std::abs(*value);
    return reading.solved && !reading.floats && *value >= reading.lo - error && *value <= reading.hi + error;
}

bool may_harm(const Lesson& lesson, const LessonCheck& check, const std::optional<double>& value) {
    const auto& wrong = lesson.sheets.sheets.wrong;
    const auto at = static_cast<std::size_t>(std::max(0, check.reading));
    return check.reading >= 0 && at < wrong.size() && std::ranges::any_of(wrong[at], [&](const WrongReading& w) {
               return w.possibly_harmful && (check.kind == CheckKind::level || covers(w.reading, value));
           });
}

std::string cause(const Lesson& lesson, const LessonCheck& check, const std::optional<double>& value) {
    const auto& wrong = lesson.sheets.sheets.wrong;
    const auto at = static_cast<std::size_t>(std::max(0, check.reading));
    if (check.reading >= 0 && at < wrong.size() && check.kind == CheckKind::volts) {
        for (const WrongReading& w : wrong[at])
            if (covers(w.reading, value))
                return (w.possibly_harmful ? "Switch off first. Look at: " : "Look at: ") + cause_words(w.causes) + ".";
        return "No likely single mistake of the build reads like this: "
               "look at the driver, its setting and the supplies.";
    }
    if (check.kind == CheckKind::level) {
        std::vector<std::string> causes;
        if (at < wrong.size())
            for (const WrongReading& w : wrong[at]) causes.insert(causes.end(), w.causes.begin(), w.causes.end());
        return causes.empty() ? "No single mistake of a hand: the program, the pin, or the part."
                              : "Look at: " + cause_words(causes) + ".";
    }
    return check.wrong;
}

}  // namespace

std::string hint_for(const Lesson& lesson, const LessonCheck& check, const std::optional<double>& value, int depth,
                     bool power) {
    if (depth <= 1) return question(lesson, check);
    return depth == 2 ? next_reading(lesson, check, power && !may_harm(lesson, check, value))
                      : cause(lesson, check, value);
}

}  // namespace voltsill::server
