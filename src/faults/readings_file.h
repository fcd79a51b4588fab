#pragma once
/// Readings taken at a build: as a file (TOML), as lines on a command line, and back into a file.
///
///     [meter]                                    # optional: what the meter may be wrong by
///     volts_error = "0.5 % + 2 mV"
///
///     [[readings]]                               # in the order in which they were taken
///     at    = "U1.13"
///     reads = "0.02 V"                           # or "drifts"; "0.02 V ± 5 mV" for a meter of its own
///     when  = "controller.D4 high, usb off"
///
///     [[seen]]                                   # what the bench did
///     link = "tank echo"
///     what = "works when touched"
///
/// The same as a line: "U1.13 = 0.02 V when D4 high, usb off", "tank echo works when touched". A pin may be
/// named without its part where only one part has a pin of that name. Every form is in docs/diagnosis.md.
///
/// A reading is read against a build: its names are those of the build's points, wires, parts and links, and
/// its question is numbered by the `Questions` given.
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "faults/diagnosis.h"
#include "quantity/parse.h"
#include "records/problem.h"

namespace voltsill {

struct GivenReading {
    Reading reading;
    Place place;
    std::string words;  ///< question and answer: "volts at U1.18 (Y1), gauge.ECHO high: 3.28 V"
};

struct ReadingsFile {
    std::optional<MeterErrors> errors;    ///< where the file says any
    std::map<FaultKind, double> weights;  ///< in place of common practice; 0: this kind cannot be
    bool pairs = false;                   ///< two faults at once as well
    std::vector<GivenReading> readings;   ///< in order
};

struct ReadingsRead {
    std::optional<ReadingsFile> file;  ///< nothing when a problem is an error
    Problems problems;
};
ReadingsRead read_readings(std::string_view bytes, const std::string& file, Questions& questions);

/// One reading a line; in problems `source` is the file.
ReadingsRead read_reading_lines(const std::vector<std::string>& lines, const std::string& source,
                                Questions& questions);

/// The file of these readings; what read_readings makes of it is the same again.
std::string readings_text(const ReadingsFile& file, const Questions& questions);

/// A question as a line that waits for its answer: "U1.18 = ", then " when gauge.ECHO high".
struct LineForm {
    std::string before, after;
};
LineForm line_form(const Questions& questions, int question);

/// JSON Schema (draft 2020-12) of a readings file.
std::string readings_schema();

/// Why an answer or a reading cannot be read, and the right name that is nearest.
struct ReadingTrouble {
    ParseTrouble trouble;
    std::string nearest;
};

/// The answer alone: "0.02 V", "drifts", "open", "yes", "as planned". The unit may be left out.
std::expected<Reading, ReadingTrouble> parse_answer(const Questions& questions, int question,
                                                    std::string_view text);
/// "0.02 V ± 5 mV", "drifts", "open", "not as planned", "yes".
std::string answer_words(const Questions& questions, const Reading& reading);
/// What an answer may look like: "a voltage such as \"3.3 V\", or \"drifts\"".
std::string answers_of(const Question& question);

}  // namespace voltsill
