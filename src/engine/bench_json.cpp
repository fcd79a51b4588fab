/// The bench as a document: what was read, so that a result can be understood without the file.

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json rail_json(const Rail& rail) {
    return {{"name", rail.name},
            {"volts", json_of(rail.volts)},
            {"limit", json_of(rail.limit)},
            {"from", name_or_null(rail.from)},
            {"switch", rail.switch_group.empty() ? rail.name : rail.switch_group},
            {"sinks", rail.sinks},
            {"place", place_json(rail.place)}};
}

Json part_on_bench(const BenchPart& part) {
    Json supplies = Json::array();
    for (const auto& [port, rail] : part.supplies) supplies.push_back({{"port", port}, {"rail", rail}});
    return {{"name", part.name},
            {"type", part.type_name},
            {"package", part.package ? Json(part.package->name) : Json(nullptr)},
            {"supplies", std::move(supplies)},
            {"grounded", part.grounded},
            {"value", part.type ? value_json(*part.type, part.value) : Json(nullptr)},
            {"pulls_removed", part.pulls_removed},
            {"as_is", part.as_is},
            {"place", place_json(part.place)}};
}

Json ends_json(const std::vector<PinRef>& ends) {
    Json out = Json::array();
    for (const PinRef& end : ends) out.push_back({{"part", end.part}, {"pin", end.pin}});
    return out;
}

Json link_json(const Link& link) {
    return {{"name", link.name},
            {"kind", to_word(link.kind)},
            {"from", ends_json(link.from)},
            {"to", ends_json(link.to)},
            {"rate", json_of(link.rate)},
            {"bus", name_or_null(link.bus)},
            {"invert_allowed", link.invert_allowed},
            {"safe_level", link.safe_level ? Json(*link.safe_level) : Json(nullptr)},
            {"group", name_or_null(link.group)},
            {"interface", name_or_null(link.interface)},
            {"place", place_json(link.place)}};
}

Json stock_json(const Bench& bench) {
    if (!bench.has_stock) return nullptr;
    Json out = Json::array();
    for (const StockItem& item : bench.stock)
        out.push_back({{"name", item.name},
                       {"count", item.count ? Json(*item.count) : Json(nullptr)},
                       {"span", item.span ? json_of(*item.span) : Json(nullptr)}});
    return out;
}

}  // namespace

Json bench_json(const Bench& bench) {
    return {{"title", bench.title},
            {"ambient",
             {{"lo", bench.ambient_lo.degrees},
              {"hi", bench.ambient_hi.degrees},
              {"unit", unit_word(Dimension::temperature)}}},
            {"wanted_margin", json_of(bench.wishes.margin)},
            {"rails", json_list(bench.rails, rail_json)},
            {"parts", json_list(bench.parts, part_on_bench)},
            {"links", json_list(bench.links, link_json)},
            {"stock", stock_json(bench)}};
}

}  // namespace voltsill
