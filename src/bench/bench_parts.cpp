/// Parts: their types, values and the rails of their supplies.
#include <algorithm>

#include "bench/bench_work.h"
#include "quantity/print.h"
#include "quantity/scan.h"
#include "records/likely.h"

namespace voltsill {
namespace {

std::shared_ptr<const PartType> shared_type(const Catalogue& catalogue, const PartType* type) {
    for (const auto& known : catalogue.types())
        if (known.get() == type) return known;
    return nullptr;
}

/// A name as TOML has it among keys: bare if it can be.
std::string as_key(const std::string& name) {
    const bool bare = !name.empty() && std::ranges::all_of(name, [](unsigned char c) {
        return ('a' <= c && c <= 'z') || ('A' <= c && c <= 'Z') || ('0' <= c && c <= '9') || c == '-' || c == '_';
    });
    return bare ? name : in_quotes(name);
}

/// Unknown as a whole, or known but not in the package that the last word names. Of a type that is
/// described and could not be made, that was told.
void report_type(BenchWork& work, const Text& text) {
    const Catalogue& catalogue = *work.bench.catalogue;
    const std::size_t blank = text.text.rfind(' ');
    if (work.described.contains(text.text) || work.described.contains(text.text.substr(0, blank))) return;
    if (blank != std::string::npos) {
        if (const PartType* type = catalogue.find(std::string_view(text.text).substr(0, blank))) {
            const std::string package = text.text.substr(blank + 1);
            NameList names;
            for (const Package& p : type->packages) names.push_back(p.name);
            work.reader.unknown_name(
                work.reader.inside(*text.at, blank + 1, package.size()), "unknown-package",
                in_quotes(type->name) + " is not known in a package " + in_quotes(package), package, names);
            return;
        }
    }
    work.reader.unknown_name(
        text.at->spot, "unknown-type", "there is no part type " + in_quotes(text.text), text.text, catalogue.names(),
        "a type that `voltsill parts search WORDS` finds, or your own in a table [types." + as_key(text.text) + "]");
}

template <class Q>
std::optional<double> value_within(BenchWork& work, const Text& text, Q lowest, Q highest, const Likely& bounds) {
    const auto span = parse<Q>(text.text);
    if (!span) {
        work.reader.trouble(*text.at, span.error());
        return std::nullopt;
    }
    if (span->lo != span->hi) {
        work.reader.error(text.at->spot, "not-one-value", "a range or tolerance where one value is needed",
                          "a value such as " + in_quotes(print(span->nominal)));
        return std::nullopt;
    }
    if (span->nominal < lowest || span->nominal > highest) {
        work.reader.error(text.at->spot, "out-of-range", print(span->nominal) + " is no value of such a part",
                          print(lowest) + " to " + print(highest));
        return std::nullopt;
    }
    Doubted<Q>::by(*text.at, span->nominal, bounds, work.reader);
    return span->nominal.si();
}

std::optional<double> take_value(BenchWork& work, const PartRecord& record, const PartType& type,
                                 const Spot& name) {
    const bool resistor = type.kind == PartKind::resistor, capacitor = type.kind == PartKind::capacitor;
    if (!record.keys.find("value")) {
        if (resistor || capacitor)
            work.reader.error(name, "missing-key", "this " + type.name + " has no \"value\"",
                              resistor ? "value = \"4.7 kΩ\"" : "value = \"100 nF\"");
        return std::nullopt;
    }
    if (!record.value || !record.value->at) return std::nullopt;
    // The bounds are those of parts that can be bought, generously (common practice).
    if (resistor) return value_within(work, *record.value, Ohms{1e-3}, Ohms{1e12}, {.least = 0.05, .most = 1e9});
    if (capacitor)
        return value_within(work, *record.value, Farads{1e-15}, Farads{100.0}, {.least = 1e-13, .most = 47e-3});
    work.reader.error(record.value->at->spot, "no-value", in_quotes(type.name) + " is a part without a value",
                      "no `value`: only resistors and capacitors have one");
    return std::nullopt;
}

std::vector<std::string> take_removed_pulls(BenchWork& work, const PartRecord& record, const PartType& type) {
    const auto removable = [](const Pin& pin) { return std::ranges::any_of(pin.pulls, &Pull::removable); };
    std::vector<std::string> result;
    for (const Text& text : record.pulls_removed) {
        if (!text.at) continue;
        NameList names;
        for (const Pin& pin : type.pins)
            if (removable(pin)) names.push_back(pin.name);
        const int pin = type.pin_index(text.text);
        if (pin < 0)
            work.reader.unknown_name(text.at->spot, "unknown-pin",
                                     in_quotes(type.name) + " has no pin " + in_quotes(text.text), text.text,
                                     names);
        else if (!removable(type.pins[static_cast<std::size_t>(pin)]))
            work.reader.error(text.at->spot, "no-removable-pull",
                              in_quotes(type.name) + " has no removable pull at " + text.text,
                              names.empty() ? "no `pulls_removed`" : one_of(names));
        else
            result.push_back(type.pins[static_cast<std::size_t>(pin)].name);
    }
    return result;
}

bool known_rail(BenchWork& work, const Text& text) {
    if (!text.at) return false;
    if (work.rails.contains(text.text)) return true;
    work.reader.unknown_name(text.at->spot, "unknown-rail", "there is no rail " + in_quotes(text.text),
                             text.text, work.rail_names());
    return false;
}

/// First the supplies that are named, then `supply` for those the part does not make itself. A
/// name that is wrong still counts as given: its supply is not reported as missing as well.
void take_supplies(BenchWork& work, const PartRecord& record, BenchPart& part) {
    const PartType& type = *part.type;
    NameList ports;
    for (const SupplyPort& port : type.supplies) ports.push_back(port.name);
    for (const Named<Text>& named : record.supplies) {
        if (type.supply_index(named.name) < 0)
            work.reader.unknown_name(spot_of(named.place), "unknown-supply",
                                     in_quotes(type.name) + " has no supply " + in_quotes(named.name),
                                     named.name, ports);
        else if (known_rail(work, named.value) || named.value.at)
            part.supplies.emplace_back(named.name, named.value.text);
    }
    if (!record.supply || !record.supply->at) return;
    known_rail(work, *record.supply);
    bool used = false;
    for (const SupplyPort& port : type.supplies) {
        if (port.provides ||
            std::ranges::any_of(part.supplies, [&](const auto& s) { return s.first == port.name; }))
            continue;
        part.supplies.emplace_back(port.name, record.supply->text);
        used = true;
    }
    if (!used)
        work.reader.error(record.supply->at->spot, "no-supply",
                          in_quotes(type.name) + " has no supply that this rail could feed",
                          ports.empty() ? "no `supply`" : "`supplies` for " + one_of(ports));
}

}  // namespace

BenchPart take_part(BenchWork& work, const Named<PartRecord>& named) {
    const PartRecord& record = named.value;
    const Spot name = spot_of(named.place);
    good_name(work, named.name, name, "part");
    BenchPart part{
        .name = named.name, .grounded = record.ground, .as_is = record.as_is, .place = named.place};
    part.note = record.note;
    if (!record.type || !record.type->at) return part;
    part.type_name = record.type->text;
    part.type = shared_type(*work.bench.catalogue, work.bench.catalogue->find(part.type_name));
    if (!part.type) {
        report_type(work, *record.type);
        if (record.supply) known_rail(work, *record.supply);
        for (const Named<Text>& supply : record.supplies) known_rail(work, supply.value);
        return part;
    }
    part.package = Catalogue::package_in(*part.type, part.type_name);
    part.value = take_value(work, record, *part.type, name);
    part.pulls_removed = take_removed_pulls(work, record, *part.type);
    take_supplies(work, record, part);
    return part;
}

void take_parts(BenchWork& work) {
    work.bench.parts.reserve(work.file.parts.size());
    for (const Named<PartRecord>& named : work.file.parts) work.bench.parts.push_back(take_part(work, named));
    for (const BenchPart& part : work.bench.parts) work.parts.emplace(part.name, &part);
}

}  // namespace voltsill
