/// Discrete parts against their absolute maxima: P = I^2 R of resistors, currents through diodes and transistors,
/// voltages across them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "judging/solved.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Of its rated power a resistor is given this much at most (common practice: 60 to 70 %).
constexpr double derating = 0.7;
/// Below this share of a rating at nominal values no corner reaches it.
constexpr double worth_a_search = 0.4;

struct RatingCheck {
    Inspection& in;

    /// The part a device of the network is; nullptr for what is inside another part.
    const WiredPart* part_of(const Device& d) const {
        const auto at = in.part_of_name.find(d.name);
        return at == in.part_of_name.end() ? nullptr : &in.wiring.parts[at->second];
    }

    Finding finding(const char* code, const WiredPart& part, Dimension dimension, double value, const char* what,
                    double limit, const Provenance& origin, const char* limit_what) const {
        Finding f{.code = code, .verdict = Verdict::harmful, .part = part.name, .dimension = dimension};
        f.value = Evidence{value, {Certainty::assumed, "worst corner of the network"}, what + part.name};
        f.limit = Evidence{limit, origin, limit_what};
        f.margin = limit - value;
        return f;
    }

    void dissipation(const WiredPart& part, double amps, double ohms, const std::string& state,
                     const std::string& corner, bool exact) {
        const double limit = std::get<ResistorModel>(part.type->model).power_max.si(), watts = amps * amps * ohms;
        if (watts <= derating * limit) return;
        Finding f = finding("dissipation", part, Dimension::power, watts, "power in ", limit, part.type->origin,
                            "rated power");
        if (watts <= limit) f.verdict = Verdict::thin;
        f.state = state, f.corner = corner, f.bound_exact = exact;
        f.arithmetic = fmt::format("({})^2 * {} = {}, rated {}", print(Amps{amps}, {.digits = 4}),
                                   print(Ohms{ohms}, {.digits = 4}), print(Watts{watts}), print(Watts{limit}));
        f.sentence = fmt::format("{} turns {} into heat; it is made for {}, and 60 to 70 % of that is common practice.",
                                 part.name, print(Watts{watts}), print(Watts{limit}));
        f.advice = "More ohms, a resistor of more power, or several that share it.";
        in.add_for_part(f);
    }

    void over_current(const WiredPart& part, double amps, const Figure<Amps>& most, const std::string& state,
                      const std::string& corner, bool exact) {
        const double limit = most.span.hi.si();
        if (amps <= limit) return;
        Finding f = finding("current-rating", part, Dimension::current, amps, "current of ", limit, most.origin,
                            "absolute maximum current");
        f.state = state, f.corner = corner, f.bound_exact = exact;
        f.arithmetic = fmt::format("{} against {}", print(Amps{amps}), print(Amps{limit}));
        f.sentence = fmt::format("{} may have to carry {}, more than the {} it stands.", part.name, print(Amps{amps}),
                                 print(Amps{limit}));
        f.advice = "Put more resistance in its way.";
        in.add_for_part(f);
    }

    const Figure<Amps>* current_limit(const Model& model) const {
        if (const auto* m = std::get_if<DiodeModel>(&model)) return &m->current_max;
        if (const auto* m = std::get_if<BjtModel>(&model)) return &m->current_max;
        if (const auto* m = std::get_if<MosfetModel>(&model)) return &m->current_max;
        if (const auto* m = std::get_if<OptoModel>(&model)) return &m->led_max;
        return nullptr;
    }

    /// What flows at nominal values says whether a corner is worth a search.
    void device(const SolvedIsland& all, DeviceId local) {
        const Island& island = all.island;
        const Device& d = island.net.devices[local];
        const WiredPart* part = part_of(d);
        if (!part) return;
        const auto* resistor = std::get_if<ResistorModel>(&part->type->model);  // or a part with a current limit
        const Figure<Amps>* most = current_limit(part->type->model);
        if (most && !most->known()) return;
        const auto most_flows = hardest_on(all, local);
        if (!most_flows) return;
        const auto [at, top] = *most_flows;
        const bool near = resistor ? top * top * island.nominal[d.params[0]] > worth_a_search * resistor->power_max.si()
                                   : top > worth_a_search * most->span.hi.si();
        if (!near) return;
        const Range r = device_range(island, all.combos[at].levels, local, in.effort);
        if (!r.solved) return;
        const bool low = std::abs(r.lo) > std::abs(r.hi);
        const double amps = std::max(std::abs(r.lo), std::abs(r.hi));
        const std::vector<double>& corner = low ? r.at_lo : r.at_hi;
        const std::string state = all.state(all.combos[at]), words = corner_words(island, corner);
        if (resistor)
            dissipation(*part, amps, corner[d.params[0]], state, words, r.exact);
        else
            over_current(*part, amps, *most, state, words, r.exact);
    }

    /// A bipolar switch whose emitter a supply or ground holds: IC over IB at its worst. Sheets print saturation for
    /// IC / IB = 10 and a current gain for small currents; near the largest current half of it and less is left. A
    /// third of the printed gain up to a tenth of that current and 20 beyond it do, half of it beyond is no switch
    /// (common practice, no source).
    void saturation(const SolvedIsland& all, DeviceId local) {
        const Island& island = all.island;
        const Device& d = island.net.devices[local];
        const WiredPart* part = d.kind == DeviceKind::bjt ? part_of(d) : nullptr;
        if (!part || !island.partition.held(d.nodes[2])) return;
        const auto& model = std::get<BjtModel>(part->type->model);
        const auto most_flows = hardest_on(all, local);
        if (!most_flows || most_flows->amps < 1e-3) return;  // hardly on: leakage, or a pin's own pull
        const size_t at = most_flows->at;
        const Range collector = device_range(island, all.combos[at].levels, local, in.effort),
                    base = device_range(island, all.combos[at].levels, local, in.effort, 1);
        if (!collector.solved || !base.solved) return;
        const double ic = std::max(std::abs(collector.lo), std::abs(collector.hi)),
                     ib = std::max(1e-9, std::min(std::abs(base.lo), std::abs(base.hi)));
        const double beta = model.beta.span.lo, gain = ic / ib;
        const bool small = !model.current_max.known() || ic <= 0.1 * model.current_max.span.hi.si();
        const double most = small ? beta / 3 : std::min(20.0, beta / 3);
        if (gain <= most) return;
        Finding f = finding("saturation", *part, Dimension::ratio, gain, "forced gain IC / IB of ", most,
                            weakest(model.beta.origin, {Certainty::common_practice, "common practice, no source"}),
                            "forced gain at which it surely saturates");
        f.verdict = gain > (small ? beta : beta / 2) ? Verdict::unreadable : Verdict::thin;
        f.state = all.state(all.combos[at]);
        f.corner = fmt::format(
            "IC: {}; IB: {}",
            corner_words(island, std::abs(collector.lo) > std::abs(collector.hi) ? collector.at_lo : collector.at_hi),
            corner_words(island, std::abs(base.lo) < std::abs(base.hi) ? base.at_lo : base.at_hi));
        f.bound_exact = collector.exact && base.exact;
        f.arithmetic =
            fmt::format("IC at most {} / IB at least {} = {:.0f}, wanted {:.0f} or less", print(Amps{ic}),
                        print(Amps{ib}), gain, most);
        f.sentence = fmt::format(
            "{} carries up to {} with as little as {} of base current, 1/{:.0f} of it: {} keep it fully on.",
            part->name, print(Amps{ic}), print(Amps{ib}), gain,
            f.verdict == Verdict::thin ? "it is not sure that these" : "that does not");
        f.advice =
            "Give the base a tenth of the collector current (common practice) by a smaller base resistor, or use "
            "an N-channel FET.";
        in.add_for_part(f);
    }

    /// Two terminals of a device and what may lie between them.
    struct Across {
        int plus, minus;
        Volts most;
        const char* what;
        bool either_way = true;
    };
    std::vector<Across> limits_across(const Model& model) const {
        if (const auto* m = std::get_if<DiodeModel>(&model))
            return {{1, 0, m->reverse_max, "reverse voltage of ", false}};
        if (const auto* m = std::get_if<BjtModel>(&model)) return {{0, 2, m->vce_max, "collector voltage of "}};
        if (const auto* m = std::get_if<MosfetModel>(&model))
            return {{0, 2, m->vds_max, "drain voltage of "}, {1, 2, m->vgs_max, "gate voltage of "}};
        if (const auto* m = std::get_if<OptoModel>(&model)) return {{2, 3, m->vce_max, "collector voltage of ", false}};
        return {};
    }

    void over_voltage(const SolvedIsland& all, const Device& d, const WiredPart& part, const Across& across) {
        const double limit = across.most.si();
        if (limit <= 0) return;
        const auto between = [&](double sign) {
            return Functional{.terms = {{d.nodes[across.plus], sign}, {d.nodes[across.minus], -sign}}};
        };
        double top = 0, sign = 1;
        size_t at = all.combos.size();
        for (size_t c = 0; c < all.combos.size(); ++c) {
            if (all.volts[c].empty()) continue;
            const double volts = value_of(between(1), all.volts[c]);
            if ((across.either_way ? std::abs(volts) : volts) <= top) continue;
            top = std::abs(volts), sign = volts < 0 ? -1 : 1, at = c;
        }
        if (top < derating * limit) return;
        const Range r = range_of(all.island, all.combos[at].levels, between(sign), in.effort);
        if (!r.solved || r.hi <= limit) return;
        Finding f = finding("voltage-rating", part, Dimension::voltage, r.hi, across.what, limit, part.type->origin,
                            "absolute maximum voltage");
        f.state = all.state(all.combos[at]), f.corner = corner_words(all.island, r.at_hi), f.bound_exact = r.exact;
        f.arithmetic = fmt::format("{} - {} = {} over", say(Volts{r.hi}), say(across.most), say(Volts{r.hi - limit}));
        f.sentence = fmt::format("The {}{} gets to {}, more than the {} it stands.", across.what, part.name,
                                 say(Volts{r.hi}), say(across.most));
        f.advice = "Use a part of a higher rating, or a lower supply.";
        in.add_for_part(f);
    }

    void voltages(const SolvedIsland& all, DeviceId local) {
        const Device& d = all.island.net.devices[local];
        if (const WiredPart* part = part_of(d))
            for (const Across& across : limits_across(part->type->model)) over_voltage(all, d, *part, across);
    }

    Span<double> volts_of(Node node) const {
        for (const RailSite& rail : in.circuit.rails)
            if (rail.node == node) {
                const Span<Volts>& v = in.bench.rail(rail.name)->volts.span;
                return {v.lo.si(), v.nominal.si(), v.hi.si()};
            }
        return Span<double>::exactly(in.scenes[0].held[node]);
    }

    /// "usb 5.25 V, " for a rail that the node is; nothing for ground.
    std::string end_words(Node node, double volts) const {
        for (const RailSite& rail : in.circuit.rails)
            if (rail.node == node) return fmt::format("{} {}, ", rail.name, say(Volts{volts}));
        return {};
    }

    /// From rail to rail or to ground nothing else limits the current.
    void held(const Device& d, DeviceId id) {
        const WiredPart* part = part_of(d);
        if (!part || (d.kind != DeviceKind::resistor && d.kind != DeviceKind::diode)) return;
        const Scene& scene = in.scenes[0];
        if (scene.island_of_node[d.nodes[0]] >= 0 || scene.island_of_node[d.nodes[1]] >= 0) return;
        const Span<double> a = volts_of(d.nodes[0]), b = volts_of(d.nodes[1]);
        const Parameter& p = in.circuit.netlist.parameters[d.params[0]];
        const auto corner = [&](double at_a, double at_b) {
            return end_words(d.nodes[0], at_a) + end_words(d.nodes[1], at_b) + part->name + " low";
        };
        if (d.kind == DeviceKind::resistor) {
            const bool a_up = a.hi - b.lo >= b.hi - a.lo;
            const double volts = a_up ? a.hi - b.lo : b.hi - a.lo;
            dissipation(*part, volts / p.lo, p.lo, scene.words, a_up ? corner(a.hi, b.lo) : corner(a.lo, b.hi), true);
            return;
        }
        const Figure<Amps>* most = current_limit(part->type->model);
        if (!most->known()) return;
        std::vector<double> values = in.circuit.netlist.nominal_values(), volts = scene.held;
        values[d.params[0]] = p.lo;
        volts[d.nodes[0]] = a.hi, volts[d.nodes[1]] = b.lo;
        const double amps = device_current(in.circuit.netlist, values, State{}, volts, id);
        over_current(*part, amps, *most, scene.words, corner(a.hi, b.lo), true);
    }
};

}  // namespace

void check_ratings(Inspection& in, const SolvedIsland& all) {
    RatingCheck check{in};
    for (size_t k = 0; k < all.island.net.devices.size(); ++k) {
        check.device(all, static_cast<DeviceId>(k));
        check.saturation(all, static_cast<DeviceId>(k));
        check.voltages(all, static_cast<DeviceId>(k));
    }
}

void check_held_ratings(Inspection& in) {
    RatingCheck check{in};
    const auto& devices = in.circuit.netlist.devices;
    for (size_t k = 0; k < devices.size(); ++k) check.held(devices[k], static_cast<DeviceId>(k));
}

}  // namespace voltsill
