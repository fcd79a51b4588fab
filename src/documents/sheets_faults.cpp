/// The fault chart of a bench on paper: for who looks for a fault, and with its causes for who helps.
#include <fmt/format.h>

#include <algorithm>

#include "documents/diagnosis_report.h"
#include "documents/sheets_pieces.h"

namespace voltsill {
namespace {

std::string likely_words(const std::vector<ChartCause>& causes) {
    std::string out;
    for (const ChartCause& cause : causes)
        out += fmt::format("{}{} ({})", out.empty() ? "" : "; ", cause.words, share_words(cause.share));
    return out;
}

std::string meaning_of(const ChartAnswer& answer) {
    std::string out;
    for (const ChartCause& cause : answer.causes) out += (out.empty() ? "" : "; ") + cause.words;
    return answer.more > 0 ? fmt::format("{}; or {} more", out, answer.more) : out;
}

/// The readings of a row with a place to write.
doc::Table readings_to_take(const ChartRow& row) {
    doc::Table table{.columns = {{"", doc::Align::right, false},
                                 {"do this"},
                                 {"as planned", doc::Align::right, false},
                                 {"read", doc::Align::right, false},
                                 {"ok", doc::Align::center, false}}};
    for (std::size_t k = 0; k < row.readings.size(); ++k) {
        const ChartReading& reading = row.readings[k];
        table.rows.push_back({{fmt::format("{}", k + 1)},
                              {reading.how},
                              {reading.words},
                              {reading.means == Means::eye ? "" : "........"},
                              {doc::tick(fmt::format("reading {} is as planned", k + 1))}});
    }
    return table;
}

/// The same with every answer on a line of its own: 1 as planned, 1a and on what else it may be.
doc::Table answers_in_words(const ChartRow& row) {
    doc::Table table{.columns = {{"", doc::Align::left, false},
                                 {"it reads", doc::Align::right, false},
                                 {"what to do, and what the answer means"}}};
    for (std::size_t k = 0; k < row.readings.size(); ++k) {
        const ChartReading& reading = row.readings[k];
        const bool last = k + 1 == row.readings.size();
        table.rows.push_back({{fmt::format("{}", k + 1)},
                              {reading.words},
                              {doc::strong(reading.how), last ? " As planned: none of these."
                                                              : fmt::format(" As planned: go on to {}.", k + 2)}});
        for (std::size_t a = 0; a < reading.answers.size(); ++a)
            table.rows.push_back({{fmt::format("{}{}", k + 1, static_cast<char>('a' + a))},
                                  {reading.answers[a].words},
                                  {meaning_of(reading.answers[a])}});
    }
    return table;
}

/// Which readings have to be as planned before the first that is taken with the power on; empty: it never comes on,
/// or at once.
std::string power_again(const ChartRow& row) {
    const auto with_power = [](const ChartReading& r) {
        return r.means == Means::voltmeter || r.means == Means::scope;
    };
    const auto before = std::ranges::find_if(row.readings, with_power) - row.readings.begin();
    if (before == 0 || before == std::ssize(row.readings)) return {};
    return before == 1 ? " It stays off until reading 1 is as planned."
                       : fmt::format(" It stays off until readings 1 to {} are as planned.", before);
}

Blocks row_blocks(const ChartRow& row, std::size_t number, bool causes) {
    Blocks out{doc::heading(2, {fmt::format("{}. {}", number, row.symptom)}, fmt::format("symptom-{}", number))};
    if (!row.keep_off.empty())
        out.push_back(doc::paragraph({doc::strong("Power off first. "), row.keep_off + power_again(row)}));
    if (causes && !row.causes.empty())
        out.push_back(doc::paragraph({doc::strong("Likely: "), likely_words(row.causes) + "."}));
    out.push_back(causes ? answers_in_words(row) : readings_to_take(row));
    return out;
}

}  // namespace

doc::Document fault_sheet(const Bench& bench, const Sheets& sheets, bool causes) {
    doc::Document out{fmt::format("Fault chart{}: {}", causes ? " with causes" : "", bench.title), {}};
    const FaultChart& chart = *sheets.faults;
    std::string basis = fmt::format(". From {} faults that a hand, a drawer or a supply can make on this build; the "
                                    "likeliest symptoms first.", chart.faults);
    if (!sheets.has_holes()) basis += " The build is not on boards: slips of hands are not among them.";
    out.blocks.push_back(doc::paragraph({"Version ", doc::code(sheets.version), basis}));
    out.blocks.push_back(doc::paragraph(
        {"Find what the bench does. Take its readings in their order; the first that is not as planned tells where to "
         "look. Power off before anything moves. For any other answer: ", doc::code("voltsill diagnose"), "."}));
    if (chart.rows.empty())
        out.blocks.push_back(doc::paragraph({"No fault of this build has a symptom that a reading tells more about."}));
    for (std::size_t k = 0; k < chart.rows.size(); ++k) append(out.blocks, row_blocks(chart.rows[k], k + 1, causes));
    out.blocks.push_back(standing_caution());
    return out;
}

}  // namespace voltsill
