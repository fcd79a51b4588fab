#include "engine/marking.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <map>
#include <set>

#include "engine/reading.h"
#include "engine/sheets.h"
#include "planning/plan.h"
#include "records/csv_table.h"

namespace voltsill {
namespace {

/// The bench wired as the sheets wire it, before it is placed.
std::optional<Wiring> wanted_wiring(const Bench& bench, std::string_view bytes, const std::string& file,
                                    Problems& problems) {
    if (!bench.wiring) return plan(bench).wiring;
    Wiring wiring = wired_as_written(bench, bytes, file, problems);
    if (has_error(problems)) return std::nullopt;
    return wiring;
}

std::optional<Rubric> rubric_for(const MarkingOptions& options, Problems& problems) {
    if (!options.rubric) return default_rubric();
    RubricReading reading = read_rubric(*options.rubric, options.rubric_file);
    problems = std::move(reading.problems);
    if (reading.rubric) reading.rubric->version = version_of(*options.rubric);
    return std::move(reading.rubric);
}

enum HandColumn { learner_column, criterion_column, points_column, note_column, hand_columns };
constexpr const char* hand_column_names[] = {"learner", "criterion", "points", "note"};

struct HandMarksReader {
    CsvTable table;
    const Rubric& rubric;
    HandMarks out;
    int at[hand_columns] = {-1, -1, -1, -1};

    void complain(const Spot& spot, const char* code, std::string message, std::string expected,
                  std::string nearest = {}) {
        Problem p = table.source->problem(spot, code, std::move(message), std::move(expected));
        p.nearest = std::move(nearest);
        out.problems.push_back(std::move(p));
    }
    std::string_view text(const CsvTableRow& row, HandColumn column) const {
        const int c = at[column];
        return c >= 0 && c < static_cast<int>(row.size()) ? std::string_view(row[c].text) : std::string_view();
    }
    bool columns() {
        if (table.rows.empty()) return false;
        for (std::size_t c = 0; c < table.rows.front().size(); ++c)
            for (int k = 0; k < hand_columns; ++k)
                if (table.rows.front()[c].text == hand_column_names[k]) at[k] = static_cast<int>(c);
        if (at[learner_column] >= 0 && at[criterion_column] >= 0 && at[points_column] >= 0) return true;
        complain(table.spot(table.rows.front()), "no-header", "the first line has to name the columns",
                 "learner,criterion,points,note");
        return false;
    }
    void row(const CsvTableRow& row) {
        std::vector<std::string> ids;
        const Criterion* criterion = nullptr;
        for (const Criterion& c : rubric.criteria) {
            if (c.by == MarkedBy::hand) ids.push_back(c.id);
            if (c.by == MarkedBy::hand && c.id == text(row, criterion_column)) criterion = &c;
        }
        if (!criterion)
            return complain(table.spot(row), "unknown-criterion",
                            fmt::format("\"{}\" is not marked by hand in this rubric", text(row, criterion_column)),
                            "a criterion of the rubric with by = \"hand\"",
                            nearest_name(text(row, criterion_column), ids));
        const std::string_view words = text(row, points_column);
        double points = -1;
        const auto [end, error] = std::from_chars(words.data(), words.data() + words.size(), points);
        if (error != std::errc{} || end != words.data() + words.size() || !(points >= 0 && points <= criterion->points))
            return complain(table.spot(row), "wrong-points", fmt::format("\"{}\" is no number of points here", words),
                            fmt::format("a number from 0 to {:g}", criterion->points));
        auto& marks = out.of[std::string(text(row, learner_column))];
        if (std::ranges::find(marks, criterion->id, &HandMark::criterion) != marks.end())
            return complain(table.spot(row), "marked-twice",
                            fmt::format("{} has two marks for {}", text(row, learner_column), criterion->id),
                            "one row for each learner and criterion");
        marks.push_back({criterion->id, points, std::string(text(row, note_column))});
    }
};

/// A problem without what the learner typed: code and place stay.
Problem without_words(const Problem& p, const std::string& file) {
    Problem out{.severity = p.severity, .code = p.code, .place = p.place, .expected = p.expected};
    out.place.file = file;
    out.message = "this line could not be used as it stands";
    return out;
}

std::string csv_cell(std::string_view text) {
    if (text.find_first_of(",\"\r\n;") == std::string_view::npos) return std::string(text);
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + '"';
}

/// A cell that a spreadsheet would take for a formula stays text.
std::string csv_text(std::string_view text) {
    const bool formula = !text.empty() && std::string_view("=+-@\t\r").find(text[0]) != std::string_view::npos;
    return csv_cell(formula ? "'" + std::string(text) : std::string(text));
}

}  // namespace

MarkingReady prepare_marking(std::string_view bytes, const std::string& file, const Includer& include,
                             const MarkingOptions& options, const Progress& progress) {
    MarkingReady out;
    const auto go_on = [&](double share, const char* what) {
        out.cancelled = progress && !progress(share, what);
        return !out.cancelled;
    };
    if (!go_on(0, "planning")) return out;
    std::optional<Rubric> rubric = rubric_for(options, out.rubric_problems);
    BenchReading reading = read_for_job(bytes, file, include);
    out.problems = std::move(reading.problems);
    if (!reading.bench || !rubric) return out;
    Bench& bench = *reading.bench;
    out.misused = unknown_boards(bench, options.place.boards);
    if (!out.misused.empty()) return out;
    const auto wiring = wanted_wiring(bench, bytes, file, out.problems);
    if (!wiring || !go_on(0.1, "placing")) return out;
    PlacedWiring build = place(bench, *wiring, options.place, [&](double done, double all) {
        return go_on(0.1 + 0.6 * (all > 0 ? done / all : 0), "placing");
    });
    if (out.cancelled || !go_on(0.7, "judging")) return out;
    if (!build.trouble.empty()) build.wiring = *wiring;
    out.prepared = std::make_shared<const PreparedMarking>(std::move(bench), std::move(build), std::move(*rubric));
    return out;
}

HandMarks read_hand_marks(std::string_view bytes, const std::string& file, const Rubric& rubric) {
    HandMarksReader reader{.table = parse_csv_table(bytes, file), .rubric = rubric};
    reader.out.problems = std::move(reader.table.problems);
    if (reader.columns())
        for (std::size_t k = 1; k < reader.table.rows.size(); ++k) reader.row(reader.table.rows[k]);
    return std::move(reader.out);
}

MarkedClass without_names(MarkedClass marked, std::uint64_t seed) {
    std::map<std::string, int> taken;
    for (MarkedBuild& build : marked.builds) {
        const std::string digits = version_of(fmt::format("{}\n{}", seed, build.learner), 64);
        std::size_t length = 8;  // longer where two begin alike
        while (length < digits.size() && taken.contains(digits.substr(0, length))) ++length;
        taken[digits.substr(0, length)] = 1;
        build.learner = "learner-" + digits.substr(0, length);
        const std::string file = build.learner + ".csv";
        for (Problem& p : build.problems) p = without_words(p, file);
        for (MarkedReading& r : build.readings)
            if (r.place.line > 0) r.place.file = file;
        for (CriterionMark& c : build.criteria)  // notes of the instructor may hold names
            if (c.by_hand && !c.open) c.reasons.clear();
    }
    std::ranges::stable_sort(marked.builds, {}, &MarkedBuild::learner);
    marked.anonymous = true;
    return marked;
}

int exit_code(const MarkedClass& marked) {
    const bool worse = std::ranges::any_of(marked.builds, [](const MarkedBuild& b) {
        return !b.readable || has_error(b.problems) || b.harm > Verdict::thin;
    });
    return worse ? 1 : 0;
}

std::string marks_csv(const MarkedClass& marked) {
    std::string out = "learner,points,of,open,state,stop,mistakes,lines not read";
    for (const CriterionStatistics& c : marked.summary.criteria) out += "," + csv_text(c.id);
    out += ",what is wrong,rubric\r\n";
    for (const MarkedBuild& b : marked.builds) {
        std::string wrong;
        for (const Mistake& m : b.mistakes) wrong += (wrong.empty() ? "" : "; ") + m.words;
        const auto errors = std::ranges::count(b.problems, Severity::error, &Problem::severity);
        out += fmt::format("{},{:.1f},{:g},{:g},{},{},{},{}", csv_text(b.learner), b.points, b.of, b.open,
                           !b.readable ? "not readable" : b.as_planned ? "as planned" : std::string(to_word(b.harm)),
                           b.stop.empty() ? "" : "stop", b.mistakes.size(), errors);
        for (const CriterionMark& c : b.criteria) out += c.open ? "," : fmt::format(",{:.1f}", c.points);
        out += fmt::format(",{},{}\r\n", csv_text(wrong), csv_text(b.rubric_version));
    }
    return out;
}

}  // namespace voltsill
