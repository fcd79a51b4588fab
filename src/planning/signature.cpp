/// Crossings told apart by every figure the planner or the judge reads, so that alike ones are tried once.
#include <fmt/format.h>

#include "planning/evaluate.h"

namespace voltsill {
namespace {

std::string text_of(const Level& l) { return fmt::format("{:g}s+{:g}", l.ratio, l.offset.si()); }
std::string text_of(const std::optional<Level>& l) { return l ? text_of(*l) : "-"; }
template <class Q>
std::string text_of(const Span<Q>& s) {
    return fmt::format("{:g}..{:g}..{:g}", s.lo.si(), s.nominal.si(), s.hi.si());
}

std::string text_of(const Side& side) {
    const Pin& p = *side.facts;
    std::string t = fmt::format("{}/{}/{}/{}/{}/{}/", to_word(p.role), side.rail, text_of(p.min),
                                text_of(p.max), text_of(p.max_unpowered), text_of(p.range_max));
    for (const auto& r : p.thresholds)
        t += fmt::format("t{}{}{}", text_of(r.supply), text_of(r.low), text_of(r.high));
    for (const auto* rows : {&p.high, &p.low})
        for (const auto& r : *rows)
            t += fmt::format("d{}{:g}{}", text_of(r.supply), r.at.si(), text_of(r.level));
    for (const auto& r : p.transition)
        t += fmt::format("e{:g}{:g}", r.per_volt.value_or(SecondsPerVolt{}).si(),
                         r.total.value_or(Seconds{}).si());
    for (const auto& r : p.pulls)
        t += fmt::format("p{}{}{}{}", r.up, text_of(r.ohms.span), r.removable, r.at_reset);
    t += fmt::format("c{}{}{}{}{}", p.clamp_to_supply, p.clamp_to_ground, text_of(p.clamp_forward.span),
                     text_of(p.injection_allowed.span), text_of(p.capacitance.span));
    t += fmt::format("x{}{}{}{}", text_of(p.full_scale), p.schmitt, text_of(p.drive_max.span),
                     p.load ? fmt::format("{}{}{}{}", text_of(p.load->ohms.span), text_of(p.load->forward.span),
                                          p.load->to_supply, p.load->inductive)
                            : "");
    if (p.analog_range) t += text_of(*p.analog_range);
    t += fmt::format("o{}{}{}{}", text_of(p.output_ohms.span), text_of(p.source_ohms_max.span),
                     text_of(p.leakage.span), text_of(p.static_low));
    t += fmt::format("i{}{}", text_of(p.input_low.span), text_of(p.input_high.span));
    if (p.high_below_supply) t += text_of(*p.high_below_supply);
    if (p.low_above_ground) t += "g" + text_of(*p.low_above_ground);
    t += fmt::format("r{}{}", text_of(p.range_min), p.reset_state);
    for (const auto& pin : side.bench_part->pulls_removed) t += pin == p.name ? "-p" : "";
    for (const auto& s : side.bench_part->type->supplies)
        t += fmt::format("s{}{:g}", text_of(s.range), s.max.si());
    for (const auto& [port, rail] : side.bench_part->supplies) t += port + "=" + rail;
    return t + "@" + side.bench_part->type->name;
}

}  // namespace

std::string signature(const Crossing& c) {
    std::string t = fmt::format("{}/{:g}/{}/{}/{}", to_word(c.link->kind), c.rate(), c.link->bus,
                                c.link->invert_allowed, c.link->safe_level.value_or(""));
    t += "!" + c.refusal;
    for (const Side& s : c.from) t += "|f" + text_of(s);
    for (const Side& s : c.to) t += "|t" + text_of(s);
    return t;
}

}  // namespace voltsill
