#pragma once
/// How long a class takes, from what there is to do, corrected by what was logged.
///
///     prior(p)  = fixed(p) + items(p) * minutes_each(p)
///     factor(p) = (w + sum of logged_i / prior(p)) / (w + N),    w = 3
///     minutes(p) = prior(p) * factor(p)
///
/// The factor is the mean of the logged ratios, drawn to 1 as if `w` courses had taken the prior: with no logs
/// it is 1, with many it is their mean. Minutes for an item are common practice, no source; a file may change them.
#include <string>
#include <string_view>
#include <vector>

#include "records/problem.h"

namespace voltsill {

struct TimePhase {
    std::string id;      ///< "wires": as logs name it
    std::string words;   ///< "Lay the wires"
    std::string of;      ///< what is counted: "wires"
    double fixed = 0;    ///< min
    double each = 0;     ///< min
    int items = 0;
    int logs = 0;
    double factor = 1;
    double prior() const { return fixed + each * items; }
    double minutes() const { return prior() * factor; }
};

struct TimePlan {
    std::vector<TimePhase> phases;
    double minutes() const;
};

/// What there is to do at one seat.
struct WorkCounts {
    int kinds = 0, parts = 0, wires = 0, resistances = 0, rails = 0, readings = 0, links = 0, questions = 0;
};

/// Weight of the prior, in logged courses.
inline constexpr double prior_logs = 3;

struct LoggedMinutes {
    std::string phase;
    double minutes = 0;
};

/// "introduction", "count", "parts", "wires", "power off", "first power", "levels", "function", "questions"
std::vector<std::string> time_phase_ids();
/// A file of columns phase, minutes; 0..1000 min.
std::vector<LoggedMinutes> read_time_log(std::string_view bytes, const std::string& file, Problems& problems);
/// A file of columns phase, minutes for an item (of the introduction: in all).
std::vector<LoggedMinutes> read_time_rates(std::string_view bytes, const std::string& file, Problems& problems);

TimePlan time_plan(const WorkCounts& counts, const std::vector<LoggedMinutes>& rates = {},
                   const std::vector<LoggedMinutes>& logs = {});

}  // namespace voltsill
