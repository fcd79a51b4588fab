#include <map>

#include "sample.h"

namespace {

using namespace voltsill;
using testing::HasSubstr;

const std::string gauge_type =
    "[types.own-gauge]\nsource = \"invented for the tests\"\n"
    "supplies.VCC = { range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }\n"
    "pins.ECHO = { like = \"push-pull output, 5 V\" }\npins.GND = { is = \"ground\" }\n";

std::string bench_including(const std::string& files, const std::string& type = "own-gauge") {
    return "include = " + files +
           "\nrails.usb = \"5 V\"\nparts.c = { type = \"controller-5v\", supply = \"usb\" }\n" +
           "parts.gauge = { type = \"" + type + "\", supply = \"usb\" }\n" +
           "links = [{ from = \"gauge.ECHO\", to = \"c.D1\" }]\n";
}

struct Disk {
    std::map<std::string, std::string> files;
    std::vector<std::string> asked;

    BenchReading read(const std::string& bench, const std::string& name = "bench.toml") {
        return read_bench(bench, name, [this](const std::string& path) -> std::optional<std::string> {
            asked.push_back(path);
            const auto found = files.find(path);
            return found == files.end() ? std::nullopt : std::optional(found->second);
        });
    }
};

TEST(Include, BringsTypesAndTheirOwnIncludes) {
    Disk disk{{{"parts/mine.toml", "include = \"../base.toml\"\n[types.finer]\nlike = \"own-gauge\"\n"},
               {"base.toml", gauge_type}},
              {}};
    const BenchReading reading = disk.read(bench_including("[\"parts/mine.toml\", \"base.toml\"]", "finer"));
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.bench->part("gauge")->type->name, "finer");
    EXPECT_THAT(disk.asked, testing::ElementsAre("parts/mine.toml", "base.toml")) << "each file once";
}

TEST(Include, LetsTheBenchHideATypeOfAFile) {
    Disk disk{{{"base.toml", gauge_type}}, {}};
    const BenchReading reading = disk.read(bench_including("\"base.toml\"") +
                                           "[types.own-gauge]\nlike = \"own-gauge\"\ntitle = \"mended\"\n");
    ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.bench->part("gauge")->type->title, "mended");
}

TEST(Include, TellsWhatIsNotThere) {
    Disk disk;
    const BenchReading reading = disk.read(bench_including("[\"base.toml\"]", "push-button"));
    EXPECT_EQ(reading.problems[0].code, "include-not-found");
    EXPECT_EQ(reading.problems[0].place, (Place{"bench.toml", 1, 12, 11}));
    const BenchReading without = read_bench(bench_including("[\"base.toml\"]"), "bench.toml");
    EXPECT_EQ(without.problems[0].code, "include-not-found");
}

TEST(Include, TellsAMissingFileOnceAndNotWhatMayBeInIt) {
    Disk disk{{{"more.toml", "include = \"base.toml\"\n[types.finer]\nlike = \"own-gauge\"\n"
                             "[types.other]\nsource = \"x\"\npins.A = { like = \"own trait\" }\n"}},
              {}};
    const std::string uses = "stock.\"own-gauge\" = 2\n[types.best]\nlike = \"finer\"\n[parts.last]\ntype = \"best\"\n";
    const BenchReading reading = disk.read(bench_including("[\"more.toml\"]") + uses + "supply = \"usbb\"\n");
    ASSERT_EQ(reading.problems.size(), 2u) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.problems[0].code, "unknown-rail") << "other mistakes are told in the same run";
    EXPECT_EQ(reading.problems[1].code, "include-not-found");
    EXPECT_EQ(reading.problems[1].place, (Place{"more.toml", 1, 11, 11}));
    const BenchReading broken =
        Disk{{{"base.toml", gauge_type + "[types.next\n"}}, {}}.read(bench_including("\"base.toml\"", "next"));
    ASSERT_EQ(broken.problems.size(), 1u) << sample::rendered(broken.problems);
    EXPECT_EQ(broken.problems[0].code, "syntax") << "types after it may have been meant";
}

TEST(Include, TellsATypeThatBuildsOnNothingOnce) {
    Disk disk{{{"base.toml", gauge_type + "[types.finer]\nlike = \"own-guage\"\n"}}, {}};
    for (const char* type : {"finer", "mine", "mine DIP-8"}) {
        const BenchReading reading =
            disk.read(bench_including("\"base.toml\"", type) + "[types.mine]\nlike = \"own-guage\"\n");
        ASSERT_EQ(reading.problems.size(), 2u) << type << sample::rendered(reading.problems);
        for (const Problem& problem : reading.problems) EXPECT_EQ(problem.nearest, "own-gauge") << type;
    }
    EXPECT_THAT(sample::rendered(disk.read(bench_including("\"base.toml\"", "minee")).problems),
                HasSubstr("there is no part type \"minee\""));
}

TEST(Include, ShowsTheChainOfACycle) {
    Disk disk{{{"a.toml", "include = [\"b.toml\"]\n" + gauge_type},
               {"b.toml", "about = \"b\"\ninclude = [\"./a.toml\"]\n"}},
              {}};
    const BenchReading reading = disk.read(bench_including("[\"a.toml\"]"), "benches/bench.toml");
    EXPECT_FALSE(reading.bench);
    ASSERT_EQ(reading.problems.size(), 1u) << sample::rendered(reading.problems);
    EXPECT_EQ(reading.problems[0].code, "include-cycle");
    EXPECT_THAT(reading.problems[0].message,
                HasSubstr("bench.toml includes a.toml includes b.toml includes a.toml"));
    EXPECT_EQ(reading.problems[0].place, (Place{"benches/b.toml", 2, 12, 10}));
    EXPECT_EQ(reading.problems[0].excerpt, "include = [\"./a.toml\"]");
}

TEST(Include, TellsABenchThatIncludesItself) {
    Disk disk;
    const BenchReading reading =
        disk.read(bench_including("[\"bench.toml\"]", "push-button"), "here/bench.toml");
    EXPECT_EQ(reading.problems[0].code, "include-cycle");
    EXPECT_EQ(reading.problems[0].place.file, "here/bench.toml");
}

TEST(Include, HasAnEnd) {
    Disk deep;
    for (int i = 0; i < 50; ++i)
        deep.files["f" + std::to_string(i) + ".toml"] = "include = \"f" + std::to_string(i + 1) + ".toml\"\n";
    const BenchReading reading = deep.read(bench_including("\"f0.toml\"", "push-button"));
    EXPECT_FALSE(reading.bench);
    EXPECT_THAT(sample::rendered(reading.problems), HasSubstr("too many part files"));
    EXPECT_EQ(deep.asked.size(), 8u);
}

TEST(Include, TellsMistakesFileByFileInOrderOfLines) {
    const std::string wrong =
        "pins.A = { like = \"nobody\" }\npins.B = { is = \"ground\", clamp_max = \"5 V\" }\nfoot = 1\n";
    Disk disk{{{"b.toml", "[types.inner]\n" + wrong},
               {"a.toml", "include = \"b.toml\"\n" + gauge_type + "[types.outer]\n" + wrong}},
              {}};
    const BenchReading reading = disk.read(bench_including("\"a.toml\"") + "[types.own]\n" + wrong);
    std::vector<std::pair<std::string, int>> places;
    for (const Problem& p : reading.problems) places.emplace_back(p.place.file, p.place.line);
    EXPECT_THAT(places, testing::ElementsAreArray(std::vector<std::pair<std::string, int>>{
                            {"bench.toml", 7}, {"bench.toml", 8}, {"bench.toml", 9},
                            {"b.toml", 2}, {"b.toml", 3}, {"b.toml", 4},
                            {"a.toml", 8}, {"a.toml", 9}, {"a.toml", 10}}))
        << sample::rendered(reading.problems);
}

TEST(Include, TellsMistakesInItsFilesAtTheirPlace) {
    Disk disk{{{"base.toml", gauge_type + "[types.other]\nlike = \"own-guage\"\n[typs]\n"}}, {}};
    const BenchReading reading = disk.read(bench_including("\"base.toml\""), "benches/bench.toml");
    EXPECT_FALSE(reading.bench);
    ASSERT_EQ(reading.problems.size(), 2u) << sample::rendered(reading.problems);
    for (const Problem& problem : reading.problems) EXPECT_EQ(problem.place.file, "benches/base.toml");
    EXPECT_EQ(reading.problems[0].nearest, "own-gauge");
    EXPECT_EQ(reading.problems[1].code, "unknown-key");
}

}  // namespace
