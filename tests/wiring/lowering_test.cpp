/// What each kind of part becomes in the network.
#include <gtest/gtest.h>

#include <algorithm>

#include "wiring/lowered.h"

namespace voltsill {
namespace {
using namespace hand;

/// A part between two rails and a signal: pins named in turn are joined to these.
Lowered with(const char* type, const std::vector<std::pair<std::string, std::string>>& joins,
             const std::vector<std::string>& rails = {""}) {
    Build b({five, three});
    b.module("D", {output("OUT")}, "five");
    b.added("X", stock(type), rails);
    for (const auto& [pin, to] : joins) b.join("X." + pin, to);
    return Lowered(std::move(b));
}

TEST(Lowering, DiscretePartsBecomeTheirDevices) {
    EXPECT_EQ(with("resistor", {{"1", "D.OUT"}, {"2", "ground"}}).devices(DeviceKind::resistor, "X"), 1);
    EXPECT_EQ(with("silicon diode", {{"A", "D.OUT"}, {"K", "ground"}}).devices(DeviceKind::diode, "X"), 1);
    EXPECT_EQ(
        with("npn", {{"C", "rail five"}, {"B", "D.OUT"}, {"E", "ground"}}).devices(DeviceKind::bjt, "X"), 1);
    EXPECT_EQ(with("optocoupler", {{"A", "D.OUT"}, {"K", "ground"}, {"C", "rail five"}, {"E", "ground"}})
                  .devices(DeviceKind::opto, "X"),
              1);
    const Lowered fet =
        with("n-mosfet 1.5 V threshold", {{"D", "rail five"}, {"G", "rail three"}, {"S", "D.OUT"}});
    EXPECT_EQ(fet.devices(DeviceKind::mosfet, "X"), 1);
    EXPECT_EQ(fet.devices(DeviceKind::diode, "X body diode"), 1);
    const Lowered capacitor = with("capacitor", {{"1", "D.OUT"}, {"2", "ground"}});
    EXPECT_TRUE(std::ranges::none_of(capacitor.circuit.netlist.devices,
                                     [](const Device& d) { return d.name.starts_with("X"); }));
}

TEST(Lowering, PolarityAndBodyDiodeOfAPChannel) {
    const Lowered l = with("p-mosfet", {{"D", "D.OUT"}, {"G", "ground"}, {"S", "rail five"}});
    for (const Device& d : l.circuit.netlist.devices) {
        if (d.name == "X") {
            EXPECT_TRUE(d.reversed_polarity);
        }
        if (d.name == "X body diode") {  // conducts from drain to source
            EXPECT_EQ(d.nodes[0], l.site("X", "D").node);
            EXPECT_EQ(d.nodes[1], l.site("X", "S").node);
        }
    }
}

TEST(Lowering, ResistorSpreadsByItsTolerance) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    b.resistor(10e3, "D.OUT", "ground", 0.02);
    const Lowered l(std::move(b));
    const auto& parameters = l.circuit.netlist.parameters;
    const auto r = std::ranges::find(parameters, "R1", &Parameter::name);
    ASSERT_NE(r, parameters.end());
    EXPECT_NEAR(r->lo, 9800, 1e-9);
    EXPECT_NEAR(r->nominal, 10e3, 1e-9);
    EXPECT_NEAR(r->hi, 10200, 1e-9);
}

/// A buffer is a unit per channel over three-state stages; each reads its input and both enables.
TEST(Lowering, OctalBufferHasAUnitForEveryChannel) {
    const Lowered l = with("HCT 541", {{"A1", "D.OUT"}, {"OE1", "ground"}, {"OE2", "ground"}}, {"five"});
    int units = 0;
    for (size_t u = 0; u < l.circuit.units.size(); ++u) {
        if (l.wiring.parts[l.circuit.units[u].part].name != "X") continue;
        ++units;
        EXPECT_EQ(l.circuit.netlist.units[u].inputs.size(), 3u);
        EXPECT_EQ(l.circuit.netlist.units[u].outputs.size(), 1u);
        // Truth table (SCLS007D): both enables low pass A on, else Z. Inputs in the order A, OE1, OE2.
        for (unsigned row = 0; row < 8; ++row) {
            const Logic expected = row >> 1 ? Logic::Z : row & 1 ? Logic::one : Logic::zero;
            EXPECT_EQ(l.circuit.netlist.units[u].rows[row], expected);
        }
    }
    EXPECT_EQ(units, 8);
}

TEST(Lowering, TransceiverDrivesOneSideByDirection) {
    const Lowered l = with("LVC 245", {{"A1", "D.OUT"}, {"OE", "ground"}, {"DIR", "rail three"}}, {"three"});
    const auto unit = std::ranges::find_if(
        l.circuit.netlist.units, [](const LogicUnit& u) { return u.name.starts_with("X channel"); });
    ASSERT_NE(unit, l.circuit.netlist.units.end());
    ASSERT_EQ(unit->outputs.size(), 2u);  // B side, A side; inputs A, B, DIR, OE (low enables; SCLS020H)
    for (unsigned row = 0; row < 16; ++row) {
        const bool a = row & 1, b = row & 2, a_to_b = row & 4, off = row & 8;
        EXPECT_EQ(unit->rows[2 * row], off || !a_to_b ? Logic::Z : a ? Logic::one : Logic::zero);
        EXPECT_EQ(unit->rows[2 * row + 1], off || a_to_b ? Logic::Z : b ? Logic::one : Logic::zero);
    }
}

TEST(Lowering, OpenDrainBufferNeverPullsUp) {
    const Lowered l = with("LVC 1G07", {{"A", "D.OUT"}}, {"three"});
    const StageId stage = l.site("X", "Y").stage;
    ASSERT_GE(stage, 0);
    EXPECT_FALSE(l.circuit.stages[stage].can_pull_up);
    EXPECT_EQ(l.circuit.netlist.stages[stage].up_table, -1);
    EXPECT_GE(l.circuit.netlist.stages[stage].down_table, 0);
}

/// Stage tables go through the printed points: 0.4 V lost at 4 mA.
TEST(Lowering, OutputLosesItsPrintedDrop) {
    const Lowered l = with("resistor", {{"1", "D.OUT"}, {"2", "ground"}});
    const Stage& stage = l.circuit.netlist.stages[l.site("D", "OUT").stage];
    for (int t : {stage.up_table, stage.down_table}) {
        ASSERT_GE(t, 0);
        EXPECT_NEAR(l.circuit.netlist.tables[t].volts.back(), 0.4, 1e-12);
        EXPECT_NEAR(l.circuit.netlist.tables[t].amps.back(), 4e-3, 1e-12);
    }
}

/// Levels of JESD8C.01 (from memory): at most 0.2 V at 100 uA, 0.4 V at 2 mA. The weakest output follows both, the
/// strongest is straight to the row with the most current a volt, and goes on as the table does: 1.9 mA in 0.2 V.
TEST(Lowering, ALooseRowForLittleCurrentBoundsTheDropFromAboveOnly) {
    Pin out = output("OUT");
    const Span<Volts> any = Span<Volts>::between(Volts{1.5}, Volts{6});
    out.low = {{any, Amps{100e-6}, {0, Volts{0.2}}, sheet}, {any, Amps{2e-3}, {0, Volts{0.4}}, sheet}};
    Build b({three});
    b.module("D", {out}, "three");
    b.resistor(4700, "rail three", "D.OUT", 0.0);
    const Lowered l(std::move(b));
    const Netlist& net = l.circuit.netlist;
    const Stage& stage = net.stages[l.site("D", "OUT").stage];
    EXPECT_EQ(stage.up_strong_table, -1) << "one row: the table is straight";
    ASSERT_GE(stage.down_strong_table, 0);
    EXPECT_DOUBLE_EQ(stage.strongest, net.parameters[stage.down_strength].hi);
    const Table &weak = net.tables[stage.down_table], &strong = net.tables[stage.down_strong_table];
    EXPECT_EQ(weak.volts, (std::vector{0.0, 0.2, 0.4}));
    ASSERT_EQ(strong.volts.size(), 3u);
    EXPECT_DOUBLE_EQ(strong.volts[1], 0.4);
    EXPECT_DOUBLE_EQ(strong.amps[1], 2e-3);
    EXPECT_NEAR((strong.amps[2] - strong.amps[1]) / (strong.volts[2] - strong.volts[1]), 1.9e-3 / 0.2, 1e-9);
}

TEST(Lowering, CurvesOfAnOutputSpreadAsTheirMakerSays) {
    const auto side = [](double ohms) { return IvCurve{{-3.3, 0.0, 3.3}, {-3.3 / ohms, 0.0, 3.3 / ohms}}; };
    Pin out = output("OUT");
    const auto corner = [&](double ohms) {
        return OutputCorner{.supply = Volts{3.3}, .pull_up = side(ohms), .pull_down = side(ohms / 2)};
    };
    out.curves = OutputCurves{corner(50), corner(40), corner(32), sheet};
    Build b({three});
    b.module("D", {out}, "three");
    b.added("X", stock("resistor"));
    b.join("X.1", "D.OUT"), b.join("X.2", "ground");
    const Lowered l(std::move(b));
    const Netlist& net = l.circuit.netlist;
    const Stage& stage = net.stages[static_cast<std::size_t>(l.site("D", "OUT").stage)];
    for (const ParamId p : {stage.up_strength, stage.down_strength}) {
        EXPECT_NEAR(net.parameters[p].lo, 40.0 / 50, 1e-12);
        EXPECT_NEAR(net.parameters[p].nominal, 1.0, 1e-12);
        EXPECT_NEAR(net.parameters[p].hi, 40.0 / 32, 1e-12);
        EXPECT_EQ(net.parameters[p].origin.source, sheet.source);
        EXPECT_EQ(net.parameters[p].hi_origin, nullptr) << "nothing is assumed of it";
    }
    EXPECT_EQ(net.tables[stage.up_table].amps, side(40).amps);
    EXPECT_EQ(net.tables[stage.down_table].amps, side(20).amps);
}

TEST(Lowering, InputsBringClampsAndPulls) {
    Build b({five, three});
    Pin in = input("IN", ttl(), false);
    in.pulls.push_back({.up = true, .ohms = {Span<Ohms>::exactly(Ohms{10e3}), sheet}, .removable = true});
    in.pulls.push_back({.up = false, .ohms = {Span<Ohms>::exactly(Ohms{50e3}), sheet}, .at_reset = true});
    b.module("R", {in}, "three");
    b.module("D", {output("OUT")}, "five");
    b.join("D.OUT", "R.IN");
    const Lowered l(b);
    EXPECT_GE(l.site("R", "IN").clamp_up, 0);
    EXPECT_GE(l.site("R", "IN").clamp_down, 0);
    ASSERT_EQ(l.site("R", "IN").pulls.size(), 1u);  // the one of reset is gone by then
    b.bench.parts[0].pulls_removed = {"IN"};
    EXPECT_TRUE(Lowered(b).site("R", "IN").pulls.empty());
}

TEST(Lowering, OpenPinsBringNothing) {
    Build b({three});
    b.module("R", {input("IN", ttl(), false), input("SPARE", ttl(), false)}, "three");
    b.module("D", {output("OUT")}, "three");
    b.join("D.OUT", "R.IN");
    const Lowered l(std::move(b));
    EXPECT_EQ(l.site("R", "SPARE").node, -1);
    EXPECT_EQ(l.devices(DeviceKind::diode, "R.SPARE"), 0);
    EXPECT_EQ(l.devices(DeviceKind::diode, "R.IN"), 2);
}

TEST(Lowering, LabelsNameNumberAndFunction) {
    const Lowered l = with("HCT 541", {{"Y1", "D.OUT"}}, {"five"});
    EXPECT_EQ(l.circuit.label(l.site("X", "Y1")), "X.18 (Y1)");
    EXPECT_EQ(l.circuit.label(l.site("D", "OUT")), "D.OUT");
}

/// One die: all channels of a pass-gate share one threshold, and the first brings the reference.
TEST(Lowering, PassGateChannelsMatchTheirReference) {
    const Lowered l =
        with("two-bit pass-gate translator", {{"SDA1", "D.OUT"}, {"EN", "X.VREF2"}}, {"three", ""});
    std::vector<ParamId> thresholds;
    for (const Device& d : l.circuit.netlist.devices)
        if (d.kind == DeviceKind::mosfet) thresholds.push_back(d.params[0]);
    ASSERT_EQ(thresholds.size(), 3u);
    for (ParamId p : thresholds) EXPECT_EQ(p, thresholds[0]);
}

/// An analogue output gives what it states, or anything up to its rail at its highest; an ohm is the least of a slider.
TEST(Lowering, AnalogueOutputsSpanTheirRange) {
    for (const bool stated : {true, false}) {
        Build b({three});
        Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
        if (stated) out.analog_range = Span<Volts>::between(Volts{0.5}, Volts{2.5});
        out.output_ohms = {Span<Ohms>::between(Ohms{0}, Ohms{500}), sheet};
        b.module("S", {out}, "three");
        b.module("R", {input("IN", ttl(), false)}, "three");
        b.join("S.OUT", "R.IN");
        const Lowered l(std::move(b));
        const Parameter& volts = parameter(l.circuit.netlist, "S.OUT output");
        EXPECT_NEAR(volts.lo, stated ? 0.5 : 0, 1e-12);
        EXPECT_NEAR(volts.hi, stated ? 2.5 : 3.4, 1e-12);
        const Parameter& ohms = parameter(l.circuit.netlist, "S.OUT output resistance");
        EXPECT_NEAR(ohms.lo, 1, 1e-12);
        EXPECT_NEAR(ohms.hi, 500, 1e-12);
    }
}

/// 10 to 90 % of a straight ramp is 0.8 of it: a rise of 4 to 8 ns takes 5 to 10 ns from end to end, a fall likewise.
TEST(Lowering, EdgesOverTimeAreRampsFromEndToEnd) {
    Build b({five});
    Pin out = output("OUT");
    out.rise_time = {Span<Seconds>{Seconds{4e-9}, Seconds{6e-9}, Seconds{8e-9}}, sheet};
    out.fall_time = {Span<Seconds>{Seconds{2e-9}, Seconds{3e-9}, Seconds{4e-9}}, sheet};
    b.module("D", {out}, "five");
    b.module("R", {input("IN", ttl(), false)}, "five");
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    const Wiring wiring = b.wiring();
    const TimedCircuit timed = lower_timed(b.bench, wiring);
    const Parameter &rise = parameter(timed.circuit.netlist, "D.OUT rising edge"),
                    &fall = parameter(timed.circuit.netlist, "D.OUT falling edge");
    EXPECT_NEAR(rise.lo, 5e-9, 1e-15);
    EXPECT_NEAR(rise.nominal, 7.5e-9, 1e-15);
    EXPECT_NEAR(rise.hi, 10e-9, 1e-15);
    EXPECT_NEAR(fall.lo, 2.5e-9, 1e-15);
    EXPECT_NEAR(fall.hi, 5e-9, 1e-15);
}

}  // namespace
}  // namespace voltsill
