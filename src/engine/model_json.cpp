/// The parameters of a discrete part as a document; null for parts without a model.

#include "engine/json_pieces.h"

namespace voltsill {
namespace {

Json ratio_figure(const Figure<double>& figure) {
    return figure_json(Dimension::ratio, figure.span, figure.origin);
}

struct ModelWriter {
    Json operator()(std::monostate) const { return nullptr; }
    Json operator()(const ResistorModel& m) const {
        return {{"is", "resistor"},
                {"ohms", m.ohms ? json_of(*m.ohms) : Json(nullptr)},
                {"tolerance", quantity_json(Dimension::ratio, m.tolerance)},
                {"power_max", json_of(m.power_max)}};
    }
    Json operator()(const CapacitorModel& m) const {
        return {{"is", "capacitor"}, {"farads", json_of(m.farads)}};
    }
    Json operator()(const DiodeModel& m) const {
        return {{"is", "diode"},
                {"forward", json_of(m.forward)},
                {"at", json_of(m.at)},
                {"current_max", json_of(m.current_max)},
                {"reverse_max", json_of(m.reverse_max)},
                {"led", m.led}};
    }
    Json operator()(const BjtModel& m) const {
        return {{"is", "bjt"},
                {"pnp", m.pnp},
                {"beta", ratio_figure(m.beta)},
                {"vbe", json_of(m.vbe)},
                {"current_max", json_of(m.current_max)},
                {"vce_max", json_of(m.vce_max)}};
    }
    Json operator()(const MosfetModel& m) const {
        return {{"is", "mosfet"},
                {"p_channel", m.p_channel},
                {"vth", json_of(m.vth)},
                {"rds", json_of(m.rds)},
                {"rds_at", json_of(m.rds_at)},
                {"body_forward", json_of(m.body_forward)},
                {"current_max", json_of(m.current_max)},
                {"vds_max", json_of(m.vds_max)},
                {"vgs_max", json_of(m.vgs_max)},
                {"gate_capacitance", json_of(m.gate_capacitance)}};
    }
    Json operator()(const OptoModel& m) const {
        return {{"is", "opto"},
                {"forward", json_of(m.forward)},
                {"ctr", ratio_figure(m.ctr)},
                {"led_max", json_of(m.led_max)},
                {"turn_off", json_of(m.turn_off)},
                {"vce_max", json_of(m.vce_max)}};
    }
    Json operator()(const AmplifierModel& m) const {
        return {{"is", "amplifier"},
                {"headroom_top", json_of(m.headroom_top)},
                {"headroom_bottom", json_of(m.headroom_bottom)},
                {"open_collector", m.open_collector}};
    }
    Json operator()(const PassGateModel& m) const {
        return {{"is", "pass-gate"},
                {"vth", json_of(m.vth)},
                {"on", json_of(m.on)},
                {"pull_a", json_of(m.pull_a)},
                {"pull_b", json_of(m.pull_b)}};
    }
    Json operator()(const KeeperModel& m) const { return {{"is", "keeper"}, {"ohms", json_of(m.ohms)}}; }
};

}  // namespace

Json model_json(const Model& model) { return std::visit(ModelWriter{}, model); }

}  // namespace voltsill
