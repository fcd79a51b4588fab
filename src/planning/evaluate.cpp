#include "planning/evaluate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <functional>

namespace voltsill {

Bench bench_of(const Crossing& c) {
    Bench mini;
    mini.title = c.bench->title;
    mini.rails = c.bench->rails;
    mini.wishes = c.bench->wishes;
    mini.catalogue = c.bench->catalogue;
    mini.stock = c.bench->stock;
    mini.has_stock = c.bench->has_stock;
    const auto take = [&](const std::string& name) {
        if (!mini.part(name)) mini.parts.push_back(*c.bench->part(name));
    };
    Link link = *c.link;
    link.from.clear();
    link.to.clear();
    for (const Side& s : c.from)
        take(s.bench_part->name), link.from.push_back({s.bench_part->name, s.facts->name, {}});
    for (const Side& s : c.to)
        take(s.bench_part->name), link.to.push_back({s.bench_part->name, s.facts->name, {}});
    for (const Rail& rail : c.bench->rails)  // makers of rails decide what goes up and down together
        if (!rail.from.empty())
            take(rail.from.substr(0, rail.from.find('.')));
    mini.links.push_back(std::move(link));
    return mini;
}

namespace {

/// What counts against a candidate: findings on the link, and on what it added or moved.
bool concerns(const Finding& f, const Bench& mini, const Wiring& wiring, const Recipe& recipe) {
    if (f.link == mini.links[0].name) return true;
    if (f.part.empty()) return f.code == "missing-decoupling";
    if (f.part == recipe.moved_part) return true;
    return wiring.parts[wiring.part(f.part)].added;
}

}  // namespace

double score_of(const Bench& bench, const Candidate& candidate, const Recipe& recipe) {
    const Wishes& w = bench.wishes;
    const double margin = std::min(candidate.high_margin.value_or(1.0), candidate.low_margin.value_or(1.0));
    double score = candidate.verdict == Verdict::safe      ? 0
                   : candidate.verdict == Verdict::thin    ? 100
                   : candidate.verdict == Verdict::unknown ? 1000
                                                           : 5000;
    score += w.weight_margin * 4 * std::max(0.0, 1.0 - margin);
    const auto short_of_wish = [&](const std::optional<double>& m) { return m && *m < w.margin.si(); };
    if (short_of_wish(candidate.high_margin) || short_of_wish(candidate.low_margin))
        score += w.weight_margin * 50;
    score += w.weight_stock * (candidate.in_stock ? 0 : 30);
    score += w.weight_parts * (candidate.parts - (recipe.ic ? 1 : 0));
    score += w.weight_cost * (candidate.price - (recipe.ic ? recipe.ic->price : 0));
    score += w.weight_simple * 0.7 * recipe.simplicity;
    score += w.weight_teach * (candidate.inverted ? 3 : 0);
    score += 2.0 * static_cast<double>(recipe.pulls_removed.size());
    return score;
}

CrossingBuild build_on(const Crossing& c, const Recipe& recipe, int channel) {
    CrossingBuild b{.bench = bench_of(c)};
    for (BenchPart& part : b.bench.parts)
        if (part.name == recipe.moved_part)
            for (auto& [port, rail] : part.supplies) rail = recipe.moved_rail;
    b.wiring = wire_supplies(b.bench);
    const NetId driver = net_for(b.wiring, c.from, c.link->name + " at " + c.driver().bench_part->name);
    const NetId receiver = net_for(b.wiring, c.to, c.link->name + " at " + c.receiver().bench_part->name);
    ChannelSlot slot;
    if (recipe.ic) slot = {add_ic(b.bench, b.wiring, recipe), channel};
    const size_t before = b.wiring.parts.size();
    apply(b.wiring, recipe, driver, receiver, slot);
    for (size_t p = before; p < b.wiring.parts.size(); ++p) b.uses.push_back(b.wiring.parts[p].type->name);
    if (recipe.ic) finish_ic(b.bench, b.wiring, slot.part);
    return b;
}

const Finding* worst_of(const Judgement& j, const CrossingBuild& b, const Recipe& recipe) {
    const Finding* worst = nullptr;
    for (const Finding& f : j.findings)
        if (concerns(f, b.bench, b.wiring, recipe) && (!worst || f.verdict > worst->verdict)) worst = &f;
    return worst;
}

namespace {

/// The sentence with its arithmetic.
std::string reason(const Finding& f) {
    return fmt::format("{} ({}; {})", f.sentence, f.arithmetic, f.state);
}

/// What a module's pull-up does that was to be taken off and is still there: judged like any wiring.
void warn_of_pulls(const Crossing& c, Recipe left_on, Candidate& out) {
    left_on.pulls_removed.clear();
    const CrossingBuild b = build_on(c, left_on);
    const Judgement j = judge(b.bench, b.wiring);
    if (const Finding* worst = worst_of(j, b, left_on); worst && worst->verdict > out.verdict)
        out.cautions.push_back(fmt::format("Left on: {}", reason(*worst)));
}

/// What is missing in the drawer; empty: nothing.
std::string missing_in_stock(const Bench& bench, const Recipe& recipe, const std::vector<std::string>& uses) {
    if (recipe.ic && !in_stock(bench, recipe.ic->name)) return recipe.ic->name;
    for (const std::string& type : uses)
        if (!in_stock(bench, type)) return type;
    return {};
}

/// How much of the receiver's supply the signal swings over: where thresholds are not known, more is better.
double swing_share(const Crossing& c, const LinkJudgement& link) {
    double high = 0, low = 0;
    for (const LevelBand& band : link.levels)
        if (band.point == c.receiver().label()) (band.high ? high : low) = band.high ? band.lo : band.hi;
    const double supply = c.receiver().volts.nominal.si();
    return supply > 0 ? std::clamp((high - low) / supply, 0.0, 1.0) : 0.0;
}

Evaluated judged(const Crossing& c, const CircuitKind& kind, const Recipe& recipe) {
    Evaluated e{.candidate = {.circuit = kind.name,
                              .title = recipe.title,
                              .part = recipe.ic ? recipe.ic->name : "",
                              .wired = true,
                              .choosable = !recipe.suggestion_only,
                              .how_sized = recipe.how_sized,
                              .cautions = recipe.cautions},
                .recipe = recipe};
    Candidate& out = e.candidate;
    const CrossingBuild b = build_on(c, recipe);
    e.uses = b.uses;
    out.parts = static_cast<int>(b.uses.size()) + (recipe.ic ? 1 : 0);
    out.price = recipe.ic ? recipe.ic->price : 0;
    for (const std::string& type : b.uses)
        out.price += c.bench->catalogue->find(type)->price;
    const Judgement j = judge(b.bench, b.wiring);
    out.verdict = Verdict::safe;
    const Finding* worst = worst_of(j, b, recipe);
    if (worst) out.verdict = worst->verdict;
    if (!j.trouble.empty()) out.verdict = worse(out.verdict, Verdict::unknown);
    out.high_margin = j.links[0].high_margin;
    out.low_margin = j.links[0].low_margin;
    out.inverted = j.links[0].inverted;
    if (out.verdict > Verdict::thin) out.why_not = worst && worst->verdict == out.verdict ? reason(*worst) : j.trouble;
    if (out.verdict == Verdict::thin) out.cautions.push_back(fmt::format("Thin: {}", reason(*worst)));
    if (out.verdict == Verdict::unknown)
        out.cautions.push_back(fmt::format("Unknown: {} {}", out.why_not, worst ? worst->advice : ""));
    const std::string missing = missing_in_stock(*c.bench, recipe, b.uses);
    out.in_stock = missing.empty();
    e.would_serve = out.verdict <= Verdict::thin && out.in_stock && !recipe.suggestion_only;
    if (out.why_not.empty() && !out.in_stock)
        out.why_not = fmt::format("it would serve, but no \"{}\" is in stock", missing);
    if (out.why_not.empty() && recipe.suggestion_only)
        out.why_not = "it would serve; a change of supply is for you to decide";
    if (e.would_serve && !recipe.pulls_removed.empty()) warn_of_pulls(c, recipe, out);
    out.score = score_of(*c.bench, out, recipe);
    e.leaves_unknown = out.verdict == Verdict::unknown && out.in_stock && !recipe.suggestion_only;
    if (e.leaves_unknown) out.score += 40 * (1 - swing_share(c, j.links[0]));
    return e;
}

Evaluated refused(const CircuitKind& kind, std::string why) {
    return {.candidate = {.circuit = kind.name,
                          .title = kind.title,
                          .verdict = Verdict::unreadable,
                          .score = 1e9,
                          .why_not = std::move(why)}};
}

/// Recipes of a circuit with the safe level held, or why there are none.
Proposal proposed(const Crossing& c, const CircuitKind& kind) {
    if (!c.refusal.empty()) return {.refusal = c.refusal};
    Proposal proposal = kind.propose(c);
    std::erase_if(proposal.recipes, [&](Recipe& recipe) {
        std::string why = hold_safe_level(c, recipe);
        if (!why.empty()) proposal.refusal = std::move(why);
        return !proposal.refusal.empty();
    });
    return proposal;
}

}  // namespace

std::vector<Evaluated> evaluate_all(const Crossing& c) {
    std::vector<Evaluated> out;
    for (const CircuitKind& kind : all_circuits()) {
        const Proposal proposal = proposed(c, kind);
        if (proposal.recipes.empty()) out.push_back(refused(kind, proposal.refusal));
        for (const Recipe& recipe : proposal.recipes) out.push_back(judged(c, kind, recipe));
    }
    return out;
}

namespace {

bool names_end(char ch) { return !(std::isalnum(static_cast<unsigned char>(ch)) || ch == '_'); }

/// Every whole occurrence of a name of `like` becomes that of `c`; one pass, so that no name is replaced
/// twice.
std::string in_names_of(const Crossing& c, const Crossing& like, const std::string& text) {
    std::vector<std::pair<std::string, std::string>> names{{like.link->name, c.link->name}};
    const auto pair_up = [&](const std::vector<Side>& from, const std::vector<Side>& to) {
        for (size_t k = 0; k < from.size() && k < to.size(); ++k) {
            names.emplace_back(from[k].label(), to[k].label());
            names.emplace_back(from[k].bench_part->name, to[k].bench_part->name);
        }
    };
    pair_up(like.from, c.from);
    pair_up(like.to, c.to);
    std::ranges::stable_sort(names, std::greater<>{}, [](const auto& n) { return n.first.size(); });
    std::string out;
    for (size_t at = 0; at < text.size();) {
        const bool starts = at == 0 || names_end(text[at - 1]);
        const auto found = std::ranges::find_if(names, [&](const auto& n) {
            const size_t end = at + n.first.size();
            return starts && text.compare(at, n.first.size(), n.first) == 0 &&
                   (end >= text.size() || names_end(text[end]));
        });
        if (found == names.end()) {
            out += text[at++];
        } else {
            out += found->second;
            at += found->first.size();
        }
    }
    return out;
}

}  // namespace

std::vector<Evaluated> renamed(const Crossing& c, const Crossing& like,
                               const std::vector<Evaluated>& evaluated) {
    std::vector<Evaluated> out;
    size_t at = 0;
    for (const CircuitKind& kind : all_circuits()) {
        Proposal proposal = proposed(c, kind);
        if (proposal.recipes.empty()) ++at, out.push_back(refused(kind, proposal.refusal));
        for (Recipe& recipe : proposal.recipes) {
            Evaluated e = evaluated[at++];
            for (std::string* text : {&e.candidate.title, &e.candidate.why_not, &e.candidate.how_sized})
                *text = in_names_of(c, like, *text);
            for (std::string& caution : e.candidate.cautions) caution = in_names_of(c, like, caution);
            e.recipe = std::move(recipe);
            out.push_back(std::move(e));
        }
    }
    return out;
}

}  // namespace voltsill
