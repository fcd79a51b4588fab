/// What a capture document consists of.
#include "engine/schema_words.h"

namespace voltsill::schema_words {

void append_capture_pieces(Json& out) {
    const Json count = whole(0);
    out["tally"] = object("Of values met one by one: lowest, mean (as nominal) and highest",
                          {{"count", count}, {"seconds", nullable("span")}});
    out["stay"] = object(
        "Stays in a range of voltages",
        {{"count", count}, {"total", ref("quantity")}, {"longest", ref("quantity")}, {"returned", whole(0)}});
    out["pulses"] = object("Pulses at half the swing; of logic channels between 0 and 1",
                           {{"rising", count},
                            {"falling", count},
                            {"frequency", nullable("quantity")},
                            {"duty", nullable("quantity")},
                            {"period", ref("tally")},
                            {"high_width", ref("tally")},
                            {"low_width", ref("tally")},
                            {"glitches", count},
                            {"glitch_limit", nullable("quantity")}});
    out["voltage_measures"] = object(
        "State levels by the histogram method of IEEE 181, edges from 10 to 90 % between them",
        {{"samples", count},
         {"missing", count},
         {"two_states", truth("False: the signal stays at one level")},
         {"high", nullable("quantity")},
         {"low", nullable("quantity")},
         {"highest", nullable("quantity")},
         {"lowest", nullable("quantity")},
         {"overshoot", ref("quantity")},
         {"undershoot", ref("quantity")},
         {"rise_time", ref("tally")},
         {"fall_time", ref("tally")},
         {"runts", count},
         {"between_thresholds", ref("stay")},
         {"over_maximum", ref("stay")},
         {"under_minimum", ref("stay")},
         {"edges_by_first_levels",
          truth("The levels lie elsewhere than in the first samples, by which edges were measured, and the "
                "source could not be read again")}});
    out["logic_measures"] = object("Of a channel of 0, 1, x and z", {{"changes", count},
                                                                     {"zero", ref("quantity")},
                                                                     {"one", ref("quantity")},
                                                                     {"x", ref("quantity")},
                                                                     {"z", ref("quantity")},
                                                                     {"unknown_spells", count}});
    out["capture_channel"] = object("A channel of the file", {{"name", text()},
                                                              {"aliases", list(text())},
                                                              {"unit", name_or_null()},
                                                              {"digital", truth()},
                                                              {"duration", ref("quantity")},
                                                              {"pulses", ref("pulses")},
                                                              {"voltage", nullable("voltage_measures")},
                                                              {"logic", nullable("logic_measures")}});
    out["mapped_channel"] = object("A channel held against the pin where it was probed",
                                   {{"channel", text()},
                                    {"link", name_or_null()},
                                    {"point", text()},
                                    {"verdict", ref("verdict")},
                                    {"predicted_high", nullable("span")},
                                    {"predicted_low", nullable("span")},
                                    {"vih", nullable("quantity")},
                                    {"vil", nullable("quantity")},
                                    {"limit_max", nullable("quantity")},
                                    {"limit_min", nullable("quantity")},
                                    {"certainty", ref("certainty")},
                                    {"findings", list(ref("finding"), "Codes: docs/captures.md")}});
}

}  // namespace voltsill::schema_words
