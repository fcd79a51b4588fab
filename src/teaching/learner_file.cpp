/// Reads a learner's file row by row; a row with a mistake is left out.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "teaching/build_file.h"
#include "teaching/build_text.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr std::array column_names = {"kind", "from", "to", "value", "note"};
constexpr std::size_t most_file_problems = 100;

}  // namespace

BuildFile::BuildFile(const BuildReader& reader, std::string_view bytes, const std::string& file)
    : r_(reader), table_(parse_csv_table(bytes, file)) {
    build_.placement.boards = r_.build_.placement.boards;
    build_.placement.parts = r_.build_.placement.parts;
    build_.problems = std::move(table_.problems);
}

LearnerBuild BuildFile::run() {
    if (!columns()) return std::move(build_);
    build_.readable = true;
    for (std::size_t k = 1; k < table_.rows.size(); ++k) row(table_.rows[k]);
    if (build_.placement.wires.empty() && build_.problems.empty())
        complain(table_.spot(table_.rows.front()), "no-wires", "this file has no wires: nothing is joined to anything",
                 "a row for each wire, such as wire,12c,gauge.ECHO").severity = Severity::warning;
    if (ground_named_) join_zeros();
    crowded_holes();
    return std::move(build_);
}

Problem& BuildFile::complain(const Spot& spot, const char* code, std::string message, std::string expected) {
    static thread_local Problem dropped;
    Problem problem = table_.source->problem(spot, code, std::move(message), std::move(expected));
    if (build_.problems.size() >= most_file_problems) return dropped = std::move(problem);
    return build_.problems.emplace_back(std::move(problem));
}

bool BuildFile::columns() {
    const Spot start = table_.source->spot(0, 0);
    if (table_.rows.empty()) {
        if (build_.problems.empty())
            complain(
                start, "empty-file", "this file holds nothing",
                "kind,from,to,value,note and rows below it (`voltsill mark BENCH --print-build` prints such a file)");
        return false;
    }
    at_.fill(-1);
    const CsvTableRow& first = table_.rows.front();
    bool known = false;
    for (std::size_t c = 0; c < first.size(); ++c) {
        const auto found = std::ranges::find(column_names, small_letters(first[c].text));
        if (found == column_names.end()) continue;
        known = true;
        at_[found - column_names.begin()] = static_cast<int>(c);
    }
    if (known)
        for (const CsvTableCell& cell : first)
            if (!cell.text.empty() && std::ranges::find(column_names, small_letters(cell.text)) == column_names.end())
                complain(table_.spot(cell), "unknown-column", fmt::format("there is no column \"{}\"", cell.text),
                         "kind, from, to, value or note")
                    .nearest = nearest_name(cell.text, {column_names.begin(), column_names.end()});
    if (at_[from_column] >= 0 && at_[to_column] >= 0) return true;
    complain(table_.spot(first), "no-header", "the first line has to name the columns",
             "kind,from,to,value,note");
    return false;
}

const CsvTableCell* BuildFile::cell(const CsvTableRow& row, Column column) const {
    const int c = at_[column];
    return c < 0 || c >= static_cast<int>(row.size()) || row[c].text.empty() ? nullptr : &row[c];
}

const CsvTableCell* BuildFile::needed(const CsvTableRow& row, Column column, const char* expected) {
    if (const CsvTableCell* found = cell(row, column)) return found;
    complain(table_.spot(row), "cell-missing", fmt::format("this row has nothing under \"{}\"", column_names[column]),
             expected);
    return nullptr;
}

void BuildFile::row(const CsvTableRow& row) {
    const CsvTableCell* kind = cell(row, kind_column);
    const std::string word = kind ? small_letters(kind->text) : "wire";
    if (word == "wire")
        wire(row);
    else if (word == "part")
        part(row);
    else if (word == "reading")
        reading(row);
    else if (word != "remark")
        complain(table_.spot(*kind), "unknown-kind", fmt::format("\"{}\" is no kind of row", kind->text),
                 "wire, part, reading or remark")
            .nearest = nearest_name(word, {"wire", "part", "reading", "remark"});
}

void BuildFile::wire(const CsvTableRow& row) {
    const CsvTableCell* from = needed(row, from_column, "where the wire begins, such as 12c");
    const CsvTableCell* to = needed(row, to_column, "where the wire ends, such as gauge.ECHO");
    const auto a = from ? end(*from) : std::nullopt, b = to ? end(*to) : std::nullopt;
    if (!a || !b) return;
    if (*a == *b) {
        complain(table_.spot(row), "same-ends", "both ends of this wire are in one place", "two places");
        return;
    }
    build_.by_holes |= a->kind == WireEnd::Kind::hole || b->kind == WireEnd::Kind::hole;
    build_.placement.wires.push_back(
        {.number = static_cast<int>(build_.placement.wires.size()) + 1, .from = *a, .to = *b});
    build_.places.push_back(table_.source->place(table_.spot(row)));
}

void BuildFile::reading(const CsvTableRow& row) {
    const CsvTableCell* point = needed(row, from_column, "where the meter was, such as controller.D4");
    const CsvTableCell* value = cell(row, value_column);  // nothing there: not taken yet
    LearnerReading out;
    bool good = point && value;
    if (point) good &= at_point(*point, out);
    if (const CsvTableCell* state = cell(row, to_column)) good &= in_state(*state, out);
    if (value) good &= shown(*value, out);
    if (!good) return;
    out.place = table_.source->place(table_.spot(row));
    build_.readings.push_back(std::move(out));
}

bool BuildFile::at_point(const CsvTableCell& cell, LearnerReading& out) {
    const std::string text = small_letters(cell.text);
    const auto found = named(text);
    if (found && found->kind == WireEnd::Kind::pin) {
        out.part = found->part, out.pin = found->pin;
        out.point = pin_label(r_.build_.wiring.parts[out.part], out.pin);
        return true;
    }
    if (found && found->kind == WireEnd::Kind::supply) {
        out.rail = found->rail;
        out.point = "rail " + out.rail;
        return true;
    }
    complain(table_.spot(cell), "unknown-point", fmt::format("\"{}\" is no point to read at", cell.text),
             "a pin such as controller.D4, or \"rail NAME\"")
        .nearest = nearest_name(cell.text, text.find('.') == std::string::npos ? r_.names_ : r_.part_names_);
    return false;
}

/// "gauge.ECHO high", several with commas or semicolons between them.
bool BuildFile::in_state(const CsvTableCell& cell, LearnerReading& out) {
    std::string_view rest = cell.text;
    while (!rest.empty()) {
        const std::size_t comma = std::min(rest.find_first_of(",;"), rest.size());
        std::string one = small_letters(rest.substr(0, comma));
        rest.remove_prefix(std::min(comma + 1, rest.size()));
        while (one.starts_with(' ')) one.erase(0, 1);
        while (one.ends_with(' ')) one.pop_back();
        if (one.empty()) continue;
        const std::size_t gap = one.rfind(' ');
        const std::string level = gap == std::string::npos ? "" : one.substr(gap + 1);
        const auto driver = named(one.substr(0, gap));
        const bool high = level == "high" || level == "released";
        if (!driver || driver->kind != WireEnd::Kind::pin || (!high && level != "low")) {
            complain(table_.spot(cell), "unknown-state", fmt::format("\"{}\" is no state", cell.text),
                     "a driver and its level, such as \"gauge.ECHO high\"")
                .nearest = nearest_name(one, r_.states_);
            return false;
        }
        const WiredPart& part = r_.build_.wiring.parts[driver->part];
        out.told.push_back({part.name, part.type->pins[driver->pin].name, high});
        out.state += fmt::format("{}{} {}", out.state.empty() ? "" : ", ", pin_label(part, driver->pin), level);
    }
    return true;
}

bool BuildFile::shown(const CsvTableCell& cell, LearnerReading& out) {
    auto span = parse<Volts>(cell.text);
    if (!span && span.error().code == "unit-missing") span = parse<Volts>(cell.text + " V");  // the sheet prints it
    if (span) {
        out.volts = *span;
        out.own_error = span->lo < span->hi;
        return true;
    }
    const ParseTrouble& t = span.error();
    const std::size_t from = std::min(cell.begin + t.at, cell.end);
    const bool plain = table_.source->slice(cell.begin, cell.end) == cell.text;
    complain(plain ? table_.source->spot(from, std::min(from + std::max<std::size_t>(t.length, 1), cell.end))
                   : table_.spot(cell),
             t.code.c_str(), t.message, t.expected);
    return false;
}

void BuildFile::join_zeros() {
    for (std::size_t k = 1; k < r_.zeros_.size(); ++k) {
        build_.placement.wires.push_back({.from = r_.zeros_[0], .to = r_.zeros_[k]});
        build_.places.push_back({});
    }
}

/// A hole takes one lead: two in it are a slip of the pen. The nets are the same, so it only warns.
void BuildFile::crowded_holes() {
    std::map<std::tuple<int, int, int>, int> taken;  // line; 0: a part
    for (const PlacedPart& part : build_.placement.parts)
        for (const Hole& hole : part.holes) taken.emplace(std::tuple(hole.board, hole.row, hole.column), 0);
    for (std::size_t w = 0; w < build_.placement.wires.size(); ++w)
        for (const WireEnd* e : {&build_.placement.wires[w].from, &build_.placement.wires[w].to}) {
            if (e->kind != WireEnd::Kind::hole) continue;
            const int line = build_.places[w].line;
            const auto [first, fresh] = taken.emplace(std::tuple(e->hole.board, e->hole.row, e->hole.column), line);
            if (fresh) continue;
            const std::string hole = words(build_.placement, e->hole);
            complain(table_.source->spot(table_.source->line_begin(line), table_.source->line_begin(line) + 1),
                     "hole-taken",
                     first->second == 0 ? fmt::format("hole {} already holds a lead of a part", hole)
                                        : fmt::format("hole {} is already used in line {}", hole, first->second),
                     "another hole of the same row")
                .severity = Severity::warning;
        }
}

LearnerBuild BuildReader::read(std::string_view bytes, const std::string& file) const {
    return BuildFile(*this, bytes, file).run();
}

}  // namespace voltsill
