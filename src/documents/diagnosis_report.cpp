#include "documents/diagnosis_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/report_pieces.h"

namespace voltsill {
namespace {

constexpr std::size_t listed_suspects = 8, listed_members = 4, listed_ruled_out = 12;

/// "A, or B, or 3 more: no meter tells them apart".
doc::Text suspect_words(const Suspect& suspect, const std::vector<SuspectMember>& members) {
    doc::Text out{suspect.words};
    if (suspect.may_harm) out.push_back(doc::strong(" (may harm: power off)"));
    if (members.size() < 2) return out;
    std::string others;
    for (std::size_t k = 1; k < std::min(members.size(), listed_members); ++k) others += ", or " + members[k].words;
    if (members.size() > listed_members) others += fmt::format(", or {} more", members.size() - listed_members);
    out.push_back(others + ". No meter tells them apart");
    out.push_back(suspect.common.empty() ? "." : ": " + suspect.common + ".");
    return out;
}

doc::Block suspect_table(const Diagnosis& d, const DiagnosisFacts& facts) {
    doc::Table table{
        .columns = {
            {"share", doc::Align::right, false}, {"", doc::Align::left, false}, {"what may be wrong"}, {"what to do"}}};
    const auto row = [&](double share, doc::Text what, const std::string& remedy) {
        table.rows.push_back({{share_words(share)}, {doc::code(share_bar(share))}, std::move(what), {remedy}});
    };
    for (std::size_t k = 0; k < std::min(d.suspects.size(), listed_suspects); ++k)
        row(d.suspects[k].share, suspect_words(d.suspects[k], facts.members[k]), d.suspects[k].remedy);
    row(d.something_else, {"something that is not on the list"},
        d.power_may_harm ? "take the readings of the test sheet that need no power, one by one"
                         : "take the readings of the test sheet one by one");
    return table;
}

Blocks next_blocks(const Diagnosis& d) {
    Blocks out;
    out.push_back(doc::heading(2, {"What to read next"}, "next"));
    if (d.next.empty()) {
        out.push_back(doc::paragraph({d.found ? "Nothing: mend it, then read again what was wrong."
                                              : "Nothing that may be asked tells more."}));
        return out;
    }
    const NextReading& first = d.next.front();
    out.push_back(doc::paragraph({doc::strong(first.words), ". ", first.how}));
    if (!first.why.empty()) out.push_back(doc::paragraph({first.why}));
    if (d.next.size() == 1) return out;
    doc::Table table{.caption = "Or one of these: information for the effort of a look",
                     .columns = {{"reading"},
                                 {"bits", doc::Align::right, false},
                                 {"effort", doc::Align::right, false},
                                 {"what its answers mean"}}};
    for (std::size_t k = 1; k < d.next.size(); ++k)
        table.rows.push_back({{d.next[k].words},
                              {fmt::format("{:.1f}", d.next[k].bits)},
                              {fmt::format("{:.1f}", d.next[k].effort)},
                              {d.next[k].why}});
    out.push_back(std::move(table));
    return out;
}

Blocks reading_blocks(const Diagnosis& d, const DiagnosisFacts& facts) {
    Blocks out;
    if (facts.given.empty()) return out;
    out.push_back(doc::heading(2, {"Readings taken"}, "readings"));
    doc::Table table{.columns = {{"", doc::Align::right, false}, {"reading"}, {""}}};
    for (std::size_t k = 0; k < facts.given.size(); ++k) {
        const bool strange = std::ranges::find(d.unexplained, static_cast<int>(k)) != d.unexplained.end();
        table.rows.push_back({{fmt::format("{}", k + 1)},
                              {facts.given[k].words},
                              {strange ? "no fault of the list explains it" : ""}});
    }
    out.push_back(std::move(table));
    return out;
}

Blocks ruled_out_blocks(const Diagnosis& d) {
    Blocks out;
    if (d.ruled_out.empty()) return out;
    out.push_back(doc::heading(2, {"Ruled out"}, "ruled-out"));
    doc::BulletList shown, more;
    for (std::size_t k = 0; k < d.ruled_out.size(); ++k)
        (k < listed_ruled_out ? shown : more).items.push_back({d.ruled_out[k].sentence});
    out.push_back(std::move(shown));
    if (!more.items.empty())
        out.push_back(doc::Details{{fmt::format("{} more", more.items.size())}, {std::move(more)}});
    return out;
}

Blocks damage_blocks(const std::optional<Damage>& damage) {
    Blocks out;
    if (!damage || damage->parts.empty()) return out;
    out.push_back(doc::heading(2, {"What may be hurt, if this was powered"}, "damage"));
    out.push_back(doc::paragraph({damage->sentence}));
    for (const std::string& caution : damage->cautions) out.push_back(doc::paragraph({doc::strong(caution)}));
    for (const SuspectPart& part : damage->parts) {
        out.push_back(doc::heading(3, {part.words}));
        doc::BulletList why;
        for (const std::string& sentence : part.why) why.items.push_back({sentence});
        if (!part.advice.empty()) why.items.push_back({doc::strong(part.advice)});
        out.push_back(std::move(why));
        doc::Table table{.caption = "Diode test, power off, the part out of the board",
                         .columns = {{"red lead"},
                                     {"black lead"},
                                     {"a sound part reads", doc::Align::right, false},
                                     {"a dead one", doc::Align::right}}};
        for (const DiodeTest& test : part.tests)
            table.rows.push_back({{test.red}, {test.black}, {test.expected}, {test.dead}});
        if (!table.rows.empty()) out.push_back(std::move(table));
    }
    return out;
}

Blocks warning_blocks(const Diagnosis& d, const std::string& keep_off) {
    Blocks out;
    if (!keep_off.empty()) out.push_back(doc::Caution{"Keep the power off", {{keep_off}}});
    if (d.contradictions.empty()) return out;
    doc::Caution caution{"Readings that contradict each other", {}};
    for (const Contradiction& c : d.contradictions) caution.paragraphs.push_back({c.sentence});
    out.push_back(std::move(caution));
    return out;
}

doc::Block basis(const DiagnosisFacts& facts) {
    const std::size_t n = facts.given.size();
    std::string text = fmt::format("From {} reading{} and {} faults that could be made on this build", n,
                                   n == 1 ? "" : "s", facts.faults);
    if (facts.pairs > 0) text += fmt::format(", and {} pairs of them", facts.pairs);
    if (facts.pairs_left_out > 0) text += fmt::format(" ({} unlikely pairs left out)", facts.pairs_left_out);
    if (!facts.not_placed.empty())
        text += ". The build is not on boards: slips of hands and single wires are not among them";
    return doc::paragraph({text + ". Version ", doc::code(facts.version), "."});
}

}  // namespace

std::string share_bar(double share) {
    const int full = share < 0.01 ? 0 : std::clamp(static_cast<int>(std::lround(10 * share)), 1, 10);
    std::string out;
    for (int k = 0; k < 10; ++k) out += k < full ? "■" : "□";
    return out;
}

std::string share_words(double share) {
    if (share > 0 && share < 0.01) return "under 1 %";
    if (share < 1 && share > 0.99) return "over 99 %";
    return fmt::format("{:.0f} %", 100 * share);
}

doc::Document diagnosis_report(const Diagnosis& d, const DiagnosisFacts& facts) {
    doc::Document out{"Diagnosis: " + facts.title, {}};
    append(out.blocks, warning_blocks(d, d.keep_off));
    out.blocks.push_back(doc::paragraph({doc::strong(d.sentence)}));
    out.blocks.push_back(basis(facts));
    out.blocks.push_back(suspect_table(d, facts));
    append(out.blocks, next_blocks(d));
    append(out.blocks, damage_blocks(facts.damage));
    append(out.blocks, reading_blocks(d, facts));
    append(out.blocks, ruled_out_blocks(d));
    out.blocks.push_back(standing_caution());
    return out;
}

doc::Document hint_report(const Diagnosis& d, const DiagnosisFacts& facts, int depth) {
    doc::Document out{"Hint: " + facts.title, {}};
    append(out.blocks, warning_blocks(d, depth < 3 ? d.hints.keep_off : d.keep_off));
    const std::pair<const char*, const std::string*> hints[] = {
        {"Ask yourself", &d.hints.question}, {"Read", &d.hints.reading}, {"Cause", &d.hints.cause}};
    for (int k = 0; k < std::clamp(depth, 1, 3); ++k)
        if (!hints[k].second->empty())
            out.blocks.push_back(doc::paragraph({doc::strong(std::string(hints[k].first) + ": "), *hints[k].second}));
    return out;
}

}  // namespace voltsill
