/// New names, wherever the old ones stand; laws: the bench reads as before but for the name, and renaming back
/// gives the same bytes.
#include "bench/rewrite.h"
#include "sample.h"

namespace {

using namespace voltsill;

const std::string benchfile = R"(title = "two boards"   # mine
[rails]
logic = { volts = "3.3 V", from = "controller.3V3" }
usb = "5 V"   # five

[parts.controller]
type = "controller-3v3"
supplies = { "5V" = "usb" }
[parts]
gauge = { type = "tank-gauge-5v", supply = "usb" }

[[links]]
name = "echo"
from = "gauge.ECHO"
to = ["controller.D4", "controller.D5"]
[[links]]   # no name
from = "controller.D1"
to = "gauge.TRIG"
[wiring]
wires = [["gauge.VCC", "rail usb"], ["gauge.ECHO", "R1.1"], ["R1.2", "controller.D4"]]
parts.R1 = { type = "resistor", value = "1 kΩ" }
parts.R1.note = "beside"
)";

std::string renamed(const std::string& text, NamedThing kind, const std::string& from, const std::string& to) {
    const Rewritten out = rename({text, "bench.toml"}, kind, from, to);
    EXPECT_TRUE(out) << (out ? "" : sample::rendered(out.error()));
    return out.value_or("");
}

std::string replaced(std::string text, const std::vector<std::pair<std::string, std::string>>& pairs) {
    for (const auto& [was, is] : pairs)
        for (std::size_t at = 0; (at = text.find(was, at)) != std::string::npos; at += is.size())
            text.replace(at, was.size(), is);
    return text;
}

TEST(RenameInBench, ReachesEveryMention) {
    const std::string text = replaced(benchfile, {{"parts.R1.note = \"beside\"\n", ""}});
    EXPECT_EQ(
        renamed(text, NamedThing::rail, "usb", "five volt"),
        replaced(text, {{"usb = ", "\"five volt\" = "}, {"\"usb\"", "\"five volt\""}, {"rail usb", "rail five volt"}}));
    EXPECT_EQ(renamed(text, NamedThing::part, "gauge", "tank"),
              replaced(text, {{"gauge =", "tank ="}, {"gauge.", "tank."}}));
    EXPECT_EQ(renamed(text, NamedThing::part, "controller", "board"),
              replaced(text, {{"parts.controller]", "parts.board]"}, {"\"controller.", "\"board."}}));
    EXPECT_EQ(renamed(text, NamedThing::part, "R1", "R7"), replaced(text, {{"R1", "R7"}}));
    EXPECT_EQ(renamed(text, NamedThing::link, "echo", "tank echo"), replaced(text, {{"\"echo\"", "\"tank echo\""}}));
}

TEST(RenameInBench, TakesEveryHeaderAndDottedKeyOfAName) {
    const std::string text = "parts.a.type = \"push-button\"\nparts.a.note = \"a.b\"\n\n[parts.b]\ntype = \"npn\"\n"
                             "[parts.b.supplies]\nVCC = \"b\"\n";
    EXPECT_EQ(renamed(text, NamedThing::part, "a", "c"), replaced(text, {{"parts.a.", "parts.c."}}));
    EXPECT_EQ(renamed(text, NamedThing::part, "b", "c"), replaced(text, {{"[parts.b", "[parts.c"}}));
}

TEST(RenameInBench, ALinkNamedByItsPinsGetsAName) {
    const std::string text = renamed(replaced(benchfile, {{"parts.R1.note = \"beside\"\n", ""}}), NamedThing::link,
                                     "controller.D1 to gauge.TRIG", "ping");
    EXPECT_NE(text.find("to = \"gauge.TRIG\"\nname = \"ping\"\n"), std::string::npos) << text;
}

TEST(RenameInBench, ThereAndBackIsTheSameText) {
    const std::string text = sample::bench;
    const Bench bench = *sample::read(text).bench;
    for (const Rail& rail : bench.rails)
        EXPECT_EQ(renamed(renamed(text, NamedThing::rail, rail.name, "zz"), NamedThing::rail, "zz", rail.name), text);
    for (const BenchPart& part : bench.parts) {
        const std::string once = renamed(text, NamedThing::part, part.name, "zz");
        const BenchReading reading = sample::read(once);
        ASSERT_TRUE(reading.bench) << sample::rendered(reading.problems);
        EXPECT_TRUE(reading.bench->part("zz"));
        EXPECT_FALSE(reading.bench->part(part.name));
        EXPECT_EQ(renamed(once, NamedThing::part, "zz", part.name), text);
    }
}

TEST(RenameInBench, RefusesNamesThatAreNotThereOrTaken) {
    const auto code = [](NamedThing kind, const char* from, const char* to) {
        const Rewritten out = rename({sample::bench, "bench.toml"}, kind, from, to);
        return out ? std::string() : out.error()[0].code;
    };
    EXPECT_EQ(code(NamedThing::rail, "usbb", "x"), "unknown-name");
    EXPECT_EQ(rename({sample::bench, ""}, NamedThing::rail, "usbb", "x").error()[0].nearest, "usb");
    EXPECT_EQ(code(NamedThing::part, "gauge", "controller"), "duplicate-name");
    EXPECT_EQ(code(NamedThing::part, "gauge", "gauge"), "");
}

TEST(RemoveALink, InBothFormsOfTheList) {
    const Rewritten gone = remove_value({sample::bench, "bench.toml"}, {"links", "tank echo"});
    ASSERT_TRUE(gone) << sample::rendered(gone.error());
    const BenchReading reading = sample::read(*gone);
    ASSERT_TRUE(reading.bench) << *gone;
    EXPECT_FALSE(reading.bench->link("tank echo"));
    EXPECT_EQ(reading.bench->links.size(), sample::read(sample::bench).bench->links.size() - 1);
    const std::string inline_list = "links = [{ name = \"a\", from = \"x.1\", to = \"y.1\" }, { name = \"b\" }]\n";
    EXPECT_EQ(*remove_value({inline_list, ""}, {"links", "a"}), "links = [{ name = \"b\" }]\n");
    EXPECT_EQ(*remove_value({inline_list, ""}, {"links", "b"}),
              "links = [{ name = \"a\", from = \"x.1\", to = \"y.1\" }]\n");
}

}  // namespace
