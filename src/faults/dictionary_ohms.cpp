/// What an ohmmeter shows under each fault, on the nets it makes and along the leads of supplies.
#include <algorithm>
#include <array>
#include <cmath>

#include "faults/dictionary_inside.h"

namespace voltsill {
namespace {

Prediction of_window(const ResistanceWindow& w) {
    return {.kind = Prediction::Kind::ohms, .lo = w.lo, .nominal = w.nominal, .hi = w.hi};
}

}  // namespace

int Dictionary::Inside::rail_number(const std::string& name) const {
    const auto found = std::ranges::find(bench.rails, name, &Rail::name);
    return found == bench.rails.end() ? -1 : static_cast<int>(found - bench.rails.begin());
}

/// Where FaultReadings::ohms finds a point.
int Dictionary::Inside::place(const Pattern& p, const FaultReadings& with, const ProbePoint& at) const {
    if (at.kind == ProbePoint::Kind::ground || at.kind == ProbePoint::Kind::zero) return FaultReadings::ground;
    if (at.part >= 0 && with.moves(p.planned->pin(at.part, at.pin))) return p.planned->pin(at.part, at.pin);
    const Wiring& wiring = p.planned->wiring;
    const NetId net = at.part < 0 ? wiring.rail(at.rail) : wiring.parts[at.part].net_of_pin[at.pin];
    if (net >= 0 && wiring.nets[net].ground) return FaultReadings::ground;
    const int rail = net >= 0 ? rail_number(wiring.nets[net].rail) : -1;
    return rail >= 0 ? -1 - rail : FaultReadings::elsewhere;
}

bool Dictionary::Inside::concerns_lead(const Fault& fault, const ProbePoint& post) {
    return post.is_post() && std::ranges::find(fault.wires, post.lead) != fault.wires.end();
}

/// A pin on the ground as planned that the fault takes off it.
ProbePoint Dictionary::Inside::ground_behind(const Pattern& p, const FaultReadings& fault) const {
    const Wiring& wiring = p.planned->wiring;
    for (const ProbePoint& at : questions.points()) {
        const NetId net = at.part < 0 ? unconnected : wiring.parts[at.part].net_of_pin[at.pin];
        if (net >= 0 && wiring.nets[net].ground && fault.moves(p.planned->pin(at.part, at.pin))) return at;
    }
    return {};
}

/// A lead that nothing is wrong with is as planned although its supply is off, or its rail is no rail any more. What is
/// wrong with a 0 V lead of one of several supplies stands in its plus, as it is one loop (make.cpp): from the post of
/// its 0 V to ground a meter finds what the wiring has between plus and rail.
/// Of the only one, all grounds lie behind it.
std::optional<std::array<ProbePoint, 2>> Dictionary::Inside::as_made(const Pattern& p,
                                                                     const std::array<ProbePoint, 2>& at,
                                                                     const FaultReadings* fault,
                                                                     const Hypothesis& faulty) const {
    using Kind = ProbePoint::Kind;
    const bool first = at[0].is_post();
    const ProbePoint &post = at[first ? 0 : 1], &end = at[first ? 1 : 0];
    if (!fault || !post.is_post()) return at;
    const auto of_rail = [&](Kind kind) {
        for (const ProbePoint& q : questions.points())
            if (q.kind == kind && q.rail == post.rail) return q;
        return ProbePoint{};
    };
    const auto any = [&](auto&& is) {
        return std::ranges::any_of(std::array{faulty.first, faulty.second},
                                   [&](int f) { return f >= 0 && is(faults[f]); });
    };
    const auto on_lead = [&](const ProbePoint& of) {
        return any([&](const Fault& f) { return concerns_lead(f, of); });
    };
    const bool moved = any([&](const Fault& f) {
        return concerns_lead(f, post) && f.slip && f.slip->kind != SlipKind::wire_missing;
    });
    const ProbePoint rail = of_rail(Kind::rail);
    const bool own = on_lead(post);
    if (moved) return std::nullopt;
    if (post.kind == Kind::zero && end.kind == Kind::ground && own) {
        const ProbePoint behind = ground_behind(p, *fault);
        return behind.part >= 0 ? std::array{end, behind}
                                : std::array{ProbePoint{.kind = Kind::plus, .rail = post.rail}, rail};
    }
    if (post.kind == Kind::zero && end.kind == Kind::ground) return std::array{end, end};
    if (post.kind == Kind::zero) return own ? std::nullopt : std::optional(at);
    const bool off = any([&](const Fault& f) { return f.kind == FaultKind::supply_off && f.rail == post.rail; });
    const bool intact = !own && (off || on_lead(of_rail(Kind::zero)) || !fault->has_rail(rail_number(post.rail)));
    return intact ? std::array{rail, end} : at;
}

Prediction Dictionary::Inside::ohms(Pattern& p, const FaultReadings& good, const FaultReadings* fault,
                                    const Question& q, const Hypothesis& faulty) {
    const auto at = as_made(p, {questions.points()[q.point], questions.points()[q.against]}, fault, faulty);
    if (!at) return of_window({.nominal = std::sqrt(meter_open.si()), .hi = 1e12});
    const FaultReadings& with = fault ? *fault : good;
    const int a = place(p, with, at->front()), b = place(p, with, at->back());
    if (fault && a < 0 && b < 0) return ohms(p, good, nullptr, q, {});
    bool joined = false;
    const ResistanceWindow window = with.ohms(a, b, joined);
    return of_window(joined ? contacts : window);
}

}  // namespace voltsill
