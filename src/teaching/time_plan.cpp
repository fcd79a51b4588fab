#include "teaching/time_plan.h"

#include "teaching/named_numbers.h"
#include "teaching/time_log.h"

namespace voltsill {
namespace {

struct PhaseRow {
    const char *id, *words, *of;
    double fixed, each;  // min; common practice, no source
    int WorkCounts::*items;
};
constexpr PhaseRow phase_rows[] = {
    {"introduction", "Say what it is about, show a bench that works", "", 10, 0, nullptr},
    {"count", "Count the kit with the list in hand", "kinds of parts and wires", 3, 0.25, &WorkCounts::kinds},
    {"parts", "Put in parts", "parts", 0, 0.75, &WorkCounts::parts},
    {"wires", "Lay wires, one hand reads", "wires", 5, 1.25, &WorkCounts::wires},
    {"power off", "Resistances, power off", "readings", 2, 0.5, &WorkCounts::resistances},
    {"first power", "First power with a limit, rail after rail", "rails", 5, 2, &WorkCounts::rails},
    {"levels", "Static levels", "readings", 2, 0.5, &WorkCounts::readings},
    {"function", "Function, link after link", "links", 5, 1.5, &WorkCounts::links},
    {"questions", "Questions", "questions", 0, 3, &WorkCounts::questions},
};

std::vector<LoggedMinutes> minutes_in(std::string_view bytes, const std::string& file, double lo, Problems& problems) {
    std::vector<LoggedMinutes> out;
    for (NamedNumber& n : read_named_numbers(bytes, file, time_phase_ids(), lo, 1000, problems))
        out.push_back({std::move(n.name), n.value});
    return out;
}

}  // namespace

double TimePlan::minutes() const {
    double sum = 0;
    for (const TimePhase& phase : phases) sum += phase.minutes();
    return sum;
}

std::vector<std::string> time_phase_ids() {
    std::vector<std::string> out;
    for (const PhaseRow& row : phase_rows) out.emplace_back(row.id);
    return out;
}

std::vector<LoggedMinutes> read_time_log(std::string_view bytes, const std::string& file, Problems& problems) {
    return minutes_in(bytes, file, 0.1, problems);
}

std::vector<LoggedMinutes> read_time_rates(std::string_view bytes, const std::string& file, Problems& problems) {
    return minutes_in(bytes, file, 0, problems);
}

TimePlan time_plan(const WorkCounts& counts, const std::vector<LoggedMinutes>& rates,
                   const std::vector<LoggedMinutes>& logs) {
    TimePlan plan;
    for (const PhaseRow& row : phase_rows) {
        TimePhase phase{.id = row.id, .words = row.words, .of = row.of, .fixed = row.fixed, .each = row.each};
        if (row.items) phase.items = counts.*row.items;
        for (const LoggedMinutes& rate : rates)
            if (rate.phase == phase.id) (row.items ? phase.each : phase.fixed) = rate.minutes;
        plan.phases.push_back(std::move(phase));
    }
    return corrected(std::move(plan), logs);
}

}  // namespace voltsill
