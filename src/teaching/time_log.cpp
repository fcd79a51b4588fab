#include "teaching/time_log.h"

#include <fmt/format.h>

namespace voltsill {

TimePlan corrected(TimePlan plan, const std::vector<LoggedMinutes>& logs) {
    for (TimePhase& phase : plan.phases) {
        double ratios = 0;
        phase.logs = 0;
        for (const LoggedMinutes& log : logs)
            if (log.phase == phase.id && phase.prior() > 0) ratios += log.minutes / phase.prior(), ++phase.logs;
        phase.factor = (prior_logs + ratios) / (prior_logs + phase.logs);
    }
    return plan;
}

std::string time_log_text(const std::vector<LoggedMinutes>& logs) {
    std::string out = "phase,minutes\r\n";
    for (const LoggedMinutes& log : logs) out += fmt::format("{},{:.1f}\r\n", log.phase, log.minutes);
    return out;
}

}  // namespace voltsill
