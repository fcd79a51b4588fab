/// The part of the schema that describes sheets.
#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Json fault_chart_piece() {
    const Json reads = object("What a meter shows", {{"words", text()},
                                                     {"unit", or_null(one_of({"V", "Ω", "s"}))},
                                                     {"lo", number("Null: not a number")},
                                                     {"hi", number()}});
    const Json cause = object("Faults that no meter tells apart, under the words of the likeliest",
                              {{"words", text()}, {"share", number("Of all faults, before this reading")}});
    const Json answer = object("An answer that is not as planned", {{"reads", reads},
                                                                    {"causes", list(cause, "Likeliest first")},
                                                                    {"more", whole(0)}});
    const Json reading = object("A reading to take for a symptom",
                                {{"means", one_of({"eye", "ohmmeter", "voltmeter", "scope", "behaviour"})},
                                 {"how", text()},
                                 {"as_planned", reads},
                                 {"otherwise", list(answer, "Likeliest first; none for those who shall find it")}});
    const Json row = object("A symptom of this build", {{"symptom", text()},
                                                        {"keep_off", name_or_null()},
                                                        {"causes", list(cause, "Likeliest first")},
                                                        {"readings", list(reading, "In their order")}});
    return object("What people say of this build, and what to read first",
                  {{"faults", whole(0)}, {"rows", list(row, "Likeliest first")}});
}

Json planted_piece() {
    const Json step = object("", {{"reading", text()}, {"reads", text()}, {"as_planned", text()}});
    const Json fault = object("A fault to plant", {{"id", text()},
                                                   {"kind", text("Listed in docs/failure-modes.md")},
                                                   {"words", text()},
                                                   {"plant", text("What to do, so that no look shows it")},
                                                   {"symptom", text()},
                                                   {"remedy", text()},
                                                   {"grade", one_of({"easy", "fair", "hard"})},
                                                   {"steps", list(step, "Of the best strategy")}});
    return object("Faults planted for a class", {{"sentence", text()},
                                                 {"faults", list(fault, "Easiest first")},
                                                 {"of_seat", list(whole(0), "Index of the fault, by seat")}});
}

Json level_letter(const char* about = "") {
    Json out = one_of({"0", "1", "X", "Z", "A"});
    if (*about) out["description"] = about;
    return out;
}

Json wire() {
    return object("A wire to lay", {{"number", whole(1)},
                                    {"from", text("A hole, a pin or a terminal of a supply")},
                                    {"to", text()},
                                    {"net", text()},
                                    {"use", one_of({"ground", "supply", "bridge", "strap", "signal"})},
                                    {"colour", name_or_null()},
                                    {"length", number("m; null: no placement")},
                                    {"reason", text()}});
}

Json phase() {
    Json number_or_null = whole_or_null();
    const Json step = object("", {{"wire", std::move(number_or_null)},
                                  {"part", name_or_null()},
                                  {"text", text("Empty for a wire")},
                                  {"more", text()}});
    return object(
        "Steps done together",
        {{"title", text()}, {"link", name_or_null()}, {"steps", list(step)}, {"check", name_or_null()}});
}

Json resistance() {
    return object("Between two points, power off", {{"kind", one_of({"apart", "joined", "part"})},
                                                    {"from", text()},
                                                    {"to", text()},
                                                    {"ohms", ref("span")},
                                                    {"open", truth("Beyond the range of a meter")},
                                                    {"wrong", text("What a reading outside means")}});
}

Json level() {
    return object("A reading along a link, all rails up",
                  {{"link", text()},
                   {"driver", text()},
                   {"set", level_letter("What the driver says: Z lets go, A any voltage it gives")},
                   {"point", text()},
                   {"receiver", truth("Point is an end of the link")},
                   {"net", text()},
                   {"state", text("As in the readings document")},
                   {"volts", ref("span")},
                   {"level", level_letter()},
                   {"threshold", nullable("quantity")}});
}

Json order() {
    const Json step = object("", {{"rails", list(text(), "On together")},
                                  {"then", name_or_null()},
                                  {"verdict", nullable("verdict")},
                                  {"sentence", text()}});
    return object("In which order rails come up", {{"verdict", ref("verdict")},
                                                   {"steps", list(step)},
                                                   {"not_in_this_order", name_or_null()},
                                                   {"because", text()}});
}

Json current() {
    const Json share = object("", {{"what", text()}, {"amps", ref("span")}});
    return object("What a rail delivers, all rails up", {{"rail", text()},
                                                         {"source", truth("A supply of its own")},
                                                         {"amps", ref("span")},
                                                         {"shares", list(share)},
                                                         {"not_counted", list(text())}});
}

Json kit() {
    return object("", {{"what", text()},
                       {"per_seat", whole(1)},
                       {"seats", whole(1)},
                       {"spares", whole(0)},
                       {"total", whole(1)},
                       {"names", text()}});
}

Json exercise() {
    const Json expected = object("", {{"set", level_letter()},
                                      {"point", text()},
                                      {"lo", number("V")},
                                      {"hi", number("V")},
                                      {"level", level_letter()}});
    return object("A small program for a link", {{"link", text()},
                                                 {"controller_drives", truth()},
                                                 {"digital", truth("A line can set or read it")},
                                                 {"pin", text()},
                                                 {"driver", text()},
                                                 {"rate", nullable("quantity")},
                                                 {"expected", list(expected)}});
}

Json slips() {
    const Json slip = object("", {{"slip", text()},
                                  {"kind", text()},
                                  {"verdict", ref("verdict")},
                                  {"part", name_or_null()},
                                  {"pin", name_or_null()},
                                  {"sentence", text()}});
    const Json row = object("", {{"where", text()}, {"harmful", whole(0)}, {"unknown", whole(0)}});
    return object("Single slips of a hand and which may harm", {{"possible", whole(0)},
                                                                {"harmful", whole(0)},
                                                                {"unknown", whole(0)},
                                                                {"worst", list(slip)},
                                                                {"rows", list(row, "To look at twice")}});
}

Json changes() {
    const Json change = object("", {{"kind", one_of({"added", "removed", "changed"})},
                                    {"what", text()},
                                    {"name", text()},
                                    {"was", name_or_null()},
                                    {"is", name_or_null()}});
    return object("Against an older version", {{"since", text("Version")},
                                               {"changes", list(change)},
                                               {"sheets", list(text(), "That read differently")},
                                               {"new_steps", list(text())}});
}

}  // namespace

void append_sheets_pieces(Json& pieces) {
    pieces["fault_chart"] = fault_chart_piece();
    pieces["planted"] = planted_piece();
    pieces["laid_wire"] = wire();
    pieces["build_phase"] = phase();
    pieces["resistance_check"] = resistance();
    pieces["level_check"] = level();
    pieces["power_order"] = order();
    pieces["rail_current"] = current();
    pieces["kit_entry"] = kit();
    pieces["exercise"] = exercise();
    pieces["slips"] = slips();
    pieces["changes"] = changes();
    append_class_pieces(pieces);
}

Fields sheets_fields() {
    return {{"version", text("Eight hexadecimal digits of SHA-256 over the bench file and its includes")},
            {"wiring_from", one_of({"given", "plan"})},
            {"bench", ref("bench")},
            {"wiring", ref("wiring")},
            {"judgement", ref("judgement")},
            {"boards", list(text(), "Kinds, in order; none: ends of wires are pins")},
            {"not_placed", name_or_null()},
            {"unwired", list(text(), "Links without an interface circuit")},
            {"wires", list(ref("laid_wire"))},
            {"phases", list(ref("build_phase"))},
            {"resistances", list(ref("resistance_check"))},
            {"levels", list(ref("level_check"))},
            {"power_order", ref("power_order")},
            {"currents", list(ref("rail_current"))},
            {"slips", ref("slips")},
            {"fault_chart", nullable("fault_chart")},
            {"planted", nullable("planted")},
            {"kit", list(ref("kit_entry"))},
            {"exercises", list(ref("exercise"))},
            {"questions", ref("questions")},
            {"time", list(ref("time_phase"), "For instructors")},
            {"stock", ref("stock_report")},
            {"since", nullable("changes")}};
}

}  // namespace voltsill::schema_words
