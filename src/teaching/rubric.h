#pragma once
/// How a build is marked, as data: what counts, and how much. One TOML file.
///
///     mark = sum over criteria of points * share of its items that are right
///
/// What an item is depends on what marks the criterion (`MarkedBy`); shares are kept in marking.h. The
/// weights of the built-in rubric are common practice (no source): the instructor changes them in a file,
/// and everything is marked again by the same call. Results say which version of a rubric marked them.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/hand_meter.h"
#include "records/problem.h"

namespace voltsill {

enum class MarkedBy {
    supplies,  ///< supply, ground and strap pins on their rail, decoupling at its place
    readings,  ///< readings handed in, against predictions
    function,  ///< links that work, as judged, or else the share of their wires that is right
    faults,    ///< mistakes of the build that a reading shows; all of it where there is no mistake
    hand,      ///< points entered by the instructor
};

/// Which builds go back to gate 1 before they are powered.
enum class Stop { never, harmful, may_harm };

struct Criterion {
    std::string id;     ///< "supplies", "levels", "function", "neatness" ...
    std::string words;  ///< as the learner reads it
    double points = 0;  ///< >= 0
    MarkedBy by = MarkedBy::hand;
    Place place;
};

struct Rubric {
    std::string title;
    std::string version;  ///< of its bytes, by whoever read them; empty: not said
    std::vector<Criterion> criteria;
    double meter_share = hand_meter::volts_share;  ///< error of a reading: this share of it and ...
    Volts meter_floor = hand_meter::volts_floor;   ///< ... this much, unless the learner says another
    double plausible = 0.5;        ///< share of an item for an honest reading of a wrong build, 0..1
    Stop stop = Stop::harmful;
    double total() const;
};

struct RubricReading {
    std::optional<Rubric> rubric;  ///< nothing when a problem is an error
    Problems problems;
};
RubricReading read_rubric(std::string_view bytes, const std::string& file);

/// The built-in one as a file, to start from; and as a value.
std::string_view default_rubric_text();
const Rubric& default_rubric();

}  // namespace voltsill
