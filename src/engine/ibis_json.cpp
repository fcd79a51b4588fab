#include "engine/ibis_json.h"

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json component_json(const IbisComponent& component) {
    Json pins = Json::array();
    for (const IbisPin& p : component.pins)
        pins.push_back({{"number", p.number}, {"signal", p.signal}, {"model", p.model}});
    return {{"name", component.name}, {"manufacturer", component.manufacturer}, {"pins", std::move(pins)}};
}

Json selector_json(const IbisSelector& selector) {
    Json choices = Json::array();
    for (const auto& c : selector.choices) choices.push_back({{"model", c.model}, {"text", c.text}});
    return {{"name", selector.name}, {"choices", std::move(choices)}};
}

Json ibis_model_json(const IbisModel& model) {
    return {{"name", model.name},
            {"type", model.type_word},
            {"not_supported", name_or_null(model.not_supported)},
            {"supply", json_of(Volts{model.supply(ibis_typ)})},
            {"waveforms", model.waveforms.size()}};
}

Json unused_json(const IbisUnused& unused) {
    return {{"keyword", unused.keyword}, {"line", unused.line}, {"reason", unused.reason}};
}

Json import_json(const IbisImport& import) {
    return {{"type", import.type},
            {"model", import.model},
            {"component", name_or_null(import.component)},
            {"pin", name_or_null(import.pin)},
            {"remarks", import.remarks},
            {"part_file", import.part_file}};
}

}  // namespace

std::string ibis_to_json(const IbisFile& file, const std::optional<IbisImport>& import,
                         const Problems& problems) {
    Json out = {{"format", "voltsill-ibis-1"},
                {"accepted", !has_error(problems)},
                {"problems", problems_json(problems)},
                {"file", file.file},
                {"ibis_version", file.version},
                {"revision", file.revision},
                {"date", file.date},
                {"components", json_list(file.components, &component_json)},
                {"selectors", json_list(file.selectors, &selector_json)},
                {"models", json_list(file.models, &ibis_model_json)},
                {"not_used", json_list(file.unused, &unused_json)},
                {"import", import ? import_json(*import) : Json(nullptr)}};
    return written(out);
}

}  // namespace voltsill
