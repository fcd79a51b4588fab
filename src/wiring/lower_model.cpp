/// Discrete parts as devices: one case per model.
#include <fmt/format.h>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/lower.h"

namespace voltsill {
namespace {

struct ModelLowering {
    Lowering& l;
    int part;

    const WiredPart& wired() const { return l.wiring.parts[part]; }
    const std::string& name() const { return wired().name; }
    Node at(std::string_view pin) const { return l.node(part, pin); }

    void operator()(const std::monostate&) const {}
    void operator()(const CapacitorModel&) const {}  // open at rest

    void operator()(const ResistorModel& model) const {
        const double tolerance = wired().tolerance.value_or(model.tolerance);
        Span<double> ohms = wired().value ? Span<double>{*wired().value * (1 - tolerance), *wired().value,
                                                         *wired().value * (1 + tolerance)}
                            : model.ohms  ? numbers_of(*model.ohms)
                                          : Span<double>{1.0, 1e3, 1e6};
        l.circuit.netlist.resistor(name(), at("1"), at("2"), l.figure(name(), ohms, wired().type->origin));
    }
    void operator()(const DiodeModel& model) const {
        Netlist& net = l.circuit.netlist;
        const ParamId vf =
            l.figure(name() + " forward", numbers_of(model.forward.span), model.forward.origin);
        net.add({.kind = DeviceKind::diode,
                 .nodes = {at("A"), at("K")},
                 .params = {vf, net.add_constant(model.at.si()), net.add_constant(model.led ? 0.06 : 0.035)},
                 .name = name()});
    }
    void operator()(const BjtModel& model) const {
        Netlist& net = l.circuit.netlist;
        const ParamId beta = l.figure(name() + " beta", model.beta.span, model.beta.origin);
        const ParamId vbe = l.figure(name() + " VBE", numbers_of(model.vbe.span), model.vbe.origin);
        net.add({.kind = DeviceKind::bjt,
                 .nodes = {at("C"), at("B"), at("E")},
                 .params = {beta, vbe, net.add_constant(2.0)},
                 .reversed_polarity = model.pnp,
                 .name = name()});
    }
    void operator()(const MosfetModel& model) const {
        Netlist& net = l.circuit.netlist;
        const ParamId vth = l.figure(name() + " VGS(th)", numbers_of(model.vth.span), model.vth.origin);
        // Triode region: 1 / RDS(on) = K (VGS - Vth).
        const double overdrive = std::max(0.3, (model.rds_at - model.vth.span.nominal).si());
        const auto& r = model.rds.span;
        const ParamId k = l.figure(
            name() + " K",
            {1 / (r.hi.si() * overdrive), 1 / (r.nominal.si() * overdrive), 1 / (r.lo.si() * overdrive)},
            model.rds.origin);
        net.mosfet(name(), at("D"), at("G"), at("S"), vth, k, model.p_channel);
        const ParamId body =
            l.figure(name() + " body diode", numbers_of(model.body_forward.span), model.body_forward.origin);
        net.diode(name() + " body diode", model.p_channel ? at("D") : at("S"),
                  model.p_channel ? at("S") : at("D"), body);
    }
    void operator()(const OptoModel& model) const {
        Netlist& net = l.circuit.netlist;
        const ParamId vf =
            l.figure(name() + " forward", numbers_of(model.forward.span), model.forward.origin);
        const ParamId ctr = l.figure(name() + " CTR", model.ctr.span, model.ctr.origin);
        net.add({.kind = DeviceKind::opto,
                 .nodes = {at("A"), at("K"), at("C"), at("E")},
                 .params = {vf, net.add_constant(1e-3), ctr},
                 .name = name()});
    }
    void operator()(const AmplifierModel&) const {}  // by channel
    void operator()(const PassGateModel&) const {}   // by channel
    void operator()(const KeeperModel&) const {}     // by channel
};

}  // namespace

void lower_model(Lowering& l, int part) {
    std::visit(ModelLowering{l, part}, l.wiring.parts[part].type->model);
}

}  // namespace voltsill
