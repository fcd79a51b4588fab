/// Where every figure of every part comes from, and how a record says it for some of its keys only.
#include <gmock/gmock.h>

#include <algorithm>
#include <cctype>
#include <variant>

#include "parts/catalogue.h"
#include "records/problem.h"

namespace voltsill {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::IsSupersetOf;

/// Names the figures of a part that are there without a source, or claim more than their source can bear.
struct Audit {
    std::vector<std::string> found;
    std::string of;

    void origin(const std::string& figure, const Provenance& o) {
        // A promise is printed somewhere: documents have numbers.
        const bool promised = o.certainty <= Certainty::standard,
                   numbered = std::ranges::any_of(o.source, [](unsigned char c) { return std::isdigit(c); });
        if (o.certainty == Certainty::unknown || o.source.empty() || o.source == "no source given" ||
            (promised && !numbered))
            found.push_back(of + figure);
    }
    /// A figure that is left out has neither number nor origin.
    template <class Q>
    void figure(const char* name, const Figure<Q>& f) {
        if (f.known() || f.span != Span<Q>{}) origin(name, f.origin);
    }
    template <class Row>
    void rows(const char* name, const std::vector<Row>& all) {
        for (const Row& row : all) origin(name, row.origin);
    }
    void pin(const Pin& p) {
        if (p.max || p.min || p.max_unpowered || p.full_scale || p.analog_range)
            origin("limits", p.limits_origin);
        if (p.range_min || p.range_max) origin("range", p.range_origin);
        rows("thresholds", p.thresholds), rows("transition", p.transition);
        rows("high", p.high), rows("low", p.low);
        figure("capacitance", p.capacitance), figure("leakage", p.leakage);
        figure("input_low", p.input_low), figure("input_high", p.input_high);
        if (p.low_above_ground) origin("low_above_ground", p.low_above_origin);
        for (const Pull& pull : p.pulls) figure("pulls", pull.ohms);
        if (p.clamp_to_supply || p.clamp_to_ground) origin("clamp_forward", p.clamp_forward.origin);
        figure("clamp_max", p.clamp_max), figure("injection", p.injection_allowed);
        figure("drive_max", p.drive_max), figure("rise_time", p.rise_time), figure("fall_time", p.fall_time);
        if (p.delay_max) origin("delay", p.delay_origin);
        if (p.curves) origin("curves", p.curves->origin);
        if (p.high_below_supply) origin("high_below_supply", p.high_below_origin);
        if (p.static_low) origin("static_low", p.static_low_origin);
        figure("output_ohms", p.output_ohms), figure("source_ohms_max", p.source_ohms_max);
        if (!p.load) return;
        figure("load", p.load->forward), figure("load", p.load->ohms);
        figure("load", p.load->on_above), figure("load", p.load->off_below);
    }
    void operator()(std::monostate) {}
    void operator()(const ResistorModel&) {}
    void operator()(const CapacitorModel&) {}
    void operator()(const DiodeModel& m) {
        figure("forward", m.forward), figure("current_max", m.current_max);
    }
    void operator()(const BjtModel& m) {
        figure("beta", m.beta), figure("vbe", m.vbe), figure("current_max", m.current_max);
    }
    void operator()(const MosfetModel& m) {
        figure("vth", m.vth), figure("rds", m.rds), figure("body_forward", m.body_forward);
        figure("current_max", m.current_max), figure("gate_capacitance", m.gate_capacitance);
    }
    void operator()(const OptoModel& m) {
        figure("forward", m.forward), figure("ctr", m.ctr), figure("led_max", m.led_max);
    }
    void operator()(const AmplifierModel& m) {
        figure("headroom_top", m.headroom_top), figure("headroom_bottom", m.headroom_bottom);
    }
    void operator()(const PassGateModel& m) {
        figure("vth", m.vth), figure("on", m.on), figure("pull_a", m.pull_a), figure("pull_b", m.pull_b);
    }
    void operator()(const KeeperModel& m) { figure("ohms", m.ohms); }
};

std::vector<std::string> without_source(const PartType& type) {
    Audit audit;
    audit.of = type.name + ": ";
    audit.origin("the part", type.origin);
    audit.figure("package_current_max", type.supply_current_max);
    std::visit([&](const auto& model) { audit(model); }, type.model);
    for (const SupplyPort& port : type.supplies) {
        audit.of = type.name + " " + port.name + ": ";
        audit.origin("range", port.origin);
        if (port.max > Volts{} || port.min < Volts{}) audit.origin("max", port.max_origin);
        audit.figure("current", port.current), audit.figure("limit", port.provides_limit);
    }
    for (const Pin& pin : type.pins) {
        audit.of = type.name + " " + pin.name + ": ";
        audit.pin(pin);
    }
    return audit.found;
}

TEST(BuiltIn, EveryFigureOfEveryPartKnowsWhereItComesFrom) {
    for (const auto& type : Catalogue::built_in().types()) EXPECT_THAT(without_source(*type), IsEmpty());
}

Catalogue with(const std::string& text) {
    Problems problems;
    Catalogue out = Catalogue::built_in().with_file(text, "t.toml", problems);
    for (const Problem& p : problems) ADD_FAILURE() << render(p);
    return out;
}

/// The audit above is worth nothing if it finds nothing where there is something.
TEST(Audit, FindsEveryFigureThatNamesNoSource) {
    const Catalogue catalogue = with(R"([types.bare]
supplies.VCC = { range = "5 V", max = "-0.5..6 V", current = "1 mA" }
package_current_max = "50 mA"
pins.I = { is = "input", max = "6 V", range = "0..5 V", input_low = "1 mA", input_high = "1 µA", thresholds = [
    { supply = "5 V", low = "1 V", high = "2 V" },
], transition = [
    { supply = "5 V", total = "5 ns" },
], capacitance = "5 pF", leakage = "1 µA", clamp_max = "1 mA", injection = "1 mA", pulls = [
    { to = "supply", ohms = "10 kΩ" },
] }
pins.O = { is = "push-pull", high_below_supply = "1 V", low_above_ground = "0.5 V", static_low = "0.5 V", high = [
    { supply = "5 V", at = "1 mA", level = "4 V" },
], low = [
    { supply = "5 V", at = "1 mA", level = "1 V" },
], drive_max = "20 mA", delay = "5 ns", rise_time = "1 ns", fall_time = "1 ns" }
pins.A = { is = "analog output", analog_range = "0..4 V", output_ohms = "1 kΩ" }
pins.L = { is = "load", load = { to = "ground", forward = "1 V", ohms = "1 kΩ" } }
)");
    const std::vector<std::string> found = without_source(*catalogue.find("bare"));
    for (const char* figure : {"the part", "package_current_max"})
        EXPECT_THAT(found, Contains(std::string("bare: ") + figure));
    for (const char* figure : {"range", "max", "current"})
        EXPECT_THAT(found, Contains(std::string("bare VCC: ") + figure));
    for (const char* figure : {"limits", "range", "thresholds", "transition", "capacitance", "leakage", "input_low",
                               "input_high", "clamp_max", "injection", "pulls"})
        EXPECT_THAT(found, Contains(std::string("bare I: ") + figure));
    for (const char* figure :
         {"high", "low", "drive_max", "delay", "rise_time", "fall_time", "static_low", "high_below_supply",
          "low_above_ground"})
        EXPECT_THAT(found, Contains(std::string("bare O: ") + figure));
    EXPECT_THAT(found, IsSupersetOf({"bare A: limits", "bare A: output_ohms", "bare L: load"}));
}

TEST(Audit, TakesNoPromiseWithoutADocument) {
    EXPECT_THAT(without_source(*with("[types.boast]\nsource = \"a friend\"\ncertainty = \"guaranteed\"\n"
                                     "supplies.VCC = { range = \"5 V\" }\n")
                                    .find("boast")),
                ElementsAre("boast: the part", "boast VCC: range"));
}

const char* keyed = R"([traits.base]
source = "sheet 1"
certainty = "guaranteed"
is = "push-pull"
max = "6 V"
range = "0..5 V"
capacitance = "3 pF"
drive_max = "20 mA"
delay = "5 ns"
low = [
    { supply = "5 V", at = "1 mA", level = "0.4 V" },
    { supply = "5 V", at = "2 mA", level = "0.5 V", from_memory = false },
]
from_memory = "max low delay"
only_typical = "capacitance"

[types.keyed]
source = "sheet 2"
certainty = "guaranteed"
supplies.VCC = { range = "5 V", max = "-0.5..7 V", current = "1 mA", from_memory = "max current" }
pins.Y = { like = "base" }
pins.Z = { like = "base", delay = "4 ns", from_memory = "delay" }
)";

TEST(FromMemory, NamesSomeKeysOfARecord) {
    const Catalogue catalogue = with(keyed);
    const PartType& type = *catalogue.find("keyed");
    const Pin &y = type.pins[type.pin_index("Y")], &z = type.pins[type.pin_index("Z")];
    const Provenance read{Certainty::guaranteed, "sheet 1"}, memory{Certainty::guaranteed, "sheet 1", true};
    EXPECT_EQ(y.limits_origin, memory);
    EXPECT_EQ(y.range_origin, read);
    EXPECT_EQ(y.drive_max.origin, read);
    EXPECT_EQ(y.delay_origin, memory);
    EXPECT_EQ(y.low.at(0).origin, memory);
    EXPECT_EQ(y.low.at(1).origin, read);
    EXPECT_EQ(y.capacitance.origin, (Provenance{Certainty::typical, "sheet 1"}));
    EXPECT_EQ(z.delay_origin, (Provenance{Certainty::guaranteed, "sheet 2", true}));
    EXPECT_EQ(z.range_origin, read);
    EXPECT_FALSE(type.origin.from_memory);
    const SupplyPort& port = type.supplies.front();
    EXPECT_FALSE(port.origin.from_memory);
    EXPECT_TRUE(port.max_origin.from_memory && port.current.origin.from_memory);
}

TEST(FromMemory, RefusesAKeyThatIsNotThere) {
    Problems problems;
    Catalogue::built_in().with_file(
        "[types.t]\nsource = \"test 1\"\nsupplies.VCC = { range = \"5 V\", from_memory = \"rang\", "
        "only_typical = \"current\" }\n",
        "t.toml", problems);
    ASSERT_EQ(problems.size(), 2u);
    EXPECT_EQ(problems[0].code, "unknown-key");
    EXPECT_THAT(render(problems[0]), HasSubstr("\"range\""));
    EXPECT_THAT(render(problems[1]), HasSubstr("has no key \"current\""));
}

}  // namespace
}  // namespace voltsill
