/// From an IBIS file to a part of the catalogue and back.
#include "parts/ibis_import.h"

#include <gmock/gmock.h>

#include "ibis_text.h"
#include "parts/catalogue.h"
#include "parts/ibis_curves.h"
#include "parts/ibis_driver.h"

namespace voltsill {
namespace {

using namespace ibis_text;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;

struct Imported {
    IbisImport import;
    PartType type;
    const Pin& pin(std::string_view name) const {
        return type.pins.at(static_cast<std::size_t>(type.pin_index(name)));
    }
};

/// Import, then what `parts check` does.
Imported imported(const IbisFile& file, const IbisChoice& choice) {
    Problems problems;
    auto import = import_ibis(file, choice, problems);
    EXPECT_TRUE(import) << all(problems);
    const Catalogue with = Catalogue{}.with_file(import->part_file, "import.toml", problems);
    EXPECT_THAT(problems, IsEmpty()) << all(problems) << import->part_file;
    const PartType* type = with.find(import->type);
    EXPECT_TRUE(type) << import->type;
    return {*import, *type};
}

void expect_near(const IvCurve& a, const IvCurve& b) {
    ASSERT_EQ(a.volts.size(), b.volts.size());
    for (std::size_t i = 0; i < a.volts.size(); ++i) {
        EXPECT_NEAR(a.volts[i], b.volts[i], 1e-8 * (1 + std::abs(b.volts[i])));
        EXPECT_NEAR(a.amps[i], b.amps[i], 1e-8 * (1e-3 + std::abs(b.amps[i])));
    }
}

TEST(IbisImport, EveryModelOfTheExamplesReadsBackAsItWas) {
    int models = 0;
    for (const char* name : {"octal-buffer.ibs", "alarm-open-drain.ibs", "schmitt-input.ibs"}) {
        const IbisFile file = reading(on_disk(name));
        for (const IbisModel& m : file.models) {
            ++models;
            const Imported i = imported(file, {m.name, ""});
            const Pin& pin = i.pin(m.name);
            EXPECT_GE(i.type.ground_pin(), 0);
            if (!m.drives()) {
                EXPECT_FALSE(pin.curves);
                continue;
            }
            const IbisDriver d = ibis_driver(m, {});
            ASSERT_TRUE(pin.curves);
            EXPECT_EQ(pin.curves->origin.certainty, Certainty::typical);
            EXPECT_THAT(pin.curves->origin.source, HasSubstr(m.name));
            EXPECT_EQ(pin.curves->slow.supply, d.curves.slow.supply);
            expect_near(pin.curves->typical.pull_up, d.curves.typical.pull_up);
            expect_near(pin.curves->slow.pull_down, d.curves.slow.pull_down);
            expect_near(pin.curves->fast.ground_clamp, d.curves.fast.ground_clamp);
            expect_near(pin.curves->typical.supply_clamp, d.curves.typical.supply_clamp);
            EXPECT_EQ(pin.curves->typical.rising.has_value(), d.curves.typical.rising.has_value());
            if (!d.curves.typical.falling) continue;
            EXPECT_NEAR(pin.curves->typical.falling->duration, d.curves.typical.falling->duration,
                        1e-5 * d.curves.typical.falling->duration);
            for (std::size_t k = 0; k < ibis_switching_points; ++k)
                EXPECT_NEAR(pin.curves->typical.falling->down[k], d.curves.typical.falling->down[k], 1e-4);
        }
    }
    EXPECT_EQ(models, 7);
}

// 40 ohm (50 ohm at the minimum, 4.5 V): VOL at 8 mA is 0.4 V; 60 ohm up: VOH is 0.6 V (75 ohm) below.
TEST(IbisImport, DriveRowsFollowTheTablesOfTheirCorner) {
    const Imported i = imported(reading(file(resistor_driver(40, 60))), {"A_MODEL", ""});
    const Pin& pin = i.pin("A_MODEL");
    EXPECT_EQ(pin.role, PinRole::three_state);
    const auto level = [](const std::vector<DriveRow>& rows, double supply, double amps) {
        for (const DriveRow& r : rows)
            if (std::abs(r.supply.nominal.si() - supply) < 1e-9 && std::abs(r.at.si() - amps) < 1e-9)
                return r.level.at(r.supply.nominal).si();
        return -1.0;
    };
    EXPECT_NEAR(level(pin.low, 4.5, 8e-3), 0.4, 1e-4);
    EXPECT_NEAR(level(pin.low, 5.0, 8e-3), 0.32, 1e-4);
    EXPECT_NEAR(level(pin.high, 4.5, 8e-3), 4.5 - 0.6, 1e-4);
    EXPECT_NEAR(level(pin.high, 5.5, 16e-3), 5.5 - 0.768, 1e-4);
    EXPECT_EQ(level(pin.low, 5.0, 100e-3), -1.0) << "beyond half the supply there is no row";
    for (const DriveRow& r : pin.low) EXPECT_EQ(r.origin.certainty, Certainty::typical);
    EXPECT_NEAR(pin.rise_time.span.nominal.si(), 1e-9 * 8 / 6, 1e-14);
    EXPECT_FALSE(pin.clamp_to_ground) << "no clamp tables: no diodes";
    EXPECT_FALSE(pin.clamp_to_supply);
}

TEST(IbisImport, InputsGetThresholdsClampsAndCapacitance) {
    const Imported i = imported(reading(file(head("Input", "Vinl = 0.8V\nVinh = 2.0V\n") +
                                             "[GND Clamp]\n-1 -40m NA NA\n-0.6 0 NA NA\n0 0 NA NA\n")),
                                {"", "1"});
    const Pin& pin = i.pin("A");
    EXPECT_EQ(i.import.type, "PART 1");
    EXPECT_EQ(pin.role, PinRole::input);
    ASSERT_EQ(pin.thresholds.size(), 1u);
    EXPECT_EQ(pin.thresholds[0].low.offset, Volts{0.8});
    EXPECT_EQ(pin.thresholds[0].high.offset, Volts{2.0});
    EXPECT_NEAR(pin.thresholds[0].supply.lo.si(), 4.5, 1e-9);
    EXPECT_TRUE(pin.clamp_to_ground);
    EXPECT_FALSE(pin.clamp_to_supply) << "no [POWER Clamp]: no diode to the supply";
    EXPECT_NEAR(pin.clamp_forward.span.nominal.si(), 0.61, 1e-5) << "10 ohm beyond 0.6 V, at 1 mA";
    // C_comp 1..2..3 pF and C_pkg 0.5..1..1.5 pF
    EXPECT_NEAR(pin.capacitance.span.lo.si(), 1.5e-12, 1e-18);
    EXPECT_NEAR(pin.capacitance.span.nominal.si(), 3e-12, 1e-18);
    EXPECT_NEAR(pin.capacitance.span.hi.si(), 4.5e-12, 1e-18);
}

TEST(IbisImport, HysteresisAndTerminators) {
    const IbisFile f = reading(on_disk("schmitt-input.ibs"));
    const Imported schmitt = imported(f, {"", "2"});
    const Pin& a = schmitt.pin("A");
    EXPECT_TRUE(a.schmitt);
    EXPECT_NEAR(a.thresholds.at(0).rising->lo.si(), 1.3, 1e-9);
    EXPECT_NEAR(a.thresholds.at(0).rising->hi.si(), 2.1, 1e-9);
    EXPECT_NEAR(a.thresholds.at(0).falling->lo.si(), 0.75, 1e-9);
    EXPECT_NEAR(a.thresholds.at(0).falling->hi.si(), 1.4, 1e-9);
    const Imported term = imported(f, {"LINE_TERM", ""});
    const auto& pulls = term.pin("LINE_TERM").pulls;
    ASSERT_EQ(pulls.size(), 2u);
    EXPECT_TRUE(pulls[0].up);
    EXPECT_EQ(pulls[0].ohms.span.nominal, Ohms{22e3});
    EXPECT_EQ(pulls[1].ohms.span.hi, Ohms{13e3});
    EXPECT_THAT(schmitt.import.part_file, HasSubstr("[Receiver Thresholds] is not used"));
}

TEST(IbisImport, ThresholdsThatAreNotGivenAreTheStandardsAndSaySo) {
    const Imported i = imported(reading(file(head("Input"))), {"A_MODEL", ""});
    const ThresholdRow& row = i.pin("A_MODEL").thresholds.at(0);
    EXPECT_EQ(row.low.offset, Volts{0.8});
    EXPECT_EQ(row.high.offset, Volts{2.0});
    EXPECT_EQ(row.origin.certainty, Certainty::assumed);
    EXPECT_THAT(i.import.remarks, Contains(HasSubstr("stand in")));
}

TEST(IbisImport, SelectorsTakeTheirFirstModelAndSaySo) {
    const IbisFile f = reading(on_disk("octal-buffer.ibs"));
    const Imported i = imported(f, {"BUFFER", ""});
    EXPECT_EQ(i.import.model, "OUT_24");
    EXPECT_THAT(i.import.remarks, Contains("selector BUFFER offers 2 models; its first, OUT_24, is taken"));
    EXPECT_EQ(imported(f, {"OUT_8", "17"}).import.model, "OUT_8") << "offered by the selector of pin 17";
    // The pin's own columns win over the package: C_pin 0.7 pF in place of 0.6 pF.
    EXPECT_NEAR(imported(f, {"", "17"}).pin("Y3").capacitance.span.nominal.si(), 3.9e-12, 1e-17);
    EXPECT_NEAR(imported(f, {"", "18"}).pin("Y2").capacitance.span.nominal.si(), 3.8e-12, 1e-17);
}

TEST(IbisImport, WrongNamesGiveTheNearestRightOne) {
    const IbisFile f = reading(on_disk("octal-buffer.ibs"));
    const auto refusal = [&](const IbisChoice& choice) {
        Problems problems;
        EXPECT_FALSE(import_ibis(f, choice, problems));
        return problems.at(0).code + ": " + problems.at(0).nearest;
    };
    EXPECT_EQ(refusal({"OUT24", ""}), "unknown-model: OUT_24");
    EXPECT_EQ(refusal({"", "99"}), "unknown-pin: ");
    EXPECT_EQ(refusal({"", "20"}), "unknown-model: ") << "a supply pin has no model";
    EXPECT_EQ(refusal({"IN_LV", "17"}), "wrong-pin: ");
    const IbisFile ecl = reading(file(head("Output_ECL")));
    Problems problems;
    EXPECT_FALSE(import_ibis(ecl, {"A_MODEL", ""}, problems));
    EXPECT_EQ(problems.at(0).code, "unsupported-model");
    EXPECT_THAT(problems.at(0).message, HasSubstr("emitter-coupled"));
}

// Names and notes of the file cannot break out of the part file.
TEST(IbisImport, OddNamesAndNotesStayText) {
    std::string text =
        file(head("Input", "Vinl = 0.8V\nVinh = 2.0V\n", "A\"\"\"]\\x\xff"), "1 A\"..B\xc3\x1b[31m NC\n");
    text.insert(text.find("[Component]"), "[Notes] \"\"\" \\u0000 [types.x] \xff\x01\n\"\"\"\n");
    Problems problems;
    const IbisFile f = read_ibis(text, "test.ibs", problems);
    EXPECT_FALSE(has_error(problems)) << all(problems);
    for (const char c : ibis_listing(f)) EXPECT_TRUE(c == '\n' || (c >= ' ' && c <= '~'));
    const auto import = import_ibis(f, {f.models.at(0).name, ""}, problems);
    ASSERT_TRUE(import);
    const Catalogue with = Catalogue{}.with_file(import->part_file, "import.toml", problems);
    EXPECT_FALSE(has_error(problems)) << all(problems) << import->part_file;
    EXPECT_EQ(with.types().size(), 1u);
}

}  // namespace
}  // namespace voltsill
