/// Whole plans: what is chosen, how it is wired, and that the plan keeps its word when checked.
#include "planning/plan.h"

#include <gmock/gmock.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <sstream>

#include "engine/engine.h"
#include "sample.h"

namespace voltsill {
namespace {

using namespace sample;
using testing::HasSubstr;

const char* const capacitors = "\"capacitor\" = 40\n\"resistor E24\" = \"10 Ω .. 1 MΩ\"\n";

/// `lines` outputs at 5 V into as many 3.3 V inputs.
std::string lines(int count, const std::string& stock, const std::string& link_keys = {}) {
    std::string t =
        "title = \"lines\"\n[rails]\nfive = { volts = \"4.75..5.25 V\", switch = \"bench\" }\nthree = { "
        "volts = \"3.3 V ± 3 %\", switch = \"bench\" }\n"
        "[parts]\nD = { type = \"many\", supply = \"five\" }\nR = { type = \"reader\", supply = \"three\" "
        "}\n";
    for (int k = 1; k <= count; ++k)
        t += fmt::format(
            "[[links]]\nname = \"line {0}\"\nfrom = \"D.O{0}\"\nto = \"R.I{0}\"\nrate = \"1 kHz\"\n{1}\n", k,
            link_keys);
    t += stock.empty() ? "" : "[stock]\n" + stock;
    const auto type = [&](const char* name, const char* range, const char* pins, const char* like) {
        return fmt::format(
            "[types.{0}]\ntitle = \"{0}\"\nsource = \"invented for this test\"\ncertainty = "
            "\"assumed\"\ninvented = true\n"
            "supplies.VCC = {{ range = \"{1}\", max = \"-0.3..6 V\", current = \"5 mA\", decoupling = false "
            "}}\n"
            "pins.\"{2}\" = {{ like = \"{3}\" }}\npins.GND = {{ is = \"ground\" }}\n",
            name, range, fmt::format("{}1..{}{}", pins, pins, count), like);
    };
    return t + type("many", "4.5..5.5 V", "O", "push-pull output, 5 V") +
           type("reader", "3.0..3.6 V", "I", "LVTTL input, 3.3 V");
}

int ics(const Plan& p) {
    return count_of(p.wiring, PartKind::logic) + count_of(p.wiring, PartKind::translator);
}

/// Written into its bench file and read back as a build, the plan is judged as it was.
void expect_kept(const Plan& p, const std::string& text) {
    const auto written = wired_bench(text, "wired.toml", p.wiring, {});
    ASSERT_TRUE(written);
    const BenchReading reading = read_bench(*written, "wired.toml");
    ASSERT_TRUE(reading.bench) << (reading.problems.empty() ? "" : reading.problems[0].message) << *written;
    Problems problems;
    const Judgement again = judge(*reading.bench, wire_as_given(*reading.bench, problems));
    EXPECT_TRUE(problems.empty());
    ASSERT_EQ(again.links.size(), p.judgement.links.size());
    for (size_t k = 0; k < again.links.size(); ++k)
        EXPECT_EQ(again.links[k].verdict, p.judgement.links[k].verdict) << again.links[k].link;
}

TEST(Packing, EightLinesShareAnOctalNineNeedTwo) {
    const std::string stock = std::string("\"LVC 541\" = 3\n") + capacitors;
    const Plan eight = plan(read(lines(8, stock, "interface = \"low-rail-buffer\""))),
               nine = plan(read(lines(9, stock, "interface = \"low-rail-buffer\"")));
    EXPECT_EQ(ics(eight), 1);
    EXPECT_EQ(ics(nine), 2);
    EXPECT_EQ(count_of(eight.wiring, PartKind::capacitor), 1);
    EXPECT_EQ(count_of(nine.wiring, PartKind::capacitor), 2);
    EXPECT_EQ(eight.judgement.verdict, Verdict::safe);
}

TEST(Packing, StockIsNotExceeded) {
    const Plan p = plan(read(lines(9, std::string("\"LVC 541\" = 1\n") + capacitors)));
    EXPECT_EQ(ics(p), 1);
    EXPECT_EQ(count_of(p.wiring, PartKind::resistor), 2);  // the ninth takes a divider
    for (const LinkPlan& l : p.links) EXPECT_TRUE(l.chosen) << l.link;
}

TEST(Packing, NothingOutsideTheStockIsTaken) {
    const Plan p = plan(read(lines(2, capacitors)));
    for (const WiredPart& part : p.wiring.parts)
        EXPECT_TRUE(!part.added || part.type->kind == PartKind::resistor ||
                    part.type->kind == PartKind::capacitor)
            << part.type->name;
}

TEST(Packing, SaysWhenTheStockDoesNotReach) {
    const Plan p = plan(read(lines(9, "\"LVC 541\" = 1\n\"capacitor\" = 40\n")));
    EXPECT_THAT(p.notes, testing::Contains(HasSubstr("does not reach")));
}

/// Every pin of an added buffer: supply, ground, enables low, direction high, spare inputs low, spare outputs
/// open.
TEST(Assembly, EveryPinOfABufferHasItsPlace) {
    for (const char* type : {"LVC 541", "LVC 245", "LVC 125"}) {
        const Plan p = plan(read(lines(3, fmt::format("\"{}\" = 1\n{}", type, capacitors))));
        const auto at =
            std::ranges::find_if(p.wiring.parts, [&](const WiredPart& w) { return w.type->name == type; });
        ASSERT_NE(at, p.wiring.parts.end()) << type;
        const PartType& t = *at->type;
        EXPECT_EQ(p.wiring.nets[at->net_of_pin[t.pin_index("VCC")]].rail, "three");
        EXPECT_TRUE(p.wiring.nets[at->net_of_pin[t.pin_index("GND")]].ground);
        int used = 0;
        for (const Channel& c : t.channels) {
            for (int e : c.enables) EXPECT_TRUE(p.wiring.nets[at->net_of_pin[e]].ground);
            EXPECT_TRUE(c.direction < 0 || p.wiring.nets[at->net_of_pin[c.direction]].rail == "three");
            ASSERT_GE(at->net_of_pin[c.inputs[0]], 0);
            const bool spare = at->net_of_pin[c.output] < 0;
            EXPECT_EQ(spare, p.wiring.nets[at->net_of_pin[c.inputs[0]]].ground);
            used += !spare;
        }
        EXPECT_EQ(used, 3) << type;
        EXPECT_EQ(p.judgement.verdict, Verdict::safe) << type;
    }
}

TEST(Assembly, DualSupplyHasACapacitorOnEachRailAndItsControlsOnSideA) {
    Two two = up;
    two.link += "\ninterface = \"dual-supply\"";
    const Plan p = plan(two.bench());
    const auto at = std::ranges::find_if(
        p.wiring.parts, [](const WiredPart& w) { return w.added && w.type->supplies.size() == 2; });
    ASSERT_NE(at, p.wiring.parts.end());
    EXPECT_EQ(count_of(p.wiring, PartKind::capacitor), 2);
    const Channel& c = at->type->channels[0];
    const std::string side_a = p.wiring.nets[at->net_of_pin[at->type->pin_index("VCCA")]].rail;
    const Net& direction = p.wiring.nets[at->net_of_pin[c.direction]];
    EXPECT_TRUE(direction.ground || direction.rail == side_a);
    EXPECT_EQ(direction.ground, side_a != "three");  // towards B when the driver is on side A
}

std::string file(const std::string& path) {
    std::ifstream in(std::string(VOLTSILL_ROOT) + path);
    std::stringstream bytes;
    bytes << in.rdbuf();
    return bytes.str();
}

/// Controller at 3.3 V, display at 5 V with pull-ups of its own, sensor at 1.8 V: one added pull-up on each
/// other rail.
TEST(Assembly, PullUpsOfABusOverThreeRailsCountOnce) {
    const Plan p = plan(read(file("/examples/rain-garden.toml")));
    for (const char* line : {"SDA", "SCL"}) {
        const NetId net = p.wiring.net_at("controller", line);
        int pulls = 0;
        for (const WiredPart& part : p.wiring.parts)
            if (part.added && part.type->kind == PartKind::resistor)
                pulls += std::ranges::count(part.net_of_pin, net) &&
                         std::ranges::count(part.net_of_pin, p.wiring.rail("logic"));
        EXPECT_EQ(pulls, 1) << line;
    }
}

/// Both lines of the bus are built alike, and the demo bench gets no link worse than thin.
TEST(Plan, DemoBenchIsServedAsAnInstructorWould) {
    const std::string text = file("/examples/rain-garden.toml");
    const Bench bench = read(text);
    const Plan p = plan(bench);
    EXPECT_LE(p.judgement.verdict, Verdict::thin);
    const auto chosen = [&](const std::string& link) {
        for (const LinkPlan& l : p.links)
            if (l.link == link) return l.chosen ? l.chosen->circuit : "none";
        return std::string("no such link");
    };
    EXPECT_EQ(chosen("tank trigger"), "direct");          // TTL input
    EXPECT_EQ(chosen("strip data"), "high-rail-buffer");  // 0.7 of 5 V at 800 kHz
    EXPECT_EQ(chosen("soil moisture"), "divider");
    EXPECT_EQ(chosen("bus data to rail usb"), "two-way-fet");
    for (const char* rail : {"usb", "low"})
        EXPECT_EQ(chosen(fmt::format("bus data to rail {}", rail)),
                  chosen(fmt::format("bus clock to rail {}", rail)));
    std::set<std::string> floats;
    for (int k = 1; k <= 8; ++k)
        for (const LinkPlan& l : p.links)
            if (l.link == fmt::format("float {}", k)) floats.insert(l.chosen->title);
    EXPECT_EQ(floats.size(), 1u);
    expect_kept(p, text);
}

TEST(Plan, IsTheSameEveryTime) {
    const Bench bench = read(file("/examples/rain-garden.toml"));
    const auto wires = [&] {
        std::string all;
        for (const WireListEntry& w : wire_list(plan(bench).wiring))
            all += w.from + " " + w.to + " " + w.reason + "\n";
        return all;
    };
    EXPECT_EQ(wires(), wires());
}

/// Alike links share their evaluation; what is said about each must still be about it.
TEST(Plan, MemoisedReasonsNameTheirOwnPins) {
    const Plan p = plan(read(lines(11, "")));
    for (size_t k = 0; k < p.links.size(); ++k)
        for (const Candidate& c : p.links[k].rejected)
            for (size_t other = 0; other < p.links.size(); ++other) {
                if (other == k) continue;
                for (const char* pin : {"D.O", "R.I"})
                    for (const char* after : {" ", ";", "."})
                        EXPECT_THAT(c.why_not,
                                    testing::Not(HasSubstr(fmt::format("{}{}{}", pin, other + 1, after))))
                            << p.links[k].link;
            }
}

/// A clamped pin cannot take the module's pull-up to 5 V; a tolerant one can, with nothing at all.
TEST(Plan, OpenCollectorWithPullUpToFiveVolts) {
    const Evaluated pull = of(bucket.bench(), "pull-up");
    EXPECT_TRUE(pull.would_serve);
    EXPECT_THAT(pull.recipe.pulls_removed, testing::ElementsAre("D.OUT"));
    EXPECT_THAT(pull.candidate.cautions,
                testing::Contains(testing::AllOf(HasSubstr("Left on"), HasSubstr("R.IN"))));
    const Plan p = plan(bucket.bench());
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_NE(p.links[0].chosen->circuit, "direct");
    EXPECT_EQ(p.judgement.links[0].verdict, Verdict::safe);
    Two tolerant = bucket;
    tolerant.in = "LVTTL input, 3.3 V, 5 V tolerant";
    const Plan q = plan(tolerant.bench());
    ASSERT_TRUE(q.links[0].chosen);
    EXPECT_EQ(q.links[0].chosen->circuit, "direct");
    EXPECT_EQ(q.judgement.links[0].verdict, Verdict::safe);
}

TEST(Plan, UsersChoiceIsHonouredEvenWhenWorse) {
    for (const char* circuit : {"divider", "blocking-diode", "low-rail-buffer", "two-way-fet"}) {
        const Plan p = plan(with(down, fmt::format("interface = \"{}\"", circuit)).bench());
        ASSERT_TRUE(p.links[0].chosen) << circuit;
        EXPECT_EQ(p.links[0].chosen->circuit, circuit);
    }
}

TEST(Plan, ThePartOfTheUsersChoiceIsHonouredToo) {
    for (const char* part : {"LV-A 125", "LV-A 126", "AC 244", "HC 4050"}) {
        const Plan p = plan(with(down, fmt::format("interface = \"low-rail-buffer {}\"", part)).bench());
        ASSERT_EQ(p.links.size(), 1u);
        const auto offered = [&](const Candidate& c) { return c.part == part && c.circuit == "low-rail-buffer"; };
        if (p.links[0].chosen) {
            EXPECT_PRED1(offered, *p.links[0].chosen);
            EXPECT_TRUE(std::ranges::any_of(p.wiring.parts, [&](const WiredPart& w) { return w.type->name == part; }))
                << part;
        } else {
            EXPECT_TRUE(std::ranges::none_of(p.links[0].rejected, offered)) << part;
            EXPECT_NE(p.notes.front().find(part), std::string::npos) << "said why nothing is wired";
        }
    }
    EXPECT_EQ(plan(with(down, "interface = \"low-rail-buffer LV-A 125\"").bench()).links[0].chosen->part, "LV-A 125");
}

/// A choice that a bench file can make: a circuit that was built and judged, and no change of the parts' supplies.
TEST(Plan, OnlyWhatWasWiredMayBeChosen) {
    const Plan p = plan(down.bench());
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_TRUE(p.links[0].chosen->choosable);
    for (const Candidate& c : p.links[0].rejected) {
        const Plan asked = plan(with(down, fmt::format("interface = \"{} {}\"", c.circuit, c.part)).bench());
        EXPECT_EQ(c.choosable, asked.links[0].chosen.has_value()) << c.title;
        EXPECT_LE(c.choosable, c.wired) << c.title;
    }
}

TEST(Plan, InvertsOnlyWhenAllowed) {
    const std::string only = std::string("[stock]\n\"npn\" = 5\n\"resistor E24\" = \"2 kΩ .. 1 MΩ\"\n");
    const Plan no = plan(
        with({"push-pull output, 3.3 V", "three", "CMOS input, 5 V", "five", "rate = \"10 kHz\""}, "", only)
            .bench());
    EXPECT_FALSE(no.links[0].chosen);
    const Plan yes = plan(with(up, "invert = true", only).bench());
    ASSERT_TRUE(yes.links[0].chosen);
    EXPECT_EQ(yes.links[0].chosen->circuit, "npn-inverter");
    EXPECT_TRUE(yes.links[0].chosen->inverted);
}

/// While the controller's pin is an input its line must rest at the level that was asked for; nothing that
/// serves here inverts.
TEST(Plan, SafeLevelIsHeldWhateverTheCircuit) {
    for (const char* level : {"low", "high"})
        for (const char* in : {"TTL input, 5 V", "CMOS input, 5 V"}) {
            const Two two{"controller pin, 3.3 V", "three", in, "five",
                          fmt::format("rate = \"1 kHz\"\nsafe_level = \"{}\"", level)};
            const Bench bench = two.bench();
            const Plan p = plan(bench);
            ASSERT_TRUE(p.links[0].chosen) << in << level;
            bool seen = false;
            for (const StateReading& r : readings(bench, p.wiring))
                if (r.point == "D.OUT" && r.state.find("D.OUT off") != std::string::npos) {
                    seen = true;
                    EXPECT_EQ(r.level, *level == 'h' ? '1' : '0')
                        << in << " " << level << " " << p.links[0].chosen->title;
                }
            EXPECT_TRUE(seen);
        }
}

TEST(Plan, RelayIsOffAtResetAndDrivenFromItsOwnRail) {
    const Plan p = plan(with(relay, "safe_level = \"high\"").bench());
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_EQ(p.judgement.links[0].verdict, Verdict::safe);
    EXPECT_NE(p.links[0].chosen->circuit, "direct");
}

TEST(Plan, WhereNothingServesEveryReasonHasItsWords) {
    Two two = down;
    two.tail = "[stock]\n\"HC 541\" = 2\n\"capacitor\" = 2\n";
    const Plan p = plan(two.bench());
    EXPECT_FALSE(p.links[0].chosen);
    EXPECT_GE(p.links[0].rejected.size(), 21u);
    for (const Candidate& c : p.links[0].rejected) EXPECT_FALSE(c.why_not.empty()) << c.circuit;
}

/// What serves at 1 kHz comes too late at 40 MHz: the bit is over before the level is there.
TEST(Plan, FasterLinksGetFasterParts) {
    const auto at = [](const char* rate) {
        Two two = down;
        two.link = fmt::format("rate = \"{}\"", rate);
        return two;
    };
    const auto chosen_at = [&](const char* rate) {
        const Plan p = plan(at(rate).bench());
        EXPECT_TRUE(p.links[0].chosen) << rate;
        return p.links[0].chosen.value_or(Candidate{});
    };
    const auto delay_of = [](const Candidate& c) {
        double slowest = 0;
        for (const auto& type : Catalogue::built_in().types())
            if (c.title.starts_with(type->name + " "))
                for (const Pin& pin : type->pins)
                    slowest = std::max(slowest, pin.delay_max.value_or(Seconds{}).si());
        return slowest;
    };
    EXPECT_GT(delay_of(chosen_at("1 kHz")), delay_of(chosen_at("40 MHz")));
    const Plan fast = plan(at("40 MHz").bench());
    EXPECT_TRUE(std::ranges::any_of(fast.links[0].rejected, [](const Candidate& c) {
        return c.why_not.find("come too late") != std::string::npos;
    }));
}

/// Parts that isolate without supply are preferred to those that feed the dead rail.
TEST(Plan, IndependentRailsGetPartsThatBearIt) {
    Two two = down;
    two.apart = true;
    const Plan p = plan(two.bench());
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_EQ(p.judgement.links[0].verdict, Verdict::safe) << p.links[0].chosen->title;
    EXPECT_FALSE(of(two.bench(), "divider").candidate.verdict == Verdict::safe);
}

/// Eight relay inputs of 3.9 mA each on a controller whose ground pin stands 20 mA: each wire alone is well, all of
/// them harm it. What was promised link by link does not hold in the whole, so another circuit is taken.
TEST(Plan, WhatHarmsOnlyTogetherIsChosenAnew) {
    const auto planned = [](const char* most) {
        std::string t = "title = \"eight\"\n[rails]\nfive = \"4.75..5.25 V\"\n[parts]\nD = { type = \"many\", supply = "
                        "\"five\" }\nK = { type = \"relays\", supply = \"five\" }\n";
        for (int k = 1; k <= 8; ++k)
            t += fmt::format(
                "[[links]]\nname = \"pump {0}\"\nfrom = \"D.O{0}\"\nto = \"K.I{0}\"\nkind = \"load\"\ninvert = "
                "true\n",
                k);
        return plan(read(
            t +
            fmt::format(
                "[types.many]\nsource = \"invented for this test\"\ninvented = true\npackage_current_max = "
                "\"{}\"\nsupplies.VCC = {{ range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }}\npins.\"O1..O8\" = {{ like = "
                "\"controller pin, 5 V\" }}\npins.GND = {{ is = \"ground\" }}\n[types.relays]\nsource = \"invented for "
                "this test\"\ninvented = true\nsupplies.VCC = {{ range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }}\n"
                "pins.\"I1..I8\" = {{ like = \"relay input, active low, 5 V\" }}\npins.GND = {{ is = \"ground\" }}\n",
                most)));
    };
    const Plan strong = planned("200 mA"), weak = planned("20 mA");
    for (const LinkPlan& l : strong.links) EXPECT_EQ(l.chosen->circuit, "direct") << l.link;
    for (const LinkPlan& l : weak.links) {
        ASSERT_TRUE(l.chosen) << l.link;
        EXPECT_NE(l.chosen->circuit, "direct") << l.link;
    }
    for (const LinkJudgement& l : weak.judgement.links) EXPECT_LE(l.verdict, Verdict::thin) << l.link;
}

/// A bus of three: the sensor on the controller's own rail hangs on its net, and one circuit goes to the module's rail.
TEST(Plan, EndsOfABusOnTheDriversRailShareItsNet) {
    const char* const pin = "pins.SDA = { like = \"I2C pin\" }\npins.GND = { is = \"ground\" }\n";
    const Bench bench = read(fmt::format(
        R"(title = "three"
[rails]
five = {{ volts = "4.75..5.25 V", switch = "bench" }}
three = {{ volts = "3.3 V ± 3 %", switch = "bench" }}
[parts]
C = {{ type = "a", supply = "three" }}
S = {{ type = "a", supply = "three" }}
M = {{ type = "b", supply = "five" }}
N = {{ type = "b", supply = "five" }}
[[links]]
name = "data"
kind = "open-drain"
bus = "I2C"
rate = "100 kHz"
from = ["C.SDA", "M.SDA"]
to = ["S.SDA", "N.SDA"]
[types.a]
source = "invented"
invented = true
supplies.VCC = {{ range = "3.0..3.6 V", max = "-0.3..4 V" }}
{0}[types.b]
source = "invented"
invented = true
supplies.VCC = {{ range = "4.5..5.5 V", max = "-0.3..6 V" }}
{0})",
        pin));
    const Plan p = plan(bench);
    ASSERT_EQ(p.links.size(), 1u);
    ASSERT_TRUE(p.links[0].chosen);
    EXPECT_EQ(p.wiring.net_at("C", "SDA"), p.wiring.net_at("S", "SDA"));
    EXPECT_EQ(p.wiring.net_at("M", "SDA"), p.wiring.net_at("N", "SDA"));
    EXPECT_NE(p.wiring.net_at("C", "SDA"), p.wiring.net_at("M", "SDA"));
    EXPECT_LE(p.judgement.links[0].verdict, Verdict::thin);
}

RC_GTEST_PROP(Plan, IsNeverWorseThanItSaysWhenChecked, ()) {
    static const std::vector<std::pair<std::string, std::string>> outs{
        {"push-pull output, 5 V", "five"},
        {"TTL output, 5 V", "five"},
        {"push-pull output, 3.3 V", "three"},
        {"controller pin, 3.3 V", "three"},
        {"push-pull output, 1.8 V", "low"},
        {"open-collector output", "five"},
        {"open-collector output with 10 kΩ to its supply", "five"}};
    static const std::vector<std::pair<std::string, std::string>> ins{
        {"TTL input, 5 V", "five"},
        {"CMOS input, 5 V", "five"},
        {"LVTTL input, 3.3 V", "three"},
        {"CMOS input, 3.3 V", "three"},
        {"LVTTL input, 3.3 V, 5 V tolerant", "three"},
        {"CMOS input, 1.8 V", "low"},
        {"Schmitt input, 3.3 V", "three"},
        {"relay input, active low, 5 V", "five"}};
    const auto out = *rc::gen::elementOf(outs), in = *rc::gen::elementOf(ins);
    const auto rate = *rc::gen::element<std::string>("100 Hz", "10 kHz", "400 kHz", "2 MHz");
    Two two{out.first, out.second, in.first, in.second, fmt::format("rate = \"{}\"", rate)};
    if (in.first.starts_with("relay")) two.link += "\nkind = \"load\"";
    two.apart = *rc::gen::arbitrary<bool>();
    if (*rc::gen::arbitrary<bool>()) two.link += "\ninvert = true";
    if (*rc::gen::arbitrary<bool>()) two.link += "\nsafe_level = \"low\"";
    const Bench bench = two.bench();
    const Plan p = plan(bench);
    if (p.links[0].chosen) {
        RC_ASSERT(p.judgement.links[0].verdict <= p.links[0].chosen->verdict);
        RC_ASSERT(p.links[0].chosen->verdict <= Verdict::unknown);  // unknown only where a figure is missing
    } else {
        for (const Candidate& c : p.links[0].rejected) RC_ASSERT(!c.why_not.empty());
    }
    expect_kept(p, two.text());
}

}  // namespace
}  // namespace voltsill
