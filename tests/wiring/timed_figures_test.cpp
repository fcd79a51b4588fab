/// Charge, edges, delays and jumpers of a wiring over time, worked out by hand.
#include "wiring/assumed.h"
#include "wiring/lowered.h"

namespace voltsill {
namespace {
using namespace hand;

struct Timed {
    Build build;
    Wiring wiring;
    TimedCircuit timed;
    explicit Timed(Build b) : build(std::move(b)), wiring(build.wiring()), timed(lower_timed(build.bench, wiring)) {}

    const Netlist& net() const { return timed.circuit.netlist; }
    const PinSite& site(std::string_view part, std::string_view pin) const {
        const int p = wiring.part(part);
        return timed.circuit.site(p, wiring.parts[p].type->pin_index(pin));
    }
    const Capacitor& capacitor(std::string_view name) const { return by_name(timed.dynamics.capacitors, name); }
    bool has_capacitor(std::string_view name) const {
        return std::ranges::find(timed.dynamics.capacitors, name, &Capacitor::name) != timed.dynamics.capacitors.end();
    }
    void expect_farads(std::string_view name, double lo, double nominal, double hi) const {
        expect_span(net().parameters[capacitor(name).farads], lo, nominal, hi);
    }
};

/// D.OUT at R.IN on a rail of 5 V, joined by a link; `out` with edges of 4.8 ns rising and 8 ns falling.
Build timed_pair(double henries) {
    Build b({five});
    Pin out = output("OUT");
    out.rise_time = {Span<Seconds>::exactly(Seconds{4.8e-9}), sheet};
    out.fall_time = {Span<Seconds>::exactly(Seconds{8e-9}), sheet};
    b.module("D", {out}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    b.bench.wishes.wire_inductance = Henries{henries};
    return b;
}

/// A wire of 1 uH has 50 pF, so one of 150 nH delays by 150 nH sqrt(50 uF/H) = 1.06 ns. It is long for an edge shorter
/// than six times that, 6.4 ns, which a ramp of 4.8 ns / 0.8 is; one of 135 nH is not long (5.7 ns).
TEST(Jumpers, ALongWireIsThreeSections) {
    const Timed near(timed_pair(135e-9));
    EXPECT_TRUE(near.timed.dynamics.inductors.empty());
    EXPECT_EQ(near.site("R", "IN").node, near.site("D", "OUT").node);
    EXPECT_TRUE(Timed(timed_pair(0)).timed.dynamics.inductors.empty());

    const Timed far(timed_pair(150e-9));
    const Netlist& net = far.net();
    ASSERT_EQ(far.timed.dynamics.inductors.size(), 3u);
    Node at = far.site("D", "OUT").node;
    for (const Inductor& l : far.timed.dynamics.inductors) {
        const Device& wire = net.devices[l.resistor];
        expect_span(net.parameters[l.henries], 25e-9, 50e-9, 75e-9);  // half of it either way
        expect_span(net.parameters[wire.params[0]], 0.05 / 3, 0.1 / 3, 0.1);
        EXPECT_EQ(wire.nodes[0], at);
        const Device& loss = by_name(net.devices, wire.name + " loss");
        EXPECT_EQ(loss.nodes[0], at);
        EXPECT_EQ(loss.nodes[1], wire.nodes[1]);
        // Five times the impedance of the line, sqrt(1 uH / 50 pF) = 141 ohms.
        EXPECT_NEAR(net.parameters[loss.params[0]].nominal, 707, 1);
        far.expect_farads(wire.name + " capacitance", 1.25e-12, 2.5e-12, 3.75e-12);
        EXPECT_EQ(far.capacitor(wire.name + " capacitance").a, wire.nodes[1]);
        at = wire.nodes[1];
    }
    EXPECT_EQ(far.site("R", "IN").node, at);
}

TEST(Jumpers, APinMovesWithAllThatHangsOnIt) {
    Build b = timed_pair(150e-9);
    b.bench.wishes.probe_capacitance = Farads{10e-12};
    const Timed far(std::move(b));
    const PinSite& in = far.site("R", "IN");
    EXPECT_EQ(far.net().devices[in.clamp_up].nodes[0], in.node);
    EXPECT_EQ(far.net().devices[in.clamp_down].nodes[1], in.node);
    EXPECT_EQ(far.capacitor("R.IN capacitance").a, in.node);
    far.expect_farads("R.IN capacitance", 5e-12, 5e-12, 5e-12);
    EXPECT_EQ(far.capacitor("probe at R.IN").a, in.node);
    far.expect_farads("probe at R.IN", 9e-12, 10e-12, 11e-12);
    const PinSite& out = far.site("D", "OUT");
    EXPECT_NE(out.node, in.node);
    EXPECT_EQ(far.net().stages[out.stage].pin, out.node) << "the driver stays";
    EXPECT_EQ(far.capacitor("D.OUT capacitance").a, out.node);
    EXPECT_FALSE(Timed(timed_pair(150e-9)).has_capacitor("probe at R.IN"));
}

/// A logic input is a receiver without a link, and its unit reads the far end; a pass-gate's sides are not moved.
TEST(Jumpers, LogicReadsBehindItsJumper) {
    auto type = module("inverter", {input("A", cmos(), true), output("Y")});
    type->channels = {{.logic = ChannelLogic::inverter, .inputs = {0}, .output = 1, .name = "1"}};
    Build b = timed_pair(150e-9);
    b.added("X", type, {"five"});
    b.join("X.A", "D.OUT");
    const Timed l(std::move(b));
    EXPECT_EQ(l.timed.dynamics.inductors.size(), 6u);
    EXPECT_NE(l.site("X", "A").node, l.site("D", "OUT").node);
    EXPECT_EQ(l.net().units.at(0).inputs[0].pin, l.site("X", "A").node);

    Build gate =
        bridged(between(ChannelLogic::pass_gate, PassGateModel{.vth = {Span<Volts>::exactly(Volts{0.8}), sheet},
                                                               .on = {Span<Ohms>::exactly(Ohms{4}), sheet}}));
    gate.link("through", {"D", "OUT", {}}, {"X", "A", {}});
    gate.bench.wishes.wire_inductance = Henries{1e-6};
    EXPECT_TRUE(Timed(std::move(gate)).timed.dynamics.inductors.empty());
}

// Charge
// ------------------------------------------------------------------------------------------------------

TEST(Charge, NetsAndPinsHaveCapacitance) {
    Build b = timed_pair(0);
    b.bench.wishes.wire_capacitance = Farads{20e-12};
    b.resistor(1e3, "D.OUT", "ground");
    const Timed l(std::move(b));
    const std::string net = l.wiring.nets[l.wiring.net_at("D", "OUT")].name;
    l.expect_farads("wires of " + net, 10e-12, 20e-12, 30e-12);
    l.expect_farads("D.OUT capacitance", 4e-12, 7e-12, 10e-12);  // none given: common practice for a pin
    EXPECT_EQ(l.timed.dynamics.capacitors.size(), 3u) << "not rails, supplies or resistors";
    for (const Capacitor& c : l.timed.dynamics.capacitors) EXPECT_EQ(c.b, ground_node);
}

TEST(Charge, ACapacitorSpreadsByATolerance) {
    Build b = timed_pair(0);
    b.added("C1", discrete(PartKind::capacitor, {"1", "2"}, CapacitorModel{}));
    b.bench.wiring->parts.back().value = 1e-9;
    b.join("C1.1", "D.OUT"), b.join("C1.2", "rail five");
    const Timed l(b);
    l.expect_farads("C1", 0.8e-9, 1e-9, 1.2e-9);  // IEC 60063: E6, 20 %
    EXPECT_EQ(l.capacitor("C1").a, l.site("D", "OUT").node);
    EXPECT_EQ(l.capacitor("C1").b, l.site("D", "VCC").node);
    b.bench.wiring->wires.pop_back();  // an open end holds no charge
    EXPECT_FALSE(Timed(b).has_capacitor("C1"));
    for (const char* grounded : {"C1.1", "C1.2"}) {
        Build one = timed_pair(0);
        one.added("C1", discrete(PartKind::capacitor, {"1", "2"}, CapacitorModel{}));
        one.bench.wiring->parts.back().value = 1e-9;
        one.join("C1.1", "D.OUT"), one.join("C1.2", "D.OUT");
        for (Wire& wire : one.bench.wiring->wires)
            if (wire.from == grounded) wire.to = "ground";
        EXPECT_TRUE(Timed(std::move(one)).has_capacitor("C1")) << grounded << " at ground";
    }
}

TEST(Charge, AGateIsHalfToEitherEndOfItsChannel) {
    MosfetModel model{.vth = {Span<Volts>::exactly(Volts{1.5}), sheet},
                      .rds = {Span<Ohms>::exactly(Ohms{4}), sheet},
                      .rds_at = Volts{4.5}};
    model.body_forward = {Span<Volts>::exactly(Volts{0.7}), sheet};
    model.gate_capacitance = {Span<Farads>{Farads{40e-12}, Farads{50e-12}, Farads{60e-12}}, sheet};
    Build b = timed_pair(0);
    b.added("Q1", discrete(PartKind::mosfet, {"D", "G", "S"}, model));
    b.join("Q1.G", "D.OUT"), b.join("Q1.S", "ground"), b.join("Q1.D", "rail five");
    const Timed l(std::move(b));
    for (const char* end : {"drain", "source"})
        l.expect_farads(std::string("Q1 gate to ") + end, 20e-12, 25e-12, 30e-12);
    EXPECT_EQ(l.capacitor("Q1 gate to drain").b, l.site("D", "VCC").node);
    EXPECT_EQ(l.capacitor("Q1 gate to source").b, ground_node);
}

TEST(Charge, WhatWavesDoNotShowIsSaid) {
    for (const auto& [kind, pins, model, seconds] : {std::tuple{PartKind::opto, std::vector{"A", "K", "C", "E"},
                                                                Model{OptoModel{.turn_off = Seconds{4e-6}}}, 4e-6},
                                                     {PartKind::bjt, {"C", "B", "E"}, BjtModel{}, 1e-6},
                                                     {PartKind::op_amp, {"A"}, AmplifierModel{}, 0.0}}) {
        auto type = discrete(kind, {}, model);
        for (const char* pin : pins) type->pins.push_back({.name = pin});
        Build b = timed_pair(0);
        b.added("X", type);
        const Timed l(std::move(b));
        ASSERT_EQ(l.timed.left_out.size(), 1u);
        EXPECT_EQ(l.timed.left_out[0].part, l.wiring.part("X"));
        EXPECT_EQ(l.timed.left_out[0].seconds, seconds);
    }
}

// Edges
// ------------------------------------------------------------------------------------------------------

/// An inverter of a delay of 10 ns at most on a rail of 3.2 to 3.4 V, its input by `in`.
Timed inverting(Pin in, std::optional<Seconds> delay = Seconds{10e-9}) {
    in.name = "A";
    Pin out = output("Y");
    out.delay_max = delay, out.delay_origin = sheet;
    auto type = module("inverter", {in, out});
    type->channels = {{.logic = ChannelLogic::inverter, .inputs = {0}, .output = 1, .name = "1"}};
    Build b({three});
    b.added("X", type, {"three"});
    return Timed(std::move(b));
}

/// Edges are 0.15 to 0.8 of the slowest delay, from 10 to 90 %; delays a quarter of it, half, and all.
TEST(Edges, FollowTheDelay) {
    const Timed l = inverting(input("A", cmos(), true));
    expect_span(parameter(l.net(), "X.Y rising edge"), 1.5e-9 / 0.8, 4e-9 / 0.8, 8e-9 / 0.8);
    expect_span(parameter(l.net(), "X.Y falling edge"), 1.5e-9 / 0.8, 4e-9 / 0.8, 8e-9 / 0.8);
    expect_span(parameter(l.net(), "X channel 1 delay to high"), 2.5e-9, 5e-9, 10e-9);
    EXPECT_EQ(parameter(l.net(), "X channel 1 delay to low").origin, sheet);
    const Timed bare = inverting(input("A", cmos(), true), std::nullopt);
    EXPECT_EQ(parameter(bare.net(), "X.Y rising edge").origin.certainty, Certainty::assumed);
    EXPECT_EQ(parameter(bare.net(), "X channel 1 delay to low").origin.certainty, Certainty::assumed);
}

/// VIL and VIH of 0.3 and 0.7 of 3.3 V: one voltage between them, or the two of a Schmitt input, about the middle.
TEST(Edges, InputsSwitchBetweenTheirLimits) {
    expect_span(parameter(inverting(input("A", cmos(), true)).net(), "X.A threshold"), 0.99, 1.65, 2.31);
    Pin in = input("A", cmos(), true);
    in.schmitt = true;
    Timed l = inverting(in);
    expect_span(parameter(l.net(), "X.A VT+"), 1.65, 1.98, 2.31);
    expect_span(parameter(l.net(), "X.A VT-"), 0.99, 1.32, 1.65);
    in.thresholds[0].rising = Span<Volts>{Volts{1.7}, Volts{1.9}, Volts{2.1}};
    in.thresholds[0].falling = Span<Volts>{Volts{1.1}, Volts{1.2}, Volts{1.3}};
    l = inverting(in);
    expect_span(parameter(l.net(), "X.A VT+"), 1.7, 1.9, 2.1);
    expect_span(parameter(l.net(), "X.A VT-"), 1.1, 1.2, 1.3);
    in.thresholds[0].supply = Span<Volts>::between(Volts{4.5}, Volts{5.5});  // bands of another supply
    EXPECT_NE(parameter(inverting(in).net(), "X.A VT+").hi, 2.1);
}

/// An input that is the offset side of a repeater, held at 0.5 V, does not read its own low: it switches below that.
TEST(Edges, AnOffsetSideSwitchesBelowItsOwnLow) {
    Pin in = input("A", cmos(), true);
    in.static_low = Level{0, Volts{0.5}};
    in.static_low_origin = sheet;
    expect_span(parameter(inverting(in).net(), "X.A threshold"), 0.375, 0.4375, 0.475);
}

/// A maker's curves: an edge takes from the fastest to the slowest corner's time, and clamps are its tables.
TEST(Edges, CurvesBringTheirOwnTimes) {
    const IvCurve side{{0, 3.3}, {0, 0.1}};
    const auto corner = [&](double ns) {
        return OutputCorner{.supply = Volts{3.3},
                            .pull_up = side,
                            .pull_down = side,
                            .supply_clamp = {{0, 1}, {0, 0.01}},
                            .ground_clamp = {{-1, 0}, {-0.02, 0}},
                            .rising = SwitchingCurve{ns * 1e-9, {0, 1}, {1, 0}},
                            .falling = SwitchingCurve{ns * 2e-9, {1, 0}, {0, 1}}};
    };
    Build b = timed_pair(0);
    auto type = std::make_shared<PartType>(*b.bench.parts[0].type);
    Pin& out = type->pins[0];
    out.curves = OutputCurves{corner(9), corner(6), corner(3), sheet};
    out.clamp_to_ground = out.clamp_to_supply = true;
    out.clamp_forward = {Span<Volts>::exactly(Volts{0.6}), sheet};
    b.bench.parts[0].type = type;
    const Timed l(std::move(b));
    expect_span(parameter(l.net(), "D.OUT rising edge"), 3e-9, 6e-9, 9e-9);
    expect_span(parameter(l.net(), "D.OUT falling edge"), 6e-9, 12e-9, 18e-9);
    const PinSite& site = l.site("D", "OUT");
    const Device &up = l.net().devices[site.clamp_up], &down = l.net().devices[site.clamp_down];
    EXPECT_EQ(up.kind, DeviceKind::table);
    EXPECT_EQ(l.net().tables[up.table].amps, (std::vector{0.0, 0.01}));
    EXPECT_EQ(up.nodes[1], l.site("D", "VCC").node);
    EXPECT_EQ(l.net().tables[down.table].amps, (std::vector{-0.02, 0.0}));
    EXPECT_EQ(down.nodes[0], site.node);
    EXPECT_EQ(down.nodes[1], ground_node);
    const Switching& how = l.timed.dynamics.stages[site.stage];
    EXPECT_EQ(l.timed.dynamics.curves[how.rise_curve].up, (std::vector{0.0, 1.0}));
    EXPECT_EQ(l.timed.dynamics.curves[how.fall_curve].up, (std::vector{1.0, 0.0}));
}

// Accelerators
// ------------------------------------------------------------------------------------------------------

/// Each side of an auto-direction part sees an edge at 0.35 to 0.65 of its own supply, and lets both sides drive: up
/// after a rise, and where it pushes as well, down after a fall. 50 ohms of 30 to 90 (SCES650E, from memory).
TEST(Accelerators, BothSidesDriveAfterAnEdgeOnEither) {
    for (const bool push_pull : {true, false}) {
        const Model model = push_pull ? Model{KeeperModel{{Span<Ohms>::exactly(Ohms{4e3}), sheet}}}
                                      : PassGateModel{.vth = {Span<Volts>::exactly(Volts{0.8}), sheet},
                                                      .on = {Span<Ohms>::exactly(Ohms{4}), sheet}};
        const Timed l(
            bridged(between(push_pull ? ChannelLogic::auto_push_pull : ChannelLogic::auto_open_drain, model)));
        const auto& all = l.timed.dynamics.accelerators;
        ASSERT_EQ(all.size(), push_pull ? 8u : 4u);
        EXPECT_EQ(std::ranges::count(all, true, &Accelerator::on_rise), 4);
        for (const Accelerator& a : all) {
            const bool side_a = a.pin == l.site("X", "A").node;
            const double volts = side_a ? 3.3 : 5.0;
            expect_span(l.net().parameters[a.point.rises], 0.35 * volts, 0.5 * volts, 0.65 * volts);
            const Stage& stage = l.net().stages[a.stage];
            EXPECT_EQ(stage.up_table >= 0, a.on_rise);
            EXPECT_EQ(stage.down_table >= 0, !a.on_rise);
            const int table = a.on_rise ? stage.up_table : stage.down_table;
            EXPECT_NEAR(l.net().tables[table].amps.back() / l.net().tables[table].volts.back(), 1.0 / 50, 1e-12);
            expect_span(l.net().parameters[a.on_rise ? stage.up_strength : stage.down_strength], 50.0 / 90, 1,
                        50.0 / 30);
            EXPECT_EQ(stage.supply, l.site("X", stage.pin == l.site("X", "A").node ? "VCC" : "VCCB").node);
        }
    }
}

}  // namespace
}  // namespace voltsill
