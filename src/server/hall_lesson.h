#pragma once
/// What a class works through: steps, and checks behind four gates, made from the sheets of the bench.
///
///     gate 1  power off       ohms          the instructor lets pass
///     gate 2  limited power   volts, amps   the instructor lets pass
///     gate 3  static levels   volts         passed when all of its checks are right
///     gate 4  function        high or low   passed when all of its checks are right
///
/// (the order of the trade: common practice, no source). What a check must show stays here: a learner is told
/// right or not. A reading is right when it lies in the window of all tolerances, widened by the error of a
/// hand-held meter:
///
///     lo - e(lo) <= reading <= hi + e(hi)
#include <expected>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/sheets.h"

namespace voltsill::server {

enum class CheckKind { ohms, volts, amps, level };

struct LessonCheck {
    std::string id;    ///< "ohm-1", "rail-usb", "current-usb", "level-3", "function-2": stable for a version of a bench
    int gate = 1;      ///< 1..4
    CheckKind kind = CheckKind::volts;
    std::string what;  ///< "gauge.ECHO high: read controller.D4"
    std::string link;  ///< empty: of none
    double lo = 0, hi = 0;  ///< SI; `hi` may be infinite
    bool floats = false;    ///< nothing defines it: any reading that drifts
    char level = '1';       ///< of CheckKind::level: '0' or '1'
    std::string expected;   ///< in words, for the instructor: "3.2 V to 3.36 V"
    std::string wrong;      ///< what a reading outside means
    int reading = -1;       ///< index of `Sheets::levels`; -1: none
    int ohm = -1;           ///< index of `Sheets::ohms`; -1: none
    std::string rail;       ///< whose volts or current it is; empty: of none
    /// V: the least absolute maximum of what hangs there, and of what; infinite: none is known, or no volts are read.
    double stands = std::numeric_limits<double>::infinity();
    std::string stands_at;
    /// The reading, less what a meter may add to it, is more than something there stands.
    bool is_exceeded_by(const std::optional<double>& value) const;
};

struct LessonStep {
    int id = 0;
    std::string text, more;
    int wire = 0;  ///< number of `BuildWire`; 0: none
};
struct LessonPhase {
    std::string title, about, link, check;
    std::vector<LessonStep> steps;
};

struct Lesson {
    std::string file;  ///< of the bench
    SheetsResult sheets;
    std::vector<LessonPhase> phases;
    std::vector<LessonCheck> checks;  ///< by gate
    std::vector<std::string> ends;    ///< names a wire may end at, besides holes
    int steps = 0;

    const std::string& version() const { return sheets.sheets.version; }
    const LessonCheck* check(const std::string& id) const;
    const BuildWire& wire(int number) const;  ///< of a step
    bool is_wire(int step) const;             ///< a wire is laid there
};

/// Or one sentence about why there is none: the bench was refused.
std::expected<Lesson, std::string> make_lesson(SheetsResult sheets, std::string file);

struct Entry {
    std::string trouble;  ///< why it is no reading; empty: it is one
    std::optional<double> value;
    bool correct = false;
};
/// "3.28 V", "3,28", "4k7", "open", "drifts", "high"; without a unit it is that of the check.
Entry judge_entry(const LessonCheck& check, const std::string& typed);

/// "V", "A", "Ω", "" of a level.
const char* unit_of(CheckKind kind);
const char* word_of(CheckKind kind);
/// What a meter may add to a reading, in words: "1 % + 20 mV"; "" of a level.
const char* meter_error_words(CheckKind kind);
const char* gate_title(int gate);

/// From the sheets alone, for one who reads `value` where something else is expected: 1 a question to think about,
/// 2 a reading that tells more, 3 the cause. Without `power` no reading is asked for that needs it; nor is one where
/// a slip that reads like this could harm.
std::string hint_for(const Lesson& lesson, const LessonCheck& check, const std::optional<double>& value, int depth,
                     bool power);

}  // namespace voltsill::server
