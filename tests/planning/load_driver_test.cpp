/// What the planner puts before a load at 12 V that a 5 V controller switches, against arithmetic from the bench's own
/// figures. Forced gain 10 and the diode beside a coil are common practice, no source.
#include <gmock/gmock.h>

#include "circuit_cases.h"
#include "planning/assembly.h"

namespace voltsill {
namespace {

using namespace sample;
using testing::HasSubstr;
using testing::Not;

/// A resistance of 20 % to the load's supply, 11.4..12.6 V. Nothing is said of `invert`.
Two load_of(const char* ohms, const char* more = "") {
    return {"controller pin, 5 V", "five", "relay input, active low, 5 V", "twelve", "kind = \"load\"", "", false, "",
            fmt::format("load = {{ to = \"supply\", ohms = \"{} ± 20 %\", on_above = \"50 mA\", off_below = \"5 mA\", "
                        "consequence = \"fan turns\"{} }}",
                        ohms, more)};
}
Bench bench_of(const char* ohms, const char* more = "") { return load_of(ohms, more).bench(); }

std::vector<Evaluated> drivers_of(const Bench& bench) {
    std::vector<Evaluated> out;
    for (Evaluated& e : tried(bench))
        if (e.candidate.circuit == "load-driver") out.push_back(std::move(e));
    return out;
}
std::string titles_of(const Bench& bench) {
    std::string out;
    for (const Evaluated& e : drivers_of(bench)) out += e.candidate.title + "\n";
    return out;
}

/// 12.6 V / 96 Ω = 131 mA, above the 20 mA that the output stands.
TEST(LoadDriver, AComparatorIsNotTakenForAFan) {
    const Bench bench = bench_of("120 Ω");
    const Evaluated e = of(bench, "comparator");
    EXPECT_FALSE(e.would_serve);
    EXPECT_EQ(e.candidate.verdict, Verdict::harmful);
    const Plan p = plan(bench);
    ASSERT_TRUE(p.links.at(0).chosen);
    EXPECT_EQ(p.links[0].chosen->circuit, "load-driver");
    EXPECT_LE(p.links[0].chosen->verdict, Verdict::thin);
    EXPECT_FALSE(p.links[0].chosen->inverted) << "high is on";
}

/// 12.6 V / 19.2 Ω = 656 mA: more than any small transistor carries, and any Darlington channel.
TEST(LoadDriver, LargeLoadsGetATransistorThatCarriesThem) {
    const Bench bench = bench_of("24 Ω");
    EXPECT_THAT(titles_of(bench), testing::AllOf(HasSubstr("power n-mosfet"), Not(HasSubstr("npn"))));
    const Plan p = plan(bench);
    ASSERT_TRUE(p.links.at(0).chosen);
    EXPECT_THAT(p.links[0].chosen->title, HasSubstr("power n-mosfet"));
    EXPECT_LE(p.links[0].chosen->verdict, Verdict::thin);
}

/// A tenth of 131 mA and what 10 kΩ take, from 4.75 V less 1 V at 20 mA, through a resistor that may be 5 % high.
TEST(LoadDriver, TheBaseGetsATenthOfTheLoad) {
    const Bench bench = bench_of("120 Ω");
    for (const Evaluated& e : drivers_of(bench)) {
        if (!e.candidate.title.starts_with("npn")) continue;
        EXPECT_LE(e.candidate.verdict, Verdict::thin) << e.candidate.why_not;
        const CrossingBuild built = build_on(crossings_of(bench)[0], e.recipe);
        const WiredPart* base = added(built.wiring, "base resistor");
        ASSERT_TRUE(base && base->value);
        const double ib = 12.6 / 96 / 10 + 0.85 / 10e3;
        EXPECT_GE((4.75 - 1.0 * ib / 20e-3 - 0.85) / (*base->value * 1.05), ib);
        for (const Finding& f : judge(built.bench, built.wiring).findings) EXPECT_NE(f.code, "saturation");
        return;
    }
    FAIL() << titles_of(bench);
}

/// Of a driver that stands 5 mA a tenth of 131 mA is too much: the number says so where nothing else is left.
TEST(LoadDriver, ADriverThatCannotFeedTheBaseIsTold) {
    Two weak = load_of("120 Ω");
    weak.out_keys =
        "drive_max = \"5 mA\", high = [{ supply = \"4.5..5.5 V\", at = \"4 mA\", level = \"supply - 0.5 V\" }], "
        "low = [{ supply = \"4.5..5.5 V\", at = \"4 mA\", level = \"0.5 V\" }]";
    EXPECT_THAT(titles_of(weak.bench()), Not(HasSubstr("npn")));
}

TEST(LoadDriver, ACoilGetsItsDiode) {
    const Bench bench = bench_of("120 Ω", ", inductive = true");
    const Plan p = plan(bench);
    ASSERT_TRUE(p.links.at(0).chosen);
    EXPECT_EQ(p.links[0].chosen->circuit, "load-driver");
    EXPECT_LE(p.links[0].chosen->verdict, Verdict::thin) << p.links[0].chosen->why_not;
    int with_diode = 0;
    for (const Evaluated& e : drivers_of(bench)) {
        const CrossingBuild built = build_on(crossings_of(bench)[0], e.recipe);
        for (const WiredPart& part : built.wiring.parts)
            if (part.type->kind == PartKind::diode) {
                EXPECT_EQ(built.wiring.nets[part.net_of_pin[part.type->pin_index("K")]].rail, "twelve");
                EXPECT_GE(std::get<DiodeModel>(part.type->model).current_max.span.hi, Amps{12.6 / 96});
                ++with_diode;
            }
    }
    EXPECT_EQ(with_diode, 2) << titles_of(bench);
    EXPECT_THAT(drivers_of(bench_of("120 Ω"))[0].candidate.cautions, testing::Contains(HasSubstr("inductive")));
}

}  // namespace
}  // namespace voltsill
