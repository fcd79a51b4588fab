#include "documents/marking_report.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "documents/report_pieces.h"

namespace voltsill {
namespace {

std::string points_words(double points) {
    const double rounded = std::round(points * 10) / 10;
    return rounded == std::round(rounded) ? fmt::format("{:.0f}", rounded) : fmt::format("{:.1f}", rounded);
}

std::string rubric_words(const std::string& version) {
    return version.empty() || version == "built-in" ? "the built-in rubric (common practice)"
                                                    : fmt::format("rubric version {}", version);
}

std::string count_words(std::size_t n, const char* one, const char* many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string state_words(const MarkedBuild& m) {
    if (!m.readable) return "could not be read";
    if (m.as_planned) return "wired as planned";
    return count_words(m.mistakes.size(), "mistake", "mistakes");
}

doc::Block marks_table(const MarkedBuild& m) {
    doc::Table table{.caption = "Points",
                     .columns = {{"what"}, {"points", doc::Align::right, false}, {"of", doc::Align::right, false}}};
    for (const CriterionMark& c : m.criteria)
        table.rows.push_back({{c.words}, {c.open ? "open" : points_words(c.points)}, {points_words(c.of)}});
    table.rows.push_back({{doc::strong("together")}, {doc::strong(points_words(m.points))}, {points_words(m.of)}});
    return table;
}

Blocks mistake_blocks(const MarkedBuild& m) {
    Blocks out;
    if (m.mistakes.empty()) return out;
    out.push_back(doc::heading(2, {"What to mend, the worst first"}));
    doc::Steps steps;
    for (const Mistake& x : m.mistakes) {
        doc::Text more{doc::verdict(x.harm)};
        if (!x.sentence.empty())
            more.push_back(" " + x.sentence);
        else if (x.harm == Verdict::safe)
            more.push_back(" It works all the same.");
        if (!x.links.empty()) more.push_back(fmt::format(" Link: {}.", fmt::join(x.links, ", ")));
        std::string words = x.words;
        if (!words.empty() && 'a' <= words[0] && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
        steps.items.push_back({{doc::strong(words + "."), " ", x.remedy}, std::move(more)});
    }
    out.push_back(std::move(steps));
    return out;
}

Blocks reason_blocks(const MarkedBuild& m) {
    Blocks out;
    for (const CriterionMark& c : m.criteria) {
        if (c.reasons.empty() || c.open) continue;
        doc::BulletList list;
        for (const std::string& reason : c.reasons) list.items.push_back({reason + "."});
        out.push_back(doc::heading(3, {c.words}));
        out.push_back(std::move(list));
    }
    if (!out.empty()) out.insert(out.begin(), doc::heading(2, {"Why points are missing"}));
    return out;
}

Blocks reading_blocks(const MarkedBuild& m) {
    doc::Table table{.columns = {{"point"},
                                 {"driven"},
                                 {"read", doc::Align::right, false},
                                 {"right", doc::Align::right},
                                 {"mark", doc::Align::left, false}}};
    for (const MarkedReading& r : m.readings)
        if (r.mark != ReadingMark::missing)
            table.rows.push_back({{r.point},
                                  {r.state.empty() ? "nothing" : r.state},
                                  {meter_words(r.read->nominal.si())},
                                  {meter_words(r.lo, r.hi)},
                                  {std::string(to_word(r.mark))}});
    if (table.rows.empty()) return {};
    return {doc::heading(2, {"Readings"}), std::move(table)};
}

Blocks problem_blocks(const MarkedBuild& m) {
    if (m.problems.empty()) return {};
    Blocks out{doc::heading(2, {"Lines that could not be used"})};
    doc::BulletList list;
    for (const Problem& p : m.problems) {
        doc::Text text{fmt::format("Line {}, column {}: {}", p.place.line, p.place.column, p.message)};
        if (!p.expected.empty()) text.push_back(fmt::format(" Expected: {}.", p.expected));
        if (!p.nearest.empty()) text.push_back(fmt::format(" Perhaps \"{}\".", p.nearest));
        text[0].text += ".";
        list.items.push_back(std::move(text));
    }
    out.push_back(std::move(list));
    return out;
}

std::string statistics_words(const MarkStatistics& s) {
    return s.count == 0 ? "none marked"
                        : fmt::format("mean {}, from {} to {}, quartiles {}, {}, {}", points_words(s.mean),
                                      points_words(s.lowest), points_words(s.highest), points_words(s.lower_quartile),
                                      points_words(s.median), points_words(s.upper_quartile));
}

doc::Block learners_table(const MarkedClass& c, std::size_t listed) {
    doc::Table table{.caption = "Learners", .columns = {{"learner"}, {"points", doc::Align::right, false}}};
    for (const CriterionStatistics& criterion : c.summary.criteria)
        table.columns.push_back({criterion.id, doc::Align::right});
    table.columns.push_back({"build"});
    for (std::size_t k = 0; k < std::min(listed, c.builds.size()); ++k) {
        const MarkedBuild& m = c.builds[k];
        std::vector<doc::Text> row{{m.learner}, {points_words(m.points)}};
        for (const CriterionMark& mark : m.criteria) row.push_back({mark.open ? "open" : points_words(mark.points)});
        doc::Text state;
        if (m.readable && m.harm != Verdict::safe) state = {doc::verdict(m.harm), ", "};
        state.push_back(state_words(m));
        if (!m.stop.empty()) state.push_back("; gate 1 again");
        row.push_back(std::move(state));
        table.rows.push_back(std::move(row));
    }
    return table;
}

void count_table(Blocks& blocks, const char* caption, const std::vector<NamedCount>& counts) {
    if (counts.empty()) return;
    doc::Table table{.caption = caption, .columns = {{"what"}, {"learners", doc::Align::right, false}}};
    for (const NamedCount& n : counts) table.rows.push_back({{n.name}, {std::to_string(n.learners)}});
    blocks.push_back(std::move(table));
}

}  // namespace

doc::Document learner_sheet(const std::string& title, const MarkedBuild& m) {
    doc::Document out{.title = fmt::format("{}: {}", m.learner, title)};
    if (!m.stop.empty()) out.blocks.push_back(doc::Caution{.title = "Stop", .paragraphs = {{m.stop}}});
    doc::Text summary;
    if (!m.readable)
        summary = {"The file could not be read, so nothing is marked. Mend it and hand it in again."};
    else if (m.as_planned)
        summary = {doc::verdict(Verdict::safe), " The wires make what was planned."};
    else
        summary = {doc::verdict(m.harm),
                   fmt::format(" {} in the wires.", count_words(m.mistakes.size(), "mistake", "mistakes"))};
    out.blocks.push_back(doc::paragraph(std::move(summary)));
    out.blocks.push_back(marks_table(m));
    if (m.open > 0)
        out.blocks.push_back(doc::paragraph({fmt::format("{} points are marked by hand and still open. Marked by {}.",
                                                         points_words(m.open), rubric_words(m.rubric_version))}));
    else
        out.blocks.push_back(doc::paragraph({fmt::format("Marked by {}.", rubric_words(m.rubric_version))}));
    append(out.blocks, mistake_blocks(m));
    append(out.blocks, reason_blocks(m));
    append(out.blocks, reading_blocks(m));
    append(out.blocks, problem_blocks(m));
    out.blocks.push_back(standing_caution());
    return out;
}

doc::Document class_sheet(const MarkedClass& c, std::size_t listed) {
    const ClassSummary& s = c.summary;
    doc::Document out{.title = "Class sheet: " + c.title};
    out.blocks.push_back(doc::paragraph({fmt::format(
        "{}: {} wired as planned, {} sent back to gate 1, {} with a file that could not be read. Marked by {}.{}",
        count_words(static_cast<std::size_t>(s.learners), "learner", "learners"), s.without_mistake, s.stopped,
        s.unreadable, rubric_words(c.rubric_version), c.anonymous ? " Names are pseudonyms." : "")}));
    doc::Table marks{
        .caption = "How the points lie",
        .columns = {{"what"}, {"of", doc::Align::right, false}, {"points"}, {"open", doc::Align::right, false}}};
    for (const CriterionStatistics& criterion : s.criteria)
        marks.rows.push_back({{criterion.words},
                              {points_words(criterion.of)},
                              {statistics_words(criterion.points)},
                              {criterion.open ? std::to_string(criterion.open) : ""}});
    marks.rows.push_back({{doc::strong("together")}, {points_words(s.of)}, {statistics_words(s.points)}, {""}});
    out.blocks.push_back(std::move(marks));
    out.blocks.push_back(learners_table(c, listed));
    if (c.builds.size() > listed)
        out.blocks.push_back(doc::paragraph({fmt::format("The first {} of {} stand here; marks.csv has all.", listed,
                                                         c.builds.size())}));
    if (!s.mistakes.empty()) {
        out.blocks.push_back(doc::heading(2, {"Mistakes"}));
        doc::Table table{
            .caption = "Most frequent first: the first three are for the next handout",
            .columns = {{"mistake"}, {"learners", doc::Align::right, false}, {"alone"}, {"link"}, {"gate"}}};
        for (std::size_t k = 0; k < std::min(listed, s.mistakes.size()); ++k) {
            const MistakeCount& m = s.mistakes[k];
            table.rows.push_back({{m.words},
                                  {std::to_string(m.learners)},
                                  {doc::verdict(m.harm)},
                                  {fmt::format("{}", fmt::join(m.links, ", "))},
                                  {m.gate == 0 ? "by eye" : std::to_string(m.gate)}});
        }
        out.blocks.push_back(std::move(table));
        count_table(out.blocks, "By kind", s.kinds);
        count_table(out.blocks, "By link", s.links);
        count_table(out.blocks, "By the gate that shows it", s.gates);
    }
    count_table(out.blocks, "Files: lines that could not be used", s.problems);
    return out;
}

}  // namespace voltsill
