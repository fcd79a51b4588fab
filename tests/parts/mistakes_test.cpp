/// Every kind of mistake in a part file, with its place.
#include <gmock/gmock.h>

#include "parts/catalogue.h"
#include "records/reader.h"

namespace voltsill {
namespace {

struct Mistake {
    const char* text;
    const char* code;
    int line, column;
    const char* nearest;  ///< "" if none is expected
};

const Mistake mistakes[] = {
    {"[traits.a]\nlike = \"b\"\n[traits.b]\nlike = \"a\"\n", "like-cycle", 2, 8, ""},
    {"[traits.alone]\nlike = \"alone\"\n", "like-cycle", 2, 8, ""},
    {"[traits.input5]\nis = \"input\"\n[traits.b]\nlike = \"inptu5\"\n", "unknown-trait", 4, 8, "input5"},
    {"[types.a]\nlike = \"b\"\n[types.b]\nlike = \"a\"\n", "like-cycle", 2, 8, ""},
    {"[types.gauge]\nsource = \"s\"\n[types.b]\nlike = \"guage\"\n", "unknown-type", 4, 8, "gauge"},
    {"[traits.\"open-collector output\"]\nis = \"open-drain\"\n[types.a]\npins.X = { like = \"open collector\" }\n",
     "unknown-trait", 4, 19, "open-collector output"},
    {"[traits.\"TTL input, 5 V\"]\nis = \"input\"\n[types.a]\npins.X = { like = \"TTL input\" }\n", "unknown-trait", 4,
     19, "TTL input, 5 V"},
    {"[types.a]\npins.X = \"input\"\n", "wrong-type", 2, 10, ""},
    {"[types.a]\nsupplies.VCC = \"5V\"\n", "wrong-type", 2, 16, ""},
    {"[types.a]\npins.X = { is = \"inptu\" }\n", "unknown-word", 2, 17, "input"},
    {"[types.a]\npins.X = { iss = \"input\" }\n", "unknown-key", 2, 12, "is"},
    {"[types.a]\npins.X = { max = \"7 V\" }\n", "role-missing", 2, 10, ""},
    {"[types.a]\npins.\"A1..B2\" = { is = \"input\" }\n", "wrong-pin-range", 2, 6, ""},
    {"[types.a]\nsupplies.VCC = { range = \"5 V\" }\npins.X = { is = \"input\", supply = \"VCD\" }\n", "unknown-supply",
     3, 35, "VCC"},
    {"[types.a]\nsupplies.VCC = { max = \"0..7 V\" }\n", "missing-key", 2, 16, ""},
    {"[types.a]\nsupplies.VCC = { range = \"5..8 V\", max = \"0..7 V\" }\n", "range-above-maximum", 2, 26, ""},
    {"[types.a]\nsupplies.VCC = { range = \"5 V\", at_most = \"VB\" }\n", "unknown-supply", 2, 43, ""},
    {"[types.a]\npins.X = { is = \"input\", thresholds = [{ supply = \"5 V\", low = \"1 V\" }] }\n",
     "incomplete-threshold", 2, 40, ""},
    {"[types.a]\npins.X = { is = \"input\", thresholds = [{ supply = \"5 V\", low = \"3 V\", high = \"2 V\" "
     "}] }\n",
     "crossed-thresholds", 2, 64, ""},
    {"[types.a]\npins.X = { is = \"input\", transition = [{ supply = \"5 V\" }] }\n", "incomplete-transition", 2, 40,
     ""},
    {"[types.a]\npins.X = { is = \"push-pull\", low = [{ supply = \"5 V\", at = \"-1 mA\", level = \"1 V\" "
     "}] }\n",
     "negative", 2, 60, ""},
    {"[types.a]\npins.X = { is = \"input\", max = \"0.7 suply\" }\n", "unknown-unit", 2, 37, ""},
    {"[types.a]\npins.X = { is = \"gnd\" }\n", "unknown-word", 2, 17, ""},
    {"[types.a]\nsupplies.VCC = { range = \"5 V\", current = \"0.35 MA\" }\n", "unlikely", 2, 43, "0.35 mA"},
    {"[types.a]\nsupplies.VCC = { range = \"5 V\", max = \"-0.3..22 MV\" }\n", "unlikely", 2, 39, "-0.3..22 mV"},
    {"[types.a]\npins.X = { is = \"input\", capacitance = \"8 µF\" }\n", "unlikely", 2, 40, ""},
    {"[types.a]\npins.X = { is = \"input\", leakage = \"-1 µA\" }\n", "below-zero", 2, 36, "1 µA"},
    {"[types.a]\npins.X = { is = \"input\", max = \"supply + 300 V\" }\n", "unlikely", 2, 32, ""},
    {"[types.a]\npins.X = { is = \"input\", min = \"0.3 V\" }\n", "minimum-above-ground", 2, 32, "-0.3 V"},
    {"[types.a]\npins.X = { is = \"input\", pulls = [{ to = \"supply\", ohms = \"10 mΩ\" }] }\n", "unlikely", 2, 59,
     "10 MΩ"},
    {"[types.a]\npins.X = { is = \"push-pull\", drive_max = \"1 mA\", "
     "low = [{ supply = \"5 V\", at = \"3 mA\", level = \"1 V\" }] }\n",
     "above-drive-max", 2, 80, ""},
    {"[types.a]\npins.M = { is = \"load\", load = { to = \"supply\", ohms = \"0 Ω\" } }\n", "not-positive", 2, 56, ""},
    {"[types.a]\npins.M = { is = \"load\", load = { to = \"supply\", forward = \"-1 V\", ohms = \"9 Ω\" } }\n",
     "negative", 2, 59, ""},
    {"[types.a]\nkind = \"resistor\"\nresistor = { tolerance = \"5\" }\n", "unlikely", 3, 26, "5 %"},
    {"[types.a]\npins.X = { is = \"input\" }\npackages.\"DIP-2\" = \"X Z\"\n", "unknown-pin", 3, 23, ""},
    {"[types.a]\npins.X = { is = \"input\" }\npackages.\"DIP-2\" = \"X X\"\n", "pin-twice", 3, 23, ""},
    {"[types.a]\npins.\"X Y\" = { is = \"input\" }\npackages.\"DIP-1\" = \"X\"\n", "pin-missing", 3, 20, ""},
    {"[types.a]\npins.X = { is = \"input\" }\npackages.\"DIP-8\" = \"X -\"\n", "pin-count", 3, 20, ""},
    {"[types.a]\nkind = \"diode\"\n", "missing-key", 1, 1, ""},
    {"[types.a]\nkind = \"bjt\"\nbjt = { polarity = \"npn\", beta = \"100\" }\n[types.b]\nlike = \"a\"\nkind = "
     "\"opto\"\n",
     "missing-key", 4, 1, ""},
    {"[types.a]\nkind = \"op_amp\"\npins.\"X Y\" = { is = \"input\" }\nchannels = [{ logic = \"buffer\", from = "
     "\"X\", to = \"Y\" }]\n",
     "missing-key", 1, 1, ""},
    {"[types.a]\nkind = \"resistor\"\npins.\"1 3\" = { is = \"passive\" }\n", "pin-missing", 1, 1, ""},
    {"[types.a]\nkind = \"bjt\"\ndiode = { forward = \"1 V\" }\nbjt = { polarity = \"npn\", beta = \"100\" "
     "}\n",
     "wrong-kind", 3, 9, ""},
    {"[types.a]\npins.\"X Y\" = { is = \"input\" }\nchannels = [{ logic = \"buffer\", from = \"X\", to = \"X "
     "Y\" }]\n",
     "unequal-lists", 3, 40, ""},
    {"[types.a]\npins.\"X Y\" = { is = \"input\" }\nchannels = [{ from = \"X\", to = \"Y\" }]\n", "missing-key", 3, 13,
     ""},
    {"[types.a]\npins.\"X Y\" = { is = \"input\" }\nchannels = [{ logic = \"transceiver\", from = \"X\", to "
     "= \"Y\" }]\n",
     "missing-key", 3, 13, ""},
    {"[functions.1]\ntitle = \"t\"\npackages.\"DIP-3\" = \"A VCC Q\"\ncontrols = \"A\"\n", "pin-without-use", 1, 1, ""},
    {"[functions.1]\ntitle = \"t\"\npackages.\"DIP-2\" = \"A VCC\"\ncontrols = \"A B\"\n", "unknown-pin", 4, 15, ""},
    {"[families.F]\nfunctions = \"541\"\n[functions.540]\ntitle = \"t\"\npackages.\"DIP-2\" = \"A "
     "VCC\"\ncontrols = \"A\"\n",
     "unknown-function", 2, 14, "540"},
    {"[families.F]\nfunctions = \"1\"\n[functions.1]\ntitle = \"t\"\npackages.\"DIP-2\" = \"A "
     "VCC\"\ncontrols = \"A\"\n",
     "supply-missing", 2, 14, ""},
    {"[families.F]\nfunctions = \"1\"\npackages = \"SOIC\"\nsupply = { range = \"5 V\" "
     "}\n[functions.1]\ntitle = "
     "\"t\"\npackages.\"DIP-2\" = \"A VCC\"\ncontrols = \"A\"\n",
     "no-package", 2, 14, ""},
    {"[families.F]\nfunctions = \"\"\n[families.F.for.77]\nprice = 2\n", "unknown-function", 3, 17, ""},
};

TEST(PartFileMistakes, EachIsToldOnceAtItsPlace) {
    for (const Mistake& m : mistakes) {
        Problems problems;
        Catalogue{}.with_file(m.text, "parts.toml", problems);
        const auto same = [&](const Problem& p) { return p.code == m.code && p.place.line == m.line; };
        const auto found = std::ranges::find_if(problems, same);
        std::string told;
        for (const Problem& p : problems) told += p.code + ": " + render(p) + '\n';
        ASSERT_NE(found, problems.end())
            << m.text << "\nwanted " << m.code << " at line " << m.line << ", got:\n"
            << told;
        EXPECT_EQ(found->place.column, m.column) << told;
        EXPECT_EQ(found->place.file, "parts.toml");
        EXPECT_FALSE(found->excerpt.empty()) << told;
        EXPECT_EQ(found->nearest, m.nearest) << told;
        EXPECT_EQ(std::ranges::count_if(problems, same), 1) << told;
    }
}

/// A figure that is only unlikely is taken as written: the maker of the sheet has the last word.
TEST(PartFileMistakes, UnlikelyFiguresAreWarningsAndStay) {
    Problems problems;
    const Catalogue own = Catalogue{}.with_file(
        "[types.a]\nsupplies.VCC = { range = \"5 V\", current = \"60 A\" }\n", "own.toml", problems);
    ASSERT_EQ(problems.size(), 1u);
    EXPECT_EQ(problems[0].severity, Severity::warning);
    EXPECT_EQ(problems[0].expected, "at most 50 A");
    ASSERT_NE(own.find("a"), nullptr);
    EXPECT_DOUBLE_EQ(own.find("a")->supplies[0].current.span.hi.si(), 60.0);
}

TEST(PartFileMistakes, NamesAreDescribedOnceAndHidingIsOnlyAWarning) {
    Problems problems;
    const Catalogue base =
        Catalogue{}.with_file("[types.a]\npins.X = { is = \"input\" }\n", "base.toml", problems);
    ASSERT_TRUE(problems.empty());
    const Catalogue own = base.with_file("[types.a]\npins.Y = { is = \"input\" }\n", "own.toml", problems);
    ASSERT_EQ(problems.size(), 1u);
    EXPECT_EQ(problems[0].code, "hides-type");
    EXPECT_EQ(problems[0].severity, Severity::warning);
    EXPECT_EQ(own.find("a")->pins[0].name, "Y");
    problems.clear();
    base.with_file("[types.a]\nlike = \"a\"\n", "own.toml", problems);
    EXPECT_TRUE(problems.empty()) << render(problems[0]);
}

TEST(PartFileMistakes, ManyAreCountedRatherThanShown) {
    std::string text;
    for (int i = 0; i < 1000; ++i) text += "[types.t" + std::to_string(i) + "]\nlike = \"missing\"\n";
    Problems problems;
    Catalogue{}.with_file(text, "parts.toml", problems);
    EXPECT_EQ(problems.size(), Reader::most_problems + 1u);
    EXPECT_EQ(problems.back().message, "800 more problems are not shown");
}

TEST(PartFileMistakes, AllOfThemInOneRun) {
    Problems problems;
    const Catalogue catalogue = Catalogue{}.with_file(R"([types.a]
pins.X = { is = "input", max = "7 mA" }
[types.b]
like = "c"
[types.d]
pins.Y = { like = "nothing", is = "input" }
[types.good]
pins.Z = { is = "input" }
)",
                                                      "parts.toml", problems);
    std::vector<int> lines;
    for (const Problem& p : problems) lines.push_back(p.place.line);
    EXPECT_THAT(lines, testing::UnorderedElementsAre(2, 4, 6));
    EXPECT_TRUE(catalogue.find("good")) << "what is right can be used";
    EXPECT_FALSE(catalogue.find("b"));
}

TEST(PartFileMistakes, BytesThatAreNoPartFileAreRefusedQuietly) {
    for (const char* text :
         {"", "\0\xff", "[", "[types]\na = 3", "types = []", "[functions.1]", "[families.F]",
          "traits.x = \"y\"", "[types.a]\nchannels = [{ plus = \"A\" }]", "[types.a]\npackages.X = \"\""}) {
        Problems problems;
        EXPECT_TRUE(Catalogue{}.with_file(text, "parts.toml", problems).names().size() <= 1) << text;
    }
}

}  // namespace
}  // namespace voltsill
