#include "planning/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "planning/evaluate.h"
#include "planning/pack.h"
#include "wiring/ground_notes.h"

namespace voltsill {
namespace {

struct Choice {
    Crossing crossing;
    std::vector<Evaluated> tried;
    std::vector<int> serving;  ///< indices of `tried` offered to packing, best first
    std::set<int> barred;      ///< of `tried`: judged well alone, badly in the whole wiring
    int chosen = -1;
    int group = -1;
};

constexpr size_t most_offered = 16;
constexpr int unlimited = 1'000'000;

struct Planner {
    const Bench& bench;
    Plan plan;
    std::vector<Choice> choices;
    std::vector<PackGroup> groups;
    std::map<std::string, int> group_of_key;
    bool stock_ran_out = false;

    /// What one package of the recipe's part brings along: capacitors, the bias of a pass-gate.
    std::vector<std::string> brought_along(const Recipe& r) const {
        Wiring wiring = wire_supplies(bench);
        const size_t before = wiring.parts.size();
        finish_ic(bench, wiring, add_ic(bench, wiring, r));
        std::vector<std::string> uses;
        for (size_t p = before + 1; p < wiring.parts.size(); ++p) uses.push_back(wiring.parts[p].type->name);
        return uses;
    }

    int group_for(const Recipe& r) {
        std::string key = r.ic->name + (r.b_to_a ? "|b" : "|a");
        for (const auto& [port, rail] : r.ic_rails) key += "|" + port + "=" + rail;
        const auto [at, fresh] = group_of_key.emplace(key, static_cast<int>(groups.size()));
        if (!fresh) return at->second;
        const Wishes& w = bench.wishes;
        PackGroup group{
            .type = r.ic->name, .channels = static_cast<int>(r.ic->channels.size()), .uses = brought_along(r)};
        const double beside = static_cast<double>(group.uses.size());
        const bool fits = std::ranges::any_of(r.ic->packages, [](const Package& p) { return p.fits_board; });
        group.cost = w.weight_parts * (1 + beside) + w.weight_cost * (r.ic->price + 0.1 * beside) +
                     (fits ? 0 : 3 * w.weight_simple) + 0.02 * group.channels;
        groups.push_back(std::move(group));
        return at->second;
    }

    void evaluate() {
        std::map<std::string, size_t> first_with;
        for (Crossing& c : crossings_of(bench)) {
            Choice choice{.crossing = std::move(c)};
            const auto [known, fresh] = first_with.emplace(signature(choice.crossing), choices.size());
            choice.tried = fresh ? evaluate_all(choice.crossing)
                                 : renamed(choice.crossing, choices[known->second].crossing,
                                           choices[known->second].tried);
            choices.push_back(std::move(choice));
        }
        for (Choice& choice : choices) offer(choice);
    }

    /// What packing may choose from: the candidates that serve, or those of the user's own choice of circuit.
    void offer(Choice& choice) {
        const InterfaceWish wish = wish_for(choice.crossing.link->interface);
        choice.serving.clear();
        const bool any = std::ranges::any_of(choice.tried, &Evaluated::would_serve);
        for (size_t k = 0; k < choice.tried.size(); ++k) {
            const Evaluated& e = choice.tried[k];
            // Unknown is an answer: where no circuit can be called safe, the least doubtful is planned and
            // said to be.
            const bool wanted = wish.circuit.empty() ? (any ? e.would_serve : e.leaves_unknown)
                                                     : e.candidate.choosable && wish.takes(e.candidate);
            if (wanted && !choice.barred.contains(static_cast<int>(k)))
                choice.serving.push_back(static_cast<int>(k));
        }
        std::ranges::stable_sort(choice.serving, {}, [&](int k) { return choice.tried[k].candidate.score; });
        if (choice.serving.size() > most_offered) choice.serving.resize(most_offered);
    }

    std::vector<PackLimit> limits() const {
        std::map<std::string, int> counts;  // a type may be stocked in several packages
        for (const auto& type : bench.catalogue->types())
            for (const StockItem& item : bench.stock)
                if (names_type(item.name, type->name)) {
                    int& count = counts.try_emplace(type->name, 0).first->second;
                    count = item.count && count < unlimited ? count + *item.count : unlimited;
                }
        std::vector<PackLimit> out;
        for (const auto& [type, count] : counts)
            if (count < unlimited) out.push_back({type, count});
        return out;
    }

    /// Crossings that one would build alike: lines of a bus or of a group, from the same part to the same
    /// rail.
    std::vector<PackSet> sets(const std::vector<Choice*>& open) const {
        std::map<std::string, PackSet> by_key;
        for (size_t c = 0; c < open.size(); ++c) {
            const Crossing& x = open[c]->crossing;
            if (x.link->bus.empty() && x.link->group.empty()) continue;
            const std::string key = fmt::format("{}|{}|{}|{}", x.link->bus, x.link->group,
                                                x.driver().bench_part->name, x.receiver().rail);
            PackSet& set = by_key[key];
            set.crossings.push_back(static_cast<int>(c));
            set.cost = 4 * bench.wishes.weight_simple;
        }
        std::vector<PackSet> out;
        for (auto& [key, set] : by_key)
            if (set.crossings.size() > 1) out.push_back(std::move(set));
        return out;
    }

    void choose() {
        std::vector<std::vector<PackOption>> options;
        std::vector<Choice*> open;
        for (Choice& choice : choices) {
            choice.chosen = choice.group = -1;
            if (choice.serving.empty()) continue;
            std::vector<PackOption> mine;
            for (int k : choice.serving) {
                const Evaluated& e = choice.tried[k];
                mine.push_back({e.candidate.score, e.recipe.ic ? group_for(e.recipe) : -1, e.uses,
                                e.candidate.circuit + (e.recipe.ic ? "|" + e.recipe.ic->name : "")});
            }
            options.push_back(std::move(mine));
            open.push_back(&choice);
        }
        auto picked = pack(options, groups, limits(), sets(open));
        stock_ran_out = !picked;
        if (!picked) picked = pack(options, groups, {}, sets(open));  // without limits there is always a way
        for (size_t c = 0; c < open.size(); ++c) {
            open[c]->chosen = open[c]->serving[(*picked)[c]];
            open[c]->group = options[c][(*picked)[c]].group;
        }
    }

    /// Candidates are judged alone. Where the whole wiring makes a link worse than was promised, the
    /// candidate is barred and the choice made again.
    bool bar_broken_promises() {
        bool again = false;
        for (Choice& choice : choices) {
            if (choice.chosen < 0 || choice.serving.size() < 2) continue;
            Verdict promised = Verdict::safe;
            bool whole = true;  // a link with an end that nothing serves is not what any circuit promised
            for (const Choice& other : choices) {
                if (other.crossing.link != choice.crossing.link) continue;
                whole = whole && other.chosen >= 0;
                if (other.chosen >= 0)
                    promised = worse(promised, other.tried[other.chosen].candidate.verdict);
            }
            if (!whole) continue;
            for (const LinkJudgement& judged : plan.judgement.links)
                if (judged.link == choice.crossing.link->name &&
                    judged.verdict > std::max(promised, Verdict::thin)) {
                    choice.barred.insert(choice.chosen);
                    again = true;
                }
        }
        for (Choice& choice : choices) offer(choice);
        return again;
    }

    void assemble() {
        plan.wiring = wire_supplies(bench);
        struct Bank {
            std::vector<int> parts;
            int used = 0;
        };
        std::map<int, Bank> banks;
        std::vector<int> ics;
        for (Choice& choice : choices) {
            const Crossing& c = choice.crossing;
            if (choice.chosen < 0) continue;  // its ends stay open: joined pins could harm each other
            const NetId driver =
                net_for(plan.wiring, c.from, c.link->name + " at " + c.driver().bench_part->name);
            const NetId receiver =
                net_for(plan.wiring, c.to, c.link->name + " at " + c.receiver().bench_part->name);
            const Recipe& recipe = choice.tried[choice.chosen].recipe;
            ChannelSlot slot;
            if (choice.group >= 0) {
                Bank& bank = banks[choice.group];
                const int per = groups[choice.group].channels;
                if (bank.used % per == 0) {
                    bank.parts.push_back(add_ic(bench, plan.wiring, recipe));
                    ics.push_back(bank.parts.back());
                }
                slot = {bank.parts.back(), bank.used % per};
                ++bank.used;
            }
            const size_t before = plan.wiring.parts.size();
            apply(plan.wiring, recipe, driver, receiver, slot);
            for (size_t p = before; p < plan.wiring.parts.size(); ++p)
                plan.wiring.parts[p].for_link = c.link->name;
        }
        for (int part : ics) finish_ic(bench, plan.wiring, part);
        plan.notes.clear();
        if (stock_ran_out)
            plan.notes.push_back(
                "The stock does not reach for every link: the plan takes what it needs all the same; see the "
                "parts list.");
        for (const auto& [group, bank] : banks) {
            const int total = groups[group].channels * static_cast<int>(bank.parts.size());
            std::string names;
            for (int p : bank.parts) names += (names.empty() ? "" : ", ") + plan.wiring.parts[p].name;
            plan.notes.push_back(fmt::format("{} ({}): {} of {} channels used, {} spare.", names,
                                             groups[group].type, bank.used, total, total - bank.used));
        }
        for (const Choice& choice : choices)
            if (choice.chosen < 0)
                plan.notes.push_back(fmt::format("{}: not wired, {}.", name_of(choice), why_open(choice)));
        for (std::string& note : facing_pin_notes(plan.wiring)) plan.notes.push_back(std::move(note));
        for (std::string& note : ground_notes(plan.wiring)) plan.notes.push_back(std::move(note));
    }

    static std::string why_open(const Choice& choice) {
        if (!choice.crossing.refusal.empty()) return choice.crossing.refusal;
        const std::string& wish = choice.crossing.link->interface;
        return wish.empty() ? "no circuit serves it"
                            : fmt::format("\"{}\", which the bench file asks for, cannot be built here", wish);
    }

    /// The link, with the drivers that are left out, or the rail it goes to when it goes to several.
    std::string name_of(const Choice& choice) const {
        if (!choice.crossing.refusal.empty())
            return fmt::format("{} from {}", choice.crossing.link->name, choice.crossing.driver().label());
        const auto same = std::ranges::count_if(choices, [&](const Choice& o) {
            return o.crossing.link == choice.crossing.link && o.crossing.refusal.empty();
        });
        return same > 1
                   ? fmt::format("{} to rail {}", choice.crossing.link->name, choice.crossing.receiver().rail)
                   : choice.crossing.link->name;
    }

    void tell() {
        for (Choice& choice : choices) {
            LinkPlan told{.link = name_of(choice)};
            if (choice.chosen >= 0) told.chosen = choice.tried[choice.chosen].candidate;
            std::map<std::string, int> per_circuit;
            std::vector<size_t> order(choice.tried.size());
            for (size_t k = 0; k < order.size(); ++k) order[k] = k;
            std::ranges::stable_sort(order, {}, [&](size_t k) { return choice.tried[k].candidate.score; });
            for (size_t k : order) {
                if (static_cast<int>(k) == choice.chosen ||
                    ++per_circuit[choice.tried[k].candidate.circuit] > 2)
                    continue;
                told.rejected.push_back(choice.tried[k].candidate);
            }
            plan.links.push_back(std::move(told));
        }
    }
};

}  // namespace

InterfaceWish wish_for(std::string_view interface) {
    const size_t space = std::min(interface.find(' '), interface.size());
    return {interface.substr(0, space), interface.substr(std::min(space + 1, interface.size()))};
}

Plan plan(const Bench& bench) {
    Planner planner{.bench = bench};
    planner.plan.before = judge(bench, wire_directly(bench));
    planner.evaluate();
    constexpr int most_rounds = 4;
    for (int round = 0; round < most_rounds; ++round) {
        planner.choose();
        planner.assemble();
        planner.plan.judgement = judge(bench, planner.plan.wiring);
        if (round + 1 == most_rounds || !planner.bar_broken_promises()) break;
    }
    planner.tell();
    return std::move(planner.plan);
}

}  // namespace voltsill
