#include "drawing/circuit_scheme.h"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <set>

#include "quantity/print.h"
#include "wiring/decoupling.h"

namespace voltsill::drawing {
namespace {

using Kind = Element::Kind;

Kind kind_of(const PartType& type) {
    switch (type.kind) {
        case PartKind::resistor:
        case PartKind::capacitor:
        case PartKind::diode:
            return Kind::two_leads;
        case PartKind::bjt:
        case PartKind::mosfet:
            return Kind::transistor;
        case PartKind::opto:
            return Kind::opto;
        default:
            return Kind::unit;
    }
}

bool goes_both_ways(ChannelLogic logic) {
    return logic == ChannelLogic::transceiver || logic == ChannelLogic::pass_gate ||
           logic == ChannelLogic::auto_push_pull || logic == ChannelLogic::auto_open_drain ||
           logic == ChannelLogic::repeater;
}

struct Search {
    const Bench& bench;
    const Wiring& wiring;
    const Link& link;
    Scheme out;
    std::deque<NetId> waiting;
    std::set<NetId> seen, flagged;
    std::set<std::pair<int, int>> units, ends, controls;  ///< part and channel, part and pin, the same
    std::set<std::pair<int, int>> beside;                 ///< pins met that belong to no channel's way
    std::set<int> whole;                                  ///< parts drawn with all their pins
    std::map<int, std::set<int>> odd;                     ///< pins of parts without channels

    void follow(NetId net) {
        if (net < 0 || is_supply(wiring, net) || !seen.insert(net).second) return;
        waiting.push_back(net);
    }

    /// A control or supply net that only this package and two-lead parts share is part of the circuit
    /// (the bias of a pass-gate); any other is named where it ends.
    void follow_control(int part, NetId net) {
        if (net < 0 || is_supply(wiring, net) || seen.contains(net)) return;
        for (int p = 0; p < std::ssize(wiring.parts); ++p)
            for (const NetId n : wiring.parts[p].net_of_pin)
                if (n == net && p != part && kind_of(*wiring.parts[p].type) != Kind::two_leads) {
                    flagged.insert(net);
                    return;
                }
        follow(net);
    }

    bool is_link_end(int part, int pin) const {
        const WiredPart& p = wiring.parts[part];
        const auto here = [&](const PinRef& r) {
            return r.part == p.name && p.type->pin_index(r.pin) == pin;
        };
        return std::ranges::any_of(bench.links, [&](const Link& l) {
            return std::ranges::any_of(l.from, here) || std::ranges::any_of(l.to, here);
        });
    }

    void add_end(int part, int pin, bool driver, bool receiver) {
        if (!ends.emplace(part, pin).second) return;
        const NetId net = wiring.parts[part].net_of_pin[pin];
        out.elements.push_back({.kind = Kind::end,
                                .part = part,
                                .driver = driver,
                                .receiver = receiver,
                                .joints = {{pin, net}}});
        add_inside(part, pin, net);
        follow(net);
    }

    /// What a module brings along at a pin. Pulls that software takes off are not there in operation.
    void add_inside(int part, int pin, NetId net) {
        const WiredPart& wired = wiring.parts[part];
        const Pin& facts = wired.type->pins[pin];
        if (net < 0) return;
        const auto net_of = [&](bool up) {
            if (!up) return wiring.ground();
            for (size_t k = 0; k < wired.type->pins.size(); ++k)
                if (wired.type->pins[k].role == PinRole::supply && wired.type->pins[k].supply == facts.supply)
                    return wired.net_of_pin[k];
            return unconnected;
        };
        const bool removed = std::ranges::find(wired.pulls_removed, facts.name) != wired.pulls_removed.end();
        for (int k = 0; k < std::ssize(facts.pulls); ++k) {
            const Pull& pull = facts.pulls[k];
            if (removed && pull.removable)
                out.notes.push_back(fmt::format("Taken off {}: {} at {}.", wired.name,
                                                print(pull.ohms.span.nominal), facts.name));
            if (pull.at_reset || (removed && pull.removable)) continue;
            out.elements.push_back({.kind = Kind::pull,
                                    .part = part,
                                    .pull = k,
                                    .joints = {{pin, net}, {-1, net_of(pull.up), Joint::Way::supply}}});
        }
        if (facts.load)
            out.elements.push_back(
                {.kind = Kind::load,
                 .part = part,
                 .joints = {{pin, net}, {-1, net_of(facts.load->to_supply), Joint::Way::supply}}});
    }

    void add_whole(int part, Kind kind) {
        if (!whole.insert(part).second) return;
        Element e{.kind = kind, .part = part};
        for (int k = 0; k < std::ssize(wiring.parts[part].net_of_pin); ++k) {
            e.joints.push_back({k, wiring.parts[part].net_of_pin[k]});
            follow(e.joints.back().net);
        }
        out.elements.push_back(std::move(e));
    }

    static bool in_channel(const Channel& c, int pin) {
        return c.output == pin || std::ranges::find(c.inputs, pin) != c.inputs.end();
    }

    void add_unit(int part, int channel) {
        if (!units.emplace(part, channel).second) return;
        const WiredPart& wired = wiring.parts[part];
        const Channel& c = wired.type->channels[channel];
        Element e{.kind = Kind::unit, .part = part, .channel = channel};
        const bool both = goes_both_ways(c.logic);
        for (const int pin : c.inputs) {
            e.joints.push_back({pin, wired.net_of_pin[pin], both ? Joint::Way::both : Joint::Way::in});
            follow(e.joints.back().net);
        }
        if (c.output >= 0) {
            e.joints.push_back({c.output, wired.net_of_pin[c.output], both ? Joint::Way::both : Joint::Way::out});
            follow(e.joints.back().net);
        }
        const auto control = [&](int pin) {  // one that several channels share stands at the first drawn
            if (!controls.emplace(part, pin).second) return;
            e.joints.push_back({pin, wired.net_of_pin[pin], Joint::Way::control});
            follow_control(part, e.joints.back().net);
        };
        for (const int pin : c.enables) control(pin);
        if (c.direction >= 0) control(c.direction);
        if (whole.insert(part).second)  // supplies stand with the first channel drawn
            for (int k = 0; k < std::ssize(wired.net_of_pin); ++k) {
                const bool apart = std::ranges::any_of(wired.type->channels, [&](const Channel& other) {
                    return in_channel(other, k) || other.direction == k ||
                           std::ranges::find(other.enables, k) != other.enables.end();
                });
                if (apart || wired.net_of_pin[k] == unconnected) continue;
                e.joints.push_back({k, wired.net_of_pin[k], Joint::Way::supply});
                follow_control(part, wired.net_of_pin[k]);
            }
        out.elements.push_back(std::move(e));
    }

    void meet(int part, int pin) {
        const WiredPart& wired = wiring.parts[part];
        const Kind kind = kind_of(*wired.type);
        if (is_link_end(part, pin)) return add_end(part, pin, false, false);
        if (kind != Kind::unit) return add_whole(part, kind);
        for (int c = 0; c < std::ssize(wired.type->channels); ++c)
            if (in_channel(wired.type->channels[c], pin)) return add_unit(part, c);
        if (wired.added && wired.type->channels.empty())
            odd[part].insert(pin);
        else
            beside.emplace(part, pin);
    }

    void walk() {
        while (!waiting.empty()) {
            const NetId net = waiting.front();
            waiting.pop_front();
            for (int p = 0; p < std::ssize(wiring.parts); ++p)
                for (int k = 0; k < std::ssize(wiring.parts[p].net_of_pin); ++k)
                    if (wiring.parts[p].net_of_pin[k] == net) meet(p, k);
        }
    }

    /// Pins that no unit shows: named terminals.
    void add_beside() {
        std::set<std::pair<int, int>> shown;
        for (const Element& e : out.elements)
            for (const Joint& j : e.joints) shown.emplace(e.part, j.pin);
        for (const auto& [part, pin] : beside)
            if (!shown.contains({part, pin})) add_end(part, pin, false, false);
    }

    /// A part without channels that was added: the pins met, and those on rails and ground.
    void add_odd() {
        for (const auto& [part, pins] : odd) {
            Element e{.kind = Kind::other, .part = part};
            for (int k = 0; k < std::ssize(wiring.parts[part].net_of_pin); ++k) {
                const NetId net = wiring.parts[part].net_of_pin[k];
                if (pins.contains(k))
                    e.joints.push_back({k, net});
                else if (is_supply(wiring, net))
                    e.joints.push_back({k, net, Joint::Way::supply});
            }
            out.elements.push_back(std::move(e));
        }
    }

    /// Control pins on nets that are drawn anyway, but whose unit came first.
    void settle_flags() {
        for (const NetId net : flagged)
            if (!seen.contains(net)) out.flags.push_back(net);
    }

    void note_left_out() {
        std::set<int> drawn;
        for (const Element& e : out.elements)
            if (e.kind == Kind::unit) drawn.insert(e.part);
        std::string decoupling;
        for (const WiredPart& part : wiring.parts) {
            if (part.type->kind != PartKind::capacitor) continue;
            for (const int p : drawn)
                if (is_decoupling_of(part, wiring.parts[p].name))
                    decoupling += fmt::format("{}{} {} ({})", decoupling.empty() ? "" : ", ", part.name,
                                              part.value ? print(Farads{*part.value}) : "", part.purpose);
        }
        if (!decoupling.empty()) out.notes.push_back("Not drawn: " + decoupling + ".");
        for (const int p : drawn) {
            const auto all = std::ranges::count_if(wiring.parts[p].type->channels, [](const Channel& c) {
                return c.output >= 0 && !c.inputs.empty();
            });
            const auto here = std::ranges::count_if(units, [p](const auto& u) { return u.first == p; });
            if (all > here)
                out.notes.push_back(
                    fmt::format("{}: {} of {} channels drawn.", wiring.parts[p].name, here, all));
        }
    }
};

}  // namespace

std::string unit_name(const WiredPart& part, int channel) {
    const auto usable = [](const Channel& c) { return c.output >= 0 && !c.inputs.empty(); };
    const auto& all = part.type->channels;
    if (std::ranges::count_if(all, usable) < 2) return part.name;
    const auto before = std::count_if(all.begin(), all.begin() + channel, usable);
    return part.name + static_cast<char>('A' + before % 26);
}

Scheme scheme_of(const Bench& bench, const Wiring& wiring, const std::string& name) {
    const Link* link = bench.link(name);
    if (!link) return {};
    Search search{.bench = bench, .wiring = wiring, .link = *link};
    search.out.both_ways = link->kind == LinkKind::open_drain || link->kind == LinkKind::two_way;
    const auto ends = [&](const std::vector<PinRef>& refs, bool driver) {
        for (const PinRef& ref : refs)
            if (const int part = wiring.part(ref.part); part >= 0)
                if (const int pin = wiring.parts[part].type->pin_index(ref.pin); pin >= 0)
                    search.add_end(part, pin, driver, !driver);
    };
    ends(link->from, true);
    ends(link->to, false);
    search.walk();
    search.add_beside();
    search.add_odd();
    search.settle_flags();
    search.note_left_out();
    order_nets(wiring, search.seen, search.out);
    return std::move(search.out);
}

}  // namespace voltsill::drawing
