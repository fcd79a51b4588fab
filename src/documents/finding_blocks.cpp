#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <tuple>
#include <utility>

#include "documents/report_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string place_of(const Finding& f) {
    if (!f.part.empty()) return f.pin.empty() ? f.part : f.part + "." + f.pin;
    return f.net;
}

/// A finding of no unit counts things: capacitors present, circuits wanted.
std::string number_words(const Finding& f, double value) {
    return f.dimension == Dimension::ratio ? fmt::format("{:.3g}", value) : print_number(f.dimension, value);
}

std::string evidence_words(const Finding& f, const Evidence& e) {
    return fmt::format("{}, {} ({})", number_words(f, e.value), e.what, words(e.origin));
}

/// The same number against the same limit at the same place; only the state differs.
bool alike(const Finding& a, const Finding& b) {
    const auto numbers = [](const Finding& f) {
        return std::pair(f.value ? number_words(f, f.value->value) : "",
                         f.limit ? number_words(f, f.limit->value) : "");
    };
    const auto place = [](const Finding& f) {
        return std::tie(f.code, f.link, f.part, f.pin, f.net, f.verdict);
    };
    if (place(a) != place(b) || a.dimension != b.dimension || numbers(a) != numbers(b)) return false;
    return a.value || a.limit || a.sentence == b.sentence;
}

/// A finding, and the states in which it holds alike. A state may hold "; " itself.
struct Alike {
    int finding;
    std::vector<std::string> states;
};

/// In the order of `findings`, which is worst first: the first of those alike stands for all.
std::vector<Alike> gathered(const Judgement& judgement, const std::vector<int>& findings) {
    std::vector<Alike> out;
    for (const int k : findings) {
        const Finding& f = judgement.findings[k];
        const auto at = std::ranges::find_if(
            out, [&](const Alike& a) { return alike(judgement.findings[a.finding], f); });
        if (at == out.end())
            out.push_back({k, {f.state}});
        else if (std::ranges::find(at->states, f.state) == at->states.end())
            at->states.push_back(f.state);
    }
    return out;
}

/// What stands between backticks is typed.
doc::Text with_commands(std::string_view words) {
    doc::Text out;
    for (bool typed = false; !words.empty(); typed = !typed) {
        const std::size_t end = std::min(words.find('`'), words.size());
        const std::string run(words.substr(0, end));
        if (!run.empty()) out.push_back(typed ? doc::code(run) : doc::Run(run));
        words.remove_prefix(std::min(end + 1, words.size()));
    }
    return out;
}

doc::Block facts_of(const Finding& f, const std::vector<std::string>& states) {
    doc::Definitions facts;
    const auto row = [&](const char* term, const std::string& text) {
        if (!text.empty()) facts.rows.emplace_back(doc::Text{term}, doc::Text{text});
    };
    if (f.value) row("value", evidence_words(f, *f.value));
    if (f.limit) row("limit", evidence_words(f, *f.limit));
    if (f.value && f.limit) row("margin", number_words(f, f.margin));
    row(states.size() == 1 ? "state" : "states", fmt::format("{}", fmt::join(states, "; or ")));
    row("corner", f.corner);
    if (!f.bound_exact)
        row("bound", f.code.starts_with("measured-") ? "what was recorded, not the worst case"
                                                     : "searched, not proven to be the worst case");
    if (!f.advice.empty()) facts.rows.emplace_back(doc::Text{"what to do"}, with_commands(f.advice));
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
    std::vector<int> safe, others;
    for (const int k : findings)
        (judgement.findings[k].verdict == Verdict::safe ? safe : others).push_back(k);
    for (const Alike& group : gathered(judgement, others)) {
        const Finding& f = judgement.findings[group.finding];
        out.push_back(doc::heading(level, {doc::verdict(f.verdict), heading_words(f)}));
        if (!f.sentence.empty() && f.sentence != said) out.push_back(doc::paragraph({f.sentence}));
        if (!f.arithmetic.empty()) out.push_back(doc::arithmetic(f.arithmetic));
        out.push_back(facts_of(f, group.states));
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
