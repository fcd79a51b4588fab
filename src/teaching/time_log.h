#pragma once
/// A time plan and what courses took (time_plan.h has the equation).
#include "teaching/time_plan.h"

namespace voltsill {

/// The plan with its factors from these logs alone.
TimePlan corrected(TimePlan plan, const std::vector<LoggedMinutes>& logs);
/// The file that `read_time_log` reads; minutes to a tenth.
std::string time_log_text(const std::vector<LoggedMinutes>& logs);

}  // namespace voltsill
