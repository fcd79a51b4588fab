#include "planning/evaluate.h"

#include <fmt/format.h>

#include <algorithm>

namespace voltsill {
namespace {

/// The bench reduced to one crossing: its parts, its rails and its link.
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
    for (const Side& s : c.from) take(s.bench_part->name), link.from.push_back({s.bench_part->name, s.facts->name, {}});
    for (const Side& s : c.to) take(s.bench_part->name), link.to.push_back({s.bench_part->name, s.facts->name, {}});
    for (const Rail& rail : c.bench->rails)   // makers of rails decide what goes up and down together
        if (!rail.from.empty())
            if (const std::string maker = rail.from.substr(0, rail.from.find('.')); c.bench->part(maker)) take(maker);
    mini.links.push_back(std::move(link));
    return mini;
}

/// What counts against a candidate: findings on the link, and on what it added or moved.
bool concerns(const Finding& f, const Bench& mini, const Wiring& wiring, const Recipe& recipe) {
    if (f.link == mini.links[0].name) return true;
    if (f.part.empty()) return f.code == "missing-decoupling";
    if (f.part == recipe.moved_part) return true;
    const int p = wiring.part(f.part);
    return p >= 0 && wiring.parts[p].added;
}

}  // namespace

double score_of(const Bench& bench, const Candidate& candidate, const Recipe& recipe) {
    const Wishes& w = bench.wishes;
    const double margin = std::min(candidate.high_margin.value_or(1.0), candidate.low_margin.value_or(1.0));
    double score = candidate.verdict == Verdict::safe ? 0 : candidate.verdict == Verdict::thin ? 100 : candidate.verdict == Verdict::unknown ? 1000 : 5000;
    score += w.weight_margin * 4 * std::max(0.0, 1.0 - margin);
    score += w.weight_stock * (candidate.in_stock ? 0 : 30);
    score += w.weight_parts * 1.0 * recipe.parts;
    score += w.weight_cost * 1.0 * recipe.price;
    score += w.weight_simple * 0.7 * recipe.simplicity;
    score += w.weight_teach * (candidate.inverted ? 3 : 0);
    score += 2.0 * static_cast<double>(recipe.pulls_removed.size());
    return score;
}

namespace {

Candidate judged(const Crossing& c, const CircuitKind& kind, const Recipe& recipe) {
    Candidate out{.circuit = kind.name, .title = recipe.title, .parts = recipe.parts, .price = recipe.price, .how_sized = recipe.how_sized,
                  .cautions = recipe.cautions};
    Bench mini = bench_of(c);
    for (BenchPart& part : mini.parts)
        if (part.name == recipe.moved_part)
            for (auto& [port, rail] : part.supplies) rail = recipe.moved_rail;
    Wiring wiring = wire_supplies(mini);
    const NetId driver = net_for(wiring, c.from, c.link->name + " at " + c.driver().bench_part->name);
    NetId receiver = net_for(wiring, c.to, c.link->name + " at " + c.receiver().bench_part->name);
    ChannelSlot slot;
    if (recipe.ic) {
        slot.part = add_ic(mini, wiring, recipe);
        for (size_t k = 0; k < recipe.ic->channels.size() && slot.channel < 0; ++k)
            if (recipe.ic->channels[k].output >= 0 && !recipe.ic->channels[k].inputs.empty()) slot.channel = static_cast<int>(k);
        out.parts += 1;
        out.price += recipe.ic->price;
    }
    apply(wiring, recipe, driver, receiver, slot);
    if (recipe.ic) finish_ic(mini, wiring, slot.part);
    const Judgement j = judge(mini, wiring);
    out.verdict = Verdict::safe;
    const Finding* worst = nullptr;
    for (const Finding& f : j.findings)
        if (concerns(f, mini, wiring, recipe) && (!worst || f.verdict > worst->verdict)) worst = &f;
    if (worst) out.verdict = worst->verdict;
    if (!j.trouble.empty()) out.verdict = worse(out.verdict, Verdict::unknown);
    out.high_margin = j.links[0].high_margin;
    out.low_margin = j.links[0].low_margin;
    out.inverted = j.links[0].inverted;
    if (worst && out.verdict > Verdict::thin)
        out.why_not = worst->arithmetic.empty() ? worst->sentence : fmt::format("{} ({}; {})", worst->sentence, worst->arithmetic, worst->state);
    out.in_stock = std::ranges::all_of(recipe.needs, [&](const std::string& n) { return in_stock(*c.bench, n); }) &&
                   (!recipe.ic || in_stock(*c.bench, recipe.ic->name));
    out.score = score_of(*c.bench, out, recipe);
    return out;
}

}  // namespace

std::vector<Evaluated> evaluate_all(const Crossing& c) {
    std::vector<Evaluated> out;
    for (const CircuitKind& kind : all_circuits()) {
        Proposal proposal = kind.propose(c);
        if (proposal.recipes.empty()) {
            Evaluated e;
            e.candidate = {.circuit = kind.name, .title = kind.title, .verdict = Verdict::unreadable, .score = 1e9, .why_not = proposal.refusal};
            out.push_back(std::move(e));
            continue;
        }
        for (Recipe& recipe : proposal.recipes) {
            Evaluated e{.candidate = judged(c, kind, recipe)};
            e.would_serve = e.candidate.verdict <= Verdict::thin && !recipe.suggestion_only;
            if (recipe.suggestion_only && e.candidate.why_not.empty()) e.candidate.why_not = "would serve; a change of supply is for you to decide";
            e.recipe = std::move(recipe);
            out.push_back(std::move(e));
        }
    }
    return out;
}

namespace {

std::string text_of(const Level& l) { return fmt::format("{:g}s+{:g}", l.ratio, l.offset.si()); }
std::string text_of(const std::optional<Level>& l) { return l ? text_of(*l) : "-"; }
template <class Q>
std::string text_of(const Span<Q>& s) { return fmt::format("{:g}..{:g}..{:g}", s.lo.si(), s.nominal.si(), s.hi.si()); }

std::string text_of(const Side& side) {
    const Pin& p = *side.facts;
    std::string t = fmt::format("{}/{}/{}/{}/{}/{}/", to_word(p.role), side.rail, text_of(p.min),
                                text_of(p.max), text_of(p.max_unpowered), text_of(p.range_max));
    for (const auto& r : p.thresholds) t += fmt::format("t{}{}{}", text_of(r.supply), text_of(r.low), text_of(r.high));
    for (const auto* rows : {&p.high, &p.low})
        for (const auto& r : *rows) t += fmt::format("d{}{:g}{}", text_of(r.supply), r.at.si(), text_of(r.level));
    for (const auto& r : p.transition) t += fmt::format("e{:g}{:g}", r.per_volt.value_or(SecondsPerVolt{}).si(), r.total.value_or(Seconds{}).si());
    for (const auto& r : p.pulls) t += fmt::format("p{}{}{}{}", r.up, text_of(r.ohms.span), r.removable, r.at_reset);
    t += fmt::format("c{}{}{}{}{}", p.clamp_to_supply, p.clamp_to_ground, text_of(p.clamp_forward.span), text_of(p.injection_allowed.span), text_of(p.capacitance.span));
    t += fmt::format("x{}{}{}{}", text_of(p.full_scale), p.schmitt, text_of(p.drive_max.span), p.load ? text_of(p.load->ohms.span) : "");
    if (p.analog_range) t += text_of(*p.analog_range);
    for (const auto& s : side.bench_part->type->supplies) t += fmt::format("s{}{:g}", text_of(s.range), s.max.si());
    return t;
}

}  // namespace

std::string signature(const Crossing& c) {
    std::string t = fmt::format("{}/{:g}/{}/{}/{}", to_word(c.link->kind), c.rate(), c.link->bus, c.link->invert_allowed, c.link->safe_level.value_or(""));
    for (const Side& s : c.from) t += "|f" + text_of(s);
    for (const Side& s : c.to) t += "|t" + text_of(s);
    return t;
}

}  // namespace voltsill
