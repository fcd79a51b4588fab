/// The description of a bench file: what is read, what is refused, what the schema says.
#include <fmt/format.h>

#include "bench/bench_records.h"
#include "records/likely.h"

namespace voltsill {
namespace {

/// What `type` reads, absent if it is wrong: no mistakes follow from a mistake.
template <class T>
Type<std::optional<T>> if_right(Type<T> type = TypeOf<T>::get()) {
    return {type.noun,
            [read = type.read](const Value& value, std::optional<T>& out, Reader& reader) {
                T inner{};
                if (!read(value, inner, reader)) return false;
                out = std::move(inner);
                return true;
            },
            type.schema};
}

/// Millivolts are a slip; what is too much or below ground is refused elsewhere, with its reason.
Type<Span<Volts>> rail_volts() {
    Type<Span<Volts>> span = TypeOf<Span<Volts>>::get();
    return {span.noun,
            [read = span.read](const Value& value, Span<Volts>& out, Reader& reader) {
                if (!read(value, out, reader)) return false;
                constexpr Likely bounds{.least = 0.3, .most = 36};
                if (out.lo > Volts{} && out.hi < Volts{bounds.least})
                    Doubted<Span<Volts>>::by(value, out, bounds, reader);
                return true;
            },
            span.schema};
}

const Shape<RailRecord>& rail_shape() {
    static const auto shape = [] {
        Shape<RailRecord> s("rail", "A supply of the bench");
        s.places(&RailRecord::keys);
        s.optional("volts", &RailRecord::volts, "voltage with its tolerance; needed unless a part makes it",
                   "\"3.3 V ± 3 %\"", if_right(rail_volts()));
        s.optional("limit", &RailRecord::limit, "current its source can deliver", "\"300 mA\"",
                   if_right(likely<Amps>({.least = 1e-6, .most = 200})));
        s.optional("from", &RailRecord::from, "the part and supply pin that make it", "\"controller.3V3\"");
        s.optional("switch", &RailRecord::switch_group, "rails with the same word go up and down together",
                   "\"bench\"");
        s.optional("sinks", &RailRecord::sinks, "its source can take current back", "true");
        add_origin(s);
        return s;
    }();
    return shape;
}

/// A rail as a table, or its voltage alone. Of anything else one mistake is told.
Type<RailRecord> rail_type() {
    const Type<Span<Volts>> volts = rail_volts();
    Type<RailRecord> type = or_text(
        record(rail_shape()),
        Type<RailRecord>{volts.noun,
                         [read = if_right(volts).read](const Value& value, RailRecord& rail, Reader& reader) {
                             rail.keys.all.push_back({"volts", value.spot, value.spot});
                             return read(value, rail.volts, reader);
                         },
                         volts.schema});
    type.read = [read = std::move(type.read)](const Value& value, RailRecord& rail, Reader& reader) {
        if (value.is(ValueKind::string) || value.is(ValueKind::table)) return read(value, rail, reader);
        rail.keys.all.push_back({"volts", value.spot, value.spot});
        const bool number = value.is(ValueKind::integer) || value.is(ValueKind::real);
        const std::string meant =
            number && value.real > 0 && value.real < 1e3 ? fmt::format("{:.4g} V", value.real) : "5 V";
        reader.wrong_type(value, fmt::format("a voltage in quotes, with its unit and tolerance: \"{} ± 5 %\"", meant));
        return false;
    };
    return type;
}

void add_part_keys(Shape<PartRecord>& s) {
    s.places(&PartRecord::keys);
    s.required("type", &PartRecord::type, "what it is: a type of the catalogue or of this file",
               "\"controller-3v3\"");
    s.optional("value", &PartRecord::value, "of a resistor or a capacitor", "\"4.7 kΩ\"");
    s.optional("pulls_removed", &PartRecord::pulls_removed, "pins whose removable pull is taken off",
               "[\"SDA\"]", one_or_more<Text>());
    s.optional("note", &PartRecord::note, "a remark", "\"from the second drawer\"");
}

const Shape<PartRecord>& part_shape() {
    static const auto shape = [] {
        Shape<PartRecord> s("part", "A part on the bench");
        add_part_keys(s);
        s.optional("supply", &PartRecord::supply, "rail of all its supplies", "\"usb\"");
        s.optional("supplies", &PartRecord::supplies, "rail of each supply",
                   "{ VCCA = \"logic\", VCCB = \"usb\" }");
        s.optional("ground", &PartRecord::ground, "joined to the common ground", "true");
        s.optional("as_is", &PartRecord::as_is, "a plan may not change it", "true");
        return s;
    }();
    return shape;
}

const Shape<PartRecord>& wired_part_shape() {
    static const auto shape = [] {
        Shape<PartRecord> s("wired part", "A part that the build has beside those of [parts]");
        add_part_keys(s);
        return s;
    }();
    return shape;
}

/// A part as a table, or its type alone.
Type<PartRecord> part_type(const Shape<PartRecord>& shape) {
    const Type<Text> text = TypeOf<Text>::get();
    return or_text(record(shape),
                   Type<PartRecord>{"the type of a part",
                                    [](const Value& value, PartRecord& part, Reader&) {
                                        part.keys.all.push_back({"type", value.spot, value.spot});
                                        part.type = Text{value.text, &value};
                                        return true;
                                    },
                                    text.schema});
}

const Shape<LinkRecord>& link_shape() {
    static const auto shape = [] {
        Shape<LinkRecord> s("link", "An intended signal");
        s.place(&LinkRecord::place).places(&LinkRecord::keys);
        s.optional("name", &LinkRecord::name, "what it is called", "\"tank echo\"");
        s.optional("kind", &LinkRecord::kind, "what kind of signal; found from the pins if absent",
                   "\"logic\"",
                   if_right(choice<LinkKind>({{"logic", LinkKind::logic},
                                              {"open-drain", LinkKind::open_drain},
                                              {"two-way", LinkKind::two_way},
                                              {"analog", LinkKind::analog},
                                              {"load", LinkKind::load}})));
        s.required("from", &LinkRecord::from, "pin or pins that drive", "\"gauge.ECHO\"",
                   one_or_more<Text>());
        s.required("to", &LinkRecord::to, "pin or pins that receive", "\"controller.D4\"",
                   one_or_more<Text>());
        s.optional("rate", &LinkRecord::rate, "highest bit or clock rate", "\"2 kHz\"",
                   if_right(likely<Hertz>({.least = 0.01, .most = 10e9})));
        s.optional("bus", &LinkRecord::bus, "standard that sets its limits", "\"I2C\"",
                   choice<std::string>({{"I2C", "I2C"}}));
        s.optional("invert", &LinkRecord::invert, "the signal may arrive upside down", "true");
        s.optional("safe_level", &LinkRecord::safe_level, "level wanted while nothing drives", "\"high\"",
                   choice<std::string>({{"low", "low"}, {"high", "high"}}));
        s.optional("group", &LinkRecord::group, "links with the same word share direction and enable",
                   "\"floats\"");
        s.optional("interface", &LinkRecord::interface,
                   "interface circuit to use, and its part if one is meant; a plan chooses if absent",
                   "\"low-rail-buffer LVC 541\"");
        s.optional("note", &LinkRecord::note, "a remark");
        return s;
    }();
    return shape;
}

/// A count of parts, or a span of resistances.
Type<StockRecord> stock_type() {
    const Type<int> count = whole_number(0, 1'000'000);
    const Type<Span<Ohms>> span = TypeOf<Span<Ohms>>::get();
    return {"a count, or a span of resistances",
            [count, span](const Value& value, StockRecord& stock, Reader& reader) {
                stock.at = &value;
                if (value.is(ValueKind::integer)) return if_right(count).read(value, stock.count, reader);
                if (value.is(ValueKind::string)) return if_right(span).read(value, stock.span, reader);
                reader.wrong_type(value, "a count such as 3, or a span such as \"1 Ω .. 10 MΩ\"");
                return false;
            },
            [count, span](SchemaSheet& sheet) {
                return either_schema({count.schema(sheet), span.schema(sheet)});
            }};
}

const Shape<Wishes>& weights_shape() {
    static const auto shape = [] {
        Shape<Wishes> s("weights", "How much each aim of a plan counts");
        const auto weight = [&](const char* key, double Wishes::*member, const char* about) {
            s.optional(key, member, about, "1.0", number(0.0, 1000.0));
        };
        weight("margin", &Wishes::weight_margin, "noise margin");
        weight("stock", &Wishes::weight_stock, "use of what is in the drawer");
        weight("parts", &Wishes::weight_parts, "few parts");
        weight("cost", &Wishes::weight_cost, "low price");
        weight("simple", &Wishes::weight_simple, "simple wiring");
        weight("teach", &Wishes::weight_teach, "circuits worth learning");
        return s;
    }();
    return shape;
}

const Shape<WishesRecord>& wishes_shape() {
    static const auto shape = [] {
        Shape<WishesRecord> s("wishes", "What a plan shall value");
        s.places(&WishesRecord::keys);
        s.optional("margin", &WishesRecord::margin, "noise margin wanted", "\"0.4 V\"", if_right<Volts>());
        s.optional("weights", &WishesRecord::weights, "how much each aim counts", "{ margin = 2.0 }",
                   record(weights_shape()));
        s.optional("wire_capacitance", &WishesRecord::wire_capacitance, "of every net's wires", "\"15 pF\"",
                   if_right<Farads>());
        s.optional("wire_inductance", &WishesRecord::wire_inductance, "of every jumper to a receiver",
                   "\"150 nH\"", if_right<Henries>());
        s.optional("probe_capacitance", &WishesRecord::probe_capacitance,
                   "of a probe on every receiver, for traces", "\"12 pF\"", if_right<Farads>());
        return s;
    }();
    return shape;
}

Type<WireRecord> wire_type() {
    constexpr const char* noun = "two ends such as [\"gauge.ECHO\", \"U1.2\"]";
    return {noun,
            [](const Value& value, WireRecord& wire, Reader& reader) {
                wire.at = &value;
                if (!value.is(ValueKind::array)) {
                    reader.wrong_type(value, noun);
                    return false;
                }
                if (value.items.size() != 2) {
                    reader.error(value.spot, "not-two-ends",
                                 "a wire has two ends, this one has " + std::to_string(value.items.size()),
                                 noun);
                    return false;
                }
                const Type<Text> text = TypeOf<Text>::get();
                const bool first = text.read(value.items[0], wire.from, reader);
                return text.read(value.items[1], wire.to, reader) && first;
            },
            [](SchemaSheet&) {
                return std::string(R"({"type":"array","items":{"type":"string"},"minItems":2,"maxItems":2})");
            }};
}

const Shape<WiringRecord>& wiring_shape() {
    static const auto shape = [] {
        Shape<WiringRecord> s("wiring", "An existing build: its further parts and every wire");
        s.place(&WiringRecord::place);
        s.optional("parts", &WiringRecord::parts, "parts beside those of [parts]",
                   "{ U1 = { type = \"HC 541 DIP-20\" } }", named(part_type(wired_part_shape())));
        s.optional("wires", &WiringRecord::wires,
                   "every wire, end to end: \"part.PIN\", \"part.NUMBER\", \"rail NAME\" or \"ground\"",
                   "[[\"gauge.ECHO\", \"U1.2\"]]", list(wire_type()));
        return s;
    }();
    return shape;
}

}  // namespace

Type<Text> TypeOf<Text>::get() {
    return {"text",
            [](const Value& value, Text& out, Reader& reader) {
                if (!read_text(value, "text in quotes", out.text, reader)) return false;
                out.at = &value;
                return true;
            },
            [](SchemaSheet&) { return text_schema(); }};
}

const Shape<BenchFile>& bench_file_shape() {
    static const auto shape = [] {
        Shape<BenchFile> s("bench file", "Supplies, parts and intended signals of a bench");
        s.places(&BenchFile::keys);
        s.optional("title", &BenchFile::title, "what the bench is", "\"Rain-garden station\"");
        s.optional("about", &BenchFile::about, "a longer description");
        s.optional("ambient", &BenchFile::ambient, "temperatures it is used at", "\"0..40 °C\"",
                   if_right<Span<Celsius>>());
        s.optional("include", &BenchFile::include, "part files of one's own", "[\"my-parts.toml\"]",
                   one_or_more<Text>());
        s.optional("rails", &BenchFile::rails, "its supplies by name",
                   "{ usb = { volts = \"4.75..5.25 V\" } }", named(rail_type()));
        s.optional("parts", &BenchFile::parts, "its parts by name",
                   "{ gauge = { type = \"tank-gauge-5v\" } }", named(part_type(part_shape())));
        s.optional("links", &BenchFile::links, "intended signals",
                   "[{ from = \"gauge.ECHO\", to = \"controller.D4\" }]", list(record(link_shape())));
        s.optional("stock", &BenchFile::stock, "what is in the drawer", "{ \"LVC 541 DIP-20\" = 3 }",
                   named(stock_type()));
        s.optional("wishes", &BenchFile::wishes, "what a plan shall value", "{ margin = \"0.4 V\" }",
                   record(wishes_shape()));
        s.optional("boards", &BenchFile::boards, "solderless boards to build it on", "",
                   record(boards_shape()));
        s.optional("wiring", &BenchFile::wiring, "an existing build", "", if_right(record(wiring_shape())));
        s.optional("types", &BenchFile::types, "part types of one's own, as in part files", "",
                   named(record(type_shape())));
        return s;
    }();
    return shape;
}

std::string bench_schema() { return json_schema(bench_file_shape()); }

}  // namespace voltsill
