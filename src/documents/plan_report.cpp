#include <fmt/format.h>

#include <algorithm>

#include "documents/report_pieces.h"

namespace voltsill {
namespace {

struct PlanReport {
    const Bench& bench;
    const Plan& plan;
    Blocks blocks;

    Verdict after(const LinkPlan& link) const {
        const LinkJudgement* j = judged(plan.judgement, link.link);
        return !link.chosen ? Verdict::unreadable : j ? j->verdict : link.chosen->verdict;
    }
    Verdict before(const LinkPlan& link) const {
        const LinkJudgement* j = judged(plan.before, link.link);
        return j ? j->verdict : Verdict::unknown;
    }
    static bool direct(const LinkPlan& link) { return link.chosen && link.chosen->circuit == "direct"; }

    /// What the plan could not mend first, then what it mended, then what needed nothing.
    std::vector<size_t> order() const {
        std::vector<size_t> out(plan.links.size());
        for (size_t k = 0; k < out.size(); ++k) out[k] = k;
        std::ranges::stable_sort(out, [&](size_t a, size_t b) {
            const LinkPlan &x = plan.links[a], &y = plan.links[b];
            return std::tuple(after(x), before(x)) > std::tuple(after(y), before(y));
        });
        return out;
    }

    void summary(const std::vector<size_t>& sorted) {
        blocks.push_back(doc::paragraph({"As planned: ", doc::verdict(plan.judgement.verdict),
                                         ", " + tally(plan.judgement.links) + "."}));
        blocks.push_back(doc::paragraph(
            {"Joined directly: ", doc::verdict(plan.before.verdict), ", " + tally(plan.before.links) + "."}));
        doc::Table table{.columns = {{"link"},
                                     {"direct", doc::Align::left, false},
                                     {"planned", doc::Align::left, false},
                                     {"interface circuit"},
                                     {"high margin", doc::Align::right, false},
                                     {"low margin", doc::Align::right, false}}};
        for (const size_t k : sorted) {
            const LinkPlan& link = plan.links[k];
            const LinkJudgement* j = judged(plan.judgement, link.link);
            table.rows.push_back({{doc::leading_to(link.link, link_anchor(k))},
                                  {doc::verdict(before(link))},
                                  {doc::verdict(after(link))},
                                  {link.chosen ? link.chosen->title : "none found"},
                                  {margin_words(j ? j->high_margin : std::nullopt)},
                                  {margin_words(j ? j->low_margin : std::nullopt)}});
        }
        if (!sorted.empty()) blocks.push_back(std::move(table));
        doc::BulletList notes;
        for (const std::string& note : plan.notes) notes.items.push_back({note});
        if (!notes.items.empty()) blocks.push_back(std::move(notes));
    }

    doc::LevelChart chart(const LinkPlan& link) const {
        return level_chart(bench, link.link, direct(link) ? nullptr : judged(plan.before, link.link),
                           link.chosen ? judged(plan.judgement, link.link) : nullptr, &plan.wiring);
    }

    static doc::Table rejected_table(const std::vector<Candidate>& rejected) {
        doc::Table table{.columns = {{"circuit"},
                                     {"verdict", doc::Align::left, false},
                                     {"high margin", doc::Align::right, false},
                                     {"low margin", doc::Align::right, false},
                                     {"why not"}}};
        for (const Candidate& c : rejected) {
            const std::string stock = c.in_stock ? "" : " Not in the drawer.";
            const std::string reason =
                c.why_not.empty() ? "Would serve, but the chosen one suits the wishes better." : c.why_not;
            table.rows.push_back({{c.title.empty() ? c.circuit : c.title},
                                  {doc::verdict(c.verdict)},
                                  {margin_words(c.high_margin)},
                                  {margin_words(c.low_margin)},
                                  {reason + stock}});
        }
        return table;
    }

    void chosen(const LinkPlan& link) {
        if (!link.chosen) {
            blocks.push_back(doc::paragraph(
                {"No interface circuit was found that serves this link. Do not join these pins."}));
            return;
        }
        const Candidate& c = *link.chosen;
        doc::Text text{"Interface circuit: ", doc::strong(c.title)};
        if (!c.in_stock) text.push_back(". The drawer does not hold all of it");
        text.push_back(c.inverted ? ". It inverts the signal." : ".");
        blocks.push_back(doc::paragraph(std::move(text)));
        if (!c.how_sized.empty()) blocks.push_back(doc::arithmetic(c.how_sized));
        if (c.cautions.empty()) return;
        doc::Caution mind{"Mind", {}};
        for (const std::string& line : c.cautions) mind.paragraphs.push_back({line});
        blocks.push_back(std::move(mind));
    }

    void link(size_t index) {
        const LinkPlan& link = plan.links[index];
        blocks.push_back(doc::heading(2, {link.link}, link_anchor(index)));
        if (const Link* l = bench.link(link.link)) blocks.push_back(doc::paragraph(ends_of(*l)));
        const LinkJudgement* now = judged(plan.judgement, link.link);
        const LinkJudgement* then = judged(plan.before, link.link);
        std::string said;
        if (then && !direct(link))
            blocks.push_back(doc::paragraph(
                {"Joined directly: ", doc::verdict(then->verdict), ". " + why(plan.before, *then)}));
        if (now && link.chosen) {
            said = why(plan.judgement, *now);
            blocks.push_back(doc::paragraph({"As planned: ", doc::verdict(now->verdict), ". " + said}));
            if (const std::string soft = leaning(plan.judgement, *now); !soft.empty())
                blocks.push_back(doc::paragraph({soft}));
        }
        chosen(link);
        if (doc::LevelChart levels = chart(link); !levels.rows.empty()) {
            if (direct(link) && now && now->verdict == Verdict::safe)
                blocks.push_back(doc::Details{{"Levels"}, {std::move(levels)}});
            else
                blocks.push_back(std::move(levels));
        }
        if (now && link.chosen) append(blocks, finding_blocks(plan.judgement, now->findings, 3, said));
        if (!link.rejected.empty()) {
            const std::string summary =
                link.rejected.size() == 1
                    ? "1 other circuit that was tried"
                    : fmt::format("{} other circuits that were tried", link.rejected.size());
            blocks.push_back(doc::Details{{summary}, {rejected_table(link.rejected)}});
        }
    }
};

}  // namespace

doc::Document plan_report(const Bench& bench, const Plan& plan) {
    PlanReport report{bench, plan, {}};
    const std::vector<size_t> order = report.order();
    report.summary(order);
    for (const size_t k : order) report.link(k);
    append(report.blocks, shared_blocks(plan.judgement));
    report.blocks.push_back(doc::heading(2, {"Parts"}, "parts"));
    append(report.blocks, parts_blocks(plan.wiring));
    report.blocks.push_back(doc::heading(2, {"Wires"}, "wires"));
    append(report.blocks, wire_blocks(plan.wiring));
    report.blocks.push_back(standing_caution());
    return {"Plan for " + title_of(bench), std::move(report.blocks)};
}

}  // namespace voltsill
