/// An existing build: its parts and wires, end to end.
#include "bench/bench_work.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

/// An end as a name that is the same for the same point: pins by their own name.
std::optional<std::string> end_of(BenchWork& work, const Text& text) {
    constexpr std::string_view rail = "rail ";
    if (!text.at) return std::nullopt;
    if (text.text == "ground") return text.text;
    if (text.text.starts_with(rail)) {
        const std::string name = text.text.substr(rail.size());
        if (work.rails.contains(name)) return text.text;
        work.reader.unknown_name(work.reader.inside(*text.at, rail.size(), name.size()), "unknown-rail",
                                 "there is no rail " + in_quotes(name), name, work.rail_names());
        return std::nullopt;
    }
    if (text.text.find('.') == std::string::npos) {
        NameList names{"ground"};
        for (const std::string& name : work.rail_names()) names.push_back("rail " + name);
        Problem problem = work.reader.source().problem(
            text.at->spot, "bad-wire-end", in_quotes(text.text) + " is no end of a wire",
            "\"part.PIN\", \"part.NUMBER\", \"rail NAME\" or \"ground\"");
        problem.nearest =
            work.rails.contains(text.text) ? "rail " + text.text : nearest_name(text.text, names);
        work.reader.add(std::move(problem));
        return std::nullopt;
    }
    const auto found = find_pin(work, text);
    if (!found) return std::nullopt;
    return found->part->name + '.' + found->get().name;
}

void take_wire(BenchWork& work, const WireRecord& record,
               std::map<std::pair<std::string, std::string>, Spot>& seen) {
    if (!record.at) return;
    auto from = end_of(work, record.from), to = end_of(work, record.to);
    if (!from || !to) return;
    if (*from == *to) {
        work.reader.error(record.at->spot, "same-pin", "both ends of this wire are " + *from,
                          "two different ends");
        return;
    }
    auto ends = *from < *to ? std::pair(*from, *to) : std::pair(*to, *from);
    const auto [other, first] = seen.emplace(std::move(ends), record.at->spot);
    if (!first) {
        Problem problem =
            work.reader.source().problem(record.at->spot, "duplicate-wire",
                                         "this wire from " + *from + " to " + *to + " is there already");
        problem.severity = Severity::warning;
        problem.other = work.reader.place(other->second);
        problem.other_excerpt = work.reader.source().excerpt(problem.other.line);
        work.reader.add(std::move(problem));
    }
    work.bench.wiring->wires.push_back(
        {record.from.text, record.to.text, work.reader.place(record.at->spot)});
}

}  // namespace

void take_wiring(BenchWork& work) {
    if (!work.file.wiring) return;
    const WiringRecord& record = *work.file.wiring;
    GivenWiring& wiring = work.bench.wiring.emplace();
    wiring.place = record.place;
    wiring.parts.reserve(record.parts.size());
    for (const Named<PartRecord>& named : record.parts) wiring.parts.push_back(take_part(work, named));
    for (const BenchPart& part : wiring.parts) {
        const auto [other, first] = work.parts.emplace(part.name, &part);
        if (!first)
            work.reader.conflict(spot_of(part.place), spot_of(other->second->place), "duplicate-name",
                                 "two parts are called " + in_quotes(part.name), "a name of its own");
    }
    std::map<std::pair<std::string, std::string>, Spot> seen;
    for (const WireRecord& wire : record.wires) take_wire(work, wire, seen);
    if (record.wires.empty())
        work.warn(spot_of(record.place), "no-wires",
                  "this wiring has no wires: nothing is joined to anything",
                  "wires = [[\"gauge.GND\", \"ground\"]]");
}

}  // namespace voltsill
