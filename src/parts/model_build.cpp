/// Models of discrete parts from the table that is named like their kind.
#include <fmt/format.h>

#include "parts/part_build.h"

namespace voltsill {
namespace {

template <class Q>
Figure<Q> figure(const Span<Q>& span, const Provenance& origin) {
    return {span, origin};
}
template <class Q>
Figure<Q> figure(const std::optional<Span<Q>>& span, const Provenance& origin) {
    return span ? Figure<Q>{*span, origin} : Figure<Q>{};
}

/// Where the figures of a model table come from, key by key.
struct Origins {
    const Provenance& outer;
    const OriginRecord& own;
    Provenance operator()(std::string_view key) const { return inherited(outer, own, key); }
};

ResistorModel model(const ResistorRecord& r, const Provenance&) { return {{}, r.tolerance, r.power}; }
CapacitorModel model(const CapacitorRecord&, const Provenance&) { return {}; }
DiodeModel model(const DiodeRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {figure(r.forward, o("forward")), r.at.value_or(Amps{1e-3}),
            figure(r.current_max, o("current_max")), r.reverse_max.value_or(Volts{}), r.led};
}
BjtModel model(const BjtRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {r.pnp, figure(r.beta, o("beta")), figure(r.vbe, o("vbe")),
            figure(r.current_max, o("current_max")), r.vce_max.value_or(Volts{})};
}
MosfetModel model(const MosfetRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {r.p_channel,
            figure(r.vth, o("vth")),
            figure(r.rds, o("rds")),
            r.rds_at,
            figure(r.body_forward, o("body_forward")),
            figure(r.current_max, o("current_max")),
            r.vds_max.value_or(Volts{}),
            r.vgs_max.value_or(Volts{}),
            figure(r.gate_capacitance, o("gate_capacitance"))};
}
OptoModel model(const OptoRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {figure(r.forward, o("forward")), figure(r.ctr, o("ctr")), figure(r.led_max, o("led_max")),
            r.turn_off.value_or(Seconds{}), r.vce_max.value_or(Volts{})};
}
AmplifierModel model(const AmplifierRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {figure(r.headroom_top, o("headroom_top")), figure(r.headroom_bottom, o("headroom_bottom")),
            r.open_collector};
}
PassGateModel model(const PassGateRecord& r, const Provenance& outer) {
    const Origins o{outer, r};
    return {figure(r.vth, o("vth")), figure(r.on, o("on")), figure(r.pull_a, o("pull_a")),
            figure(r.pull_b, o("pull_b"))};
}
KeeperModel model(const KeeperRecord& r, const Provenance& outer) {
    return {figure(r.ohms, inherited(outer, r, "ohms"))};
}

struct ModelTable {
    PartKind kind;
    const char* key;
    bool needed;  ///< the kind means nothing without it
};
constexpr ModelTable tables[] = {
    {PartKind::resistor, "resistor", false},
    {PartKind::capacitor, "capacitor", false},
    {PartKind::diode, "diode", true},
    {PartKind::bjt, "bjt", true},
    {PartKind::mosfet, "mosfet", true},
    {PartKind::opto, "opto", true},
    {PartKind::comparator, "comparator", false},
    {PartKind::op_amp, "op_amp", false},
    {PartKind::translator, "pass_gate", false},
    {PartKind::translator, "keeper", false},
};

Model empty_model(PartKind kind) {
    if (kind == PartKind::resistor) return ResistorModel{};
    if (kind == PartKind::capacitor) return CapacitorModel{};
    if (kind == PartKind::comparator || kind == PartKind::op_amp) return AmplifierModel{};
    return std::monostate{};
}

/// False for what a type took over from one of another kind: its figures say nothing about this one.
bool is_of_kind(const Model& model, PartKind kind) {
    switch (kind) {
        case PartKind::resistor: return std::holds_alternative<ResistorModel>(model);
        case PartKind::capacitor: return std::holds_alternative<CapacitorModel>(model);
        case PartKind::diode: return std::holds_alternative<DiodeModel>(model);
        case PartKind::bjt: return std::holds_alternative<BjtModel>(model);
        case PartKind::mosfet: return std::holds_alternative<MosfetModel>(model);
        case PartKind::opto: return std::holds_alternative<OptoModel>(model);
        case PartKind::comparator:
        case PartKind::op_amp: return std::holds_alternative<AmplifierModel>(model);
        case PartKind::translator:
            return std::holds_alternative<PassGateModel>(model) || std::holds_alternative<KeeperModel>(model);
        default: return false;
    }
}

}  // namespace

void set_model(PartType& type, const TypeRecord& r, const Provenance& outer, Mistakes& mistakes) {
    if (!is_of_kind(type.model, type.kind)) type.model = empty_model(type.kind);
    const auto take = [&](const auto& table) {
        if (table) type.model = model(*table, outer);
    };
    take(r.resistor), take(r.capacitor), take(r.diode), take(r.bjt), take(r.mosfet), take(r.opto);
    take(r.comparator), take(r.op_amp), take(r.pass_gate), take(r.keeper);

    for (const ModelTable& table : tables) {
        const bool present = r.keys.find(table.key), of_kind = table.kind == type.kind;
        if (present && !of_kind)
            mistakes.error(
                place_of(r.place, r.keys, table.key), "wrong-kind",
                fmt::format("table {} does not belong to a part of kind {}", table.key, to_word(type.kind)),
                fmt::format("kind = \"{}\"", to_word(table.kind)));
        if (of_kind && table.needed && std::holds_alternative<std::monostate>(type.model))
            mistakes.error(r.place, "missing-key",
                           fmt::format("a part of kind {} needs a table {}", table.key, table.key),
                           fmt::format("{} = {{ ... }}", table.key));
    }
}

}  // namespace voltsill
