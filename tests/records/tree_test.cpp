#include "records/tree.h"

#include <gmock/gmock.h>

#include "records/reader.h"

namespace {

using namespace voltsill;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const Value& value_at(const Value& root, std::initializer_list<const char*> path) {
    const Value* value = &root;
    for (const char* name : path) {
        const Entry* entry = value->find(name);
        EXPECT_NE(entry, nullptr) << name;
        if (!entry) return root;
        value = &entry->value;
    }
    return *value;
}

std::vector<std::string> names(const Value& table) {
    std::vector<std::string> result;
    for (const Entry& entry : table.entries) result.push_back(entry.name);
    return result;
}

std::vector<std::string> mistakes(std::string_view text) {
    std::vector<std::string> result;
    for (const Problem& p : parse_toml(text, "in.toml").problems)
        result.push_back(p.code + " " + std::to_string(p.place.line) + ":" + std::to_string(p.place.column));
    return result;
}

TEST(Tree, KeepsOrderAndPlaces) {
    const ParsedText parsed = parse_toml(
        "zeta = 1\n"
        "\"é漢\" = { b = 2, \"x.y\".z = 'v', a = 3 }\n"
        "[types.gauge]\n"
        "supplies.VCC = { range = \"5 V\" }\n"
        "pins = [ 1,\n"
        "  \"q\" ]\n"
        "supplies.\"V EE\" = \"1 V\"\n"
        "[[links]]\n"
        "name = \"a\"\n"
        "[links.deep]\n"
        "x = 1\n"
        "[[links]]\n"
        "name = \"b\"\n"
        "[types]\n"
        "last = 1979-05-27T07:32:00Z\n",
        "in.toml");
    ASSERT_THAT(parsed.problems, IsEmpty());
    const Source& source = *parsed.source;
    EXPECT_THAT(names(parsed.root), ElementsAre("zeta", "é漢", "types", "links"));
    EXPECT_THAT(names(value_at(parsed.root, {"é漢"})), ElementsAre("b", "x.y", "a"));
    EXPECT_THAT(names(value_at(parsed.root, {"types"})), ElementsAre("gauge", "last"));
    EXPECT_THAT(names(value_at(parsed.root, {"types", "gauge"})), ElementsAre("supplies", "pins"));
    EXPECT_THAT(names(value_at(parsed.root, {"types", "gauge", "supplies"})), ElementsAre("VCC", "V EE"));

    const Entry& z = value_at(parsed.root, {"é漢", "x.y"}).entries.at(0);
    EXPECT_EQ(source.place(z.key), (Place{"in.toml", 2, 23, 1}));
    EXPECT_EQ(source.place(z.value.spot), (Place{"in.toml", 2, 27, 3}));
    EXPECT_EQ(source.at(z.value.spot), "'v'");
    EXPECT_EQ(source.text().substr(z.begin, 7), "\"x.y\".z");

    const Value& pins = value_at(parsed.root, {"types", "gauge", "pins"});
    EXPECT_EQ(source.at(pins.spot), "[ 1,\n  \"q\" ]");
    EXPECT_EQ(source.place(pins.items.at(1).spot), (Place{"in.toml", 6, 3, 3}));

    const Value& links = value_at(parsed.root, {"links"});
    ASSERT_EQ(links.items.size(), 2u);
    EXPECT_EQ(links.items[1].spot.line, 12);
    EXPECT_EQ(links.items[1].form, TableForm::element);
    EXPECT_THAT(names(links.items[0]), ElementsAre("name", "deep"));
    EXPECT_EQ(value_at(parsed.root, {"types"}).form, TableForm::section);
    EXPECT_EQ(value_at(parsed.root, {"types", "gauge", "supplies"}).form, TableForm::dotted);
    EXPECT_EQ(value_at(parsed.root, {"types", "last"}).text, "1979-05-27T07:32:00Z");
    EXPECT_EQ(value_at(parsed.root, {"zeta"}).real, 1.0);
}

TEST(Tree, AcceptsWhatEditorsWrite) {
    EXPECT_THAT(mistakes(""), IsEmpty());
    EXPECT_THAT(mistakes("\n \t\n# words\n"), IsEmpty());
    const ParsedText parsed =
        parse_toml("\xEF\xBB\xBFtitle = \"a\" # b\r\n[r]\r\nx = \"\"\"\r\nc\r\n\"\"\"\r\n", "in.toml");
    EXPECT_THAT(parsed.problems, IsEmpty());
    const Entry& title = parsed.root.entries.at(0);
    EXPECT_EQ(title.key.column, 1);
    EXPECT_EQ(title.key.begin, 3u);
    EXPECT_EQ(title.value.spot.column, 9);
    EXPECT_EQ(value_at(parsed.root, {"r", "x"}).spot.line, 3);
    EXPECT_EQ(parsed.source->excerpt(1), "title = \"a\" # b");
}

TEST(Tree, FindsTheSourceOfEveryByteOfAString) {
    // Each x of the decoded string is an X or x of the source.
    const auto where = [](std::string text) {
        const ParsedText parsed = parse_toml("k = " + text, "in.toml");
        EXPECT_THAT(parsed.problems, IsEmpty()) << text;
        const Value& value = parsed.root.entries.at(0).value;
        return source_offset(*parsed.source, value, value.text.find('x')) - 4;
    };
    EXPECT_EQ(where("\"abx\""), 3u);
    EXPECT_EQ(where("'\\x'"), 2u);
    EXPECT_EQ(where("\"\\t\\u00e9\\U0001F600x\""), 19u);
    EXPECT_EQ(where("\"\\u0078\""), 1u);
    EXPECT_EQ(where("\"\"\"\nx\"\"\""), 4u);
    EXPECT_EQ(where("\"\"\"\r\nax\"\"\""), 6u);
    EXPECT_EQ(where("\"\"\"a\r\nx\"\"\""), 6u);
    EXPECT_EQ(where("\"\"\"a \\  \n\n  x\"\"\""), 12u);
    EXPECT_EQ(where("'''a\n\\x'''"), 6u);
    EXPECT_EQ(where("\"\"\"\"x\"\"\"\"\""), 4u);
    const ParsedText parsed = parse_toml("k = \"ab\"", "in.toml");
    EXPECT_EQ(source_offset(*parsed.source, parsed.root.entries[0].value, 2), 7u);  // the closing quote
}

TEST(Tree, ReportsAllSyntaxErrorsInOneRun) {
    EXPECT_THAT(
        mistakes("title = Rain-garden\n"
                 "volts = 3.3 V  # unquoted\n"
                 "foo bar\n"
                 "baz\n"
                 "b = \"unclosed\n"
                 "arr = [ \"a\", \"b\",\n"
                 "[parts]\n"
                 "p = { a = 1,\n"
                 "   b = 2 }\n"
                 "c = [\n"
                 "  1,\n"
                 "  2 V,\n"
                 "  -,\n"
                 "]\n"
                 "d = [ \"a\" \"b\",\n"
                 "  \"c\" ]\n"
                 "é = 1\n"
                 "e = \"\"\"\n"
                 "never closed\n"
                 "[rails\n"
                 "x = \n"
                 "[good]\n"
                 "f = 1__0\n"
                 "date = 2020-13-01\n"),
        ElementsAre("missing-quotes 1:9", "missing-quotes 2:9", "syntax 3:5", "syntax 4:4", "syntax 5:5",
                    "syntax 6:7", "syntax 8:5", "missing-quotes 12:3", "missing-quotes 13:3", "syntax 15:11",
                    "syntax 17:1", "syntax 18:5", "syntax 20:7", "syntax 23:7", "syntax 24:15"));
}

TEST(Tree, GoesOnAfterAMistake) {
    const ParsedText parsed = parse_toml("a = b c\n[r]\nx = 1\ny = \n[s]\nz = 3\n", "in.toml");
    EXPECT_EQ(parsed.problems.size(), 2u);
    EXPECT_THAT(names(parsed.root), ElementsAre("r", "s"));
    EXPECT_EQ(value_at(parsed.root, {"s", "z"}).spot.line, 6);
    EXPECT_TRUE(parsed.root.damaged);
    EXPECT_TRUE(value_at(parsed.root, {"r"}).damaged);
    EXPECT_FALSE(value_at(parsed.root, {"s"}).damaged);
}

TEST(Tree, GivesUpAfterTwentyErrors) {
    std::string text;
    for (int i = 0; i < 100; ++i) text += "k = = \n";
    const Problems problems = parse_toml(text, "in.toml").problems;
    EXPECT_EQ(problems.size(), 21u);
    EXPECT_EQ(problems.back().code, "too-many-problems");
}

TEST(Tree, ShowsBothPlacesOfADuplicate) {
    const auto both = [](std::string_view text) {
        const ParsedText parsed = parse_toml(text, "in.toml");
        if (parsed.problems.size() != 1 || parsed.problems[0].code != "duplicate-key")
            return "no duplicate in " + std::string(text);
        const Problem& p = parsed.problems[0];
        EXPECT_FALSE(p.other_excerpt.empty());
        return p.message.substr(0, p.message.find('"', 1) + 1) + " " + std::to_string(p.other.line) + ":" +
               std::to_string(p.other.column) + " " + std::to_string(p.place.line) + ":" +
               std::to_string(p.place.column);
    };
    EXPECT_EQ(both("a = 1\n\"a\" = 2\n"), "\"a\" 1:1 2:1");
    EXPECT_EQ(both("[r]\nx = 1\n[s]\nx = 1\n[r]\n"), "\"r\" 1:2 5:2");
    EXPECT_EQ(both("[r]\nx.y = 1\nz = 2\nx.y = 3\n"), "\"y\" 2:3 4:3");
    EXPECT_EQ(both("[r]\nx = 1\nx.y = 3\n"), "\"x\" 2:1 3:1");
    EXPECT_EQ(both("t = { a = 1, b = 2, a = 3 }\n"), "\"a\" 1:7 1:21");
    EXPECT_EQ(both("[[l]]\na = 1\n[[l]]\na = 2\na = 3\n"), "\"a\" 4:1 5:1");
    EXPECT_EQ(both("l = 1\n[[l]]\n"), "\"l\" 1:1 2:3");
    EXPECT_EQ(both("[[l]]\n[l.x]\n[[l]]\n[l.x]\n[l.x]\n"), "\"x\" 4:4 5:4");
    EXPECT_EQ(both("a.b = 1\n[a]\n"), "\"a\" 1:1 2:2");
}

TEST(Tree, RefusesWhatIsNoText) {
    EXPECT_THAT(mistakes(std::string("a = 1\nb\0c", 9)), ElementsAre("not-text 2:2"));
    EXPECT_THAT(mistakes("a = \"\xC3\x28\""), ElementsAre("not-text 1:6"));
    EXPECT_THAT(mistakes("\xFF\xFE"), ElementsAre("not-text 1:1"));
    EXPECT_THAT(mistakes("\x7F"
                         "ELF\x02\x01\x01"),
                testing::Not(IsEmpty()));
    EXPECT_THAT(mistakes(std::string(5 << 20, '#')), ElementsAre("too-large 0:0"));
    EXPECT_THAT(mistakes(std::string(4 << 20, '#')), IsEmpty());
}

TEST(Tree, RefusesDeepNesting) {
    EXPECT_THAT(mistakes("a = " + std::string(32, '[') + std::string(32, ']')), IsEmpty());
    EXPECT_THAT(mistakes("a = " + std::string(33, '[') + std::string(33, ']')),
                ElementsAre("nested-too-deep 1:37"));
    EXPECT_THAT(mistakes("a = " + std::string(1'000'000, '[')), ElementsAre("nested-too-deep 1:37"));
    std::string braces, dots = "x";
    for (int i = 0; i < 100'000; ++i) braces += "{a=";
    for (int i = 0; i < 100'000; ++i) dots += ".x";
    EXPECT_THAT(mistakes("a = " + braces), ElementsAre("nested-too-deep 1:101"));
    EXPECT_THAT(mistakes(dots + " = 1"), ElementsAre("nested-too-deep 1:65"));
    EXPECT_THAT(mistakes('[' + dots + ']'), ElementsAre("nested-too-deep 1:66"));
    std::string values = "a = [";
    for (int i = 0; i < 300'000; ++i) values += "1,";
    EXPECT_THAT(mistakes(values + "]"), ElementsAre("too-many-values 0:0"));
}

}  // namespace
