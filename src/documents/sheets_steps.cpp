#include "documents/sheets_steps.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "quantity/colour_code.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

bool decouples(const WiredPart& part) { return part.type->kind == PartKind::capacitor; }

/// Integrated circuits and what else has a body with rows of pins.
bool is_package(const WiredPart& part) {
    return part.type->kind == PartKind::logic || part.type->kind == PartKind::translator ||
           part.type->kind == PartKind::comparator || part.type->kind == PartKind::op_amp ||
           part.type->kind == PartKind::opto;
}

/// Which link a net or a part belongs to.
struct LinkFinder {
    const Bench& bench;
    const std::vector<LinkReading>& levels;

    std::string of_net(const std::string& net) const {
        std::string best;
        for (const Link& link : bench.links)
            if (net.starts_with(link.name) && link.name.size() > best.size()) best = link.name;
        if (!best.empty()) return best;
        const auto at = std::ranges::find(levels, net, [](const LinkReading& r) { return r.reading.net; });
        return at == levels.end() ? std::string{} : at->link;
    }
    std::string of_part(const Wiring& wiring, const WiredPart& part) const {
        if (!part.for_link.empty()) return part.for_link;
        for (const NetId n : part.net_of_pin)
            if (n >= 0 && !wiring.nets[n].ground && wiring.nets[n].rail.empty())
                if (std::string link = of_net(wiring.nets[n].name); !link.empty()) return link;
        return {};
    }
};

struct Builder {
    const Bench& bench;
    const PlacedWiring& placed;
    const std::vector<BuildWire>& wires;
    const LinkFinder find;
    std::vector<BuildPhase> phases;
    std::set<int> laid, put;  ///< wires by number, parts by index

    const Wiring& wiring() const { return placed.wiring; }
    bool on_board(int part) const {
        return part < static_cast<int>(placed.placement.parts.size()) &&
               placed.placement.parts[part].on_board();
    }

    BuildPhase& begin(std::string title, std::string about, std::string link = {}) {
        phases.push_back({std::move(title), std::move(about), std::move(link), {}, {}});
        return phases.back();
    }
    void say(std::string text, std::string more = {}) {
        phases.back().steps.push_back({.text = std::move(text), .more = std::move(more)});
    }
    template <class Wanted>
    void lay(const Wanted& wanted) {
        for (const BuildWire& wire : wires)
            if (wanted(wire) && laid.insert(wire.number).second)
                phases.back().steps.push_back({.wire = wire.number});
    }
    template <class Wanted>
    void place_parts(const Wanted& wanted) {
        for (int p = 0; p < static_cast<int>(wiring().parts.size()); ++p) {
            const WiredPart& part = wiring().parts[p];
            const bool here = on_board(p) || (part.added && placed.placement.parts.empty());
            if (here && wanted(part) && put.insert(p).second)
                phases.back().steps.push_back({.part = p, .text = place_words(p), .more = more_words(p)});
        }
    }

    std::string hole(int part, int lead) const {
        return words(placed.placement, placed.placement.parts[part].holes[lead]);
    }
    std::string place_words(int p) const {
        const WiredPart& part = wiring().parts[p];
        std::string out = fmt::format("Put in {}, {}", part.name, part_words(part));
        if (!on_board(p)) return out + ".";
        const size_t leads = placed.placement.parts[p].holes.size();
        if (is_package(part) && leads > 2)
            return fmt::format("{}: pin 1 in {}, pin {} in {}, the notch at the end of pins 1 and {}.", out,
                               hole(p, 0), leads, hole(p, static_cast<int>(leads) - 1), leads);
        std::vector<std::string> ends;
        for (size_t n = 0; n < leads; ++n) {
            const int pin = pin_of_lead(part, static_cast<int>(n));
            const bool numbered = pin < 0 || part.type->pins[pin].name == std::to_string(n + 1);
            ends.push_back(fmt::format("{} in {}",
                                       numbered ? fmt::format("lead {}", n + 1) : part.type->pins[pin].name,
                                       hole(p, static_cast<int>(n))));
        }
        return fmt::format("{}: {}.", out, fmt::join(ends, ", "));
    }
    std::string more_words(int p) const {
        const WiredPart& part = wiring().parts[p];
        std::vector<std::string> out;
        if (!part.purpose.empty()) out.push_back(part.purpose);
        if (const std::string bands = band_words(part); !bands.empty()) out.push_back("bands " + bands);
        if (is_package(part)) out.push_back("check every letter of the print on it");
        return fmt::format("{}", fmt::join(out, "; "));
    }
};

bool at_terminal(const BuildWire& wire) {
    return wire.from.starts_with("supply ") || wire.to.starts_with("supply ");
}

}  // namespace

std::string band_words(const WiredPart& part) {
    if (part.type->kind != PartKind::resistor || !part.value) return {};
    const double tolerance = part.tolerance.value_or(std::get<ResistorModel>(part.type->model).tolerance);
    for (const int count : {4, 5})
        if (const auto bands = colour_bands({Ohms{*part.value}, tolerance}, count)) {
            std::vector<std::string_view> names;
            for (const BandColour* band : *bands) names.push_back(band->name);
            return fmt::format("{}", fmt::join(names, ", "));
        }
    return {};
}

std::vector<BuildWire> build_wires(const PlacedWiring& placed) {
    std::vector<BuildWire> out;
    if (placed.trouble.empty() && !placed.placement.wires.empty()) {
        for (const LaidWire& wire : placed.placement.wires)
            out.push_back({.number = wire.number,
                           .from = words(placed.placement, placed.wiring, wire.from),
                           .to = words(placed.placement, placed.wiring, wire.to),
                           .net = wire.net < 0 ? "" : placed.wiring.nets[wire.net].name,
                           .colour = wire.colour,
                           .reason = wire.reason,
                           .metres = wire.metres,
                           .use = wire.use});
        return out;
    }
    for (const WireListEntry& wire : wire_list(placed.wiring)) {
        out.push_back({.number = static_cast<int>(out.size()) + 1,
                       .from = wire.from,
                       .to = wire.to,
                       .net = wire.net,
                       .reason = wire.reason,
                       .use = wire.use});
    }
    return out;
}

std::vector<BuildPhase> build_phases(const Bench& bench, const PlacedWiring& placed,
                                     const std::vector<BuildWire>& wires,
                                     const std::vector<LinkReading>& levels) {
    Builder b{bench, placed, wires, LinkFinder{bench, levels}, {}, {}, {}};
    const Wiring& wiring = placed.wiring;
    b.begin("Power off", "Nothing is wired while anything is powered, not even one end.");
    b.say("Switch every supply off and pull its plug; pull the USB plug of every module.");
    b.say("Lay out the parts and count them against the list.");
    b.say("Look at every wire and module for bare strands and bent pins.");

    b.begin("Grounds and strips", "One ground for all, and strips that are whole from end to end.");
    b.lay([&](const BuildWire& w) { return w.use == WireUse::ground && at_terminal(w); });
    b.lay([&](const BuildWire& w) { return w.use == WireUse::bridge; });
    b.phases.back().gate =
        "Continuity along every strip from its first hole to its last; no continuity between strips.";

    b.begin("Packages", "Notch and pin 1 first: a package the wrong way round dies at power-up.");
    b.place_parts([](const WiredPart& p) { return is_package(p) || p.type->kind == PartKind::module; });
    b.phases.back().gate = "Every pin went in: none is folded under a body.";

    b.begin("Ground of every part", "");
    b.lay([](const BuildWire& w) { return w.use == WireUse::ground; });
    b.begin("Supplies", "Still off: supplies are joined, not switched.");
    b.lay([](const BuildWire& w) { return w.use == WireUse::supply; });
    b.phases.back().gate = "Continuity from the supply pin of every part to its own rail, and to no other.";

    const auto is_signal_part = [&](const WiredPart& p) {
        return !decouples(p) && !is_package(p) && !b.find.of_part(wiring, p).empty();
    };
    b.begin("Straps and unused inputs", "Inputs that nothing drives float, and floating inputs mislead.");
    b.place_parts([&](const WiredPart& p) { return !decouples(p) && !is_signal_part(p); });
    b.lay([](const BuildWire& w) { return w.use == WireUse::strap; });

    b.begin("Decoupling", "At the pins they belong to, leads short.");
    b.place_parts(decouples);

    std::vector<std::string> order;
    for (const Link& link : bench.links) order.push_back(link.name);
    order.push_back({});
    bool first = true;
    for (const std::string& name : order) {
        const bool rest = name.empty();
        b.begin(rest ? "What is left" : fmt::format("{}: {}", first ? "First channel" : "Channel", name),
                first ? "One channel complete, checked before the others are begun." : "", name);
        b.place_parts([&](const WiredPart& p) { return rest || b.find.of_part(wiring, p) == name; });
        b.lay([&](const BuildWire& w) { return rest || b.find.of_net(w.net) == name; });
        if (b.phases.back().steps.empty()) {
            b.phases.pop_back();
            continue;
        }
        if (!rest)
            b.phases.back().gate =
                first ? fmt::format(
                            "Do the power-off and limited-power checks now, then the static levels of "
                            "{}; switch off again before going on.",
                            name)
                      : fmt::format("Continuity along {} with the power off.", name);
        first = false;
    }
    std::erase_if(b.phases, [](const BuildPhase& p) { return p.steps.empty(); });
    return std::move(b.phases);
}

}  // namespace voltsill
