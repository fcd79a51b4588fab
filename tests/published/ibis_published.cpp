/// IBIS models against figures printed in the standard and in makers' notes.
#include <gmock/gmock.h>

#include "parts/ibis_curves.h"
#include "parts/ibis_driver.h"
#include "parts/ibis_import.h"

namespace voltsill {
namespace {

/// The standard's own example tables, gathered into one model. ANSI/EIA-656-B, from memory.
const IbisFile& standards_example() {
    static const IbisFile file = [] {
        Problems problems;
        IbisFile f = read_ibis(R"([IBIS Ver] 3.2
[File Name] example.ibs
[File Rev] 1.0
[Component] EXAMPLE
[Manufacturer] nobody
[Package]
R_pkg 250.0m 225.0m 275.0m
L_pkg 15.0nH 12.0nH 18.0nH
C_pkg 18.0pF 15.0pF 20.0pF
[Pin] signal_name model_name
1 IO1 EXAMPLE_IO
[Model] EXAMPLE_IO
Model_type I/O
Polarity Non-Inverting
Enable Active-Low
Vinl = 0.8V
Vinh = 2.0V
Vmeas = 1.5V
C_comp 12.0pF 10.0pF 15.0pF
[Temperature Range] 27.0 -50 130.0
[Voltage Range] 5.0V 4.5V 5.5V
[Pulldown]
-5.0V -40.0m -34.0m -45.0m
0.0V 0.0m 0.0m 0.0m
5.0V 40.0m 34.0m 45.0m
10.0V 45.0m 40.0m 49.0m
[Pullup]
-5.0V 32.0m 30.0m 35.0m
0.0V 0.0m 0.0m 0.0m
5.0V -32.0m -30.0m -35.0m
10.0V -38.0m -35.0m -40.0m
[GND Clamp]
-5.0V -3900.0m -3800.0m -4000.0m
-0.7V -80.0m -75.0m -85.0m
-0.6V -22.0m -20.0m -25.0m
-0.5V -2.4m -2.0m -2.9m
-0.4V 0.0m 0.0m 0.0m
5.0V 0.0m 0.0m 0.0m
[POWER Clamp]
-5.0V 4450.0m NA NA
-0.7V 95.0m NA NA
-0.6V 23.0m NA NA
-0.5V 2.4m NA NA
-0.4V 0.0m NA NA
0.0V 0.0m NA NA
[Ramp]
dV/dt_r 2.20/1.06n 1.92/1.28n 2.49/650p
dV/dt_f 2.46/1.21n 2.21/1.54n 2.70/770p
R_load = 300ohms
[End]
)",
                               "example.ibs", problems);
        std::string said;
        for (const Problem& p : problems) said += render(p);
        EXPECT_EQ(said, "");
        return f;
    }();
    return file;
}

// [Pulldown] 40 mA at 5 V, straight from 0: 125 ohm, so VOL at 4 mA is 0.5 V; minimum 34 mA.
// Source: ANSI/EIA-656-B; example tables, [Pulldown]; from memory
TEST(IbisPublished, PulldownOfTheStandardIs125Ohm) {
    const IbisDriver d = ibis_driver(*standards_example().model("EXAMPLE_IO"), {});
    EXPECT_NEAR(amps_at(d.curves.typical.pull_down, 0.5), 4e-3, 1e-12);
    EXPECT_NEAR(amps_at(d.curves.slow.pull_down, 5), 34e-3, 1e-12);
    // 5 V over 125 ohm and the 1 kohm of a pull-up to 5 V
    EXPECT_NEAR(rest_volts(d.curves.typical, 0, 1, 1e3, 5), 5.0 * 125 / 1125, 1e-6);
}

// [Pullup] -32 mA at 5 V below the supply: 156.25 ohm.
// Source: ANSI/EIA-656-B; example tables, [Pullup]; from memory
TEST(IbisPublished, PullupOfTheStandardSourcesCurrent) {
    const IbisDriver d = ibis_driver(*standards_example().model("EXAMPLE_IO"), {});
    EXPECT_NEAR(output_amps(d.curves.typical, 1, 0, 0.0), 32e-3, 1e-12);
    EXPECT_NEAR(rest_volts(d.curves.typical, 1, 0, 1e3, 0), 5.0 * 1000 / 1156.25, 1e-6);
}

// [POWER Clamp] -0.6 V, 23 mA: that is 0.6 V above the supply, into the pin. NA in the other columns:
// the typical one stands in. [GND Clamp] -0.6 V, -22 mA.
// Source: ANSI/EIA-656-B; example tables, [POWER Clamp] and [GND Clamp]; from memory
TEST(IbisPublished, ClampsOfTheStandard) {
    const IbisDriver d = ibis_driver(*standards_example().model("EXAMPLE_IO"), {});
    EXPECT_NEAR(-output_amps(d.curves.typical, 0, 0, 5.6), 23e-3, 1e-12);
    EXPECT_NEAR(-output_amps(d.curves.fast, 0, 0, 5.5 + 0.6), 23e-3, 1e-12);
    EXPECT_NEAR(-output_amps(d.curves.typical, 0, 0, -0.6), -22e-3, 1e-12);
    EXPECT_NEAR(-output_amps(d.curves.slow, 0, 0, -0.6), -20e-3, 1e-12);
}

// 20 to 80 % in 1.06 ns (1.28 ns, 650 ps) into 300 ohm; 10 to 90 % of a straight edge takes 8/6 of that.
// Source: ANSI/EIA-656-B; example of [Ramp]; from memory
TEST(IbisPublished, RampOfTheStandard) {
    const IbisDriver d = ibis_driver(*standards_example().model("EXAMPLE_IO"), {});
    EXPECT_NEAR(d.rise->nominal.si(), 1.413e-9, 1e-12);
    EXPECT_NEAR(d.rise->lo.si(), 0.867e-9, 1e-12);
    EXPECT_NEAR(d.rise->hi.si(), 1.707e-9, 1e-12);
    EXPECT_NEAR(d.fall->nominal.si(), 1.613e-9, 1e-12);
    EXPECT_EQ(standards_example().model("EXAMPLE_IO")->ramp->r_load, 300);
}

// 18 (15..20) pF and 12 (10..15) pF.
// Source: ANSI/EIA-656-B; examples of [Package] and C_comp; from memory
TEST(IbisPublished, PackageAndDieOfTheStandard) {
    const IbisFile& f = standards_example();
    EXPECT_DOUBLE_EQ(f.components.at(0).package.ohms->at(ibis_typ), 0.25);
    EXPECT_DOUBLE_EQ(f.components.at(0).package.henries->at(ibis_max), 18e-9);
    Problems problems;
    const auto import = import_ibis(f, {"", "1"}, problems);
    ASSERT_TRUE(import);
    EXPECT_THAT(import->part_file, testing::HasSubstr("capacitance = \"25..35 pF\""));
    EXPECT_THAT(import->part_file, testing::HasSubstr("low = \"800 mV\", high = \"2 V\""));
}

}  // namespace
}  // namespace voltsill
