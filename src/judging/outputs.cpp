/// Islands solved, and the currents of their outputs: who fights whom, and who carries too much.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "judging/solved.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// A state without a solution leaves every link it touches open: no answer is not a good answer.
void unsolved(Inspection& in, const SolvedIsland& all, const Combination& c) {
    for (int s : all.island.pins) {
        const PinSite& site = in.circuit.pins[s];
        Finding f{.code = "not-solved", .verdict = Verdict::unknown};
        f.state = all.state(c);
        f.arithmetic = in.effort.trouble;
        f.sentence =
            fmt::format("The voltages around {} could not be computed in one state.", in.label(site));
        f.advice = "Measure there, or describe the part with figures that are not at their extremes.";
        in.add(std::move(f), site);
    }
}

struct OutputCheck {
    Inspection& in;
    const SolvedIsland& all;
    const Island& island = all.island;
    const std::vector<Combination>& combos = all.combos;

    /// Current of an output at its strongest, against its absolute maximum; and who fights it.
    void stage(int s) {
        const StageSite& owner = in.circuit.stages[island.stage_of[s]];
        const PinSite& site = in.circuit.site(owner.part, owner.pin);
        const Pin& pin = in.pin(site);
        const auto most_flows = hardest(all, [&](size_t c) {
            return stage_current(island.net, island.nominal, combos[c].levels[s], all.volts[c], s);
        });
        if (!most_flows || most_flows->amps < 0.5e-3) return;
        const auto [at, top] = *most_flows;
        const int opponent = opponent_of(s, combos[at], all.volts[at]);
        // Who only asks whether there is harm needs no corner: a fight at nominal values is one.
        const bool plain = in.nominal_fights && opponent >= 0;
        const Range r = plain ? Range{.lo = top,
                                      .nominal = top,
                                      .hi = top,
                                      .at_lo = island.nominal,
                                      .at_hi = island.nominal}
                              : stage_range(island, combos[at].levels, s, in.effort);
        if (!r.solved) return;
        const double worst = std::max(std::abs(r.lo), std::abs(r.hi));
        const double mid = all.volts[at][island.local(site.node)];
        const bool over = pin.drive_max.known() && worst > pin.drive_max.span.hi.si();
        if (opponent < 0 && !over) return;
        Finding f = finding(opponent >= 0 ? "contention" : "output-overload", site, r, combos[at]);
        if (opponent >= 0) {
            const StageSite& other = in.circuit.stages[island.stage_of[opponent]];
            const auto [one, another] =
                std::minmax({in.label(site), in.label(in.circuit.site(other.part, other.pin))});  // both say the same
            f.arithmetic =
                fmt::format("up to {} between them, node at about {}", print(Amps{worst}), say(Volts{mid}));
            f.sentence = fmt::format(
                "{} and {} drive the same net and can say opposite things: up to {} flows between them.",
                one, another, print(Amps{worst}));
            f.advice =
                "Only one output may drive a net at a time: separate them, or use outputs that can be "
                "released.";
        } else {
            overloaded(f, site, worst);
        }
        in.add(std::move(f), site);
    }

    /// The same of an output that is no stage: of a comparator or an op amp.
    void amplifier(const PinSite& site) {
        const Pin& pin = in.pin(site);
        const DeviceId device = island.local_device(site.amplifier);
        if (device < 0 || !pin.drive_max.known()) return;
        // The strongest is twice as strong as the nominal one: no corner makes four times its current.
        const auto most_flows = hardest_on(all, device);
        if (!most_flows || most_flows->amps < 0.25 * pin.drive_max.span.hi.si()) return;
        const size_t at = most_flows->at;
        const Range r = device_range(island, combos[at].levels, device, in.effort);
        const double worst = std::max(std::abs(r.lo), std::abs(r.hi));
        if (!r.solved || worst <= pin.drive_max.span.hi.si()) return;
        Finding f = finding("output-overload", site, r, combos[at]);
        overloaded(f, site, worst);
        in.add(std::move(f), site);
    }

    Finding finding(const char* code, const PinSite& site, const Range& r, const Combination& c) const {
        const Pin& pin = in.pin(site);
        const double worst = std::max(std::abs(r.lo), std::abs(r.hi));
        Finding f{.code = code, .verdict = Verdict::harmful, .dimension = Dimension::current};
        f.value = Evidence{worst,
                           {Certainty::assumed, "strongest output assumed four times the guaranteed"},
                           "current of " + in.label(site)};
        f.margin = -worst;
        if (pin.drive_max.known()) {
            const double most = pin.drive_max.span.hi.si();
            f.limit = Evidence{most, pin.drive_max.origin, "absolute maximum output current"};
            f.margin = most - worst;
        }
        f.state = all.state(c);
        f.corner = corner_words(island, std::abs(r.lo) > std::abs(r.hi) ? r.at_lo : r.at_hi);
        f.bound_exact = r.exact;
        return f;
    }

    void overloaded(Finding& f, const PinSite& site, double worst) const {
        const Amps most = in.pin(site).drive_max.span.hi;
        f.arithmetic = fmt::format("{} against {}", print(Amps{worst}), print(most));
        f.sentence = fmt::format("{} may have to carry {}, more than the {} it stands.", in.label(site),
                                 print(Amps{worst}), print(most));
        f.advice = "Put more resistance in its way, or a driver between.";
    }

    /// A stage driving the other way that carries most of the same current.
    int opponent_of(int s, const Combination& c, const std::vector<double>& volts) const {
        const double mine = stage_current(island.net, island.nominal, c.levels[s], volts, s);
        for (size_t o = 0; o < c.levels.size(); ++o) {
            if (static_cast<int>(o) == s || c.levels[o] == Logic::Z || c.levels[o] == c.levels[s]) continue;
            const double theirs =
                stage_current(island.net, island.nominal, c.levels[o], volts, static_cast<int>(o));
            if (mine * theirs < 0 && std::abs(theirs) > 0.5 * std::abs(mine) && std::abs(mine) > 2e-3 &&
                !keeper(static_cast<int>(o)) && !keeper(s))
                return static_cast<int>(o);
        }
        return -1;
    }
    bool keeper(int s) const {
        const StageSite& site = in.circuit.stages[island.stage_of[s]];
        return std::holds_alternative<KeeperModel>(in.wiring.parts[site.part].type->model);
    }
};

}  // namespace

SolvedIsland solve_all(Inspection& in, const Scene& scene, const Island& island) {
    SolvedIsland all{.scene = scene, .island = island, .combos = combinations(in.circuit, scene, island)};
    all.volts.resize(all.combos.size());
    for (size_t c = 0; c < all.combos.size(); ++c)
        if (!solve(island, all.combos[c].levels, island.nominal, all.volts[c], in.effort)) {
            all.volts[c].clear();
            in.out.trouble = fmt::format("{} ({})", in.effort.trouble, all.state(all.combos[c]));
            unsolved(in, all, all.combos[c]);
        }
    return all;
}

namespace {

/// For every part the combination in which its outputs here carry most, at nominal values.
void add_up(Inspection& in, const SolvedIsland& all) {
    std::unordered_map<int, double> most;
    for (size_t c = 0; c < all.combos.size(); ++c) {
        if (all.volts[c].empty()) continue;
        std::unordered_map<int, double> now;
        for (size_t s = 0; s < all.island.stage_of.size(); ++s)
            now[in.circuit.stages[all.island.stage_of[s]].part] +=
                std::abs(stage_current(all.island.net, all.island.nominal, all.combos[c].levels[s],
                                       all.volts[c], static_cast<StageId>(s)));
        for (const auto& [part, amps] : now) most[part] = std::max(most[part], amps);
    }
    for (const auto& [part, amps] : most) {
        in.driven_by_part[part] += amps;
        if (in.shares && amps > 0)
            in.shares->push_back({.site = share_site(in, all.island), .part = part, .amps = amps});
    }
}

}  // namespace

void check_part_currents(Inspection& in) {
    for (size_t p = 0; p < in.wiring.parts.size(); ++p) {
        const WiredPart& part = in.wiring.parts[p];
        const Figure<Amps>& most = part.type->supply_current_max;
        if (!most.known() || in.driven_by_part[p] < 0.5 * most.span.hi.si()) continue;
        const double amps = in.driven_by_part[p], limit = most.span.hi.si();
        Finding f{.code = "part-overload",
                  .verdict = amps > limit         ? Verdict::harmful
                             : amps > 0.7 * limit ? Verdict::thin
                                                  : Verdict::safe,
                  .part = part.name,
                  .dimension = Dimension::current};
        f.state = in.scenes[0].words;
        f.value = Evidence{amps,
                           {Certainty::assumed, "typical drive of every output, all at their most at once"},
                           "current of all outputs of " + part.name};
        f.limit = Evidence{limit, most.origin, "absolute maximum through its supply or ground pins"};
        f.margin = limit - amps;
        f.arithmetic = fmt::format("{} of {}", print(Amps{amps}), print(Amps{limit}));
        f.sentence =
            fmt::format("All outputs of {} together may carry {}; its supply and ground pins stand {}.",
                        part.name, print(Amps{amps}), print(Amps{limit}));
        if (f.verdict != Verdict::safe)
            f.advice =
                "Spread the loads over several parts, or give them drivers (60 to 70 % of a rating is common "
                "practice).";
        in.add_for_part(f);
    }
}

void check_outputs(Inspection& in, const SolvedIsland& all) {
    add_up(in, all);
    for (size_t s = 0; s < all.island.stage_of.size() && !in.answered; ++s)
        OutputCheck{.in = in, .all = all}.stage(static_cast<int>(s));
    for (int s : all.island.pins)
        if (const PinSite& site = in.circuit.pins[s]; site.amplifier >= 0 && !in.answered)
            OutputCheck{.in = in, .all = all}.amplifier(site);
}

}  // namespace voltsill
