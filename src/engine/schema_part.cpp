/// Part types in the result schema. Members that are not required are left out when the part
/// does not state them.
#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Field maybe(const char* name, Json schema) { return {name, std::move(schema), false}; }

Fields with_provenance(const Fields& fields) {
    return joined(fields, {{"certainty", ref("certainty")}, {"source", text()}, {"from_memory", truth()}});
}

void append_rows(Json& pieces) {
    pieces["level"] = object("ratio * V(supply) + offset, against the part's ground",
                             {{"ratio", number()}, {"offset", ref("quantity")}});
    pieces["threshold_row"] = object("VIL max and VIH min (Schmitt: VT- min, VT+ max) in a supply range",
                                     with_provenance({{"supply", ref("span")},
                                                      {"low", ref("level")},
                                                      {"high", ref("level")},
                                                      maybe("rising", ref("span")),
                                                      maybe("falling", ref("span"))}));
    pieces["transition_row"] = object(
        "Slowest edge an input takes",
        with_provenance(
            {{"supply", ref("span")}, maybe("per_volt", ref("quantity")), maybe("total", ref("quantity"))}));
    pieces["drive_row"] =
        object("VOH min or VOL max at a load current",
               with_provenance({{"supply", ref("span")}, {"at", ref("quantity")}, {"level", ref("level")}}));
    pieces["pull"] = object("A resistance inside the part from the pin to its supply or ground",
                            {{"to", one_of({"supply", "ground"})},
                             {"ohms", ref("figure")},
                             {"removable", truth()},
                             {"at_reset", truth()}});
    pieces["load"] = object("A load that the pin switches", {{"to", one_of({"supply", "ground"})},
                                                             {"forward", ref("figure")},
                                                             {"ohms", ref("figure")},
                                                             {"on_above", ref("figure")},
                                                             {"off_below", ref("figure")},
                                                             {"consequence", text()},
                                                             {"inductive", truth()}});
}

Json pin() {
    const Json level = ref("level"), figure = ref("figure");
    return object("A pin; levels follow its supply",
                  {{"name", text()},
                   {"role", one_of({"supply", "ground", "input", "push-pull", "three-state", "open-drain",
                                    "open-source", "io", "open-drain io", "analog input", "analog output",
                                    "load", "passive", "no connect"})},
                   {"supply", name_or_null()},
                   {"schmitt", truth()},
                   {"clamp_to_supply", truth()},
                   {"clamp_to_ground", truth()},
                   {"must_be_tied", truth()},
                   maybe("max", level),
                   maybe("min", level),
                   maybe("max_unpowered", level),
                   maybe("range_max", level),
                   maybe("range_min", level),
                   maybe("limits_origin", ref("provenance")),
                   maybe("range_origin", ref("provenance")),
                   maybe("thresholds", list(ref("threshold_row"))),
                   maybe("transition", list(ref("transition_row"))),
                   maybe("capacitance", figure),
                   maybe("leakage", figure),
                   maybe("input_low", figure),
                   maybe("input_high", figure),
                   maybe("pulls", list(ref("pull"))),
                   maybe("clamp_forward", figure),
                   maybe("clamp_max", figure),
                   maybe("injection_allowed", figure),
                   maybe("high", list(ref("drive_row"))),
                   maybe("low", list(ref("drive_row"))),
                   maybe("drive_max", figure),
                   maybe("delay_max", ref("quantity")),
                   maybe("delay_origin", ref("provenance")),
                   maybe("rise_time", figure),
                   maybe("fall_time", figure),
                   maybe("static_low", level),
                   maybe("static_low_origin", ref("provenance")),
                   maybe("analog_range", ref("span")),
                   maybe("full_scale", level),
                   maybe("output_ohms", figure),
                   maybe("source_ohms_max", figure),
                   maybe("load", ref("load")),
                   maybe("flyback", text()),
                   maybe("reset_state", text()),
                   maybe("note", text())});
}

Json supply_port() {
    return object("A supply of the part", {{"name", text()},
                                           {"range", ref("span")},
                                           {"max", ref("quantity")},
                                           {"min", ref("quantity")},
                                           {"current", ref("figure")},
                                           {"needs_decoupling", truth()},
                                           {"provides", nullable("span")},
                                           {"needs_at_most", name_or_null()},
                                           maybe("provides_limit", ref("figure")),
                                           maybe("max_origin", ref("provenance")),
                                           {"origin", ref("provenance")}});
}

Json channel() {
    const Json enable = object("", {{"pin", text()}, {"active", one_of({"high", "low"})}});
    return object("One path through the part",
                  {{"name", text()},
                   {"logic", one_of({"buffer", "inverter", "and", "nand", "or", "nor", "xor", "transceiver",
                                     "pass-gate", "auto push-pull", "auto open-drain", "repeater"})},
                   {"inputs", list(text())},
                   {"output", name_or_null()},
                   {"enables", list(enable, "All must be active")},
                   {"direction", name_or_null()}});
}

Json model(const char* name, Fields fields) {
    fields.insert(fields.begin(), {"is", {{"const", name}}});
    return object("", fields);
}

/// One kind for each discrete part, told apart by "is".
Json models() {
    const Json figure = ref("figure"), quantity = ref("quantity");
    return {model("resistor", {{"ohms", nullable("span")}, {"tolerance", quantity}, {"power_max", quantity}}),
            model("capacitor", {{"farads", nullable("quantity")}}),
            model("diode", {{"forward", figure},
                            {"at", quantity},
                            {"current_max", figure},
                            {"reverse_max", quantity},
                            {"led", truth()}}),
            model("bjt", {{"pnp", truth()},
                          {"beta", figure},
                          {"vbe", figure},
                          {"current_max", figure},
                          {"vce_max", quantity}}),
            model("mosfet", {{"p_channel", truth()},
                             {"vth", figure},
                             {"rds", figure},
                             {"rds_at", quantity},
                             {"body_forward", figure},
                             {"current_max", figure},
                             {"vds_max", quantity},
                             {"vgs_max", quantity},
                             {"gate_capacitance", figure}}),
            model("opto", {{"forward", figure},
                           {"ctr", figure},
                           {"led_max", figure},
                           {"turn_off", quantity},
                           {"vce_max", quantity}}),
            model("amplifier",
                  {{"headroom_top", figure}, {"headroom_bottom", figure}, {"open_collector", truth()}}),
            model("pass-gate", {{"vth", figure}, {"on", figure}, {"pull_a", figure}, {"pull_b", figure}}),
            model("keeper", {{"ohms", figure}}),
            {{"type", "null"}}};
}

}  // namespace

void append_part_pieces(Json& pieces) {
    append_rows(pieces);
    pieces["pin"] = pin();
    pieces["supply_port"] = supply_port();
    pieces["channel"] = channel();
    Json package_pin = name_or_null();
    package_pin["description"] = "Null: not connected";
    pieces["package"] = object("Pins by number, from 1",
                               {{"name", text()}, {"pins", list(package_pin)}, {"fits_board", truth()}});
    pieces["model"]["oneOf"] = models();
    pieces["part"] =
        object("A part type", {{"name", text()},
                               {"title", text()},
                               {"kind", one_of({"module", "logic", "resistor", "capacitor", "diode", "bjt",
                                                "mosfet", "opto", "comparator", "op_amp", "translator"})},
                               {"family", name_or_null()},
                               {"function", name_or_null()},
                               {"supplies", list(ref("supply_port"))},
                               {"pins", list(ref("pin"))},
                               {"channels", list(ref("channel"))},
                               {"packages", list(ref("package"))},
                               {"model", ref("model")},
                               {"rate_max", nullable("quantity")},
                               {"supply_current_max", ref("figure")},
                               {"price", number("Relative")},
                               {"invented", truth("Figures made up for an example")},
                               {"note", text()},
                               {"origin", ref("provenance")}});
    pieces["pin_trait"] = object("Words that can stand after `like` in a pin; role passive: a base, to which a "
                                 "pin adds what it is",
                                 {{"name", text()},
                                  {"like", name_or_null()},
                                  {"pin", ref("pin")},
                                  {"origin", ref("provenance")}});
}

}  // namespace voltsill::schema_words
