/// The lesson of a bench: from its own worst link to its own checks, for learners and for the instructor.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/sheets_teaching.h"

namespace voltsill {
namespace {

/// Links that are worked through: more would be a second test sheet.
constexpr std::size_t most_links = 2;

struct LessonSheet {
    const Bench& bench;
    const Sheets& sheets;
    bool instructor;
    Blocks blocks = {};

    /// Links with an interface circuit, those that suffer most without it first; no two between the same rails.
    std::vector<const Link*> worked_links() const {
        std::vector<const Link*> all, out;
        for (const Link& link : bench.links)
            if (judged(sheets.direct, link.name) && judged(sheets.judgement, link.name)) all.push_back(&link);
        std::ranges::stable_sort(all, std::ranges::greater{}, [&](const Link* l) {
            const LinkJudgement& now = *judged(sheets.judgement, l->name);
            return std::pair(now.high_margin.has_value(), judged(sheets.direct, l->name)->verdict);
        });
        std::vector<std::string> seen;
        for (const Link* link : all) {
            const std::string sort = sort_of(*link);
            if (out.size() == most_links || std::ranges::find(seen, sort) != seen.end()) continue;
            seen.push_back(sort);
            out.push_back(link);
        }
        return out;
    }

    /// Verdict joined directly, and the rails of both ends: what makes one link like another.
    std::string sort_of(const Link& link) const {
        const auto rail_of_end = [&](const PinRef& end) {
            const BenchPart* part = bench.part(end.part);
            return part && !part->supplies.empty() ? part->supplies.front().second : std::string();
        };
        return fmt::format("{}|{}|{}", to_word(judged(sheets.direct, link.name)->verdict),
                           link.from.empty() ? "" : rail_of_end(link.from.front()),
                           link.to.empty() ? "" : rail_of_end(link.to.front()));
    }

    void say(doc::Text text) { blocks.push_back(doc::paragraph(std::move(text))); }
    void head(int level, std::string text) { blocks.push_back(doc::heading(level, {std::move(text)})); }

    void aims(const std::vector<const Link*>& links) {
        head(2, "What you will be able to do");
        doc::BulletList list;
        list.items.push_back(
            {"Work out the noise margins of a link in its worst case, from its rails and its data sheets."});
        for (const Link* link : links)
            if (judged(sheets.direct, link->name)->verdict > Verdict::thin) {
                list.items.push_back({"Say why the ends of ", doc::strong(link->name),
                                      " may not simply be joined, and what to put between."});
                break;
            }
        list.items.push_back(
            {fmt::format("Build it: {} wires, in a safe order, and check before power.", sheets.wires.size())});
        list.items.push_back({"Predict what a meter reads, read it, and say what a wrong reading means."});
        if (std::ranges::any_of(bench.links, [](const Link& l) { return l.kind == LinkKind::open_drain; }))
            list.items.push_back({"Find the window of a pull-up on a line that everybody only pulls low."});
        blocks.push_back(std::move(list));
    }

    void idea() {
        head(2, "The idea");
        say(
            {"A link works when two things hold. The receiver reads what the driver says. And no pin gets more than it "
             "stands, "
             "whichever rails are on."});
        blocks.push_back(doc::Definitions{
            {{{"lowest high"}, {"The driver's high, when everything is at its worst."}},
             {{"VIH"}, {"The receiver reads a high for sure from here up."}},
             {{"high margin"}, {"Lowest high less VIH. This much noise does no harm."}},
             {{"VIL"}, {"The receiver reads a low for sure from here down."}},
             {{"low margin"}, {"VIL less the highest low."}},
             {{"absolute maximum"}, {"More than this may damage the pin, even for a moment."}}}});
        say({fmt::format(
            "Wanted here: {} of margin, high and low. Worst case means: each rail at the end of its range that hurts, "
            "never at its nominal voltage.",
            meter_words(bench.wishes.margin.si()))});
    }

    /// A number against a limit, with where both come from.
    void worked(const Finding& f) {
        if (!f.arithmetic.empty()) blocks.push_back(doc::arithmetic(f.arithmetic));
        doc::BulletList list;
        for (const auto& e : {f.value, f.limit})
            if (e) list.items.push_back({e->what + ": " + words(e->origin)});
        if (!list.items.empty()) blocks.push_back(std::move(list));
    }

    const Finding* level_finding(const std::string& link, const char* code) const {
        const Finding* least = nullptr;
        for (const Finding& f : sheets.judgement.findings)
            if (f.link == link && f.code == code && (!least || f.margin < least->margin)) least = &f;
        return least;
    }

    void chart(const Link& link, const LinkJudgement* direct, const LinkJudgement* now) {
        doc::LevelChart picture = level_chart(bench, link.name, direct, now, &sheets.wiring(), "as wired here");
        std::erase_if(picture.rows, [&](const doc::ChartRow& row) {
            const auto end = [&](const std::vector<PinRef>& pins) {
                return std::ranges::any_of(pins, [&](const PinRef& p) { return row.point == p.part + "." + p.pin; });
            };
            return !end(link.from) && !end(link.to);
        });
        if (!picture.rows.empty() && picture.rows.size() <= 8) blocks.push_back(std::move(picture));
    }

    void link_worked(const Link& link) {
        const LinkJudgement *direct = judged(sheets.direct, link.name), *now = judged(sheets.judgement, link.name);
        head(3, link.name);
        say(ends_of(link));
        say({"Ends joined directly: ", doc::verdict(direct->verdict), ". " + why(sheets.direct, *direct)});
        if (direct->verdict > Verdict::safe && !direct->findings.empty())
            worked(sheets.direct.findings[static_cast<std::size_t>(direct->findings.front())]);
        say({"As wired here: ", doc::verdict(now->verdict), ". " + why(sheets.judgement, *now)});
        for (const char* code : {"high-level", "low-level"})
            if (const Finding* f = level_finding(link.name, code)) worked(*f);
        chart(link, direct, now);
        append(blocks, circuit_blocks(bench, sheets, link.name));
        steps_of_link(link.name);
    }

    /// Numbers of the steps on the build sheet.
    void steps_of_link(const std::string& link) {
        std::size_t next = 1;
        for (const BuildPhase& phase : sheets.phases) {
            const std::size_t first = next;
            next += phase.steps.size() + (phase.gate.empty() ? 0 : 1);
            if (phase.link == link && next > first)
                say({fmt::format("Wiring: steps {} to {} of the build sheet.", first, next - 1)});
        }
    }

    void checks() {
        head(2, "The checks");
        const WorkCounts n = work_counts(sheets);
        doc::Table table{
            .columns = {
                {"gate"}, {"what"}, {"how many", doc::Align::right, false}, {"signed", doc::Align::center, false}}};
        const auto row = [&](const char* gate, const char* what, int count) {
            table.rows.push_back(
                {{gate}, {what}, {std::to_string(count)}, {doc::tick(std::string("signed: ") + gate)}});
        };
        row("1. power off", "resistances within their windows: rails apart, grounds joined, straps where they belong",
            n.resistances);
        row("2. first power", "rails in their order, with a current limit: voltage, current, nothing warm", n.rails);
        row("3. levels", "each driver held high and low, read at every end", n.readings);
        row("4. function", "each link slowly, then at its rate", n.links);
        blocks.push_back(std::move(table));
        say({"Windows and places to write are on the test sheet. A gate that fails stops the next one."});
    }

    void self_test() {
        if (sheets.questions.self_test.empty()) return;
        head(2, "Test yourself");
        for (std::size_t k = 0; k < sheets.questions.self_test.size(); ++k)
            append(blocks, question_blocks(sheets.questions.self_test[k], k + 1, instructor));
    }

    void cautions() {
        head(2, "Cautions");
        blocks.push_back(care_block());
        doc::BulletList list;
        for (const LinkJudgement& link : sheets.direct.links)
            if (link.verdict == Verdict::harmful && list.items.size() < 4)
                list.items.push_back({doc::strong(link.link), " joined directly: " + why(sheets.direct, link)});
        if (!list.items.empty()) {
            say({"What harms on this bench:"});
            blocks.push_back(std::move(list));
        }
    }

    void for_the_instructor() {
        blocks.push_back(doc::PageBreak{});
        append(blocks, time_blocks(sheets.time));
        append(blocks, slip_blocks(sheets, true));
    }
};

std::string minutes_words(double minutes) { return fmt::format("{:.0f} min", std::round(minutes)); }

}  // namespace

WorkCounts work_counts(const Sheets& sheets) {
    WorkCounts n;
    n.kinds = static_cast<int>(sheets.kit.size());
    n.parts = static_cast<int>(std::ranges::count_if(sheets.wiring().parts, &WiredPart::added));
    n.wires = static_cast<int>(sheets.wires.size());
    n.resistances = static_cast<int>(sheets.ohms.size());
    n.rails = static_cast<int>(sheets.currents.size());
    n.readings = static_cast<int>(sheets.levels.size());
    n.links = static_cast<int>(sheets.judgement.links.size());
    if (!sheets.questions.learners.empty())
        n.questions = static_cast<int>(sheets.questions.learners.front().questions.size());
    return n;
}

Blocks time_blocks(const TimePlan& plan) {
    Blocks out{doc::heading(2, {"Time plan"}),
               doc::paragraph(
                   {fmt::format("One seat, two hands: {} in all. Minutes for an item are common practice, no source; "
                                "logged minutes correct them.",
                                minutes_words(plan.minutes()))})};
    doc::Table table{.columns = {{"phase"},
                                 {"items", doc::Align::right, false},
                                 {"planned", doc::Align::right, false},
                                 {"logs", doc::Align::right, false},
                                 {"corrected", doc::Align::right, false},
                                 {"done after", doc::Align::right, false},
                                 {"took", doc::Align::center, false}}};
    double done = 0;
    for (const TimePhase& phase : plan.phases) {
        done += phase.minutes();
        table.rows.push_back({{fmt::format("{} ({})", phase.words, phase.id)},
                              {phase.of.empty() ? "-" : std::to_string(phase.items)},
                              {minutes_words(phase.prior())},
                              {phase.logs ? std::to_string(phase.logs) : "-"},
                              {doc::strong(minutes_words(phase.minutes()))},
                              {minutes_words(done)},
                              {"...... min"}});
    }
    out.push_back(std::move(table));
    return out;
}

doc::Document lesson_sheet(const Bench& bench, const Sheets& sheets, bool instructor) {
    LessonSheet lesson{bench, sheets, instructor};
    const std::vector<const Link*> links = lesson.worked_links();
    lesson.say({"Version ", doc::code(sheets.version), instructor ? ". For the instructor: with answers." : "."});
    if (!instructor) lesson.say({"Name: ..............................   Date: ................"});
    lesson.aims(links);
    lesson.idea();
    if (!links.empty()) lesson.head(2, "Worked on this bench");
    for (const Link* link : links) lesson.link_worked(*link);
    lesson.checks();
    lesson.self_test();
    lesson.cautions();
    if (instructor) lesson.for_the_instructor();
    return {(instructor ? "Lesson, instructor's notes: " : "Lesson: ") + bench.title, std::move(lesson.blocks)};
}

}  // namespace voltsill
