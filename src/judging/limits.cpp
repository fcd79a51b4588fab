/// Voltages against absolute maximum ratings, currents through protection diodes and outputs.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/inspection.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Less than this through a diode into a rail without supply is back-powering (a check of its own),
/// not stress: a dead rail at rest takes some microamperes.
constexpr double resting_amps = 100e-6;

struct Worst {
    Range range;
    const Combination* combination = nullptr;
};

/// The largest value of a functional over all combinations, worst corner: the nominal solution
/// picks the combinations worth the corner search.
template <class F>
Worst worst_over(const Island& island, const std::vector<Combination>& combos,
                 const std::vector<std::vector<double>>& solved, F nominal_value, const Functional& f, Effort& effort) {
    std::vector<std::pair<double, size_t>> order;
    for (size_t c = 0; c < combos.size(); ++c)
        if (!solved[c].empty()) order.emplace_back(-nominal_value(solved[c]), c);
    std::ranges::sort(order);
    Worst worst;
    double last = NAN;
    int looked = 0;
    for (const auto& [minus, c] : order) {
        if (looked > 0 && std::abs(minus - last) < 1e-9) continue;   // the same to a nanovolt
        if (looked == 3) break;
        last = minus;
        ++looked;
        Range r = range_of(island, combos[c].levels, f, effort);
        if (!r.solved) continue;
        if (!worst.combination || r.hi > worst.range.hi) worst = {std::move(r), &combos[c]};
    }
    return worst;
}

struct LimitCheck {
    Inspection& in;
    const Scene& scene;
    const Island& island;
    std::vector<Combination> combos;
    std::vector<std::vector<double>> solved;
    double swing = 0;   ///< V by which sources here may leave their nominal value

    std::string state(const Combination& c) const { return fmt::format("{}; {}", scene.words, c.words); }

    void run() {
        for (const Device& d : island.net.devices)
            if (d.kind == DeviceKind::source) {
                const Parameter& volts = island.net.parameters[d.params[0]];
                swing += std::max(volts.hi - volts.nominal, volts.nominal - volts.lo);
            }
        combos = combinations(in.circuit, scene, island);
        solved.resize(combos.size());
        for (size_t c = 0; c < combos.size(); ++c)
            if (!solve(island, combos[c].levels, island.nominal, solved[c], in.effort)) {
                solved[c].clear();
                in.out.trouble = fmt::format("{} ({})", in.effort.trouble, state(combos[c]));
                unsolved(combos[c]);
            }
        const std::vector<std::vector<double>> all = solved;
        for (int s : island.pins) {
            const PinSite& site = in.circuit.pins[s];
            if (site.supply < 0) continue;
            solved = all;
            leave_out_leakage(site);
            over(site);
            under(site);
        }
        solved = all;
        if (scene.all_up)
            for (size_t s = 0; s < island.stage_of.size(); ++s) stage(static_cast<int>(s));
    }

    /// A state without a solution leaves every link it touches open: no answer is not a good answer.
    void unsolved(const Combination& c) {
        for (int s : island.pins) {
            const PinSite& site = in.circuit.pins[s];
            Finding f{.code = "not-solved", .verdict = Verdict::unknown};
            f.state = state(c);
            f.arithmetic = in.effort.trouble;
            f.sentence = fmt::format("The voltages around {} could not be computed in one state.", in.label(site));
            f.advice = "Measure there, or describe the part with figures that are not at their extremes.";
            in.add(std::move(f), site);
        }
    }

    /// Where everything has let go, only leakage through diodes sets the level: nanoamps harm nothing
    /// (common practice), whatever voltage they work out to.
    void leave_out_leakage(const PinSite& site) {
        constexpr double leakage_ohms = 1e6;
        for (size_t c = 0; c < combos.size(); ++c) {
            const bool released = std::ranges::all_of(combos[c].levels, [](Logic l) { return l == Logic::Z; });
            if (released && !combos[c].levels.empty() && !solved[c].empty() &&
                resistance_at(island, combos[c].levels, island.local(site.node), in.effort) > leakage_ohms)
                solved[c].clear();
        }
    }

    /// How much current the diode carries at the worst corner: the harm in plain numbers.
    double clamp_current(DeviceId clamp, const Worst& worst) const {
        const DeviceId local = clamp < 0 ? -1 : island.local_device(clamp);
        if (local < 0 || !worst.combination) return 0.0;
        std::vector<double> volts;
        if (!solve(island, worst.combination->levels, worst.range.at_hi, volts, in.effort)) return 0.0;
        return device_current(island.net, worst.range.at_hi, State{.levels = worst.combination->levels}, volts, local);
    }

    void over(const PinSite& site) {
        const Pin& pin = in.pin(site);
        const bool powered = scene.powered(site.supply);
        const std::optional<Level>& rating = !powered && pin.max_unpowered ? pin.max_unpowered : pin.max;
        if (!rating) {
            unrated(site);
            return;
        }
        const Functional f = above(in.circuit, island, site, *rating);
        const auto nominal = [&](const std::vector<double>& v) {
            double sum = f.offset;
            for (const auto& [n, w] : f.terms) sum += w * v[n];
            return sum;
        };
        // Far below the rating in every combination: no corner search is needed to know.
        double top = -1e9;
        for (const auto& v : solved)
            if (!v.empty()) top = std::max(top, nominal(v));
        if (top < -1.5 - swing) {
            if (powered && pin.range_max) above_recommended(site, top);
            return;
        }
        const Worst worst = worst_over(island, combos, solved, nominal, f, in.effort);
        if (!worst.combination) return;
        if (worst.range.hi <= 1e-6) {
            if (powered && pin.range_max) above_recommended(site, top);
            return;
        }
        if (!powered && site.clamp_up >= 0 && clamp_current(site.clamp_up, worst) < resting_amps) return;
        report_over(site, *rating, worst, powered);
    }

    void report_over(const PinSite& site, const Level& rating, const Worst& worst, bool powered) {
        const Pin& pin = in.pin(site);
        std::vector<double> volts;
        solve(island, worst.combination->levels, worst.range.at_hi, volts, in.effort);
        const double v = volts[island.local(site.node)];
        const Node supply_node = island.local(site.supply);
        const double supply = supply_node >= 0 ? volts[supply_node] : 0.0;
        const double limit = rating.at(Volts{supply}).si();
        const double amps = clamp_current(site.clamp_up, worst);
        const bool allowed = site.clamp_up >= 0 && pin.injection_allowed.known() &&
                             amps <= pin.injection_allowed.span.hi.si() && pin.injection_allowed.span.hi.si() > 0;
        Finding f{.code = powered ? "over-voltage" : "over-voltage-unpowered",
                  .verdict = allowed ? Verdict::thin : Verdict::harmful};
        f.value = Evidence{v, origin_of(island, worst.combination->levels, worst.range.at_hi), fmt::format("voltage at {} where least is left", in.label(site))};
        f.limit = Evidence{limit, pin.limits_origin, fmt::format("absolute maximum of {}", in.label(site))};
        f.margin = limit - v;
        f.state = state(*worst.combination);
        f.corner = corner_words(island, worst.range.at_hi);
        f.bound_exact = worst.range.exact;
        const std::string clamp = site.clamp_up >= 0 && amps > 1e-6
            ? fmt::format("; its protection diode carries {}", print(Amps{amps})) : "";
        f.arithmetic = fmt::format("{} - {} = {} over{}", say(Volts{v}), say(Volts{limit}), say(Volts{v - limit}), clamp);
        f.sentence = powered
            ? fmt::format("{} gets {}, {} more than it stands{}.", in.label(site), say(Volts{v}), say(Volts{v - limit}), clamp)
            : fmt::format("With {} {} gets {} while its part has no supply; unpowered it stands {}{}.", scene.words,
                          in.label(site), say(Volts{v}), say(Volts{limit}), clamp);
        if (allowed)
            f.advice = fmt::format("Its sheet permits {} of injected current; keep the rail loaded by more than that.",
                                   print(pin.injection_allowed.span.hi));
        else
            f.advice = powered ? "Do not join these; put an interface circuit between."
                               : "Switch both rails together, or use a part that stands voltage without supply.";
        in.add(std::move(f), site);
    }

    void above_recommended(const PinSite& site, double) {
        const Pin& pin = in.pin(site);
        const Functional f = above(in.circuit, island, site, *pin.range_max);
        double top = -1e9;
        size_t at = 0;
        for (size_t c = 0; c < solved.size(); ++c) {
            if (solved[c].empty()) continue;
            double sum = f.offset;
            for (const auto& [n, w] : f.terms) sum += w * solved[c][n];
            if (sum > top) top = sum, at = c;
        }
        if (top < 0.05) return;   // a diode's leakage lifts a pin by millivolts
        const double v = solved[at][island.local(site.node)];
        Finding finding{.code = "above-recommended", .verdict = Verdict::thin};
        finding.value = Evidence{v, {Certainty::assumed, "nominal solution of the network"}, "voltage at " + in.label(site)};
        finding.limit = Evidence{v - top, pin.limits_origin, "recommended operating maximum"};
        finding.margin = -top;
        finding.state = state(combos[at]);
        finding.arithmetic = fmt::format("{} - {} = {} over the recommended range", say(Volts{v}), say(Volts{v - top}), say(Volts{top}));
        finding.sentence = fmt::format("{} is taken above its recommended operating range, though not above its absolute maximum.", in.label(site));
        finding.advice = "Keep inputs within the recommended range; beyond it nothing is promised.";
        in.add(std::move(finding), site);
    }

    /// No absolute maximum is known and the pin sees more than its own supply.
    void unrated(const PinSite& site) {
        const Pin& pin = in.pin(site);
        if (pin.role == PinRole::load || pin.role == PinRole::passive || in.part(site).type->supplies.empty()) return;
        for (size_t c = 0; c < solved.size(); ++c) {
            if (solved[c].empty()) continue;
            const double v = solved[c][island.local(site.node)];
            const Node sn = island.local(site.supply);
            const double supply = sn >= 0 ? solved[c][sn] : scene.held[site.supply];
            if (v <= supply + 0.3) continue;
            Finding f{.code = "rating-unknown", .verdict = Verdict::unknown};
            f.value = Evidence{v, {Certainty::assumed, "nominal solution of the network"}, "voltage at " + in.label(site)};
            f.margin = supply + 0.3 - v;
            f.state = state(combos[c]);
            f.arithmetic = fmt::format("{} at the pin, its supply is {}", say(Volts{v}), say(Volts{supply}));
            f.sentence = fmt::format("{} gets {}, above its supply of {}, and nobody has said what it stands.",
                                     in.label(site), say(Volts{v}), say(Volts{supply}));
            f.advice = fmt::format("Find its absolute maximum: {} or more would do. Until then treat it as not tolerant.", say(Volts{v}));
            in.add(std::move(f), site);
            return;
        }
    }

    void under(const PinSite& site) {
        const Pin& pin = in.pin(site);
        if (!pin.min) return;
        Functional f = above(in.circuit, island, site, *pin.min);
        for (auto& [n, w] : f.terms) w = -w;
        f.offset = -f.offset;
        const auto nominal = [&](const std::vector<double>& v) {
            double sum = f.offset;
            for (const auto& [n, w] : f.terms) sum += w * v[n];
            return sum;
        };
        double top = -1e9;
        for (const auto& v : solved)
            if (!v.empty()) top = std::max(top, nominal(v));
        if (top < -0.2 - swing) return;
        const Worst worst = worst_over(island, combos, solved, nominal, f, in.effort);
        if (!worst.combination || worst.range.hi <= 1e-6) return;
        const double limit = pin.min->at(supply_volts(scene, site)).si(), v = limit - worst.range.hi;
        Finding out{.code = "under-voltage", .verdict = Verdict::harmful};
        out.value = Evidence{v, origin_of(island, worst.combination->levels, worst.range.at_hi), "lowest voltage at " + in.label(site)};
        out.limit = Evidence{limit, pin.limits_origin, "absolute minimum of " + in.label(site)};
        out.margin = v - limit;
        out.state = state(*worst.combination);
        out.corner = corner_words(island, worst.range.at_hi);
        out.bound_exact = worst.range.exact;
        out.arithmetic = fmt::format("{} is {} below {}", say(Volts{v}), say(Volts{-out.margin}), say(Volts{limit}));
        out.sentence = fmt::format("{} is pulled down to {}, below its minimum of {}.", in.label(site), say(Volts{v}), say(Volts{limit}));
        out.advice = "Put a receiver made for levels below ground between.";
        in.add(std::move(out), site);
    }

    /// Current of an output at its strongest, against its absolute maximum; and who fights it.
    void stage(int s) {
        const StageSite& owner = in.circuit.stages[island.stage_of[s]];
        const PinSite& site = in.circuit.site(owner.part, owner.pin);
        const Pin& pin = in.pin(site);
        double top = 0;
        size_t at = combos.size();
        for (size_t c = 0; c < combos.size(); ++c) {
            if (solved[c].empty() || combos[c].levels[s] == Logic::Z) continue;
            const double amps = std::abs(stage_current(island.net, island.nominal, combos[c].levels[s], solved[c], s));
            if (amps > top) top = amps, at = c;
        }
        if (at == combos.size() || top < 0.5e-3) return;
        const int opponent = opponent_of(s, combos[at], solved[at]);
        const Range r = stage_range(island, combos[at].levels, s, in.effort);
        if (!r.solved) return;
        const double worst = std::max(std::abs(r.lo), std::abs(r.hi));
        const double mid = solved[at][island.local(site.node)];
        const bool over = pin.drive_max.known() && worst > pin.drive_max.span.hi.si();
        if (opponent < 0 && !over) return;
        Finding f{.code = opponent >= 0 ? "contention" : "output-overload",
                  .verdict = opponent >= 0 || over ? Verdict::harmful : Verdict::thin, .dimension = Dimension::current};
        f.value = Evidence{worst, {Certainty::assumed, "strongest output assumed four times the guaranteed"}, "current of " + in.label(site)};
        if (pin.drive_max.known()) {
            f.limit = Evidence{pin.drive_max.span.hi.si(), pin.drive_max.origin, "absolute maximum output current"};
            f.margin = pin.drive_max.span.hi.si() - worst;
        } else {
            f.margin = -worst;
        }
        f.state = state(combos[at]);
        f.corner = corner_words(island, std::abs(r.lo) > std::abs(r.hi) ? r.at_lo : r.at_hi);
        f.bound_exact = r.exact;
        if (opponent >= 0) {
            const StageSite& other = in.circuit.stages[island.stage_of[opponent]];
            const std::string rival = in.label(in.circuit.site(other.part, other.pin));
            f.arithmetic = fmt::format("up to {} between them, node at about {}", print(Amps{worst}), say(Volts{mid}));
            f.sentence = fmt::format("{} and {} drive the same net and can say opposite things: up to {} flows between them.",
                                     in.label(site), rival, print(Amps{worst}));
            f.advice = "Only one output may drive a net at a time: separate them, or use outputs that can be released.";
        } else {
            f.arithmetic = fmt::format("{} against {}", print(Amps{worst}), print(Amps{pin.drive_max.span.hi.si()}));
            f.sentence = fmt::format("{} may have to carry {}, more than the {} it stands.", in.label(site), print(Amps{worst}),
                                     print(Amps{pin.drive_max.span.hi.si()}));
            f.advice = "Put more resistance in its way, or a driver between.";
        }
        in.add(std::move(f), site);
    }

    /// A stage driving the other way that carries most of the same current.
    int opponent_of(int s, const Combination& c, const std::vector<double>& volts) const {
        const double mine = stage_current(island.net, island.nominal, c.levels[s], volts, s);
        for (size_t o = 0; o < c.levels.size(); ++o) {
            if (static_cast<int>(o) == s || c.levels[o] == Logic::Z || c.levels[o] == c.levels[s]) continue;
            const double theirs = stage_current(island.net, island.nominal, c.levels[o], volts, static_cast<int>(o));
            if (mine * theirs < 0 && std::abs(theirs) > 0.5 * std::abs(mine) && std::abs(mine) > 2e-3 && !keeper(static_cast<int>(o)) && !keeper(s))
                return static_cast<int>(o);
        }
        return -1;
    }
    bool keeper(int s) const {
        const StageSite& site = in.circuit.stages[island.stage_of[s]];
        return std::holds_alternative<KeeperModel>(in.wiring.parts[site.part].type->model);
    }
};

/// Pins tied straight to a rail: straps, enables, inputs at a supply.
void held_pin(Inspection& in, const Scene& scene, const PinSite& site) {
    const Pin& pin = in.pin(site);
    if (!pin.max || site.supply < 0 || !scene.powered(site.supply)) return;
    const auto rail_at = [&](Node node) -> const RailSite* {
        for (const RailSite& r : in.circuit.rails)
            if (r.node == node) return &r;
        return nullptr;
    };
    const RailSite* on = rail_at(site.node);
    const RailSite* own = rail_at(site.supply);
    if (!on || !own || on == own) return;
    const auto span_of = [&](const RailSite& r) { return in.bench.rail(r.name)->volts; };
    const Volts v = span_of(*on).span.hi, limit = pin.max->at(span_of(*own).span.lo);
    if (v <= limit) return;
    Finding f{.code = "over-voltage", .verdict = Verdict::harmful};
    f.value = Evidence{v.si(), span_of(*on).origin, "highest voltage of rail " + on->name};
    f.limit = Evidence{limit.si(), pin.limits_origin, "absolute maximum of " + in.label(site)};
    f.margin = (limit - v).si();
    f.state = scene.words;
    f.corner = fmt::format("{} {}, {} {}", on->name, say(v), own->name, say(span_of(*own).span.lo));
    f.arithmetic = fmt::format("{} - {} = {} over", say(v), say(limit), say(v - limit));
    f.sentence = fmt::format("{} is tied to rail {} ({}), but its levels follow rail {}: it stands {}.", in.label(site),
                             on->name, say(v), own->name, say(limit));
    f.advice = fmt::format("Tie it to rail {}.", own->name);
    in.add(std::move(f), site);
}

}  // namespace

void check_limits(Inspection& in) {
    for (const Scene& scene : in.scenes)
        for (const Island* piece : scene.pieces())
            if (!piece->pins.empty()) LimitCheck{in, scene, *piece, {}, {}}.run();
    for (const PinSite& site : in.circuit.pins)
        if (site.node > 0 && in.scenes[0].island_of_node[site.node] < 0) held_pin(in, in.scenes[0], site);
}

}  // namespace voltsill
