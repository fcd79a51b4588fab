/// Analogue links: does the range fit the converter, and can the source charge its input?
#include <fmt/format.h>

#include "judging/inspection.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

struct AnalogCheck {
    Inspection& in;
    const Scene& scene;
    const Link& link;

    void range(const PinSite& site, const Island& island, const Levels& levels, LinkJudgement& judged) {
        const Pin& pin = in.pin(site);
        const Volts supply = supply_volts(scene, site);
        const Node node = island.local(site.node);
        const Range v = leaky_range(in, scene, island, levels, node);
        if (!v.solved) return;
        judged.levels.push_back(
            {.point = in.label(site),
             .high = true,
             .lo = v.lo,
             .nominal = v.nominal,
             .hi = v.hi,
             .limit_max = pin.max ? std::optional(pin.max->at(supply).si()) : std::nullopt});
        judged.levels.back().certainty =
            origin_of(island, levels, v.at_hi, voltage_at(island, site), in.effort).certainty;
        if (!pin.full_scale) return;
        const Leaks leaks = leaks_at(in, scene, island, levels, node);
        const Functional over_full = above(in.circuit, island, site, *pin.full_scale);
        const Range over = range_of(island, levels, over_full, in.effort, &leaks);
        // Both at the corner where most is over: elsewhere the pin may be higher, and full scale as well.
        std::vector<double> volts;
        if (!over.solved || !solve(island, levels, over.at_hi, volts, in.effort)) return;
        const double at_rest = volts[node], full = at_rest - value_of(over_full, volts), highest = full + over.hi;
        Finding f = in.finding("adc-range", link, scene, site, Dimension::voltage);
        const bool clipped = over.hi > 1e-3, wasted = highest < 0.5 * full;
        f.verdict = clipped ? Verdict::unreadable : wasted ? Verdict::thin : Verdict::safe;
        f.value =
            Evidence{highest, origin_of(island, levels, over.at_hi, voltage_at(island, site), in.effort),
                     "voltage at " + in.label(site) + " where least is left"};
        f.limit = Evidence{full, pin.limits_origin, "full scale of the converter"};
        f.margin = -over.hi;
        f.corner = corner_words(island, over.at_hi);
        f.bound_exact = over.exact;
        f.arithmetic = fmt::format("{} of {} full scale = {}", say(Volts{highest}), say(Volts{full}),
                                   print_percent(highest / full));
        if (const LeakWords leak = leak_words(island, levels, over.at_hi, volts, leaks, highest); !leak.sum.empty()) {
            f.value->origin = weakest(f.value->origin, leak.origin);
            f.arithmetic += "; " + leak.sum;
        }
        f.sentence =
            clipped  ? fmt::format("Above {} the converter reads full scale: the top of the range is lost.",
                                   say(Volts{full}))
            : wasted ? fmt::format("Only {} of the converter's range is used.", print_percent(highest / full))
                     : fmt::format("The range uses {} of the converter's.", print_percent(highest / full));
        if (clipped) f.advice = "Divide the voltage so that its highest value stays below full scale.";
        if (wasted) f.advice = "Divide less, or use a lower reference.";
        in.add(std::move(f));
    }

    void not_reached(const PinSite& site) {
        Finding f = in.finding("not-reached", link, scene, site, Dimension::voltage);
        f.verdict = Verdict::unreadable;
        f.arithmetic = "no path from the source";
        f.sentence = fmt::format("Nothing defines the voltage at {}.", in.label(site));
        f.advice = "Follow the wires from the source.";
        in.add(std::move(f));
    }

    void source(const PinSite& site, const Island& island, const Levels& levels) {
        const Pin& pin = in.pin(site);
        const double ohms = resistance_at(island, levels, island.local(site.node), in.effort);
        if (ohms >= open_ohms) {
            not_reached(site);
            return;
        }
        if (!pin.source_ohms_max.known()) return;
        const double limit = pin.source_ohms_max.span.hi.si();
        Finding f = in.finding("adc-source", link, scene, site, Dimension::resistance);
        f.verdict = ohms > limit ? Verdict::thin : Verdict::safe;
        f.value = Evidence{ohms,
                           {Certainty::assumed, "network at its nominal values"},
                           "source resistance at " + in.label(site)};
        f.limit = Evidence{limit, pin.source_ohms_max.origin, "source resistance the converter wants"};
        f.margin = limit - ohms;
        f.arithmetic = fmt::format("{} against {}", print(Ohms{ohms}), print(Ohms{limit}));
        f.sentence = fmt::format("{} sees a source of {}; it wants {} or less.", in.label(site),
                                 print(Ohms{ohms}), print(Ohms{limit}));
        if (f.verdict != Verdict::safe)
            f.advice = "Put 100 nF at the pin for slow signals, or a follower before it.";
        in.add(std::move(f));
    }

    void run(LinkJudgement& judged) {
        for (const PinRef& end : link.to) {
            const PinSite* found = in.site_of(end);
            if (!found) continue;
            const PinSite& site = *found;
            if (site.node < 0) not_reached(site);
            const int index = site.node < 0 ? -1 : scene.island_of_node[site.node];
            if (index < 0) continue;
            const Island& island = scene.islands[index];
            const Levels levels(island.stage_of.size(), Logic::Z);
            range(site, island, levels, judged);
            source(site, island, levels);
            check_clipping(in, scene, link, site, island, levels);
        }
    }
};

}  // namespace

void check_analog(Inspection& in) {
    for (size_t k = 0; k < in.bench.links.size(); ++k)
        if (in.bench.links[k].kind == LinkKind::analog)
            AnalogCheck{in, in.scenes[0], in.bench.links[k]}.run(in.out.links[k]);
}

}  // namespace voltsill
