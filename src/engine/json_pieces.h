#pragma once
/// The pieces from which the JSON documents are built; schema.cpp describes each of them.
///
/// Names for things that are not there (a finding without a link) are null; optional numbers too.
/// nlohmann::json itself writes a number that is not finite as null.
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "engine/engine.h"
#include "engine/sheets.h"
#include "quantity/print.h"

namespace voltsill {

using Json = nlohmann::ordered_json;

/// SI unit in words as ISO 80000 names it: "volt", "second per volt", "degree Celsius"; "one" for ratios.
std::string_view unit_word(Dimension dimension);
std::string_view certainty_word(Certainty certainty);

Json quantity_json(Dimension dimension, std::optional<double> value);
Json span_json(Dimension dimension, const Span<double>& span);
inline Json volts_json(std::optional<double> value) { return quantity_json(Dimension::voltage, value); }

/// What `make` makes of each item.
template <class Items, class Make>
Json json_list(const Items& items, Make make) {
    Json out = Json::array();
    for (const auto& item : items) out.push_back(make(item));
    return out;
}
/// A span with its provenance; all three numbers are null when nothing is known.
Json figure_json(Dimension dimension, const Span<double>& span, const Provenance& origin);
void append_provenance(Json& object, const Provenance& origin);
Json name_or_null(std::string_view name);
/// Null for a line 0.
Json place_json(const Place& place);

template <Printable Q>
Json json_of(Q value) {
    return quantity_json(DimensionOf<Q>::value, number_of(value));
}
template <Printable Q>
Json json_of(const std::optional<Q>& value) {
    return quantity_json(DimensionOf<Q>::value, value ? std::optional(number_of(*value)) : std::nullopt);
}
template <Printable Q>
Json json_of(const Span<Q>& span) {
    return span_json(DimensionOf<Q>::value, numbers_of(span));
}
template <Printable Q>
Json json_of(const Figure<Q>& figure) {
    return figure_json(DimensionOf<Q>::value, numbers_of(figure.span), figure.origin);
}

/// The value of a resistor or capacitor, null for everything else.
Json value_json(const PartType& type, std::optional<double> value);
Json problems_json(const Problems& problems);
Json bench_json(const Bench& bench);
Json wiring_json(const Wiring& wiring);
/// `bench` for the places of findings in its file.
Json judgement_json(const Judgement& judgement, const Bench& bench);
/// Waves and envelopes as lists of numbers; a figure that is not there is null.
Json trace_json(const LinkTrace& trace);
Json finding_json(const Finding& finding, const Bench& bench);
Json part_json(const PartType& type);
Json pin_trait_json(const PinTrait& trait);
Json model_json(const Model& model);
Json pin_json(const PartType& type, const Pin& pin);

/// What every document opens with.
Json document_head(const char* format, bool accepted, const Problems& problems);
/// "voltsill-sheets-1" before it is written.
Json sheets_json(const SheetsResult& result);
/// Of the bench, of the older one and of the options.
Problems all_problems(const SheetsResult& result);

/// Two spaces deep; bytes that are no UTF-8 become U+FFFD.
std::string written(const Json& document);

}  // namespace voltsill
