/// The part of the schema that describes traces.
#include "engine/schema_words.h"
#include "signals/link_trace.h"

namespace voltsill::schema_words {
namespace {

Json numbers() { return list(number()); }

Json wave() {
    return object("Voltage over time, read off straight lines; equal times are a step",
                  {{"seconds", numbers()}, {"volts", numbers()}});
}

Json envelope() {
    return object("Over all samples; lowest and highest hold between the times too",
                  {{"seconds", numbers()}, {"lo", numbers()}, {"median", numbers()}, {"hi", numbers()}});
}

Json point() {
    return object("A pin on the way of a link", {{"point", text()},
                                                 {"role", one_of({"driver", "passed", "receiver"})},
                                                 {"inverted", truth("Against the driver")},
                                                 {"supply", nullable("quantity")},
                                                 {"vil_max", nullable("quantity")},
                                                 {"vih_min", nullable("quantity")},
                                                 {"threshold_falling", nullable("quantity")},
                                                 {"threshold_rising", nullable("quantity")},
                                                 {"limit_min", nullable("quantity")},
                                                 {"limit_max", nullable("quantity")},
                                                 {"nominal", or_null(wave())},
                                                 {"worst", or_null(wave())},
                                                 {"envelope", or_null(envelope())}});
}

Json measure_words() {
    Json words = Json::array();
    for (int k = 0; k <= static_cast<int>(MeasureKind::lowest); ++k)
        words.push_back(to_word(static_cast<MeasureKind>(k)));
    return {{"enum", std::move(words)}};
}

Json limit() {
    return object("", {{"value", number()},
                       {"unit", ref("unit")},
                       {"certainty", ref("certainty")},
                       {"source", text()},
                       {"from_memory", truth()},
                       {"is", one_of({"maximum", "minimum"})}});
}

Json measured() {
    const Json influence = object("Squared rank correlation of a figure with the measure",
                                  {{"parameter", text()},
                                   {"share", number("0 to 1")},
                                   {"raises", truth("A larger figure makes the measure larger")}});
    return object("One measure: nominal, over all samples, and against its limit",
                  {{"measure", measure_words()},
                   {"at", or_null(text("Point or part; null: the whole link"))},
                   {"nominal", nullable("quantity")},
                   {"lowest", nullable("quantity")},
                   {"median", nullable("quantity")},
                   {"highest", nullable("quantity")},
                   {"why_not", text("Why there is no nominal figure")},
                   {"limit", or_null(limit())},
                   {"verdict", nullable("verdict")},
                   {"kept", whole(0)},
                   {"counted", whole(0)},
                   {"yield_lo", number("Wilson's score interval, 95 %")},
                   {"yield_hi", number()},
                   {"influences", list(influence, "Strongest first")}});
}

}  // namespace

void append_trace_pieces(Json& pieces) {
    pieces["link_trace"] =
        object("A link over time", {{"link", text()},
                                    {"verdict", ref("verdict")},
                                    {"rate", ref("quantity")},
                                    {"bits_a_cycle", whole(1)},
                                    {"rate_assumed", truth("The bench states none")},
                                    {"duration", ref("quantity")},
                                    {"pattern", text("Bits as driven")},
                                    {"analog", truth("0 and 1 of the pattern are the ends of a range")},
                                    {"seed", whole(0)},
                                    {"samples", whole(0)},
                                    {"asked", whole(0)},
                                    {"failed", whole(0)},
                                    {"cancelled", truth("Fewer samples than asked for were run")},
                                    {"worst_sample", whole_or_null()},
                                    {"worst_by", text()},
                                    {"trouble", text("Why it could not be run, or what was left out")},
                                    {"leans_on", list(text(), "Assumed or typical figures")},
                                    {"points", list(point())},
                                    {"measures", list(measured())}});
}

}  // namespace voltsill::schema_words
