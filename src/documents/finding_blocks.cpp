#include <fmt/format.h>

#include <algorithm>

#include "documents/report_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string place_of(const Finding& f) {
    if (!f.part.empty()) return f.pin.empty() ? f.part : f.part + "." + f.pin;
    return f.net;
}

std::string evidence_words(const Finding& f, const Evidence& e) {
    return fmt::format("{}, {} ({})", print_number(f.dimension, e.value), e.what, words(e.origin));
}

doc::Block facts_of(const Finding& f) {
    doc::Definitions facts;
    const auto row = [&](const char* term, const std::string& text) {
        if (!text.empty()) facts.rows.emplace_back(doc::Text{term}, doc::Text{text});
    };
    if (f.value) row("value", evidence_words(f, *f.value));
    if (f.limit) row("limit", evidence_words(f, *f.limit));
    if (f.value && f.limit) row("margin", print_number(f.dimension, f.margin));
    row("state", f.state);
    row("corner", f.corner);
    if (!f.bound_exact) row("bound", "searched, not proven to be the worst case");
    row("what to do", f.advice);
    return facts;
}

std::string heading_words(const Finding& f) {
    const std::string at = place_of(f);
    return at.empty() ? ": " + f.code : fmt::format(": {} at {}", f.code, at);
}

doc::Block safe_table(const Judgement& judgement, const std::vector<int>& findings) {
    doc::Table table{
        .caption = "What was checked and holds",
        .columns = {{"check", doc::Align::left, false}, {"at"}, {"arithmetic"}, {"state"}, {"sources"}}};
    for (const int k : findings) {
        const Finding& f = judgement.findings[k];
        std::string sources = f.value ? words(f.value->origin) : "";
        if (f.limit && !(f.value && f.value->origin == f.limit->origin))
            sources += (sources.empty() ? "" : "; ") + words(f.limit->origin);
        table.rows.push_back({{f.code}, {place_of(f)}, {f.arithmetic}, {f.state}, {sources}});
    }
    return table;
}

}  // namespace

Blocks finding_blocks(const Judgement& judgement, const std::vector<int>& findings, int level,
                      const std::string& said) {
    Blocks out;
    std::vector<int> safe;
    for (const int k : findings) {
        const Finding& f = judgement.findings[k];
        if (f.verdict == Verdict::safe) {
            safe.push_back(k);
            continue;
        }
        out.push_back(doc::heading(level, {doc::verdict(f.verdict), heading_words(f)}));
        if (!f.sentence.empty() && f.sentence != said) out.push_back(doc::paragraph({f.sentence}));
        if (!f.arithmetic.empty()) out.push_back(doc::arithmetic(f.arithmetic));
        out.push_back(facts_of(f));
    }
    if (!safe.empty()) {
        const std::string summary =
            safe.size() == 1 ? "1 check that holds" : fmt::format("{} checks that hold", safe.size());
        out.push_back(doc::Details{{summary}, {safe_table(judgement, safe)}});
    }
    return out;
}

Blocks shared_blocks(const Judgement& judgement) {
    Blocks out;
    if (!judgement.trouble.empty())
        out.push_back(doc::Caution{
            "A state could not be solved",
            {{judgement.trouble}, {"Findings there are missing; the verdict is no better than unknown."}}});
    if (judgement.shared.empty()) return out;
    out.push_back(doc::heading(2, {"Parts and rails"}, "shared"));
    append(out, finding_blocks(judgement, judgement.shared, 3));
    return out;
}

}  // namespace voltsill
