/// The one description of every JSON document, as JSON Schema draft 2020-12.
///
/// Only words that older drafts know as well are used, apart from "$defs". Objects stay open:
/// a reader must pass over members it does not know.
#include <utility>

#include "engine/json_pieces.h"
#include "engine/schema_words.h"

namespace voltsill {
namespace {

using namespace schema_words;

Json place() {
    return object("Where in the bench file; lines and columns from 1, columns in Unicode code points",
                  {{"file", text()}, {"line", whole(1)}, {"column", whole(0)}, {"width", whole(0)}});
}

Json problem() {
    return object("A mistake in the input", {{"severity", one_of({"error", "warning"})},
                                             {"code", text()},
                                             {"file", text()},
                                             {"place", nullable("place")},
                                             {"message", text()},
                                             {"expected", text()},
                                             {"nearest", name_or_null()},
                                             {"excerpt", text()},
                                             {"other_place", nullable("place")},
                                             {"other_excerpt", text()}});
}

Json finding() {
    return object("One number against one limit, in the state where it is worst",
                  {{"code", text("Listed in docs/findings.md")},
                   {"verdict", ref("verdict")},
                   {"link", name_or_null()},
                   {"part", name_or_null()},
                   {"pin", name_or_null()},
                   {"net", name_or_null()},
                   {"value", nullable("evidence")},
                   {"limit", nullable("evidence")},
                   {"margin", nullable("quantity")},
                   {"state", text()},
                   {"corner", text()},
                   {"bound_exact", truth("The worst case is proven, not only searched")},
                   {"sentence", text()},
                   {"arithmetic", text()},
                   {"advice", text()},
                   {"place", nullable("place")}});
}

Json level_band() {
    return object("What one point of a link sees of one level",
                  {{"point", text()},
                   {"level", one_of({"high", "low"})},
                   {"volts", ref("span")},
                   {"threshold", nullable("quantity")},
                   {"limit_max", nullable("quantity")},
                   {"limit_min", nullable("quantity")},
                   {"certainty", ref("certainty")},
                   {"floats", truth("Nothing defines it: the volts are what leakage may make of it")}});
}

Json judgement() {
    const Json indices = list(whole(0), "Indices into the findings, worst first");
    const Json link = object("What the findings of a link come to", {{"link", text()},
                                                                     {"verdict", ref("verdict")},
                                                                     {"findings", indices},
                                                                     {"levels", list(ref("level_band"))},
                                                                     {"high_margin", nullable("quantity")},
                                                                     {"low_margin", nullable("quantity")},
                                                                     {"inverted", truth()}});
    return object("A wiring judged", {{"verdict", ref("verdict")},
                                      {"findings", list(ref("finding"))},
                                      {"links", list(link)},
                                      {"shared", indices},
                                      {"states_solved", whole(0)},
                                      {"trouble", text("A network that did not converge; empty: none")}});
}

Json bench() {
    const Json end = object("", {{"part", text()}, {"pin", text()}});
    const Json supply = object("", {{"port", text()}, {"rail", text()}});
    const Json rail =
        object("A supply of the bench", {{"name", text()},
                                         {"volts", ref("figure")},
                                         {"limit", nullable("quantity")},
                                         {"from", name_or_null()},
                                         {"switch", text("Rails of one switch go up and down together")},
                                         {"sinks", truth()},
                                         {"place", nullable("place")}});
    const Json part = object("A part of the bench", {{"name", text()},
                                                     {"type", text()},
                                                     {"package", name_or_null()},
                                                     {"supplies", list(supply)},
                                                     {"grounded", truth()},
                                                     {"value", nullable("quantity")},
                                                     {"pulls_removed", list(text())},
                                                     {"as_is", truth()},
                                                     {"place", nullable("place")}});
    const Json link = object("An intended signal", {{"name", text()},
                                                    {"kind", text()},
                                                    {"from", list(end)},
                                                    {"to", list(end)},
                                                    {"rate", nullable("quantity")},
                                                    {"bus", name_or_null()},
                                                    {"invert_allowed", truth()},
                                                    {"safe_level", name_or_null()},
                                                    {"group", name_or_null()},
                                                    {"interface", name_or_null()},
                                                    {"place", nullable("place")}});
    const Json stock = object("", {{"name", text()}, {"count", whole_or_null()}, {"span", nullable("span")}});
    const Json ambient = object("", {{"lo", number()}, {"hi", number()}, {"unit", ref("unit")}});
    return object("The bench as it was read",
                  {{"title", text()},
                   {"ambient", ambient},
                   {"wanted_margin", ref("quantity")},
                   {"rails", list(rail)},
                   {"parts", list(part)},
                   {"links", list(link)},
                   {"stock", or_null(list(stock, "Null: everything in the catalogue may be used"))}});
}

Json wiring() {
    const Json end = object("", {{"part", text()}, {"pin", text()}});
    const Json net =
        object("", {{"name", text()}, {"rail", name_or_null()}, {"ground", truth()}, {"pins", list(end)}});
    const Json pin = object("", {{"pin", text()}, {"numbers", list(whole(1))}, {"net", name_or_null()}});
    const Json part =
        object("A part of the wiring",
               {{"name", text()},
                {"type", text()},
                {"package", name_or_null()},
                {"value", nullable("quantity")},
                {"tolerance", nullable("quantity")},
                {"pulls_removed", list(text())},
                {"added", truth("By the plan or by [wiring]")},
                {"purpose", text()},
                {"for_link", name_or_null()},
                {"pins", list(pin)},
                {"spare_channels", list(text(), "Of an added part: channels whose output is open")}});
    const Json wire = object("", {{"from", text()}, {"to", text()}, {"net", text()}, {"reason", text()}});
    const Json entry =
        object("", {{"what", text()}, {"count", whole(1)}, {"spares", whole(0)}, {"names", list(text())}});
    return object("Which parts there are and which net every pin is on",
                  {{"direct", truth("Link ends joined as they are")},
                   {"nets", list(net)},
                   {"parts", list(part)},
                   {"wires", list(wire, "In the order in which to lay them")},
                   {"parts_list", list(entry)}});
}

Json candidate() {
    return object("An interface circuit that was tried for a link",
                  {{"circuit", text("Stable name")},
                   {"title", text()},
                   {"part", name_or_null()},
                   {"verdict", ref("verdict")},
                   {"high_margin", nullable("quantity")},
                   {"low_margin", nullable("quantity")},
                   {"score", number("Smaller is better")},
                   {"parts", whole(0)},
                   {"price", number("Relative")},
                   {"in_stock", truth()},
                   {"inverted", truth()},
                   {"wired", truth("Built and judged; false: refused before that")},
                   {"choosable", truth("A link may ask for it: interface = \"CIRCUIT\" or \"CIRCUIT PART\"")},
                   {"why_not", text("Empty when it would serve")},
                   {"how_sized", text()},
                   {"cautions", list(text())}});
}

Json link_plan() {
    return object(
        "", {{"link", text()}, {"chosen", nullable("candidate")}, {"rejected", list(ref("candidate"))}});
}

Json reading() {
    return object("What a meter shows at a point in a state", {{"point", text()},
                                                               {"net", text()},
                                                               {"state", text()},
                                                               {"volts", ref("span")},
                                                               {"level", one_of({"0", "1", "X", "Z"})}});
}

Json pieces() {
    const Json numbers = number("Null when not known or not finite");
    const Json unit = ref("unit");
    Json out = {{"unit", one_of({"volt", "ampere", "ohm", "siemens", "farad", "second", "hertz", "watt",
                                 "second per volt", "degree Celsius", "one"})},
                {"certainty", one_of({"guaranteed", "standard", "measured", "typical", "common practice",
                                      "assumed", "unknown"})},
                {"verdict", one_of({"safe", "thin", "unknown", "unreadable", "harmful"})}};
    const Fields provenance = {{"certainty", ref("certainty")}, {"source", text()}, {"from_memory", truth()}};
    const Fields span = {{"lo", numbers}, {"nominal", numbers}, {"hi", numbers}, {"unit", unit}};
    const Fields quantity = {{"value", numbers}, {"unit", unit}};
    out["provenance"] = object("Where a number comes from", provenance);
    out["quantity"] = object("A number in its SI unit (degrees Celsius for temperatures)", quantity);
    out["span"] = object("A range of numbers", span);
    out["figure"] = object("A range and where it comes from", joined(span, provenance));
    out["evidence"] = object("A number, what it is, and where it comes from",
                             joined(joined(quantity, provenance), {{"what", text()}}));
    out["place"] = place();
    out["problem"] = problem();
    out["finding"] = finding();
    out["level_band"] = level_band();
    out["judgement"] = judgement();
    out["bench"] = bench();
    out["wiring"] = wiring();
    out["candidate"] = candidate();
    append_trace_pieces(out);
    append_sheets_pieces(out);
    append_part_pieces(out);
    append_ibis_pieces(out);
    append_capture_pieces(out);
    return out;
}

}  // namespace

std::string result_schema() {
    Json defs = pieces();
    defs["check"] = document("voltsill-check-1", "The bench as it stands, judged",
                             {{"wiring_from", one_of({"given", "direct"})},
                              {"bench", ref("bench")},
                              {"wiring", ref("wiring")},
                              {"judgement", ref("judgement")}});
    defs["plan"] = document("voltsill-plan-1", "Interface circuits for every link",
                            {{"bench", ref("bench")},
                             {"links", list(link_plan())},
                             {"wiring", ref("wiring")},
                             {"judgement", ref("judgement")},
                             {"before", ref("judgement")},
                             {"notes", list(text())}});
    defs["readings"] = document("voltsill-readings-1", "Steady readings, state by state",
                                {{"wiring_from", one_of({"given", "plan"})},
                                 {"bench", ref("bench")},
                                 {"wiring", ref("wiring")},
                                 {"readings", list(reading())}});
    defs["trace"] = document("voltsill-trace-1", "Links over time, simulated",
                             {{"wiring_from", one_of({"given", "plan"})},
                              {"bench", ref("bench")},
                              {"wiring", ref("wiring")},
                              {"traces", list(ref("link_trace"))}});
    defs["sheets"] = document("voltsill-sheets-1", "What the sheets of a bench say", sheets_fields());
    defs["capture"] = document("voltsill-capture-1", "A capture held against a bench",
                               {{"file", text()},
                                {"file_format", text()},
                                {"bytes", whole(0)},
                                {"partial", truth("The file is cut, or reading was cancelled")},
                                {"cancelled", truth()},
                                {"wiring_from", one_of({"given", "plan"})},
                                {"verdict", ref("verdict")},
                                {"channels", list(ref("capture_channel"))},
                                {"mapped", list(ref("mapped_channel"))}});
    defs["ibis"] = document("voltsill-ibis-1", "What an IBIS file holds, and the part made from one of its models",
                            {{"file", text()},
                             {"ibis_version", text()},
                             {"revision", text()},
                             {"date", text()},
                             {"components", list(ref("ibis_component"))},
                             {"selectors", list(ref("ibis_selector"))},
                             {"models", list(ref("ibis_model"))},
                             {"not_used", list(ref("ibis_unused"))},
                             {"import", nullable("ibis_import")}});
    append_marking(defs);
    append_page_documents(defs);
    append_diagnose_documents(defs);
    defs["problems"] = document("voltsill-problems-1", "What is wrong with an input", {});
    defs["part_document"] =
        object("A part type", {{"format", {{"const", "voltsill-part-1"}}}, {"part", ref("part")}});
    defs["parts_document"] =
        object("Part types, and traits for pins of one's own",
               {{"format", {{"const", "voltsill-parts-1"}}},
                {"parts", list(ref("part"))},
                {"traits", list(ref("pin_trait"))},
                {"near", list(text(), "Names that may have been meant, where a search found nothing")}});
    defs["pin_trait_document"] = object(
        "A trait for pins", {{"format", {{"const", "voltsill-pin-trait-1"}}}, {"trait", ref("pin_trait")}});
    Json any = Json::array();
    for (const char* name :
         {"check", "plan", "readings", "trace", "sheets", "capture", "diagnose", "ibis", "marking",
          "marked_build_document", "edit", "drawings", "build",
          "sheet_pages", "trace_step", "problems", "part_document", "parts_document",
          "pin_trait_document"})
        any.push_back(ref(name));
    const Json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                         {"title", "Voltsill results"},
                         {"oneOf", std::move(any)},
                         {"$defs", std::move(defs)}};
    return written(schema);
}

}  // namespace voltsill
