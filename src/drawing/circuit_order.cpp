/// The order of a circuit's nets: how many elements the signal has passed before it reaches each.
#include <algorithm>
#include <deque>

#include "drawing/circuit_scheme.h"

namespace voltsill::drawing {
namespace {

using Way = Joint::Way;
using Kind = Element::Kind;

/// From a net to the nets behind an element, the way the signal runs.
std::vector<NetId> behind(const Wiring& wiring, const Element& e, NetId net) {
    std::vector<NetId> out;
    const auto on = [&](const Joint& j) { return j.net == net; };
    switch (e.kind) {
        case Kind::end:
        case Kind::pull:
        case Kind::load:
            break;
        case Kind::two_leads:
        case Kind::other:
            for (const Joint& j : e.joints)
                if (j.way != Way::supply && std::ranges::any_of(e.joints, on)) out.push_back(j.net);
            break;
        case Kind::transistor: {
            // From gate or base to the rest, and between the other two; never back into the gate.
            const PartType& type = *wiring.parts[e.part].type;
            const int gate = type.pin_index(type.kind == PartKind::bjt ? "B" : "G");
            if (std::ranges::any_of(e.joints, on))
                for (const Joint& j : e.joints)
                    if (j.pin != gate) out.push_back(j.net);
            break;
        }
        case Kind::opto: {
            const PartType& type = *wiring.parts[e.part].type;
            const int c = type.pin_index("C"), em = type.pin_index("E");
            for (const Joint& j : e.joints)
                if (j.net == net && j.pin != c && j.pin != em)
                    for (const Joint& k : e.joints)
                        if (k.pin == c || k.pin == em) out.push_back(k.net);
            break;
        }
        case Kind::unit:
            for (const Joint& j : e.joints)
                if (j.net == net && (j.way == Way::in || j.way == Way::both))
                    for (const Joint& k : e.joints)
                        if (k.way == Way::out || (k.way == Way::both && k.pin != j.pin)) out.push_back(k.net);
            break;
    }
    return out;
}

}  // namespace

void order_nets(const Wiring& wiring, const std::set<NetId>& nets, Scheme& scheme) {
    std::deque<NetId> waiting;
    const auto set = [&](NetId net, int depth) {
        if (nets.contains(net) && scheme.depth.emplace(net, depth).second) waiting.push_back(net);
    };
    const auto spread = [&] {
        while (!waiting.empty()) {
            const NetId net = waiting.front();
            waiting.pop_front();
            for (const Element& e : scheme.elements)
                for (const NetId next : behind(wiring, e, net)) set(next, scheme.depth[net] + 1);
        }
    };
    for (const Element& e : scheme.elements)
        if (e.kind == Kind::end && e.driver) set(e.joints[0].net, 0);
    spread();
    for (bool changed = true; changed;) {
        changed = false;
        for (const Element& e : scheme.elements) {
            int front = -1;
            for (const Joint& j : e.joints)
                if (const auto at = scheme.depth.find(j.net); at != scheme.depth.end())
                    front = front < 0 ? at->second : std::min(front, at->second);
            for (const Joint& j : e.joints)
                if (front >= 0 && nets.contains(j.net) && !scheme.depth.contains(j.net)) {
                    const bool output = j.way == Way::out || j.way == Way::supply || j.way == Way::control;
                    set(j.net, output ? front + 1 : front);
                    changed = true;
                }
        }
        spread();
    }
    for (const NetId net : nets) set(net, 0);
}

}  // namespace voltsill::drawing
