/// Readings along a link against the readings of every state and the margins of the judge: one engine, three views.
#include "judging/link_readings.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

std::vector<LinkReading> of(const Build& b, const std::string& link) {
    std::vector<LinkReading> out;
    for (LinkReading& r : link_readings(b.bench, b.wiring()))
        if (r.link == link) out.push_back(std::move(r));
    return out;
}

std::set<char> said(const std::vector<LinkReading>& readings) {
    std::set<char> out;
    for (const LinkReading& r : readings) out.insert(r.set);
    return out;
}

/// A push-pull link through a buffer and one through an inverter, an open-drain line, an analogue source.
Build several() {
    Build b({five});
    Pin source{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
    source.analog_range = Span<Volts>::between(Volts{0}, Volts{3});
    source.output_ohms = {Span<Ohms>::exactly(Ohms{100}), sheet};
    Pin converter{.name = "AIN", .role = PinRole::analog_input, .supply = 0};
    b.module("D", {output("A"), output("B"), open_drain("OC", 10e3)}, "five");
    b.module("R", {input("A", ttl(), false), input("B", ttl(), false), input("C", ttl(), false)}, "five");
    b.module("S", {source}, "five");
    b.module("M", {converter}, "five");
    b.added("U1", stock("HCT 541"), {"five"});
    b.added("U2", stock("HCT 540"), {"five"});
    for (const auto& [from, to] : {std::pair{"D.A", "U1.A1"}, {"U1.Y1", "R.A"}, {"D.B", "U2.A1"}, {"U2.Y1", "R.B"},
                                   {"D.OC", "R.C"}, {"S.OUT", "M.AIN"}, {"U1.OE1", "ground"}, {"U1.OE2", "ground"},
                                   {"U2.OE1", "ground"}, {"U2.OE2", "ground"}})
        b.join(from, to);
    b.link("buffered", {"D", "A", {}}, {"R", "A", {}});
    b.link("inverted", {"D", "B", {}}, {"R", "B", {}});
    b.link("line", {"D", "OC", {}}, {"R", "C", {}});
    b.link("soil", {"S", "OUT", {}}, {"M", "AIN", {}}, LinkKind::analog);
    return b;
}

/// An output of at most 0.2 V at 100 uA and 0.4 V at 2 mA sinks what 4.7 kOhm give from 3.3 V. By hand: the strongest
/// (four times 2 mA at 0.4 V: 50 Ohm) leaves 3.3 * 50 / 4750 = 34.7 mV; the weakest, on its line from 0.2 V to 0.4 V,
/// (3.3 - v) / 4700 = 100 uA + (v - 0.2) * 9.5 mA/V, so v = 257.6 mV. Highs: no load, so the rail.
TEST(LinkReadings, ALowReachesFromNearGroundToWhatTheSheetAllows) {
    Pin out = output("OUT");
    const Span<Volts> any = Span<Volts>::between(Volts{1.5}, Volts{6});
    out.low = {{any, Amps{100e-6}, {0, Volts{0.2}}, sheet}, {any, Amps{2e-3}, {0, Volts{0.4}}, sheet}};
    Build b({rail("rail", 3.3, 3.3)});
    b.module("D", {out}, "rail");
    b.module("R", {input("IN", ttl(), false)}, "rail");
    b.resistor(4700, "rail rail", "D.OUT", 0.0);
    b.join("D.OUT", "R.IN");
    b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    int seen = 0;
    for (const LinkReading& r : of(b, "signal")) {
        if (r.reading.point != "R.IN") continue;
        ++seen;
        EXPECT_NEAR(r.reading.lo, r.set == '0' ? 0.03474 : 3.3, 5e-4);
        EXPECT_NEAR(r.reading.hi, r.set == '0' ? 0.25761 : 3.3, 5e-4);
        if (r.set == '0') EXPECT_LT(r.reading.nominal, 0.1);  // typical: nearer to the strongest than to the worst row
    }
    EXPECT_EQ(seen, 2);
}

TEST(LinkReadings, EachIsOneOfTheReadingsOfAllStates) {
    const Build b = several();
    const auto all = readings(b.bench, b.wiring());
    const auto along = link_readings(b.bench, b.wiring());
    EXPECT_GE(along.size(), 12u);
    for (const LinkReading& r : along) {
        const auto same = std::ranges::find_if(all, [&](const StateReading& s) {
            return s.point == r.reading.point && s.state == r.reading.state;
        });
        ASSERT_NE(same, all.end()) << r.reading.point << " " << r.reading.state;
        EXPECT_NEAR(same->lo, r.reading.lo, 1e-6);
        EXPECT_NEAR(same->nominal, r.reading.nominal, 1e-6);
        EXPECT_NEAR(same->hi, r.reading.hi, 1e-6);
        EXPECT_EQ(same->level, r.reading.level) << r.reading.point;
        EXPECT_TRUE(r.reading.state.starts_with("all rails up")) << r.reading.state;
    }
}

/// TTL thresholds stand still, so a margin is the end of the reading less the threshold.
TEST(LinkReadings, MarginsAreReadingsLessThresholds) {
    const Build b = several();
    const Judgement j = b.judge();
    for (const LinkJudgement& l : j.links) {
        if (l.link == "soil") continue;
        std::optional<double> high, low;
        for (const LinkReading& r : of(b, l.link)) {
            if (!r.receiver) continue;
            ASSERT_TRUE(r.threshold) << r.reading.point;
            const bool reads_high = (r.set != '0') != (l.link == "inverted");
            EXPECT_NEAR(*r.threshold, reads_high ? 2.0 : 0.8, 1e-9) << l.link << " " << r.set;
            EXPECT_EQ(r.reading.level, reads_high ? '1' : '0') << l.link << " " << r.set;
            (reads_high ? high : low) = reads_high ? r.reading.lo - *r.threshold : *r.threshold - r.reading.hi;
        }
        ASSERT_TRUE(high && low) << l.link;
        EXPECT_NEAR(*high, *l.high_margin, 1e-3) << l.link;
        EXPECT_NEAR(*low, *l.low_margin, 1e-3) << l.link;
    }
}

TEST(LinkReadings, WhatADriverSaysFollowsWhatItCanDo) {
    const Build b = several();
    EXPECT_EQ(said(of(b, "buffered")), (std::set{'0', '1'}));
    EXPECT_EQ(said(of(b, "line")), (std::set{'0', 'Z'}));
    const auto soil = of(b, "soil");
    EXPECT_EQ(said(soil), (std::set{'A'}));
    for (const LinkReading& r : soil) {
        EXPECT_EQ(r.driver, "S.OUT");
        EXPECT_FALSE(r.threshold) << "a converter has none";
        EXPECT_NEAR(r.reading.lo, 0, 1e-3);
        EXPECT_NEAR(r.reading.hi, 3, 1e-2);
    }
    // The driver first, then along its way: D.A, the buffer's input and output, R.A.
    const auto buffered = of(b, "buffered");
    EXPECT_EQ(buffered.front().reading.point, "D.A");
    EXPECT_FALSE(buffered.front().receiver);
    EXPECT_FALSE(buffered.front().threshold) << "a driver does not read itself";
    for (const LinkReading& r : buffered) EXPECT_EQ(r.receiver, r.reading.point == "R.A") << r.reading.point;
}

/// On a line that both ends may pull, each of them speaks in turn and the other lets go.
TEST(LinkReadings, EachEndOfALineSpeaks) {
    Build b({five});
    Pin pin = open_drain("SDA", 10e3);
    pin.role = PinRole::open_drain_io, pin.thresholds = ttl();
    b.module("C", {pin}, "five");
    b.module("M", {pin}, "five");
    b.join("C.SDA", "M.SDA");
    b.link("data", {"C", "SDA", {}}, {"M", "SDA", {}}, LinkKind::open_drain);
    std::set<std::string> drivers;
    for (const LinkReading& r : of(b, "data")) {
        drivers.insert(r.driver);
        EXPECT_EQ(r.reading.level, r.set == '0' ? '0' : '1') << r.driver << " " << r.set;
    }
    EXPECT_EQ(drivers, (std::set<std::string>{"C.SDA", "M.SDA"}));
    Build open = b;
    open.bench.wiring->wires.erase(std::ranges::find(open.bench.wiring->wires, "C.SDA", &Wire::from));
    for (const LinkReading& r : of(open, "data"))  // a pin without its wire is on no net of the other
        EXPECT_TRUE(r.reading.point.starts_with(r.driver.substr(0, 1))) << r.reading.point;
}

/// An open-drain output that lets go of a line which nothing pulls: a meter shows anything.
TEST(LinkReadings, AReleasedLineWithoutAPullFloats) {
    for (const bool pulled : {true, false}) {
        Build b({five});
        b.module("D", {open_drain("OUT")}, "five");
        b.module("R", {input("IN", ttl(), true)}, "five");
        b.join("D.OUT", "R.IN");
        if (pulled) b.resistor(10e3, "R.IN", "rail five");
        b.link("line", {"D", "OUT", {}}, {"R", "IN", {}}, LinkKind::two_way);
        int released = 0;
        for (const LinkReading& r : of(b, "line")) {
            if (r.set != 'Z') continue;
            if (!pulled || r.receiver) {
                EXPECT_EQ(r.reading.level, pulled ? '1' : 'Z') << r.reading.point;
            }
            ++released;
        }
        EXPECT_EQ(released, 2) << "the driver's pin and the reader's";
    }
}

/// Two channels side by side reach the same pin twice: it is read once for each level, and only an end that reads
/// levels has a threshold to be held against.
TEST(LinkReadings, APinThatIsReachedTwiceIsReadOnce) {
    Build b({five});
    Pin converter = input("AIN", ttl(), true), relay = input("REL", ttl(), true);
    converter.role = PinRole::analog_input;
    relay.role = PinRole::load;
    relay.load = LoadInput{.to_supply = true,
                           .forward = {Span<Volts>::exactly(Volts{1.15}), sheet},
                           .ohms = {Span<Ohms>::exactly(Ohms{1000}), sheet},
                           .off_below = {Span<Amps>::exactly(Amps{0.1e-3}), sheet}};
    auto buffers = std::make_shared<PartType>(*hand::module(
        "buffers", {input("A1", ttl(), true), input("A2", ttl(), true), open_drain("Y1"), open_drain("Y2")}));
    buffers->kind = PartKind::logic;
    for (const int k : {0, 1})
        buffers->channels.push_back({.logic = ChannelLogic::buffer, .inputs = {k}, .output = 2 + k, .name = ""});
    b.module("D", {output("OUT")}, "five");
    b.module("R", {input("IN", ttl(), true), converter, relay}, "five");
    b.part("U1", buffers, {"five"});
    for (const auto& [from, to] : {std::pair{"D.OUT", "U1.A1"},
                                   {"D.OUT", "U1.A2"},
                                   {"U1.Y1", "R.IN"},
                                   {"U1.Y2", "R.IN"},
                                   {"R.IN", "R.AIN"},
                                   {"R.IN", "R.REL"}})
        b.join(from, to);
    Link& l = b.link("signal", {"D", "OUT", {}}, {"R", "IN", {}});
    l.to.push_back({"R", "AIN", {}});
    l.to.push_back({"R", "REL", {}});
    std::map<std::string, std::string> levels;
    for (const LinkReading& r : of(b, "signal")) {
        levels[r.reading.point] += r.set;
        EXPECT_EQ(r.threshold.has_value(), r.reading.point == "R.IN" || r.reading.point.starts_with("U1.A"))
            << r.reading.point;
    }
    EXPECT_EQ(levels.size(), 8u);
    for (const auto& [point, sets] : levels) EXPECT_EQ(sets, "10") << point;
}

/// With ten outputs on a line not every mixture of levels is looked at (scene.h); what one of them says alone is read
/// all the same. 10 kΩ ± 1 % to 5.25 V over the 100 Ω of a weak output.
TEST(LinkReadings, AnyOneOfManyDriversIsReadAlone) {
    Build b({five});
    std::vector<Pin> outs;
    for (int k = 0; k < 10; ++k) outs.push_back(open_drain("O" + std::to_string(k)));
    outs.push_back(output("S"));
    outs.back().role = PinRole::three_state;
    b.module("D", outs, "five");
    b.module("R", {input("IN", ttl(), true)}, "five");
    for (const Pin& out : outs) b.join("D." + out.name, "R.IN");
    b.resistor(10e3, "R.IN", "rail five", 0.01);
    Link& l = b.link("line", {"D", "O0", {}}, {"R", "IN", {}});
    for (size_t k = 1; k < outs.size(); ++k) l.from.push_back({"D", outs[k].name, {}});
    std::map<std::string, std::string> sets;
    for (const LinkReading& r : of(b, "line"))
        if (r.reading.point == "R.IN") {
            sets[r.driver] += r.set;
            if (r.set == '0') {
                EXPECT_NEAR(r.reading.hi, 5.25 * 100 / (9900 + 100), 1e-3) << r.driver;
            }
            if (r.set != '0') {
                EXPECT_NEAR(r.reading.nominal, 5, 1e-2) << r.driver;
            }
        }
    EXPECT_EQ(sets.size(), outs.size());
    for (const auto& [driver, levels] : sets) EXPECT_EQ(levels, driver == "D.S" ? "10" : "Z0") << driver;
}

/// An end that is on no net, on a rail or in no part of the wiring has no reading
/// along an analogue link; the other has.
TEST(LinkReadings, OnlyEndsOnASignalAreRead) {
    const auto points = [](const char* to, bool cut) {
        Pin source{.name = "OUT", .role = PinRole::analog_output, .supply = 0};
        source.analog_range = Span<Volts>::between(Volts{0}, Volts{3});
        source.output_ohms = {Span<Ohms>::exactly(Ohms{100}), sheet};
        Pin converter = input("AIN", {}, true);
        converter.role = PinRole::analog_input;
        Build b({five});
        b.module("S", {source}, "five");
        b.module("M", {converter}, "five");
        b.resistor(10e3, "S.OUT", "ground");
        if (*to) b.join("M.AIN", to);
        b.link("soil", {"S", "OUT", {}}, {"M", "AIN", {}}, LinkKind::analog);
        b.link("none", {"M", "AIN", {}}, {"S", "OUT", {}});
        Wiring wiring = b.wiring();
        if (cut) wiring.parts.erase(wiring.parts.begin() + wiring.part("M"));
        std::string out;
        for (const LinkReading& r : link_readings(b.bench, wiring)) out += r.reading.point + " ";
        return out;
    };
    EXPECT_EQ(points("S.OUT", false), "S.OUT M.AIN ");
    EXPECT_EQ(points("", false), "S.OUT ");
    EXPECT_EQ(points("rail five", false), "S.OUT ");
    EXPECT_EQ(points("S.OUT", true), "S.OUT ");
}

}  // namespace
}  // namespace voltsill
