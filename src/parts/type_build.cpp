#include <fmt/format.h>

#include <algorithm>

#include "parts/defaults.h"
#include "parts/part_build.h"
#include "parts/shape_tools.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

/// Pins that a discrete part has without saying so.
std::vector<std::string> usual_pins(PartKind kind) {
    switch (kind) {
        case PartKind::resistor:
        case PartKind::capacitor:
            return {"1", "2"};
        case PartKind::diode:
            return {"A", "K"};
        case PartKind::bjt:
            return {"C", "B", "E"};
        case PartKind::mosfet:
            return {"D", "G", "S"};
        case PartKind::opto:
            return {"A", "K", "C", "E"};
        default:
            return {};
    }
}

bool no_pin(const std::string& name) { return name == "-"; }

/// Rows are stretched to supplies beside them, which the judge says; so far they are of another part.
constexpr double far = 1.5;

}  // namespace

void lay_supply(SupplyPort& port, const SupplyRecord& r, const Provenance& outer) {
    port.origin = inherited(outer, r, r.provides ? "provides" : "range");
    if (r.range)
        port.range = *r.range;
    else if (r.provides)
        port.range = *r.provides;
    if (r.max) {
        port.min = r.max->lo, port.max = r.max->hi;
        port.max_origin = inherited(outer, r, "max");
    }
    if (r.current) port.current = {*r.current, inherited(outer, r, "current")};
    assign(port.needs_decoupling, r.decoupling);
    if (r.provides) port.provides = *r.provides;
    if (r.limit) port.provides_limit = {*r.limit, inherited(outer, r, "limit")};
    if (r.at_most) port.needs_at_most = r.at_most->text;
}

TypeBuilder::TypeBuilder(const Types& known, const std::vector<Named<TypeRecord>>& records, PinBuilder& pins,
                         Mistakes& mistakes)
    : known_(known), pins_(pins), mistakes_(mistakes) {
    for (const Named<TypeRecord>& record : records) entries_.push_back({&record, false, nullptr});
}

Types TypeBuilder::build() {
    Types types;
    for (Entry& entry : entries_)
        if (auto type = resolve(entry)) types.push_back(std::move(type));
    return types;
}

std::shared_ptr<const PartType> TypeBuilder::resolve(Entry& entry) {
    if (entry.type) return entry.type;
    const TypeRecord& record = entry.record->value;
    if (entry.begun) {
        mistakes_.error(place_of(record.place, record.keys, "like"), "like-cycle",
                        "type " + in_quotes(entry.record->name) + " builds on itself",
                        "a type that does not build on this one");
        return nullptr;
    }
    entry.begun = true;
    const auto base = base_of(entry);
    if (record.like && !base) return nullptr;
    entry.type = std::make_shared<const PartType>(build_one(*entry.record, base.get()));
    return entry.type;
}

std::shared_ptr<const PartType> TypeBuilder::base_of(const Entry& entry) {
    const TypeRecord& record = entry.record->value;
    if (!record.like) return nullptr;
    // A type may go by the name of the one it builds on: then the known one is meant.
    for (Entry& other : entries_)
        if (&other != &entry && other.record->name == *record.like) return resolve(other);
    std::vector<std::string> names;
    for (const auto& type : known_) {
        if (type->name == *record.like) return type;
        names.push_back(type->name);
    }
    for (const Entry& other : entries_) names.push_back(other.record->name);
    mistakes_.unknown_name(place_of(record.place, record.keys, "like"), "unknown-type",
                           "there is no type " + in_quotes(*record.like), *record.like, names,
                           "a type that `voltsill parts search` shows, or one of this file");
    return nullptr;
}

PartType TypeBuilder::build_one(const Named<TypeRecord>& named, const PartType* base) {
    const TypeRecord& r = named.value;
    PartType type = base ? *base : PartType{};
    type.name = named.name;
    const Provenance outer = inherited(defaults::unstated, r);
    if (!base || r.source || r.certainty) type.origin = outer;
    assign(type.title, r.title);
    assign(type.kind, r.kind);
    assign(type.note, r.note);
    assign(type.invented, r.invented);
    assign(type.rate_max, r.rate_max);
    assign(type.price, r.price);
    if (r.package_current_max)
        type.supply_current_max = {*r.package_current_max, inherited(outer, r, "package_current_max")};
    add_supplies(type, r, outer);
    const bool more_pins = add_pins(type, r, outer);
    if (!r.channels.empty()) type.channels = make_channels(r.channels, type, mistakes_);
    if ((type.kind == PartKind::comparator || type.kind == PartKind::op_amp) &&
        std::ranges::any_of(type.channels, [](const Channel& c) { return c.inputs.size() < 2; })) {
        mistakes_.error(r.place, "missing-key", "the channels of an amplifier name a plus, a minus and an output",
                        "plus = \"IN+\", minus = \"IN-\", out = \"OUT\"");
        type.channels.clear();
    }
    set_model(type, r, outer, mistakes_);
    defaults::complete(type);
    if (more_pins) type.packages.clear();
    add_packages(type, r);
    return type;
}

void TypeBuilder::add_supplies(PartType& type, const TypeRecord& record, const Provenance& outer) {
    for (const auto& [name, place, supply] : record.supplies) {
        int index = type.supply_index(name);
        if (index < 0) {
            index = static_cast<int>(type.supplies.size());
            type.supplies.push_back({.name = name});
        }
        lay_supply(type.supplies[index], supply, outer);
        std::vector<std::string> pins{name};
        if (supply.pins) {
            pins.clear();
            for (const Word& word : supply.pins->words)
                if (!no_pin(word.text)) pins.push_back(word.text);
        }
        for (const std::string& pin : pins)
            if (type.pin_index(pin) < 0)
                type.pins.push_back({.name = pin, .role = PinRole::supply, .supply = index});
    }
    for (const auto& [name, place, supply] : record.supplies)
        if (supply.at_most && type.supply_index(supply.at_most->text) < 0)
            mistakes_.error(supply.at_most->place, "unknown-supply",
                            "this part has no supply " + in_quotes(supply.at_most->text));
}

/// Thresholds and drive are read beside and between their rows; with no row near the part's own supply they are hardly
/// meant for it.
void TypeBuilder::doubt_rows(const Pin& pin, const PartType& type, const PinRecord& record) {
    if (pin.supply < 0) return;
    const Span<Volts>& supply = type.supplies[pin.supply].range;
    const auto doubt = [&](const auto& rows, const char* key) {
        const auto apart = [&](const auto& row) {
            return row.supply.hi * far < supply.lo || row.supply.lo > supply.hi * far;
        };
        if (rows.empty() || supply.hi <= Volts{} || !std::ranges::all_of(rows, apart)) return;
        mistakes_.warning(
            place_of(record.place, record.keys, key), "rows-beside-supply",
            fmt::format("no row of {} of pin {} is printed for a supply in {}", key, pin.name, print(supply)),
            "a row for " + type.supplies[pin.supply].name);
    };
    doubt(pin.thresholds, "thresholds");
    doubt(pin.high, "high");
    doubt(pin.low, "low");
}

bool TypeBuilder::add_pins(PartType& type, const TypeRecord& record, const Provenance& outer) {
    const std::size_t before = type.pins.size();
    for (const auto& [key, place, pin_record] : record.pins) {
        const auto names = expand_pin_list(key);
        if (!names) {
            mistakes_.error(place, "wrong-pin-range",
                            in_quotes(key) + " does not count from one pin to another",
                            "the same name with two numbers, such as \"D2..D13\"");
            continue;
        }
        PinLayers layers;
        const bool whole = pins_.collect(pin_record, outer, layers);
        for (const std::string& name : *names) {
            const int index = type.pin_index(name);
            const bool fresh = index < 0 || (pin_record.like && type.pins[index].role != PinRole::supply);
            Pin pin = pins_.build(fresh ? Pin{.name = name} : type.pins[index], layers, type.supplies);
            if (name == names->front()) doubt_rows(pin, type, pin_record);
            if (index < 0)
                type.pins.push_back(std::move(pin));
            else
                type.pins[index] = std::move(pin);
        }
        const bool has_role =
            std::ranges::any_of(layers, [](const PinLayer& l) { return l.record->is.has_value(); });
        if (whole && !pin_record.unread && !has_role &&
            type.pins[type.pin_index(names->front())].role == PinRole::passive)
            mistakes_.error(pin_record.place, "role-missing",
                            "nothing says what pin " + in_quotes(key) + " is",
                            "is = \"input\", or like = a trait that says it");
    }
    const bool none = type.pins.empty();
    for (const std::string& name : usual_pins(type.kind)) {
        if (none) type.pins.push_back({.name = name});
        if (type.pin_index(name) < 0)
            mistakes_.error(record.place, "pin-missing",
                            fmt::format("a part of kind {} needs a pin {}", to_word(type.kind), name));
    }
    return type.pins.size() > before;
}

void TypeBuilder::add_packages(PartType& type, const TypeRecord& record) {
    for (const auto& [names, place, list] : record.packages) {
        for (const std::string& name : split_words(names)) {
            std::erase_if(type.packages, [&](const Package& p) { return p.name == name; });
            type.packages.push_back(make_package(name, list, type, mistakes_));
        }
    }
    if (type.packages.empty() && !type.pins.empty()) type.packages.push_back(row_package(type));
}

}  // namespace voltsill
