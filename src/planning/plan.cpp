#include "planning/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "planning/evaluate.h"
#include "planning/pack.h"

namespace voltsill {
namespace {

struct Choice {
    Crossing crossing;
    std::vector<Evaluated> tried;
    std::vector<int> serving;   ///< indices of `tried` offered to packing, best first
    int chosen = -1;
    int group = -1;
};

/// The recipes of another crossing with the same signature hold its names: propose again, keep the verdicts.
std::vector<Evaluated> renamed(const Crossing& c, const std::vector<Evaluated>& like) {
    std::vector<Evaluated> out;
    size_t at = 0;
    for (const CircuitKind& kind : all_circuits()) {
        Proposal p = kind.propose(c);
        const size_t n = std::max<size_t>(1, p.recipes.size());
        for (size_t k = 0; k < n && at < like.size(); ++k, ++at) {
            Evaluated e = like[at];
            if (k < p.recipes.size()) e.recipe = std::move(p.recipes[k]);
            else e.candidate.why_not = p.refusal;
            out.push_back(std::move(e));
        }
    }
    return out;
}

struct Planner {
    const Bench& bench;
    Plan plan;
    std::vector<Choice> choices;
    std::vector<PackGroup> groups;
    std::map<std::string, int> group_of_key;

    int group_for(const Recipe& r, const Link& link) {
        std::string key = r.ic->name + (r.b_to_a ? "|b" : "|a");
        for (const auto& [port, rail] : r.ic_rails) key += "|" + port + "=" + rail;
        key += "|" + link.group;
        const auto [at, fresh] = group_of_key.emplace(key, static_cast<int>(groups.size()));
        if (fresh) {
            const Wishes& w = bench.wishes;
            const double capacitors = static_cast<double>(r.ic_rails.size());
            const bool fits = std::ranges::any_of(r.ic->packages, [](const Package& p) { return p.fits_board; });
            groups.push_back({r.ic->name, usable_channels(*r.ic), w.weight_parts * (1 + capacitors) + w.weight_cost * (r.ic->price + 0.1 * capacitors) +
                                                                      (fits ? 0 : 3 * w.weight_simple)});
        }
        return at->second;
    }

    void evaluate() {
        std::map<std::string, std::vector<Evaluated>> memo;
        for (Crossing& c : crossings_of(bench)) {
            Choice choice{.crossing = std::move(c)};
            const std::string key = signature(choice.crossing);
            if (const auto known = memo.find(key); known != memo.end()) choice.tried = renamed(choice.crossing, known->second);
            else memo.emplace(key, choice.tried = evaluate_all(choice.crossing));
            choices.push_back(std::move(choice));
        }
        for (Choice& choice : choices) {
            for (size_t k = 0; k < choice.tried.size(); ++k) {
                const bool wanted = choice.crossing.link->interface.empty()
                                        ? choice.tried[k].would_serve
                                        : choice.tried[k].candidate.circuit == choice.crossing.link->interface && choice.tried[k].recipe.title.size();
                if (wanted) choice.serving.push_back(static_cast<int>(k));
            }
            std::ranges::stable_sort(choice.serving, {}, [&](int k) { return choice.tried[k].candidate.score; });
            if (choice.serving.size() > 16) choice.serving.resize(16);
        }
    }

    std::vector<PackLimit> limits() const {
        std::vector<PackLimit> out;
        for (const StockItem& item : bench.stock)
            if (item.count)
                for (const auto& type : bench.catalogue->types())
                    if (item.name == type->name || item.name.starts_with(type->name + " ")) out.push_back({type->name, *item.count});
        return out;
    }

    void choose() {
        std::vector<std::vector<PackOption>> options;
        std::vector<Choice*> open;
        for (Choice& choice : choices) {
            if (choice.serving.empty()) continue;
            std::vector<PackOption> mine;
            for (int k : choice.serving) {
                const Evaluated& e = choice.tried[k];
                mine.push_back({e.candidate.score, e.recipe.ic ? group_for(e.recipe, *choice.crossing.link) : -1, e.recipe.needs});
            }
            options.push_back(std::move(mine));
            open.push_back(&choice);
        }
        auto picked = pack(options, groups, limits());
        if (!picked) {
            picked = pack(options, groups, {});
            plan.notes.push_back("The stock does not reach for every link: the plan takes what it needs all the same; see the parts list.");
        }
        for (size_t c = 0; picked && c < open.size(); ++c) {
            open[c]->chosen = open[c]->serving[(*picked)[c]];
            open[c]->group = options[c][(*picked)[c]].group;
        }
    }

    void assemble() {
        plan.wiring = wire_supplies(bench);
        struct Bank { std::vector<int> parts; int used = 0; };
        std::map<int, Bank> banks;
        std::vector<int> ics;
        for (Choice& choice : choices) {
            const Crossing& c = choice.crossing;
            const NetId driver = net_for(plan.wiring, c.from, c.link->name + " at " + c.driver().bench_part->name);
            const NetId receiver = net_for(plan.wiring, c.to, c.link->name + " at " + c.receiver().bench_part->name);
            if (choice.chosen < 0) continue;
            const Recipe& recipe = choice.tried[choice.chosen].recipe;
            ChannelSlot slot;
            if (choice.group >= 0) {
                Bank& bank = banks[choice.group];
                const int per = groups[choice.group].channels;
                if (bank.used % per == 0) {
                    bank.parts.push_back(add_ic(bench, plan.wiring, recipe));
                    ics.push_back(bank.parts.back());
                }
                slot = {bank.parts.back(), nth_channel(*recipe.ic, bank.used % per)};
                ++bank.used;
            }
            const size_t before = plan.wiring.parts.size();
            apply(plan.wiring, recipe, driver, receiver, slot);
            for (size_t p = before; p < plan.wiring.parts.size(); ++p) plan.wiring.parts[p].for_link = c.link->name;
        }
        for (int part : ics) finish_ic(bench, plan.wiring, part);
        for (const auto& [group, bank] : banks) {
            const int total = groups[group].channels * static_cast<int>(bank.parts.size());
            std::string names;
            for (int p : bank.parts) names += (names.empty() ? "" : ", ") + plan.wiring.parts[p].name;
            plan.notes.push_back(fmt::format("{} ({}): {} of {} channels used, {} spare.", names, groups[group].type, bank.used, total, total - bank.used));
        }
        for (std::string& note : facing_pin_notes(plan.wiring)) plan.notes.push_back(std::move(note));
    }

    static int nth_channel(const PartType& type, int n) {
        for (size_t k = 0; k < type.channels.size(); ++k)
            if (type.channels[k].output >= 0 && !type.channels[k].inputs.empty() && n-- == 0) return static_cast<int>(k);
        return -1;
    }

    void tell() {
        for (Choice& choice : choices) {
            LinkPlan told{.link = choice.crossing.link->name};
            const auto same = std::ranges::count_if(choices, [&](const Choice& o) { return o.crossing.link == choice.crossing.link; });
            if (same > 1) told.link += fmt::format(" to rail {}", choice.crossing.receiver().rail);
            if (choice.chosen >= 0) told.chosen = choice.tried[choice.chosen].candidate;
            std::map<std::string, int> per_circuit;
            std::vector<size_t> order(choice.tried.size());
            for (size_t k = 0; k < order.size(); ++k) order[k] = k;
            std::ranges::stable_sort(order, {}, [&](size_t k) { return choice.tried[k].candidate.score; });
            for (size_t k : order) {
                if (static_cast<int>(k) == choice.chosen || ++per_circuit[choice.tried[k].candidate.circuit] > 2) continue;
                told.rejected.push_back(choice.tried[k].candidate);
            }
            plan.links.push_back(std::move(told));
        }
    }
};

}  // namespace

Plan plan(const Bench& bench) {
    Planner planner{.bench = bench};
    planner.plan.before = judge(bench, wire_directly(bench));
    planner.evaluate();
    planner.choose();
    planner.assemble();
    planner.plan.judgement = judge(bench, planner.plan.wiring);
    planner.tell();
    return std::move(planner.plan);
}

}  // namespace voltsill
