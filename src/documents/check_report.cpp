#include <fmt/format.h>

#include "documents/report_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string ambient_words(const Bench& bench) {
    const double lo = bench.ambient_lo.degrees, hi = bench.ambient_hi.degrees;
    return print(Span<Celsius>{{lo}, {(lo + hi) / 2}, {hi}});
}

struct CheckReport {
    const Bench& bench;
    const Judgement& judgement;
    const Wiring* wiring;
    Blocks blocks;

    void summary(const std::vector<size_t>& order) {
        blocks.push_back(doc::paragraph(
            {doc::verdict(judgement.verdict), ": " + tally(judgement.links) + shared_tally(judgement) + "."}));
        blocks.push_back(doc::paragraph({fmt::format("Worst case over {} solved states, at an ambient of {}.",
                                                     judgement.states_solved, ambient_words(bench))}));
        doc::Table table{.columns = {{"link"},
                                     {"verdict", doc::Align::left, false},
                                     {"high margin", doc::Align::right, false},
                                     {"low margin", doc::Align::right, false},
                                     {"what decides"}}};
        for (const size_t k : order) {
            const LinkJudgement& link = judgement.links[k];
            table.rows.push_back({{doc::leading_to(link.link, link_anchor(k))},
                                  {doc::verdict(link.verdict)},
                                  {margin_words(link.high_margin)},
                                  {margin_words(link.low_margin)},
                                  {decider(link)}});
        }
        if (!order.empty()) blocks.push_back(std::move(table));
    }

    std::string decider(const LinkJudgement& link) const {
        if (link.verdict == Verdict::safe || link.findings.empty()) return {};
        const Finding& f = judgement.findings[link.findings.front()];
        return f.part.empty() ? f.code
                              : fmt::format("{} at {}{}{}", f.code, f.part, f.pin.empty() ? "" : ".", f.pin);
    }

    void link(size_t index) {
        const LinkJudgement& judged = judgement.links[index];
        blocks.push_back(doc::heading(2, {judged.link}, link_anchor(index)));
        if (const Link* l = bench.link(judged.link)) blocks.push_back(doc::paragraph(ends_of(*l)));
        const std::string sentence = why(judgement, judged);
        blocks.push_back(doc::paragraph({doc::verdict(judged.verdict), ": " + sentence}));
        if (judged.inverted) blocks.push_back(doc::paragraph({"The reader sees the signal inverted."}));
        if (const std::string soft = leaning(judgement, judged); !soft.empty())
            blocks.push_back(doc::paragraph({soft}));
        Blocks proof;
        if (auto rows = chart_rows(bench, wiring, judged, {}); !rows.empty())
            proof.push_back(doc::LevelChart{"Levels of " + judged.link, std::move(rows)});
        append(proof, finding_blocks(judgement, judged.findings, 3, sentence));
        if (proof.empty()) return;
        if (judged.verdict == Verdict::safe)
            blocks.push_back(doc::Details{{"Levels and checks"}, flat(std::move(proof))});
        else
            append(blocks, std::move(proof));
    }

    /// A table that would open inside something that opens already.
    static Blocks flat(Blocks proof) {
        Blocks out;
        for (doc::Block& block : proof) {
            if (auto* inner = std::get_if<doc::Details>(&block))
                append(out, std::move(inner->blocks));
            else
                out.push_back(std::move(block));
        }
        return out;
    }
};

}  // namespace

doc::Document check_report(const Bench& bench, const Judgement& judgement, const Wiring* wiring) {
    CheckReport report{bench, judgement, wiring, {}};
    const std::vector<size_t> order = worst_first(judgement.links, &LinkJudgement::verdict);
    report.summary(order);
    for (const size_t k : order) report.link(k);
    append(report.blocks, shared_blocks(judgement));
    report.blocks.push_back(standing_caution());
    return {"Check of " + title_of(bench), std::move(report.blocks)};
}

}  // namespace voltsill
