#include "engine/reading.h"

#include <algorithm>

#include "planning/circuit_kind.h"
#include "quantity/scan.h"
#include "records/in_order.h"
#include "records/reader.h"

namespace voltsill {
namespace {

/// Circuits are the planner's: the reader of the bench takes any name. Told with all other mistakes.
/// The part behind a circuit is looked for among the types of the bench, when there is one.
void name_circuits(std::string_view bytes, const std::string& file, const Bench* bench, Problems& problems) {
    if (bytes.find("interface") == std::string_view::npos) return;
    ParsedText parsed = parse_toml(bytes, file);
    parsed.problems.clear();
    const Entry* links = parsed.root.find("links");
    if (!links) return;
    std::vector<std::string> names;
    for (const CircuitKind& kind : all_circuits()) names.push_back(kind.name);
    Reader reader(parsed);
    for (const Value& link : links->value.items) {
        const Entry* said = link.find("interface");
        if (!said || !said->value.is(ValueKind::string) || said->value.text.empty()) continue;
        const InterfaceWish wish = wish_for(said->value.text);
        if (std::ranges::find(names, wish.circuit) != names.end()) {
            if (wish.part.empty() || !bench || bench->catalogue->find(wish.part)) continue;
            reader.unknown_name(reader.inside(said->value, wish.circuit.size() + 1, wish.part.size()), "unknown-type",
                                "there is no part type " + in_quotes(wish.part), wish.part,
                                bench->catalogue->names(), "a part that this circuit can use");
            continue;
        }
        std::string listed;
        for (const std::string& name : names) listed += (listed.empty() ? "one of " : ", ") + name;
        reader.unknown_name(said->value.spot, "unknown-interface",
                            "there is no interface circuit " + in_quotes(wish.circuit), wish.circuit, names,
                            listed);
    }
    for (Problem& problem : reader.take()) problems.push_back(std::move(problem));
}

}  // namespace

BenchReading read_for_job(std::string_view bytes, const std::string& file, const Includer& include) {
    BenchReading reading = read_bench(bytes, file, include);
    name_circuits(bytes, file, reading.bench ? &*reading.bench : nullptr, reading.problems);
    put_in_order(reading.problems, file);
    if (has_error(reading.problems)) reading.bench.reset();
    return reading;
}

Wiring wired_as_written(const Bench& bench, std::string_view bytes, const std::string& file, Problems& problems) {
    Problems of_wires;
    Wiring wiring = wire_as_given(bench, of_wires);
    if (of_wires.empty()) return wiring;
    const Source source(file, std::string(bytes));
    for (Problem& problem : of_wires) {
        problem.excerpt = source.excerpt(problem.place.line);
        problems.push_back(std::move(problem));
    }
    put_in_order(problems, file);
    return wiring;
}

}  // namespace voltsill
