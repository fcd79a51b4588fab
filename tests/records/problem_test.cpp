#include "records/problem.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <utf8proc.h>

#include "records/source.h"

namespace {

using namespace voltsill;

Problem at(std::string excerpt, int column, int width = 1) {
    Problem problem;
    problem.code = "test";
    problem.place = {"in.toml", 4, column, width};
    problem.message = "wrong";
    problem.excerpt = std::move(excerpt);
    return problem;
}

TEST(Render, ShowsEveryPartOfAProblem) {
    Problem problem = at("limt = 3", 1, 4);
    problem.expected = "a key of a rail";
    problem.nearest = "limit";
    problem.other = {"in.toml", 12, 3, 2};
    problem.other_excerpt = "  ab = 1";
    EXPECT_EQ(render(problem),
              "in.toml:4:1: error: wrong\n"
              "  4 | limt = 3\n"
              "    | ^^^^\n"
              "  expected: a key of a rail\n"
              "  did you mean \"limit\"?\n"
              "in.toml:12:3: the other place\n"
              "  12 |   ab = 1\n"
              "     |   ^^\n");
    problem = at("", 1);
    problem.severity = Severity::warning;
    EXPECT_EQ(render(problem), "in.toml:4:1: warning: wrong\n");
    problem.place.line = 0;
    EXPECT_EQ(render(problem), "in.toml: warning: wrong\n");
}

// East Asian wide letters and emoji take two columns, combining marks none (Unicode Standard Annex 11).
TEST(Render, PutsTheCaretUnderWhatItMeans) {
    const auto drawn = [](std::string excerpt, int column, int width = 1) {
        return render(at(std::move(excerpt), column, width))
            .substr(std::string("in.toml:4:1: error: wrong\n").size() + (column > 9 ? 1 : 0));
    };
    EXPECT_EQ(drawn("é = X", 5), "  4 | é = X\n    |     ^\n");
    EXPECT_EQ(drawn("e\u0301 = X", 6), "  4 | e\u0301 = X\n    |     ^\n");
    EXPECT_EQ(drawn("漢字 = X", 6), "  4 | 漢字 = X\n    |        ^\n");
    EXPECT_EQ(drawn("漢字 = X", 1, 2), "  4 | 漢字 = X\n    | ^^^^\n");
    EXPECT_EQ(drawn("\U0001F600 X", 3), "  4 | \U0001F600 X\n    |    ^\n");
    EXPECT_EQ(drawn("\tX", 2), "  4 |     X\n    |     ^\n");
    EXPECT_EQ(drawn("ab\tX", 4), "  4 | ab  X\n    |     ^\n");
    EXPECT_EQ(drawn("ab", 3), "  4 | ab\n    |   ^\n");  // something is missing at the end
    EXPECT_EQ(drawn("ab", 2, 50), "  4 | ab\n    |  ^\n");
}

TEST(Render, ShowsAWindowOfALongLine) {
    const std::string text = render(at(std::string(500, 'a') + "X" + std::string(500, 'b'), 501));
    const std::size_t line = text.find("| ") + 2, caret_line = text.find("| ", line) + 2;
    const std::string shown = text.substr(line, text.find('\n', line) - line);
    const std::size_t caret = text.find('^', caret_line) - caret_line;
    EXPECT_LE(code_points(shown), 102);
    EXPECT_EQ(shown.find("…"), 0u);
    EXPECT_EQ(shown[caret + 2], 'X');  // the ellipsis has three bytes and one column
    EXPECT_TRUE(shown.ends_with("b…"));
}

TEST(Render, SendsNoControlToATerminal) {
    Problem problem = at("a\x1B[31m\x7F\u009B\u202Eb\xFF", 9);
    problem.message = "\x1B]0;title\x07";
    problem.place.file = "evil\nname";
    problem.nearest = "\r";
    const std::string text = render(problem);
    for (const char c : text) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20) << text;
    EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 4);
    EXPECT_NE(text.find("a\u241B[31m\u2421<U+009B><U+202E>b\uFFFD"), std::string::npos) << text;
}

TEST(Render, KeepsTheCaretInsideAnyExcerpt) {
    const bool good =
        rc::check("caret below the excerpt", [](const std::string& excerpt, int column, int width) {
            const std::string text = render(at("x" + excerpt, column, width));
            RC_ASSERT(text.find('^') != std::string::npos);
            RC_ASSERT(code_points(text) < 60 + 2 * 110 * 8);
        });
    EXPECT_TRUE(good);
}

TEST(NearestName, FindsSlipsOfTheHand) {
    const std::vector<std::string> keys = {"volts", "limit", "from", "switch", "margin"};
    EXPECT_EQ(nearest_name("vlots", keys), "volts");  // exchange
    EXPECT_EQ(nearest_name("limt", keys), "limit");
    EXPECT_EQ(nearest_name("frrom", keys), "from");
    EXPECT_EQ(nearest_name("swutch", keys), "switch");
    EXPECT_EQ(nearest_name("MARGIN", keys), "margin");
    EXPECT_EQ(nearest_name("colour", keys), "");
    EXPECT_EQ(nearest_name("", keys), "");
    EXPECT_EQ(nearest_name("ab", {"a"}), "");              // a third of two letters is none
    EXPECT_EQ(nearest_name("grüßr", {"grüße"}), "grüße");  // letters, not bytes
    EXPECT_EQ(nearest_name(std::string(100'000, 'a'), {std::string(100'000, 'b')}), "");
}

TEST(NearestName, TakesNoOffenceAtBlanksHyphensAndCapitals) {
    const std::vector<std::string> types = {"HC 541", "HCT 540", "HCT 541", "LV 245", "LVC 244", "LVC 245"};
    EXPECT_EQ(nearest_name("HCT541", types), "HCT 541");
    EXPECT_EQ(nearest_name("hct-541", types), "HCT 541");
    EXPECT_EQ(nearest_name("LVC245", types), "LVC 245");
    EXPECT_EQ(nearest_name("HCTT541", types), "HCT 541");
    EXPECT_EQ(nearest_name("a-b", {"ab", "a b", "a-b"}), "a-b");
    EXPECT_EQ(nearest_name("--", {"ab"}), "");
}

TEST(NearestName, PrefersSameLengthThenTheSameBeginning) {
    EXPECT_EQ(nearest_name("abcx", {"abc", "abcd"}), "abcd");      // one edit each
    EXPECT_EQ(nearest_name("abcd", {"xbcd", "abcx", "abxd"}), "abcx");
}

TEST(NearestName, IsTheWordItselfIfThatIsAChoice) {
    const bool good = rc::check("a right name is nearest to itself", [] {
        const auto word = *rc::gen::nonEmpty(rc::gen::container<std::string>(rc::gen::inRange('a', 'e')));
        auto names = *rc::gen::container<std::vector<std::string>>(
            rc::gen::container<std::string>(rc::gen::inRange('a', 'e')));
        names.push_back(word);
        RC_PRE(word.size() <= 100);
        RC_ASSERT(nearest_name(word, names) == word);
    });
    EXPECT_TRUE(good);
}

}  // namespace
