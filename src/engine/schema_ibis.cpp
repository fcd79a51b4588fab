/// What an IBIS document consists of.
#include "engine/schema_words.h"

namespace voltsill::schema_words {

void append_ibis_pieces(Json& out) {
    out["ibis_component"] = object(
        "A component of an IBIS file",
        {{"name", text()},
         {"manufacturer", text()},
         {"pins", list(object("A pin", {{"number", text()},
                                        {"signal", text()},
                                        {"model", text("Of a model or selector; POWER, GND, NC")}}))}});
    out["ibis_selector"] = object(
        "One name for several models; the first is the default",
        {{"name", text()}, {"choices", list(object("A choice", {{"model", text()}, {"text", text()}}))}});
    out["ibis_model"] = object("A model of an IBIS file", {{"name", text()},
                                                           {"type", text("Model_type, as written")},
                                                           {"not_supported", name_or_null()},
                                                           {"supply", ref("quantity")},
                                                           {"waveforms", whole(0)}});
    out["ibis_unused"] =
        object("A keyword that is not used", {{"keyword", text()}, {"line", whole(1)}, {"reason", text()}});
    out["ibis_import"] = object("A part made from a model", {{"type", text()},
                                                             {"model", text()},
                                                             {"component", name_or_null()},
                                                             {"pin", name_or_null()},
                                                             {"remarks", list(text())},
                                                             {"part_file", text("TOML")}});
}

}  // namespace voltsill::schema_words
