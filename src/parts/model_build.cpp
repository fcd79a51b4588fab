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

ResistorModel model(const ResistorRecord& r, const Provenance&) { return {{}, r.tolerance, r.power}; }
CapacitorModel model(const CapacitorRecord&, const Provenance&) { return {}; }
DiodeModel model(const DiodeRecord& r, const Provenance& o) {
    return {figure(r.forward, o), r.at.value_or(Amps{1e-3}), figure(r.current_max, o),
            r.reverse_max.value_or(Volts{}), r.led};
}
BjtModel model(const BjtRecord& r, const Provenance& o) {
    return {r.pnp, figure(r.beta, o), figure(r.vbe, o), figure(r.current_max, o),
            r.vce_max.value_or(Volts{})};
}
MosfetModel model(const MosfetRecord& r, const Provenance& o) {
    return {r.p_channel,
            figure(r.vth, o),
            figure(r.rds, o),
            r.rds_at,
            figure(r.body_forward, o),
            figure(r.current_max, o),
            r.vds_max.value_or(Volts{}),
            r.vgs_max.value_or(Volts{}),
            figure(r.gate_capacitance, o)};
}
OptoModel model(const OptoRecord& r, const Provenance& o) {
    return {figure(r.forward, o), figure(r.ctr, o), figure(r.led_max, o), r.turn_off.value_or(Seconds{}),
            r.vce_max.value_or(Volts{})};
}
AmplifierModel model(const AmplifierRecord& r, const Provenance& o) {
    return {figure(r.headroom_top, o), figure(r.headroom_bottom, o), r.open_collector};
}
PassGateModel model(const PassGateRecord& r, const Provenance& o) {
    return {figure(r.vth, o), figure(r.on, o), figure(r.pull_a, o), figure(r.pull_b, o)};
}
KeeperModel model(const KeeperRecord& r, const Provenance& o) { return {figure(r.ohms, o)}; }

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

}  // namespace

void set_model(PartType& type, const TypeRecord& r, const Provenance& outer, Mistakes& mistakes) {
    if (std::holds_alternative<std::monostate>(type.model)) type.model = empty_model(type.kind);
    const auto take = [&](const auto& table) {
        if (table) type.model = model(*table, inherited(outer, *table));
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
