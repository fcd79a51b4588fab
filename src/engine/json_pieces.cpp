#include "engine/json_pieces.h"

#include <algorithm>

#include "parts/words.h"

namespace voltsill {

std::string_view unit_word(Dimension dimension) {
    switch (dimension) {
        case Dimension::voltage:
            return "volt";
        case Dimension::current:
            return "ampere";
        case Dimension::resistance:
            return "ohm";
        case Dimension::conductance:
            return "siemens";
        case Dimension::capacitance:
            return "farad";
        case Dimension::inductance:
            return "henry";
        case Dimension::time:
            return "second";
        case Dimension::frequency:
            return "hertz";
        case Dimension::power:
            return "watt";
        case Dimension::time_per_voltage:
            return "second per volt";
        case Dimension::temperature:
            return "degree Celsius";
        case Dimension::ratio:
            return "one";
    }
    return "one";
}

std::string_view certainty_word(Certainty certainty) {
    for (const auto& [word, meaning] : certainty_words())
        if (meaning == certainty) return word;
    return "unknown";
}

Json quantity_json(Dimension dimension, std::optional<double> value) {
    if (!value) return nullptr;
    return {{"value", *value}, {"unit", unit_word(dimension)}};
}

Json span_json(Dimension dimension, const Span<double>& span) {
    return {{"lo", span.lo}, {"nominal", span.nominal}, {"hi", span.hi}, {"unit", unit_word(dimension)}};
}

Json figure_json(Dimension dimension, const Span<double>& span, const Provenance& origin) {
    Json out = span_json(dimension, span);
    if (origin.certainty == Certainty::unknown) out["lo"] = out["nominal"] = out["hi"] = nullptr;
    append_provenance(out, origin);
    return out;
}

void append_provenance(Json& object, const Provenance& origin) {
    object["certainty"] = certainty_word(origin.certainty);
    object["source"] = origin.source;
    object["from_memory"] = origin.from_memory;
}

Json name_or_null(std::string_view name) { return name.empty() ? Json(nullptr) : Json(name); }

Json place_json(const Place& place) {
    if (place.line <= 0) return nullptr;
    return {{"file", place.file}, {"line", place.line}, {"column", place.column}, {"width", place.width}};
}

Json value_json(const PartType& type, std::optional<double> value) {
    if (type.kind == PartKind::resistor) return quantity_json(Dimension::resistance, value);
    if (type.kind == PartKind::capacitor) return quantity_json(Dimension::capacitance, value);
    return nullptr;
}

Json problems_json(const Problems& problems) {
    Json out = Json::array();
    for (const Problem& p : problems)
        out.push_back({{"severity", p.severity == Severity::error ? "error" : "warning"},
                       {"code", p.code},
                       {"file", p.place.file},
                       {"place", place_json(p.place)},
                       {"message", p.message},
                       {"expected", p.expected},
                       {"nearest", name_or_null(p.nearest)},
                       {"excerpt", p.excerpt},
                       {"other_place", place_json(p.other)},
                       {"other_excerpt", p.other_excerpt}});
    return out;
}

Json document_head(const char* format, bool accepted, const Problems& problems) {
    return {{"format", format}, {"accepted", accepted}, {"problems", problems_json(problems)}};
}

std::string written(const Json& document) {
    return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace voltsill
