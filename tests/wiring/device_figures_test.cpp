/// Figures of discrete parts, output stages and paths through a part, worked out by hand.
#include "wiring/assumed.h"
#include "wiring/lowered.h"

namespace voltsill {
namespace {
using namespace hand;

template <class Q>
Figure<Q> figured(double lo, double nominal, double hi) {
    return {{Q{lo}, Q{nominal}, Q{hi}}, sheet};
}

/// A part X alone, its pins in turn joined to a driver, to ground, to the rail "five".
Lowered alone(std::shared_ptr<const PartType> type) {
    Build b({five});
    b.module("D", {output("OUT")}, "five");
    const char* ends[] = {"D.OUT", "ground", "rail five"};
    b.added("X", type);
    for (size_t k = 0; k < type->pins.size(); ++k) b.join("X." + type->pins[k].name, ends[k % 3]);
    return Lowered(std::move(b));
}

/// In the triode region a MOSFET is 1 / RDS(on) = K (VGS - Vth): 2 to 8 ohms printed 3 V above the threshold.
TEST(DeviceFigures, AMosfetsGainComesFromItsOnResistance) {
    for (const bool p_channel : {false, true}) {
        MosfetModel model{.p_channel = p_channel,
                          .vth = figured<Volts>(1, 1.5, 2),
                          .rds = figured<Ohms>(2, 4, 8),
                          .rds_at = Volts{4.5}};
        model.body_forward = figured<Volts>(0.6, 0.7, 0.9);
        const Lowered l = alone(discrete(PartKind::mosfet, {"D", "G", "S"}, model));
        const Netlist& net = l.circuit.netlist;
        expect_span(parameter(net, "X K"), 1.0 / 24, 1.0 / 12, 1.0 / 6);
        expect_span(parameter(net, "X VGS(th)"), 1, 1.5, 2);
        expect_span(parameter(net, "X body diode"), 0.6, 0.7, 0.9);
        const Device &fet = by_name(net.devices, "X"), &body = by_name(net.devices, "X body diode");
        const Node d = l.site("X", "D").node, g = l.site("X", "G").node, s = l.site("X", "S").node;
        EXPECT_EQ(std::vector(fet.nodes.begin(), fet.nodes.begin() + 3), (std::vector{d, g, s}));
        EXPECT_EQ(fet.reversed_polarity, p_channel);
        EXPECT_EQ(body.nodes[0], p_channel ? d : s);
        EXPECT_EQ(body.nodes[1], p_channel ? s : d);
    }
}

/// Printed nearly at the threshold the law would make of it any gain: no overdrive counts below 0.3 V (assumed).
TEST(DeviceFigures, AMosfetPrintedAtItsThresholdIsNoSuperconductor) {
    MosfetModel model{.vth = figured<Volts>(1, 1.5, 2), .rds = figured<Ohms>(2, 4, 8), .rds_at = Volts{1.6}};
    model.body_forward = figured<Volts>(0.6, 0.7, 0.9);
    expect_span(parameter(alone(discrete(PartKind::mosfet, {"D", "G", "S"}, model)).circuit.netlist, "X K"), 1 / 2.4,
                1 / 1.2, 1 / 0.6);
}

TEST(DeviceFigures, ATransistorHasItsGainAndPolarity) {
    for (const bool pnp : {false, true}) {
        const Lowered l = alone(
            discrete(PartKind::bjt, {"C", "B", "E"},
                     BjtModel{.pnp = pnp, .beta = {{100, 200, 400}, sheet}, .vbe = figured<Volts>(0.6, 0.65, 0.7)}));
        const Device& q = by_name(l.circuit.netlist.devices, "X");
        EXPECT_EQ(q.reversed_polarity, pnp);
        expect_span(l.circuit.netlist.parameters[q.params[0]], 100, 200, 400);
        expect_span(l.circuit.netlist.parameters[q.params[1]], 0.6, 0.65, 0.7);
        for (int k = 0; k < 3; ++k) EXPECT_EQ(q.nodes[k], l.circuit.site(l.wiring.part("X"), k).node);
    }
}

/// n VT with an ideality n from 1 to 2 for silicon (Shockley; VT is 25.7 mV at 25 degrees), above that for an LED.
TEST(DeviceFigures, ADiodeIsAsSteepAsItsJunction) {
    for (const bool led : {false, true}) {
        const Lowered l =
            alone(discrete(PartKind::diode, {"A", "K"},
                           DiodeModel{.forward = figured<Volts>(0.6, 0.7, 0.8), .at = Amps{5e-3}, .led = led}));
        const Netlist& net = l.circuit.netlist;
        const Device& d = by_name(net.devices, "X");
        expect_span(net.parameters[d.params[0]], 0.6, 0.7, 0.8);
        EXPECT_EQ(net.parameters[d.params[1]].nominal, 5e-3);
        const double n = net.parameters[d.params[2]].nominal / 25.7e-3;
        EXPECT_GT(n, led ? 2 : 1);
        EXPECT_LT(n, led ? 3 : 2);
        EXPECT_EQ(d.nodes[0], l.site("X", "A").node);
        EXPECT_EQ(d.nodes[1], ground_node);
    }
}

TEST(DeviceFigures, AResistorWithoutAValueIsThatOfItsType) {
    ResistorModel model{.tolerance = 0.05};
    expect_span(parameter(alone(discrete(PartKind::resistor, {"1", "2"}, model)).circuit.netlist, "X"), 1, 1e3, 1e6);
    model.ohms = Span<Ohms>{Ohms{100}, Ohms{200}, Ohms{400}};
    expect_span(parameter(alone(discrete(PartKind::resistor, {"1", "2"}, model)).circuit.netlist, "X"), 100, 200, 400);
}

// Output stages
// ------------------------------------------------------------------------------------------------------

/// D.OUT alone at a rail of 5 V, with a listener.
Lowered driving(const Pin& out) {
    Build b({five});
    b.module("D", {out}, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    b.join("D.OUT", "R.IN");
    return Lowered(std::move(b));
}
Table table_of(const Lowered& l, bool high) {
    const Stage& stage = by_name(l.circuit.netlist.stages, "D.OUT");
    return l.circuit.netlist.tables[static_cast<size_t>(high ? stage.up_table : stage.down_table)];
}

TEST(StageFigures, AnOutputThatPrintsNothingLosesWhatIsAssumed) {
    Pin out = output("OUT");
    out.high.clear(), out.low.clear();
    const Lowered l = driving(out);
    for (const bool high : {true, false}) {
        EXPECT_EQ(table_of(l, high).volts, (std::vector{0.0, assumed::drive_drop.si()}));
        EXPECT_EQ(table_of(l, high).amps, (std::vector{0.0, assumed::drive_current.si()}));
    }
}

/// A point that adds no current or no loss to the one before it makes no curve and is left out.
TEST(StageFigures, OnlyRisingPointsMakeACurve) {
    Pin out = output("OUT");
    const Span<Volts> any = Span<Volts>::between(Volts{1.5}, Volts{6});
    out.low = {{any, Amps{1e-3}, {0, Volts{0.1}}, sheet},
               {any, Amps{2e-3}, {0, Volts{0.1}}, sheet},
               {any, Amps{8e-3}, {0, Volts{0.5}}, sheet}};
    EXPECT_EQ(table_of(driving(out), false).volts, (std::vector{0.0, 0.1, 0.5}));
    EXPECT_EQ(table_of(driving(out), false).amps, (std::vector{0.0, 1e-3, 8e-3}));
}

/// A buffered-offset low does not go below its level: nearly no current up to there, 10 mA a little above.
TEST(StageFigures, AHeldLowStaysAtItsLevel) {
    Pin out = output("OUT");
    out.static_low = Level{0, Volts{0.5}};
    const Table low = table_of(driving(out), false);
    ASSERT_EQ(low.volts.size(), 3u);
    EXPECT_NEAR(low.volts[1], 0.5, 1e-12);
    EXPECT_LT(low.amps[1], 1e-5);
    EXPECT_NEAR(low.volts[2], 0.55, 1e-12);
    EXPECT_NEAR(low.amps[2], 10e-3, 1e-12);
    EXPECT_NEAR(table_of(driving(out), true).volts.back(), 0.4, 1e-12) << "a high is not held";
}

/// The strength of a corner is its current over the typical one's at half the supply: 1.65 V here, where the typical
/// curve has bent.
TEST(StageFigures, CornersAreComparedAtHalfTheSupply) {
    const auto corner = [](double amps) {
        return OutputCorner{.supply = Volts{3.3},
                            .pull_up = {{0, 1.65, 3.3}, {0, amps, 0.1}},
                            .pull_down = {{0, 1.65, 3.3}, {0, amps, 0.1}}};
    };
    Pin out = output("OUT");
    out.curves = OutputCurves{corner(0.02), corner(0.04), corner(0.05), sheet};
    const Lowered l = driving(out);
    const Stage& stage = by_name(l.circuit.netlist.stages, "D.OUT");
    for (const ParamId p : {stage.up_strength, stage.down_strength})
        expect_span(l.circuit.netlist.parameters[p], 0.5, 1, 1.25);
}

/// Bipolar TTL: the high hangs on a node 1.2 to 2 V below the supply, and its stage counts as powered by the supply.
TEST(StageFigures, ABipolarHighHangsBelowTheSupply) {
    Pin out = output("OUT");
    out.high_below_supply = Span<Volts>{Volts{1.2}, Volts{1.5}, Volts{2}};
    const Lowered l = driving(out);
    const Netlist& net = l.circuit.netlist;
    const Stage& stage = by_name(net.stages, "D.OUT");
    const Node rail = l.site("D", "VCC").node;
    EXPECT_NE(stage.supply, rail);
    EXPECT_EQ(l.circuit.stages[l.site("D", "OUT").stage].supply, rail);
    const Device& source = by_name(net.devices, "D.OUT high");
    EXPECT_EQ(source.nodes[0], rail);
    EXPECT_EQ(source.nodes[1], stage.supply);
    expect_span(net.parameters[source.params[0]], 1.2, 1.5, 2);
    EXPECT_EQ(stage.up_strength, no_param);
    EXPECT_NEAR(table_of(l, true).amps.back(), 4e-3, 1e-12) << "its printed current";
}

TEST(StageFigures, PullsAndLoadsHangWhereTheyAreSaidTo) {
    for (const bool up : {true, false}) {
        Pin in = input("OUT", ttl(), true);
        in.pulls = {{.up = up, .ohms = figured<Ohms>(8e3, 10e3, 12e3)}};
        in.load =
            LoadInput{.to_supply = up, .forward = figured<Volts>(1, 1.2, 1.4), .ohms = figured<Ohms>(900, 1e3, 1100)};
        const Lowered l = driving(in);
        const Netlist& net = l.circuit.netlist;
        const PinSite& site = l.site("D", "OUT");
        const Node far = up ? l.site("D", "VCC").node : ground_node;
        ASSERT_EQ(site.pulls.size(), 1u);
        EXPECT_EQ(net.devices[site.pulls[0]].nodes[0], far);
        EXPECT_EQ(net.devices[site.pulls[0]].nodes[1], site.node);
        expect_span(net.parameters[net.devices[site.pulls[0]].params[0]], 8e3, 10e3, 12e3);
        const Device &ohms = net.devices[site.load], &led = by_name(net.devices, "D.OUT load");
        expect_span(net.parameters[ohms.params[0]], 900, 1e3, 1100);
        expect_span(net.parameters[led.params[0]], 1, 1.2, 1.4);
        EXPECT_EQ(led.nodes[up ? 0 : 1], far) << "current runs from the supply to ground";
        EXPECT_EQ(led.nodes[up ? 1 : 0], ohms.nodes[up ? 0 : 1]);
        EXPECT_EQ(ohms.nodes[up ? 1 : 0], site.node);
    }
}

/// An analogue output is as stiff as it says, but its contacts and wires are an ohm at least.
TEST(StageFigures, AnAnalogueOutputHasAnOhmAtLeast) {
    for (const bool stiff : {false, true}) {
        Pin out{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
        out.output_ohms = stiff ? figured<Ohms>(0, 0, 0) : figured<Ohms>(0, 200, 500);
        expect_span(parameter(driving(out).circuit.netlist, "D.OUT output resistance"), 1, stiff ? 1 : 200,
                    stiff ? 1 : 500);
    }
}

/// 250 ohms are no filter and 50 are one: a part behind them is on its rail (supply_ohms in assumed.h), and a resistor
/// whose far end is open feeds nothing.
TEST(StageFigures, ASupplyBehindAFilterIsOnItsRail) {
    for (const double ohms : {50.0, 250.0}) {
        auto type = module("inverter", {input("A", cmos(), true), output("Y")});
        type->channels = {{.logic = ChannelLogic::inverter, .inputs = {0}, .output = 1, .name = "1"}};
        Build b({five});
        b.added("X", type);
        b.resistor(50, "X.VCC", "ground");
        b.bench.wiring->wires.pop_back();
        b.resistor(ohms, "rail five", "X.VCC");
        const Lowered l(std::move(b));
        EXPECT_NEAR(parameter(l.circuit.netlist, "X.A VIH").nominal, ohms == 50 ? 3.5 : 0, 1e-9);
    }
}

// Paths through a part
// ------------------------------------------------------------------------------------------------------

TEST(ChannelFigures, GatesFollowTheirTruthTables) {
    using enum ChannelLogic;
    for (const ChannelLogic logic : {buffer, inverter, and_, nand, or_, nor, xor_}) {
        const int inputs = logic == buffer || logic == inverter ? 1 : 3;
        std::vector<Pin> pins;
        for (const char* name : {"A", "B", "C", "E", "N"}) pins.push_back(input(name, cmos(), true));
        pins.push_back(output("Y"));
        pins.back().role = PinRole::three_state;
        auto type = module("gate", pins);
        type->channels = {{.logic = logic, .output = 5, .enables = {3, 4}, .enable_high = {true, false}, .name = "1"}};
        for (int k = 0; k < inputs; ++k) type->channels[0].inputs.push_back(k);
        Build b({three});
        b.added("X", type, {"three"});
        const Lowered l(std::move(b));
        ASSERT_EQ(l.circuit.netlist.units.size(), 1u);
        const LogicUnit& unit = l.circuit.netlist.units[0];
        ASSERT_EQ(unit.rows.size(), 1u << (inputs + 2));
        for (unsigned row = 0; row < unit.rows.size(); ++row) {
            int ones = 0;
            for (int k = 0; k < inputs; ++k) ones += (row >> k) & 1u;
            const bool on = ((row >> inputs) & 1u) && !((row >> (inputs + 1)) & 1u);
            const bool high = logic == buffer     ? ones == 1
                              : logic == inverter ? ones == 0
                              : logic == and_     ? ones == 3
                              : logic == nand     ? ones < 3
                              : logic == or_      ? ones > 0
                              : logic == nor      ? ones == 0
                                                  : ones % 2 == 1;
            EXPECT_EQ(unit.rows[row], !on ? Logic::Z : high ? Logic::one : Logic::zero) << int(logic) << " row " << row;
        }
        // 0.3 and 0.7 of a rail of 3.2 to 3.4 V; powered above a share of the lowest supply, 1.5 V.
        expect_span(parameter(l.circuit.netlist, "X.A VIL"), 0.96, 0.99, 1.02);
        expect_span(parameter(l.circuit.netlist, "X.A VIH"), 2.24, 2.31, 2.38);
        EXPECT_NEAR(l.circuit.netlist.parameters[unit.min_supply].nominal, 1.5 * assumed::powered_share, 1e-12);
        EXPECT_EQ(l.circuit.stages[unit.outputs[0]].unit, 0);
        EXPECT_EQ(l.circuit.stages[unit.outputs[0]].channel, 0);
    }
}

/// 4 kilohms of 3 to 6: a stage of 1 / 4000 S that is 4/6 to 4/3 as strong. An output enable lets go of both sides.
TEST(ChannelFigures, AKeeperHoldsByItsOhms) {
    auto type = between(ChannelLogic::auto_push_pull, KeeperModel{figured<Ohms>(3e3, 4e3, 6e3)});
    type->pins.push_back(input("OE", cmos(), true));
    type->channels[0].enables = {static_cast<int>(type->pins.size()) - 1}, type->channels[0].enable_high = {true};
    const Lowered l(bridged(type));
    const Netlist& net = l.circuit.netlist;
    for (const char* pin : {"A", "B"}) {
        const Stage& stage = net.stages[l.site("X", pin).stage];
        for (const int t : {stage.up_table, stage.down_table})
            EXPECT_NEAR(net.tables[t].amps.back() / net.tables[t].volts.back(), 1 / 4e3, 1e-12);
        for (const ParamId p : {stage.up_strength, stage.down_strength})
            expect_span(net.parameters[p], 4.0 / 6, 1, 4.0 / 3);
    }
    ASSERT_EQ(net.units.size(), 2u);
    const std::vector rows{Logic::Z, Logic::Z, Logic::zero, Logic::one};  // input, then OE
    for (int u = 0; u < 2; ++u) {
        EXPECT_EQ(net.units[u].rows, rows);
        EXPECT_EQ(net.units[u].inputs[0].pin, l.site("X", u == 0 ? "A" : "B").node);
        EXPECT_EQ(net.units[u].outputs[0], l.site("X", u == 0 ? "B" : "A").stage);
    }
}

/// Open-drain both ways: a low is passed on, a high lets go.
TEST(ChannelFigures, ARepeaterPassesLows) {
    const Lowered l(bridged(between(ChannelLogic::repeater, std::monostate{})));
    ASSERT_EQ(l.circuit.netlist.units.size(), 2u);
    for (const LogicUnit& unit : l.circuit.netlist.units) EXPECT_EQ(unit.rows, (std::vector{Logic::zero, Logic::Z}));
}

/// What passes both ways does so with nothing but resistors beside it, as on a bench that is being built up.
TEST(ChannelFigures, AChannelPassesWithNoOtherPartBesideIt) {
    for (const auto& [type, units] : {std::pair<std::shared_ptr<const PartType>, size_t>{stock("LVC 245"), 8},
                                      {between(ChannelLogic::repeater, std::monostate{}), 2}}) {
        Build b({three, five});
        b.added("X", type, {"three", "five"});
        const bool octal = units == 8;
        b.resistor(1e3, octal ? "X.A1" : "X.A", "ground"), b.resistor(1e3, octal ? "X.B1" : "X.B", "ground");
        EXPECT_EQ(Lowered(std::move(b)).circuit.netlist.units.size(), units);
    }
}

/// With own pull-ups and a gate one threshold above the A supply: amps times ohms of its bias are that threshold.
TEST(ChannelFigures, AnAutoOpenDrainGateSitsAThresholdAboveASupply) {
    const Lowered l(
        bridged(between(ChannelLogic::auto_open_drain, PassGateModel{.vth = figured<Volts>(0.6, 0.8, 1),
                                                                     .on = figured<Ohms>(2, 4, 8),
                                                                     .pull_a = figured<Ohms>(9e3, 10e3, 11e3),
                                                                     .pull_b = figured<Ohms>(19e3, 20e3, 21e3)})));
    const Netlist& net = l.circuit.netlist;
    expect_span(parameter(net, "X K"), 1.0 / 8, 1.0 / 4, 1.0 / 2);  // 1 / (ohms * pass_gate_overdrive), which is 1 V
    const Node supply = l.site("X", "VCC").node;
    double amps = 0, ohms = 0;
    for (const Device& d : net.devices) {
        if (d.name != "X channel A-B bias") continue;
        (d.kind == DeviceKind::current ? amps : ohms) = net.parameters[d.params[0]].nominal;
        EXPECT_EQ(d.nodes[d.kind == DeviceKind::current ? 0 : 1], supply) << "current lifts the gate";
    }
    EXPECT_NEAR(amps * ohms, 0.8, 1e-9);
    const auto pull = [&](const char* pin) { return net.devices[l.site("X", pin).pulls.at(0)]; };
    expect_span(net.parameters[pull("A").params[0]], 9e3, 10e3, 11e3);
    expect_span(net.parameters[pull("B").params[0]], 19e3, 20e3, 21e3);
    EXPECT_EQ(pull("A").nodes[0], supply);
    EXPECT_EQ(pull("B").nodes[0], l.site("X", "VCCB").node);
}

/// A pass-gate's reference hangs between its two supplies, on the gate of the channels.
TEST(ChannelFigures, APassGateHasOneReference) {
    const Lowered l(bridged(between(ChannelLogic::pass_gate,
                                    PassGateModel{.vth = figured<Volts>(0.6, 0.8, 1), .on = figured<Ohms>(2, 4, 8)})));
    EXPECT_EQ(l.devices(DeviceKind::mosfet, "X"), 2);
    const Device &fet = by_name(l.circuit.netlist.devices, "X channel A-B"),
                 &reference = by_name(l.circuit.netlist.devices, "X channel A-B reference");
    EXPECT_EQ(fet.nodes[0], l.site("X", "B").node);
    EXPECT_EQ(fet.nodes[2], l.site("X", "A").node);
    EXPECT_EQ(reference.nodes[0], l.site("X", "VCCB").node);
    EXPECT_EQ(reference.nodes[2], l.site("X", "VCC").node);
    EXPECT_EQ(reference.nodes[1], fet.nodes[1]);
}

/// An operational amplifier drives its output itself; a comparator of open collector pulls it low while plus is below
/// minus, through a transistor that its crossed inputs turn on.
TEST(ChannelFigures, AComparatorOfOpenCollectorOnlyPullsLow) {
    for (const bool open : {true, false}) {
        auto type = module("amplifier", {{.name = "P"}, {.name = "M"}, {.name = "O"}});
        type->channels = {{.inputs = {0, 1}, .output = 2, .name = "1"}};
        type->model = AmplifierModel{figured<Volts>(1, 1.5, 2), figured<Volts>(0, 0.1, 0.2), open};
        Build b({five});
        b.added("X", type, {"five"});
        const Lowered l(std::move(b));
        const Node plus = l.site("X", "P").node, minus = l.site("X", "M").node, out = l.site("X", "O").node;
        const Device& amplifier = by_name(l.circuit.netlist.devices, "X channel 1");
        EXPECT_EQ(amplifier.nodes[1], open ? minus : plus);
        EXPECT_EQ(amplifier.nodes[2], open ? plus : minus);
        EXPECT_EQ(amplifier.nodes[0] == out, !open);
        ASSERT_EQ(l.devices(DeviceKind::mosfet, "X"), open ? 1 : 0);
        if (!open) continue;
        const Device& pulls = by_name(l.circuit.netlist.devices, "X channel 1 output");
        EXPECT_EQ(pulls.nodes[0], out);
        EXPECT_EQ(pulls.nodes[1], amplifier.nodes[0]);
        EXPECT_EQ(pulls.nodes[2], ground_node);
    }
}

/// In the triode region a FET conducts K ((VGS - Vth) VDS - VDS^2 / 2), and no more than at VDS = VGS - Vth. The
/// weakest open collector, its gate at 4.75 V, sinks in every row at least what is printed, and in one no more; the
/// strongest is four times it. Without rows it is what is assumed.
TEST(ChannelFigures, AnOpenCollectorKeepsEveryRowItPrints) {
    const Span<Volts> any = Span<Volts>::between(Volts{2}, Volts{36});
    using Rows = std::vector<std::pair<double, double>>;  // A, V
    for (const Rows& rows : {Rows{{4e-3, 0.7}}, {{4e-3, 0.4}, {6e-3, 1.5}}, {{1e-3, 0.4}, {20e-3, 6.0}}, {}}) {
        Pin out{.name = "O"};
        for (const auto& [amps, volts] : rows) out.low.push_back({any, Amps{amps}, {0, Volts{volts}}, sheet});
        auto type = module("amplifier", {{.name = "P"}, {.name = "M"}, out});
        type->channels = {{.inputs = {0, 1}, .output = 2, .name = "1"}};
        type->model = AmplifierModel{figured<Volts>(1, 1.5, 2), figured<Volts>(0, 0.1, 0.2), true};
        Build b({five});
        b.added("X", type, {"five"});
        const Lowered l(std::move(b));
        const Netlist& net = l.circuit.netlist;
        const Device& fet = by_name(net.devices, "X channel 1 output");
        const double over = 4.75 - net.parameters[fet.params[0]].nominal;
        const Parameter& k = net.parameters[fet.params[1]];
        double least = 1e9;
        for (const auto& [amps, volts] :
             rows.empty() ? Rows{{assumed::drive_current.si(), assumed::drive_drop.si()}} : rows) {
            const double v = std::min(volts, over);
            least = std::min(least, k.lo * (over * v - v * v / 2) / amps);
        }
        EXPECT_NEAR(least, 1, 1e-9) << rows.size();
        EXPECT_NEAR(k.nominal, 2 * k.lo, 1e-12) << rows.size();
        EXPECT_NEAR(k.hi, 4 * k.lo, 1e-12) << rows.size();
        EXPECT_EQ(k.origin.certainty == Certainty::assumed, rows.empty());
    }
}

}  // namespace
}  // namespace voltsill
