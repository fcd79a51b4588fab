/// The circuits against the benches of circuit_cases.h, what their table says, and what the planner leaves to people.
#include <gmock/gmock.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>

#include "circuit_cases.h"
#include "support/file_text.h"

namespace voltsill {
namespace {

using namespace sample;

TEST(Circuits, ServeWhereTheyShouldAndSayWhyNotElsewhere) {
    std::map<std::string, std::set<double>> explained;
    for (const Case& c : cases) {
        const std::vector<Evaluated> all = tried(c.bench.bench());
        for (const Evaluated& e : all) {
            if (e.would_serve) explained[e.candidate.circuit].insert(std::floor(e.recipe.simplicity));
            EXPECT_TRUE(e.would_serve || !e.candidate.why_not.empty())
                << e.candidate.circuit << " " << e.candidate.title;
        }
        const Evaluated e = first_of(all, c.circuit);
        EXPECT_EQ(e.would_serve, c.serves)
            << c.circuit << " | " << c.bench.out << " -> " << c.bench.in << " | " << e.candidate.why_not;
        if (c.serves) continue;
        EXPECT_THAT(e.candidate.why_not, testing::HasSubstr(c.says)) << c.circuit;
    }
    for (const auto& [circuit, simplicity] : explained)
        EXPECT_TRUE(taught.contains(circuit) && simplicity == taught.at(circuit))
            << circuit << " is to be in `taught` of circuit_cases.h with " << testing::PrintToString(simplicity);
    EXPECT_EQ(explained.size(), taught.size());
}

/// Both ways: a bench where it serves, one where it is refused. A change of supply is a suggestion and serves none.
TEST(Circuits, EveryOneOfTheTableIsHeldBothWays) {
    for (const CircuitKind& kind : all_circuits()) {
        const auto held = [&](bool serves) {
            return std::ranges::any_of(cases, [&](const Case& c) {
                return kind.name == std::string_view(c.circuit) && c.serves == serves;
            });
        };
        EXPECT_TRUE(held(true) || kind.name == std::string_view("change-of-supply"))
            << "circuit_cases.h needs a bench where " << kind.name << " serves";
        EXPECT_TRUE(held(false)) << "circuit_cases.h needs a bench where " << kind.name
                                 << " is refused, with the number";
    }
}

/// The name is written into bench files, the place orders lists: neither may stand twice.
TEST(Circuits, HaveNamesAndPlacesOfTheirOwn) {
    std::set<std::string> names;
    std::set<int> places;
    for (const CircuitKind& kind : all_circuits()) {
        EXPECT_TRUE(names.insert(kind.name).second) << kind.name;
        EXPECT_TRUE(places.insert(kind.place).second) << kind.name << " has the place of another, " << kind.place;
    }
    EXPECT_STREQ(all_circuits().front().name, "direct");
    EXPECT_STREQ(all_circuits().back().name, "change-of-supply");
}

/// docs/circuits.md prints what the circuits say of themselves.
TEST(Circuits, DocumentPrintsTheTable) {
    std::string table =
        "| circuit | where it is proposed | sizing | source | refused, with the number |\n|---|---|---|---|---|\n";
    for (const CircuitKind& kind : all_circuits())
        table += fmt::format("| `{}` | {} | {} | {} | {} |\n", kind.name, kind.where, kind.sizing, kind.source,
                             kind.refused);
    const std::string path = "docs/circuits.md";
    std::string document = test::file_text(path);
    const size_t begin = document.find("| circuit |");
    ASSERT_NE(begin, document.npos);
    const size_t size = document.find("\n\n", begin) + 1 - begin;
    const std::string printed = document.substr(begin, size);
    if (std::getenv("VOLTSILL_UPDATE") && printed != table)
        std::ofstream(std::string(VOLTSILL_ROOT) + "/" + path, std::ios::binary)
            << document.replace(begin, size, table);
    else
        EXPECT_EQ(printed, table) << "run this test with VOLTSILL_UPDATE=1";
}

/// A rail the receiver would also work from is said, never chosen.
TEST(Circuits, ChangeOfSupplyIsASuggestion) {
    std::string text = up.text();
    for (const auto& [from, to] : {std::pair<std::string, std::string>{
             "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"", "range = \"3.0..5.5 V\", max = \"-0.3..6 V\""}})
        text.replace(text.find(from), from.size(), to);
    const Evaluated e = of(read(text), "change-of-supply");
    EXPECT_FALSE(e.would_serve);
    EXPECT_EQ(e.candidate.title, "run D from rail five");
}

/// `as_is`: the planner moves no supply of the part and takes no pull-up off it.
TEST(Circuits, PartsAsTheyAreStayAsTheyAre) {
    const auto with_as_is = [](std::string text, const char* part) {
        const std::string head = std::string(part) + " = { type";
        text.replace(text.find(head), head.size(), std::string(part) + " = { as_is = true, type");
        return read(text);
    };
    std::string text = up.text();
    const std::string from = "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"";
    text.replace(text.find(from), from.size(), "range = \"3.0..5.5 V\", max = \"-0.3..6 V\"");
    EXPECT_TRUE(of(with_as_is(text, "D"), "change-of-supply").recipe.title.empty());
    EXPECT_FALSE(of(bucket.bench(), "pull-up").recipe.pulls_removed.empty());
    const Evaluated kept = of(with_as_is(bucket.text(), "D"), "pull-up");
    EXPECT_TRUE(kept.recipe.pulls_removed.empty());
    EXPECT_THAT(kept.candidate.why_not, testing::HasSubstr("may not be taken off"));
}

}  // namespace
}  // namespace voltsill
