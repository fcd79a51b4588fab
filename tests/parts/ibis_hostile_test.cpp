/// Cut, mutated and enormous IBIS files: never a crash, always a word.
#include <gmock/gmock.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "ibis_text.h"
#include "parts/catalogue.h"
#include "parts/ibis_driver.h"
#include "parts/ibis_import.h"

namespace voltsill {
namespace {

using namespace ibis_text;

/// Reads, and converts whatever came out of it.
Problems exercised(const std::string& text) {
    Problems problems;
    const IbisFile file = read_ibis(text, "test.ibs", problems);
    ibis_listing(file);
    for (const IbisModel& m : file.models) {
        Problems ignored;
        import_ibis(file, {m.name, ""}, ignored);
    }
    return problems;
}

TEST(IbisHostile, CutAtEveryByteIsAProblemOrComplete) {
    for (const char* name : {"schmitt-input.ibs", "alarm-open-drain.ibs"}) {
        const std::string whole = on_disk(name);
        ASSERT_GT(whole.size(), 1000u);
        for (std::size_t length = 0; length < whole.size(); ++length) {
            Problems problems;
            const IbisFile file = read_ibis(whole.substr(0, length), name, problems);
            ASSERT_EQ(file.ended, length + 1 >= whole.size()) << length;
            ASSERT_NE(file.ended, has_error(problems)) << length << all(problems);
        }
    }
}

RC_GTEST_PROP(IbisHostile, ChangedBytesNeverCrash, ()) {
    static const std::string whole = on_disk("alarm-open-drain.ibs");
    std::string text = whole;
    const auto changes = *rc::gen::inRange(1, 30);
    for (int i = 0; i < changes; ++i) {
        const auto at = *rc::gen::inRange<std::size_t>(0, text.size());
        switch (*rc::gen::inRange(0, 4)) {
            case 0:
                text[at] = static_cast<char>(*rc::gen::inRange(1, 256));
                break;
            case 1:
                text.erase(at, *rc::gen::inRange<std::size_t>(1, 40));
                break;
            case 2:
                text.insert(at, *rc::gen::elementOf(std::vector<std::string>{
                                    "NA", "[", "]", "\n", "-", "1e30", "=", "[Model] M\n", "/", "|"}));
                break;
            default:
                text.insert(at, whole.substr(at % whole.size(), 80));
        }
        if (text.empty()) text = "x";
    }
    for (const Problem& p : exercised(text)) {
        RC_ASSERT(p.place.line >= 0);
        RC_ASSERT(!p.message.empty());
        render(p);
    }
}

TEST(IbisHostile, ManyMistakesAreCountedOnly) {
    std::string models;
    for (int i = 0; i < 5000; ++i) models += "[Bogus thing number " + std::to_string(i) + "]\n";
    const Problems problems = exercised(file(head("Input") + models));
    EXPECT_LE(problems.size(), 202u);
    EXPECT_EQ(problems.back().code, "more-problems");
    EXPECT_THAT(problems.back().message, testing::HasSubstr("4800 more problems"));
}

TEST(IbisHostile, AMillionLines) {
    std::string rows = "[GND Clamp]\n";
    for (int i = 0; i < 1'000'000; ++i) rows += "1 1 1 1\n";
    const Problems problems = exercised(file(head("Input") + rows));
    ASSERT_TRUE(has_error(problems));
    EXPECT_NE(std::ranges::find(problems, "too-many-rows", &Problem::code), problems.end());
}

TEST(IbisHostile, ManyUnknownNamesAmongManyModels) {
    std::string models, pins;
    for (int i = 0; i < 2000; ++i) {
        models += head("Input", "", "MODEL_WITH_QUITE_A_LONG_NAME_" + std::to_string(i));
        pins += fmt::format("{} S{} NO_SUCH_MODEL_WITH_A_LONG_NAME_{}\n", i, i, i);
    }
    EXPECT_LE(exercised(file(models, pins)).size(), 202u);
}

// Figures at the limits of what is read: what is imported is still a part file.
TEST(IbisHostile, EnormousAndTinyFigures) {
    for (const char* big : {"1e30", "1e-30", "1e15", "9.99e29"})
        for (const char* step : {"1e-30", "1e-20", "1", "1e29"}) {
            const std::string wave =
                fmt::format("R_fixture = {0}\nV_fixture = {1}\n0 0 0 0\n{1} {0} {0} {0}\n", big, step);
            const std::string text = file(fmt::format(
                "[Model] A_MODEL\nModel_type 3-state\nC_comp {0} {0} {0}\n[Voltage Range] {0} {0} {0}\n"
                "[Pulldown]\n0 0 0 0\n{1} {0} {0} {0}\n[Pullup]\n0 0 0 0\n{1} -{0} -{0} -{0}\n"
                "[GND Clamp]\n-{1} -{0} NA NA\n0 0 NA NA\n[POWER Clamp]\n-{1} {0} NA NA\n0 0 NA NA\n"
                "[Rising Waveform]\n{2}[Rising Waveform]\n{2}[Falling Waveform]\n{2}"
                "[Ramp]\ndV/dt_r {0}/{1} NA NA\ndV/dt_f {0}/{1} NA NA\n",
                big, step, wave));
            Problems problems;
            const IbisFile f = read_ibis(text, "test.ibs", problems);
            ASSERT_FALSE(has_error(problems)) << all(problems);
            const auto import = import_ibis(f, {"A_MODEL", ""}, problems);
            ASSERT_TRUE(import);
            Catalogue{}.with_file(import->part_file, "import.toml", problems);
            EXPECT_FALSE(has_error(problems)) << big << " " << step << all(problems);
        }
}

TEST(IbisHostile, NoiseIsRefused) {
    std::string noise;
    for (unsigned i = 1, x = 12345; i < 20000; ++i)
        noise += static_cast<char>((x = x * 1664525u + 1013904223u) >> 24 | 1);
    EXPECT_TRUE(has_error(exercised(noise)));
    EXPECT_TRUE(has_error(exercised("")));
    EXPECT_TRUE(has_error(exercised("\n\n\n")));
    EXPECT_TRUE(has_error(exercised("|only a comment")));
}

}  // namespace
}  // namespace voltsill
