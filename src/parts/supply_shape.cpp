/// Supplies and channels as written, and where what a record says comes from.
#include <algorithm>

#include "parts/shape_tools.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

void check_supply(const Value& table, SupplyRecord& supply, Reader& reader) {
    if (!supply.range && !supply.provides && !table.damaged)
        reader.error(table.spot, "missing-key", "this supply has no operating range",
                     "range = \"4.5..5.5 V\"");
    if (!supply.range || !supply.max) return;
    if (supply.range->hi > supply.max->hi)
        reader.conflict(spot_of(table, "range"), spot_of(table, "max"), "range-above-maximum",
                        "the operating range ends above the absolute maximum",
                        "an absolute maximum above the operating range, both ends: \"-0.5..7 V\"");
}

}  // namespace

Provenance inherited(const Provenance& outer, const OriginRecord& own) {
    return {own.certainty.value_or(outer.certainty), own.source.value_or(outer.source),
            own.from_memory ? own.from_memory->all : outer.from_memory};
}

Provenance inherited(const Provenance& outer, const OriginRecord& own, std::string_view key) {
    Provenance origin = inherited(outer, own);
    const auto holds = [&](const auto& words) {
        return words && std::ranges::find(words->keys, key) != words->keys.end();
    };
    if (holds(own.from_memory)) origin.from_memory = true;
    if (holds(own.only_typical)) origin.certainty = std::max(origin.certainty, Certainty::typical);
    return origin;
}

void check_origin(const Value& table, const OriginRecord& record, Reader& reader) {
    if (table.damaged) return;
    std::vector<std::string> names;
    for (const Entry& entry : table.entries)
        if (entry.name != "from_memory" && entry.name != "only_typical" && entry.name != "source" &&
            entry.name != "certainty")
            names.push_back(entry.name);
    const auto check = [&](const char* by, const std::vector<std::string>& keys) {
        for (const std::string& key : keys) {
            if (std::ranges::find(names, key) != names.end()) continue;
            const Value& said = table.find(by)->value;
            reader.unknown_name(reader.inside(said, said.text.find(key), key.size()), "unknown-key",
                                "this record has no key " + in_quotes(key), key, names);
        }
    };
    if (record.from_memory) check("from_memory", record.from_memory->keys);
    if (record.only_typical) check("only_typical", record.only_typical->keys);
}

const Shape<SupplyRecord>& supply_shape() {
    static const auto shape = [] {
        Shape<SupplyRecord> s("supply", "A supply port of a part");
        s.place(&SupplyRecord::place);
        s.optional("range", &SupplyRecord::range, "operating range", "\"4.5..5.5 V\"",
                   likely<Span<Volts>>(supply_volts_likely));
        s.optional("max", &SupplyRecord::max, "absolute maximum, both ends", "\"-0.5..7 V\"",
                   likely<Span<Volts>>({.most = 200, .negative = true}));
        s.optional("current", &SupplyRecord::current, "current drawn without loads", "\"15 mA\"",
                   likely<Span<Amps>>({.most = 50}));
        s.optional("pins", &SupplyRecord::pins, "its pins; otherwise one of the same name", "\"VCC1 VCC2\"");
        s.optional("decoupling", &SupplyRecord::decoupling, "wants a capacitor beside it", "false");
        s.optional("provides", &SupplyRecord::provides, "voltage that the part makes itself",
                   "\"3.3 V ± 3 %\"",
                   likely<Span<Volts>>(supply_volts_likely));
        s.optional("limit", &SupplyRecord::limit, "current it can give", "\"300 mA\"",
                   likely<Span<Amps>>({.least = 1e-6, .most = 200}));
        s.optional("at_most", &SupplyRecord::at_most, "supply that this one may not exceed", "\"VCCB\"");
        add_origin(s);
        return s.check(&check_supply);
    }();
    return shape;
}

const Shape<ChannelRecord>& channel_shape() {
    static const auto shape = [] {
        Shape<ChannelRecord> s("channel group", "Paths through a part that work alike");
        s.place(&ChannelRecord::place);
        s.optional("logic", &ChannelRecord::logic, "what it does", "\"buffer\"", choice(logic_words()));
        s.optional("from", &ChannelRecord::from, "one input of each channel", "\"A1..A8\"");
        s.optional("to", &ChannelRecord::to, "the output of each channel", "\"Y1..Y8\"");
        s.optional("also", &ChannelRecord::also, "second input of gates", "\"1B 2B 3B 4B\"");
        s.optional("enable", &ChannelRecord::enable, "enables, all of them for every channel",
                   "\"/OE1 /OE2\"");
        s.optional("enable_each", &ChannelRecord::enable_each, "one enable for each channel",
                   "\"/1OE /2OE\"");
        s.optional("direction", &ChannelRecord::direction, "direction pin: high is from -> to", "\"DIR\"");
        s.optional("plus", &ChannelRecord::plus, "plus inputs of amplifiers", "\"1IN+ 2IN+\"");
        s.optional("minus", &ChannelRecord::minus, "minus inputs of amplifiers", "\"1IN- 2IN-\"");
        s.optional("out", &ChannelRecord::out, "outputs of amplifiers", "\"1OUT 2OUT\"");
        return s;
    }();
    return shape;
}

Type<Word> TypeOf<Word>::get() {
    return {"a name",
            [](const Value& value, Word& out, Reader& reader) {
                out.place = reader.place(value.spot);
                return read_text(value, "a name in quotes", out.text, reader);
            },
            [](SchemaSheet&) { return text_schema(); }};
}

Type<FromMemory> TypeOf<FromMemory>::get() {
    const std::string noun = "true, false, or keys of this record such as \"delay capacitance\"";
    return {noun,
            [noun](const Value& value, FromMemory& out, Reader& reader) {
                if (value.is(ValueKind::boolean)) return read_flag(value, out.all, reader);
                std::string text;
                if (!read_text(value, noun, text, reader)) return false;
                out.keys = split_words(text);
                return true;
            },
            [](SchemaSheet& sheet) {
                return either_schema({TypeOf<bool>::get().schema(sheet), text_schema()});
            }};
}

Type<KeyWords> TypeOf<KeyWords>::get() {
    const std::string noun = "keys of this record such as \"capacitance\"";
    return {noun,
            [noun](const Value& value, KeyWords& out, Reader& reader) {
                std::string text;
                if (!read_text(value, noun, text, reader)) return false;
                out.keys = split_words(text);
                return true;
            },
            [](SchemaSheet&) { return text_schema(); }};
}

Type<Certainty> TypeOf<Certainty>::get() { return choice(certainty_words()); }

}  // namespace voltsill
