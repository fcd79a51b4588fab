#include "engine/reading.h"

#include <algorithm>

#include "planning/circuit_kind.h"

namespace voltsill {
namespace {

/// Circuits are the planner's; a bench file can only name one.
void name_circuits(const Bench& bench, Problems& problems) {
    std::vector<std::string> names;
    for (const CircuitKind& kind : all_circuits()) names.push_back(kind.name);
    for (const Link& link : bench.links) {
        if (link.interface.empty() || std::ranges::find(names, link.interface) != names.end()) continue;
        std::string listed;
        for (const std::string& name : names) listed += (listed.empty() ? "" : ", ") + name;
        problems.push_back({.code = "unknown-interface",
                            .place = link.place,
                            .message = "link \"" + link.name + "\" asks for the interface circuit \"" +
                                       link.interface + "\", which there is not",
                            .expected = "one of " + listed,
                            .nearest = nearest_name(link.interface, names)});
    }
}

}  // namespace

BenchReading read_for_job(std::string_view bytes, const std::string& file, const Includer& include) {
    BenchReading reading = read_bench(bytes, file, include);
    if (reading.bench) name_circuits(*reading.bench, reading.problems);
    if (has_error(reading.problems)) reading.bench.reset();
    return reading;
}

}  // namespace voltsill
