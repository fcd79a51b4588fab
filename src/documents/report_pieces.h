#pragma once
/// Pieces that several reports share.
#include <algorithm>
#include <functional>
#include <numeric>

#include "documents/reports.h"

namespace voltsill {

using Blocks = std::vector<doc::Block>;
void append(Blocks& blocks, Blocks more);

std::string words(Certainty certainty);
/// "guaranteed: SCLS020H, table 5.3 (from memory)"
std::string words(const Provenance& origin);
std::string margin_words(const std::optional<double>& volts);
/// "3 links: 1 harmful, 2 safe"
std::string tally(const std::vector<LinkJudgement>& links);
/// "; parts and rails: 4 unreadable, 2 thin": findings of no link that are not safe, or nothing.
std::string shared_tally(const Judgement& judgement);
/// What stands over a report of a bench, with or without a title of its own.
std::string title_of(const Bench& bench);

/// Volts as a meter shows them: nothing below a millivolt.
std::string meter_words(double volts);
/// "3.2 V to 3.4 V", or one voltage where both read alike.
std::string meter_words(double lo, double hi);

/// The judgement of a link, or of the link of a planned crossing ("bus data to rail low"); null: none.
const LinkJudgement* judged(const Judgement& judgement, const std::string& crossing);

std::string link_anchor(size_t index);
/// Indices of `items`, worst first by what `verdict` says of each, else in their order.
template <class Item, class VerdictOf>
std::vector<size_t> worst_first(const std::vector<Item>& items, VerdictOf verdict) {
    std::vector<size_t> order(items.size());
    std::iota(order.begin(), order.end(), size_t{0});
    std::ranges::stable_sort(order, std::ranges::greater{},
                             [&](size_t k) { return std::invoke(verdict, items[k]); });
    return order;
}

/// Levels of a link, driver first. `group` names the wiring they belong to; may be empty.
std::vector<doc::ChartRow> chart_rows(const Bench& bench, const Wiring* wiring, const LinkJudgement& link,
                                      const std::string& group);

/// Levels of a link with its ends joined directly, where `direct` is given, and as wired, where `wired` is;
/// `wired_words` says what that wiring is, where both stand in one chart.
doc::LevelChart level_chart(const Bench& bench, const std::string& link, const LinkJudgement* direct,
                            const LinkJudgement* wired, const Wiring* wiring,
                            const std::string& wired_words = "with the interface circuit");

/// Ends, kind and rate of a link.
doc::Text ends_of(const Link& link);
/// One plain sentence why the link is what it is.
std::string why(const Judgement& judgement, const LinkJudgement& link);
/// What the deciding findings lean on that nobody guarantees; empty when nothing.
std::string leaning(const Judgement& judgement, const LinkJudgement& link);

/// Findings that speak against it, each with arithmetic, sources, state, corner and advice; those
/// that do not, in a table that opens. `level` is that of their headings. A sentence equal to
/// `said` is not repeated.
Blocks finding_blocks(const Judgement& judgement, const std::vector<int>& findings, int level,
                      const std::string& said = {});

/// Findings of parts and rails, and a network that did not converge.
Blocks shared_blocks(const Judgement& judgement);

Blocks wire_blocks(const Wiring& wiring);
Blocks parts_blocks(const Wiring& wiring);

/// What no report may leave out.
doc::Block standing_caution();

}  // namespace voltsill
