#include "drawing/rail_map_lines.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <deque>
#include <map>
#include <tuple>

#include "drawing/circuit_scheme.h"
#include "quantity/print.h"

namespace voltsill::drawing {
namespace {

using Kind = Element::Kind;

/// Elements in series on a shortest way between two nets.
std::vector<const Element*> way_between(const Wiring& wiring, const Scheme& scheme, NetId from, NetId to) {
    std::map<NetId, std::pair<NetId, const Element*>> came{{from, {unconnected, nullptr}}};
    std::deque<NetId> waiting{from};
    while (!waiting.empty() && !came.contains(to)) {
        const NetId net = waiting.front();
        waiting.pop_front();
        for (const Element& e : scheme.elements) {
            const bool here = std::ranges::any_of(e.joints, [&](const Joint& j) {
                return j.net == net && j.way != Joint::Way::supply && j.way != Joint::Way::control;
            });
            for (const Joint& j : e.joints)
                if (here && j.net >= 0 && !is_supply(wiring, j.net) && j.way != Joint::Way::control &&
                    j.way != Joint::Way::supply && came.emplace(j.net, std::pair{net, &e}).second)
                    waiting.push_back(j.net);
        }
    }
    std::vector<const Element*> out;
    if (!came.contains(to)) return out;
    for (NetId net = to; came.at(net).second; net = came.at(net).first) out.push_back(came.at(net).second);
    std::ranges::reverse(out);
    return out;
}

/// The resistor from a net to the ground, or to a rail, that was added.
const WiredPart* shunt(const Wiring& wiring, const Scheme& scheme, NetId net, bool down) {
    for (const Element& e : scheme.elements) {
        const WiredPart& part = wiring.parts[e.part];
        if (e.kind != Kind::two_leads || part.type->kind != PartKind::resistor || e.joints.size() != 2)
            continue;
        for (const int k : {0, 1}) {
            const NetId far = e.joints[1 - k].net;
            if (e.joints[k].net == net && is_supply(wiring, far) && wiring.nets[far].ground == down)
                return &part;
        }
    }
    return nullptr;
}

std::string ohms_of(const WiredPart& part) { return part.value ? print(Ohms{*part.value}) : part.name; }

/// A resistor at the base or gate of a transistor on the same way: part of how that is switched, no divider of the
/// signal.
bool is_of_transistor(const Wiring& wiring, const std::vector<const Element*>& way, const Element& resistor) {
    return std::ranges::any_of(way, [&](const Element* e) {
        if (e->kind != Kind::transistor) return false;
        const PartType& type = *wiring.parts[e->part].type;
        const int control = type.pin_index(type.kind == PartKind::bjt ? "B" : "G");
        return std::ranges::any_of(e->joints, [&](const Joint& j) {
            return j.pin == control &&
                   std::ranges::find(resistor.joints, j.net, &Joint::net) != resistor.joints.end();
        });
    });
}

std::string words_of(const Wiring& wiring, const Scheme& scheme, const Element& e) {
    const WiredPart& part = wiring.parts[e.part];
    switch (part.type->kind) {
        case PartKind::resistor: {
            const NetId far = scheme.depth.at(e.joints[0].net) > scheme.depth.at(e.joints[1].net)
                                  ? e.joints[0].net
                                  : e.joints[1].net;
            if (const WiredPart* low = shunt(wiring, scheme, far, true))
                return fmt::format("divider {} over {}", ohms_of(part), ohms_of(*low));
            return "series " + ohms_of(part);
        }
        case PartKind::capacitor:
            return "capacitor " + part.name;
        case PartKind::diode:
        case PartKind::mosfet:
        case PartKind::bjt:
        case PartKind::opto:
            return part.type->name;
        default:
            return part.type->name + " " + part.name;
    }
}

}  // namespace

std::string circuit_words(const Bench& bench, const Wiring& wiring, const Link& link, const PinRef& from,
                          const PinRef& to) {
    const NetId a = wiring.net_at(from.part, from.pin), b = wiring.net_at(to.part, to.pin);
    if (a == unconnected || b == unconnected) return "not joined";
    const Scheme scheme = scheme_of(bench, wiring, link.name);
    if (a == b) {
        if (const WiredPart* low = shunt(wiring, scheme, a, true); low && low->added)
            return "lower resistor " + ohms_of(*low);
        if (const WiredPart* up = shunt(wiring, scheme, a, false); up && up->added)
            return "pull-up " + ohms_of(*up);
        return "one wire";
    }
    std::string out;
    std::string before;
    int times = 0;
    const std::vector<const Element*> way = way_between(wiring, scheme, a, b);
    for (const Element* e : way) {
        if (wiring.parts[e->part].type->kind == PartKind::resistor && is_of_transistor(wiring, way, *e)) continue;
        const std::string word = words_of(wiring, scheme, *e);
        if (word == before) {
            ++times;
            continue;
        }
        out += (out.empty() ? "" : ", ") + word;
        before = word, times = 1;
    }
    if (times > 1) out = fmt::format("{} × {}", times, out);
    return out.empty() ? "not joined" : out;
}

namespace {

/// Rail that the levels of a pin follow; empty: none.
std::string rail_of(const Bench& bench, const BenchPart& part, int pin) {
    const int supply = pin < 0 ? -1 : part.type->pins[pin].supply;
    const auto by_port = [&](const std::string& port) -> std::string {
        for (const auto& [name, rail] : part.supplies)
            if (name == port) return rail;
        for (const Rail& rail : bench.rails)
            if (rail.from == part.name + "." + port) return rail.name;
        return {};
    };
    if (supply >= 0) return by_port(part.type->supplies[supply].name);
    return {};
}

struct Contents {
    const Bench& bench;
    const Wiring* wiring;
    const Judgement* judgement;
    int coarseness;
    MapContents out;
    std::map<std::string, int> band_of;
    std::map<std::tuple<std::string, int>, int> station_of;
    using LineKey = std::tuple<int, int, bool, std::string, std::string, int>;
    std::map<LineKey, size_t> line_of;

    void bands() {
        std::vector<const Rail*> rails;
        for (const Rail& r : bench.rails) rails.push_back(&r);
        std::ranges::stable_sort(rails, std::greater{},
                                 [](const Rail* r) { return r->volts.span.nominal.si(); });
        for (const Rail* r : rails) {
            band_of[r->name] = static_cast<int>(out.bands.size());
            Band band{r->name, r->volts.span.nominal.si(), {print(r->volts.span)}};
            band.facts.push_back(r->from.empty() ? "own supply"
                                                 : "from " + r->from.substr(0, r->from.find('.')));
            if (r->limit) band.facts.push_back(print(*r->limit) + " at most");
            out.bands.push_back(std::move(band));
        }
    }

    int station(const BenchPart& part, int pin) {
        const std::string rail = rail_of(bench, part, pin);
        if (rail.empty() && !band_of.contains("")) {
            band_of[""] = static_cast<int>(out.bands.size());
            out.bands.push_back({.facts = {"no supply"}});
        }
        return station_in(part, band_of.at(rail));
    }

    int station_in(const BenchPart& part, int band) {
        const std::string key = coarseness >= 3 ? "" : coarseness == 2 ? part.type_name : part.name;
        const auto [at, is_new] =
            station_of.emplace(std::tuple(key, band), static_cast<int>(out.stations.size()));
        if (is_new) out.stations.push_back({.band = band});
        Station& s = out.stations[at->second];
        if (std::ranges::find(s.parts, part.name) == s.parts.end()) s.parts.push_back(part.name);
        s.title = s.parts.size() == 1 ? part.name
                  : coarseness == 2   ? fmt::format("{} × {}", s.parts.size(), part.type_name)
                                      : fmt::format("{} parts", s.parts.size());
        return at->second;
    }

    void line(const Link& link, const PinRef& from, const PinRef& to, bool both) {
        const BenchPart *a = bench.part(from.part), *b = bench.part(to.part);
        if (!a || !b) return;
        const int pin_a = a->type->pin_index(from.pin), pin_b = b->type->pin_index(to.pin);
        MapLine l{.from = station(*a, pin_a), .to = station(*b, pin_b), .both_ways = both};
        const std::string circuit =
            wiring && coarseness < 2 ? circuit_words(bench, *wiring, link, from, to) : "";
        std::optional<Verdict> verdict;
        if (judgement)
            for (const LinkJudgement& j : judgement->links)
                if (j.link == link.name) verdict = j.verdict;
        const bool fine = coarseness == 0;
        const LineKey key{l.from,
                          l.to,
                          both,
                          fine ? circuit : "",
                          fine ? link.group + link.bus : "",
                          fine && verdict ? static_cast<int>(*verdict) : -1};
        const auto [at, is_new] = line_of.emplace(key, out.lines.size());
        if (is_new) out.lines.push_back(l);
        MapLine& kept = out.lines[at->second];
        kept.from_pins.push_back(from.pin);
        kept.to_pins.push_back(to.pin);
        if (!kept.links.empty() && kept.links.back() == link.name) return;
        kept.links.push_back(link.name);
        if (!circuit.empty() && std::ranges::find(kept.circuits, circuit) == kept.circuits.end())
            kept.circuits.push_back(circuit);
        if (verdict) ++kept.verdicts[*verdict];
    }

    void lines() {
        for (const Link& link : bench.links) {
            if (link.from.empty()) continue;
            const bool both = link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way;
            for (const PinRef& to : link.to) line(link, link.from[0], to, both);
            for (size_t k = 1; k < link.from.size(); ++k) {
                if (both || link.to.empty())
                    line(link, link.from[0], link.from[k], true);
                else
                    line(link, link.from[k], link.to[0], false);
            }
        }
    }

    /// Parts that a rail feeds or that make it, also where no link ends.
    void supplies() {
        for (const BenchPart& part : bench.parts) {
            for (const auto& [port, rail] : part.supplies)
                if (band_of.contains(rail) && !rail.empty()) note(part, band_of.at(rail), "takes " + port);
            for (const Rail& rail : bench.rails)
                if (rail.from.starts_with(part.name + "."))
                    note(part, band_of.at(rail.name), "makes this rail");
        }
    }
    void note(const BenchPart& part, int band, const std::string& words) {
        const int s = station_in(part, band);
        Station& station = out.stations[s];
        if (station.parts.size() == 1)
            station.note = station.note.empty() ? words : station.note + ", " + words;
    }
};

}  // namespace

std::string MapLine::circuit_words() const {
    return circuits.size() < 4 ? fmt::format("{}", fmt::join(circuits, ", "))
                               : fmt::format("{} circuits", circuits.size());
}

std::optional<Verdict> MapLine::worst() const {
    return verdicts.empty() ? std::nullopt : std::optional(verdicts.rbegin()->first);
}

std::string MapLine::verdict_words() const {
    std::vector<std::string> out;
    for (auto v = verdicts.rbegin(); v != verdicts.rend(); ++v)
        out.push_back(verdicts.size() == 1
                          ? fmt::format("{} {}", to_sign(v->first), to_word(v->first))
                          : fmt::format("{} {} {}", to_sign(v->first), v->second, to_word(v->first)));
    return fmt::format("{}", fmt::join(out, ", "));
}

MapContents map_contents(const Bench& bench, const Wiring* wiring, const Judgement* judgement,
                         int coarseness) {
    Contents c{bench, wiring, judgement, coarseness, {}, {}, {}, {}};
    c.bands();
    c.lines();
    c.supplies();
    return std::move(c.out);
}

}  // namespace voltsill::drawing
