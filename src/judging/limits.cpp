/// Voltages against absolute maximum ratings and recommended ranges, currents through protection diodes.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/solved.h"
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

struct LimitCheck {
    Inspection& in;
    const SolvedIsland& all;
    const Scene& scene = all.scene;
    const Island& island = all.island;
    const std::vector<Combination>& combos = all.combos;
    std::vector<bool> counts;  ///< which combinations set a level at the pin in hand
    double swing = 0;          ///< V by which sources here may leave their nominal value

    void run() {
        for (const Device& d : island.net.devices)
            if (d.kind == DeviceKind::source) {
                const Parameter& volts = island.net.parameters[d.params[0]];
                swing += std::max(volts.hi - volts.nominal, volts.nominal - volts.lo);
            }
        for (int s : island.pins) {
            if (in.answered) return;
            const PinSite& site = in.circuit.pins[s];
            if (site.supply < 0) continue;
            leave_out_leakage(site);
            // Volts that harm say themselves what the diode carries.
            const bool too_high = over(site), too_low = under(site);
            if (!too_high) clamp(site, site.clamp_up, "supply");
            if (!too_low) clamp(site, site.clamp_down, "ground");
        }
    }

    /// Where everything has let go, only leakage through diodes sets the level: nanoamps harm nothing
    /// (common practice), whatever voltage they work out to.
    void leave_out_leakage(const PinSite& site) {
        constexpr double leakage_ohms = 1e6;
        counts.assign(combos.size(), true);
        for (size_t c = 0; c < combos.size(); ++c) {
            const bool released =
                !combos[c].levels.empty() &&
                std::ranges::all_of(combos[c].levels, [](Logic l) { return l == Logic::Z; });
            counts[c] = !all.volts[c].empty() &&
                        !(released && resistance_at(island, combos[c].levels, island.local(site.node),
                                                    in.effort) > leakage_ohms);
        }
    }

    /// The largest nominal value of a functional over the combinations that count.
    double highest(const Functional& f) const {
        double top = -1e9;
        for (size_t c = 0; c < combos.size(); ++c)
            if (counts[c]) top = std::max(top, value_of(f, all.volts[c]));
        return top;
    }

    /// The largest value at its worst corner: the nominal solutions pick the combinations worth a search.
    Worst worst_over(const Functional& f) {
        std::vector<std::pair<double, size_t>> order;
        for (size_t c = 0; c < combos.size(); ++c)
            if (counts[c]) order.emplace_back(-value_of(f, all.volts[c]), c);
        std::ranges::sort(order);
        Worst worst;
        double last = NAN;
        int looked = 0;
        for (const auto& [minus, c] : order) {
            if (looked > 0 && std::abs(minus - last) < 1e-9) continue;  // the same to a nanovolt
            if (looked == 3) break;
            last = minus;
            ++looked;
            Range r = range_of(island, combos[c].levels, f, in.effort);
            if (!r.solved) continue;
            if (!worst.combination || r.hi > worst.range.hi) worst = {std::move(r), &combos[c]};
        }
        return worst;
    }

    /// How much current the diode carries at the worst corner: the harm in plain numbers.
    double clamp_current(DeviceId clamp, const Worst& worst) const {
        const DeviceId local = clamp < 0 ? -1 : island.local_device(clamp);
        if (local < 0 || !worst.combination) return 0.0;
        std::vector<double> volts;
        if (!solve(island, worst.combination->levels, worst.range.at_hi, volts, in.effort)) return 0.0;
        return device_current(island.net, worst.range.at_hi, State{.levels = worst.combination->levels},
                              volts, local);
    }

    Provenance origin_at(const PinSite& site, const Worst& worst) {
        return origin_of(island, worst.combination->levels, worst.range.at_hi, voltage_at(island, site),
                         in.effort);
    }

    /// True when the pin is harmed.
    bool over(const PinSite& site) {
        const Pin& pin = in.pin(site);
        const bool powered = scene.powered(site.supply);
        const std::optional<Level>& rating = !powered && pin.max_unpowered ? pin.max_unpowered : pin.max;
        if (!rating) {
            unrated(site);
            return false;
        }
        const Functional f = above(in.circuit, island, site, *rating);
        // Far below the rating in every combination: no corner search is needed to know.
        const bool far_below = highest(f) < -1.5 - swing;
        const Worst worst = far_below ? Worst{} : worst_over(f);
        if (!far_below && !worst.combination) return false;
        if (far_below || worst.range.hi <= 1e-6) {
            if (powered && pin.range_max) above_recommended(site);
            return false;
        }
        if (!powered && site.clamp_up >= 0 && clamp_current(site.clamp_up, worst) < resting_amps) return false;
        return report_over(site, *rating, worst, powered);
    }

    bool report_over(const PinSite& site, const Level& rating, const Worst& worst, bool powered) {
        const Pin& pin = in.pin(site);
        std::vector<double> volts;
        solve(island, worst.combination->levels, worst.range.at_hi, volts, in.effort);
        const double v = volts[island.local(site.node)];
        const double supply = volts[island.local(site.supply)];
        const double limit = rating.at(Volts{supply}).si();
        const double amps = clamp_current(site.clamp_up, worst);
        const bool allowed = site.clamp_up >= 0 && pin.injection_allowed.known() &&
                             amps <= pin.injection_allowed.span.hi.si() &&
                             pin.injection_allowed.span.hi.si() > 0;
        Finding f{.code = powered ? "over-voltage" : "over-voltage-unpowered",
                  .verdict = allowed ? Verdict::thin : Verdict::harmful};
        f.value = Evidence{v, origin_at(site, worst),
                           fmt::format("voltage at {} where least is left", in.label(site))};
        f.limit = Evidence{limit, pin.limits_origin, fmt::format("absolute maximum of {}", in.label(site))};
        f.margin = limit - v;
        f.state = all.state(*worst.combination);
        f.corner = corner_words(island, worst.range.at_hi);
        f.bound_exact = worst.range.exact;
        const std::string clamp = site.clamp_up >= 0 && amps > 1e-6
                                      ? fmt::format("; its protection diode carries {}", print(Amps{amps}))
                                      : "";
        f.arithmetic = fmt::format("{} - {} = {} over{}", say(Volts{v}), say(Volts{limit}),
                                   say(Volts{v - limit}), clamp);
        if (!clamp.empty())
            f.arithmetic += fmt::format(" at {} above its supply of {}", say(Volts{v - supply}), say(Volts{supply}));
        f.sentence =
            powered
                ? fmt::format("{} gets {}, {} more than it stands{}.", in.label(site), say(Volts{v}),
                              say(Volts{v - limit}), clamp)
                : fmt::format("With {} {} gets {} while its part has no supply; unpowered it stands {}{}.",
                              scene.words, in.label(site), say(Volts{v}), say(Volts{limit}), clamp);
        if (allowed)
            f.advice = fmt::format(
                "Its sheet permits {} of injected current; keep the rail loaded by more than that.",
                print(pin.injection_allowed.span.hi));
        else
            f.advice = powered
                           ? "Do not join these; put an interface circuit between."
                           : "Switch both rails together, or use a part that stands voltage without supply.";
        in.add(std::move(f), site);
        return !allowed;
    }

    /// A protection diode against the current it stands, whatever voltage the pin may have. The combination with
    /// most across the diode has most through it.
    void clamp(const PinSite& site, DeviceId id, const char* to) {
        const Pin& pin = in.pin(site);
        const DeviceId local = id < 0 || !pin.clamp_max.known() ? -1 : island.local_device(id);
        if (local < 0) return;
        const Device& d = island.net.devices[local];
        const Functional across{.terms = {{d.nodes[0], 1.0}, {d.nodes[1], -1.0}}};
        double top = -1e9;
        size_t at = combos.size();
        for (size_t c = 0; c < combos.size(); ++c)
            if (counts[c] && value_of(across, all.volts[c]) > top) top = value_of(across, all.volts[c]), at = c;
        // Below its forward voltage, which is stated at a milliampere, in every corner: no search is needed.
        if (at == combos.size() || top + swing < pin.clamp_forward.span.lo.si()) return;
        const Range r = device_range(island, combos[at].levels, local, in.effort);
        const double limit = pin.clamp_max.span.hi.si();
        if (!r.solved || r.hi <= limit) return;
        Finding f{.code = "current-rating", .verdict = Verdict::harmful, .dimension = Dimension::current};
        f.value = Evidence{r.hi, {Certainty::assumed, "worst corner of the network"},
                           fmt::format("current through the diode of {} to its {}", in.label(site), to)};
        f.limit = Evidence{limit, pin.clamp_max.origin, "absolute maximum current through the diode"};
        f.margin = limit - r.hi;
        f.state = all.state(combos[at]);
        f.corner = corner_words(island, r.at_hi);
        f.bound_exact = r.exact;
        f.arithmetic =
            fmt::format("{} - {} = {} over", print(Amps{r.hi}), print(Amps{limit}), print(Amps{r.hi - limit}));
        f.sentence = fmt::format("The protection diode of {} to its {} carries {}, more than the {} it stands.",
                                 in.label(site), to, print(Amps{r.hi}), print(Amps{limit}));
        f.advice = "Put more resistance in its way, or an interface circuit between.";
        in.add(std::move(f), site);
    }

    void above_recommended(const PinSite& site) {
        const Pin& pin = in.pin(site);
        const Functional f = above(in.circuit, island, site, *pin.range_max);
        double top = -1e9;
        size_t at = 0;
        for (size_t c = 0; c < combos.size(); ++c)
            if (counts[c] && value_of(f, all.volts[c]) > top) top = value_of(f, all.volts[c]), at = c;
        if (top < 0.05) return;  // a diode's leakage lifts a pin by millivolts
        const double v = all.volts[at][island.local(site.node)];
        Finding finding{.code = "above-recommended", .verdict = Verdict::thin};
        finding.value = Evidence{
            v, {Certainty::assumed, "nominal solution of the network"}, "voltage at " + in.label(site)};
        finding.limit = Evidence{v - top, pin.range_origin, "recommended operating maximum"};
        finding.margin = -top;
        finding.state = all.state(combos[at]);
        finding.arithmetic = fmt::format("{} - {} = {} over the recommended range", say(Volts{v}),
                                         say(Volts{v - top}), say(Volts{top}));
        finding.sentence = fmt::format(
            "{} is taken above its recommended operating range, though not above its absolute maximum.",
            in.label(site));
        finding.advice = "Keep inputs within the recommended range; beyond it nothing is promised.";
        in.add(std::move(finding), site);
    }

    /// No absolute maximum is known and the pin sees more than its own supply.
    void unrated(const PinSite& site) {
        const Pin& pin = in.pin(site);
        if (pin.role == PinRole::load || pin.role == PinRole::passive || in.part(site).type->supplies.empty())
            return;
        for (size_t c = 0; c < combos.size(); ++c) {
            if (!counts[c]) continue;
            const double v = all.volts[c][island.local(site.node)];
            const double supply = all.volts[c][island.local(site.supply)];
            if (v <= supply + 0.3) continue;
            Finding f{.code = "rating-unknown", .verdict = Verdict::unknown};
            f.value = Evidence{
                v, {Certainty::assumed, "nominal solution of the network"}, "voltage at " + in.label(site)};
            f.margin = supply + 0.3 - v;
            f.state = all.state(combos[c]);
            f.arithmetic = fmt::format("{} at the pin, its supply is {}", say(Volts{v}), say(Volts{supply}));
            f.sentence =
                fmt::format("{} gets {}, above its supply of {}, and nobody has said what it stands.",
                            in.label(site), say(Volts{v}), say(Volts{supply}));
            f.advice = fmt::format(
                "Find its absolute maximum: {} or more would do. Until then treat it as not tolerant.",
                say(Volts{v}));
            in.add(std::move(f), site);
            return;
        }
    }

    bool under(const PinSite& site) {
        const Pin& pin = in.pin(site);
        if (!pin.min) return false;
        Functional f = above(in.circuit, island, site, *pin.min);
        for (auto& [n, w] : f.terms) w = -w;
        f.offset = -f.offset;
        if (highest(f) < -0.2 - swing) return false;
        const Worst worst = worst_over(f);
        if (!worst.combination || worst.range.hi <= 1e-6) return false;
        const double limit = pin.min->at(supply_volts(scene, site)).si(), v = limit - worst.range.hi;
        Finding out{.code = "under-voltage", .verdict = Verdict::harmful};
        out.value = Evidence{v, origin_at(site, worst), "lowest voltage at " + in.label(site)};
        out.limit = Evidence{limit, pin.limits_origin, "absolute minimum of " + in.label(site)};
        out.margin = v - limit;
        out.state = all.state(*worst.combination);
        out.corner = corner_words(island, worst.range.at_hi);
        out.bound_exact = worst.range.exact;
        out.arithmetic =
            fmt::format("{} is {} below {}", say(Volts{v}), say(Volts{-out.margin}), say(Volts{limit}));
        out.sentence = fmt::format("{} is pulled down to {}, below its minimum of {}.", in.label(site),
                                   say(Volts{v}), say(Volts{limit}));
        out.advice = "Put a receiver made for levels below ground between.";
        in.add(std::move(out), site);
        return true;
    }
};

}  // namespace

void check_limits(Inspection& in) {
    if (in.elsewhere)
        in.driven_by_part = in.elsewhere->driven_by_part;
    else
        in.driven_by_part.assign(in.wiring.parts.size(), 0.0);
    const bool limited = std::ranges::any_of(in.bench.rails, [](const Rail& rail) { return rail.limit.has_value(); });
    for (const Scene& scene : in.scenes)
        for (const Island* piece : scene.pieces()) {
            if (piece->pins.empty()) continue;
            if (in.answered) return;
            const SolvedIsland all = solve_all(in, scene, *piece);
            if (scene.all_up && in.enough) check_outputs(in, all);  // the cheaper question first
            LimitCheck{.in = in, .all = all}.run();
            if (scene.all_up && !in.enough) check_outputs(in, all);
            if (scene.all_up && !in.answered) check_ratings(in, all);
            if (scene.all_up && !in.enough && limited) add_rail_draws(in, all);
        }
    if (!in.answered) check_held_ratings(in);
    check_part_currents(in);
}

}  // namespace voltsill
