#include "judging/inspection.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "quantity/print.h"

namespace voltsill {

std::vector<std::string> Inspection::links_at(const PinSite& site) const {
    const NetId n = net(site);
    if (n >= 0 && !links_of_net[n].empty()) return links_of_net[n];
    return {std::string{}};
}

Finding Inspection::finding(const char* code, const Link& link, const Scene& scene, const PinSite& site,
                            Dimension dimension) const {
    Finding f{.code = code,
              .link = link.name,
              .part = part(site).name,
              .pin = pin(site).name,
              .dimension = dimension};
    f.state = scene.words;
    return f;
}

void Inspection::add(Finding finding, const PinSite& site) {
    finding.part = part(site).name;
    finding.pin = pin(site).name;
    if (const NetId n = net(site); n >= 0) finding.net = wiring.nets[n].name;
    for (const std::string& link : links_at(site)) {
        Finding copy = finding;
        copy.link = link;
        add(std::move(copy));
    }
}

void Inspection::add(Finding finding) {
    if (enough && !answered && enough(finding)) answered = true;
    const std::string key =
        fmt::format("{}\n{}\n{}\n{}\n{}\n{}", finding.code, finding.link, finding.part, finding.pin, finding.net,
                    std::string_view(finding.state).substr(0, finding.state.find(';')));
    const auto [at, fresh] = finding_of.emplace(key, static_cast<int>(out.findings.size()));
    if (fresh) {
        out.findings.push_back(std::move(finding));
        return;
    }
    Finding& old = out.findings[at->second];
    if (finding.verdict > old.verdict || (finding.verdict == old.verdict && finding.margin < old.margin))
        old = std::move(finding);
}

void Inspection::index() {
    for (size_t p = 0; p < wiring.parts.size(); ++p)
        part_of_name.emplace(wiring.parts[p].name, static_cast<int>(p));
    units_of_part.resize(wiring.parts.size());
    for (size_t u = 0; u < circuit.units.size(); ++u)
        units_of_part[circuit.units[u].part].push_back(static_cast<int>(u));
}

const PinSite* Inspection::site_of(const PinRef& end) const {
    const auto part = part_of_name.find(end.part);
    if (part == part_of_name.end()) return nullptr;
    const int pin = wiring.parts[part->second].type->pin_index(end.pin);
    return pin < 0 ? nullptr : &circuit.site(part->second, pin);
}

std::pair<int, int> share_site(const Inspection& in, const Island& island) {
    for (int s : island.pins)
        if (in.net(in.circuit.pins[s]) >= 0) return {in.circuit.pins[s].part, in.circuit.pins[s].pin};
    return {-1, -1};
}

Functional above(const Circuit&, const Island& island, const PinSite& site, const Level& level) {
    Functional f;
    const Node pin = island.local(site.node), supply = island.local(site.supply),
               gnd = island.local(site.ground);
    f.terms.emplace_back(pin, 1.0);
    f.terms.emplace_back(supply, -level.ratio);
    f.terms.emplace_back(gnd, -1.0 + level.ratio);
    f.offset = -level.offset.si();
    return f;
}

Functional voltage_at(const Island& island, const PinSite& site) {
    return voltage_of(island.local(site.node));
}

void Inspection::add_for_part(const Finding& finding) {
    std::vector<std::string> links;
    for (NetId n : wiring.parts[wiring.part(finding.part)].net_of_pin)
        if (n >= 0)
            for (const std::string& link : links_of_net[n])
                if (std::ranges::find(links, link) == links.end()) links.push_back(link);
    if (links.empty()) links.push_back({});
    for (const std::string& link : links) {
        Finding copy = finding;
        copy.link = link;
        add(std::move(copy));
    }
}

Span<Volts> supply_span(const Inspection& in, const Scene& scene, const PinSite& site) {
    for (const RailSite& rail : in.circuit.rails)
        if (rail.node == site.supply && scene.powered(site.supply))
            return in.bench.rail(rail.name)->volts.span;
    return Span<Volts>::exactly(supply_volts(scene, site));
}

namespace {

/// V: what `say` rounds to.
constexpr double worth_saying = 1e-3;

/// Where the end of its range comes from at which a corner puts a figure.
Provenance end_origin(const Parameter& moved, bool low) {
    const Provenance* end = low ? moved.lo_origin : moved.hi_origin;
    return end ? weakest(*end, moved.origin) : moved.origin;
}

/// How far the functional moves when a figure goes back from the corner to its nominal value.
struct Mover {
    const Island& island;
    const Levels& levels;
    const Functional& functional;
    Effort& effort;
    std::vector<double> values, volts;
    double at_corner = 0;
    bool solved = false;

    bool moves(ParamId p) {
        const double end = std::exchange(values[p], island.nominal[p]);
        const bool known = solved && solve(island, levels, values, volts, effort);
        values[p] = end;
        return !known || std::abs(value_of(functional, volts) - at_corner) >= worth_saying;
    }
};

}  // namespace

Provenance origin_of(const Island& island, const Levels& levels, const std::vector<double>& corner,
                     const Functional& functional, Effort& effort) {
    Provenance origin{Certainty::guaranteed, "rails as stated in the bench file"};
    bool named = false;
    for (size_t s = 0; s < levels.size(); ++s) {
        const Stage& stage = island.net.stages[s];
        const ParamId p = levels[s] == Logic::one    ? stage.up_strength
                          : levels[s] == Logic::zero ? stage.down_strength
                                                     : no_param;
        if (p == no_param) continue;
        const Provenance& printed = island.net.parameters[p].origin;
        // A printed level says more than "as stated in the bench file", where both are as good.
        const bool as_good =
            printed.certainty == origin.certainty && printed.from_memory == origin.from_memory;
        origin = !named && as_good ? printed : weakest(origin, printed);
        named = true;
    }
    Mover mover{island, levels, functional, effort, corner, {}};
    mover.solved = solve(island, levels, corner, mover.volts, effort);
    if (mover.solved) mover.at_corner = value_of(functional, mover.volts);
    for (ParamId p : island.varying) {
        if (corner[p] == island.nominal[p]) continue;
        const Provenance weaker =
            weakest(origin, end_origin(island.net.parameters[p], corner[p] < island.nominal[p]));
        if (weaker != origin && mover.moves(p)) origin = weaker;
    }
    return origin;
}

std::string say(Volts volts) { return print(Volts{std::round(volts.si() * 1e3) / 1e3 + 0.0}, {.digits = 4}); }
std::string say(Amps amps) { return print(std::abs(amps.si()) < 1e-9 ? Amps{} : amps); }

Volts supply_volts(const Scene& scene, const PinSite& site) {
    return site.supply > 0 && scene.powered(site.supply) ? Volts{scene.held[site.supply]} : Volts{};
}

}  // namespace voltsill
