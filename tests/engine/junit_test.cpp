// The JUnit report: counts, and XML 1.0 (fifth edition) as far as a small reader can tell:
// tags nest (3), contents hold no bare '<' or '&' (2.4) and only legal characters (2.2).
#include <gtest/gtest.h>

#include <regex>

#include "sample.h"

namespace {

using namespace sample;

/// Names of the elements in order of their start tags; fails the test if tags do not nest.
std::vector<std::string> elements(const std::string& xml) {
    static const std::regex token(R"re(<\?[^?]*\?>|<(/?)([a-z-]+)((?: [a-z]+="[^"<]*")*)(/?)>|([^<]+))re");
    static const std::regex bare("&(?!(amp|lt|gt|quot|#[0-9]+);)");
    std::vector<std::string> names, open;
    size_t covered = 0;
    for (std::sregex_iterator at(xml.begin(), xml.end(), token), end; at != end; ++at) {
        const std::smatch& m = *at;
        EXPECT_EQ(static_cast<size_t>(m.position()), covered);
        covered += m.length();
        EXPECT_FALSE(std::regex_search(m.str(), bare)) << m.str();
        if (!m[2].matched) continue;
        if (m[1].length()) {
            EXPECT_FALSE(open.empty());
            if (open.empty()) return names;
            EXPECT_EQ(open.back(), m[2]);
            open.pop_back();
        } else {
            names.push_back(m[2]);
            if (!m[4].length()) open.push_back(m[2]);
        }
    }
    EXPECT_EQ(covered, xml.size());
    EXPECT_TRUE(open.empty());
    return names;
}

TEST(Junit, OneCasePerLinkAndOneForPartsAndRails) {
    const std::string xml = to_junit(check_result());
    const auto names = elements(xml);
    EXPECT_EQ(std::ranges::count(names, "testcase"), 3);
    EXPECT_EQ(std::ranges::count(names, "failure"), 3);  // harmful, unknown, unreadable
    EXPECT_NE(xml.find(R"(tests="3" failures="3" errors="0")"), xml.npos);
    EXPECT_NE(xml.find(R"(<testcase name="link echo" classname="voltsill.check">)"), xml.npos);
    EXPECT_NE(xml.find(R"(<failure type="harmful" message="board.SIG gets up to 5.25 V.">)"), xml.npos);
    EXPECT_NE(xml.find(R"(<failure type="unknown")"), xml.npos);
    EXPECT_EQ(xml.find("low-level"), xml.npos);  // safe findings are no news
}

TEST(Junit, ThinPassesAndSaysSo) {
    CheckResult result = check_result();
    result.problems.clear();
    result.judgement.shared = {3};
    result.judgement.links = {{.link = "fine", .findings = {2}}};
    const std::string xml = to_junit(result);
    const auto names = elements(xml);
    EXPECT_EQ(std::ranges::count(names, "failure"), 0);
    EXPECT_NE(xml.find(R"(<testcase name="link fine" classname="voltsill.check"/>)"), xml.npos);
    EXPECT_EQ(std::ranges::count(names, "system-out"), 1);
    EXPECT_NE(xml.find("missing-decoupling"), xml.npos);
}

TEST(Junit, RefusedInputIsAnErrorWithEveryProblem) {
    const std::string xml = to_junit(refused());
    const auto names = elements(xml);
    EXPECT_EQ(std::ranges::count(names, "error"), 1);
    EXPECT_NE(xml.find(R"(tests="1" failures="0" errors="1")"), xml.npos);
    EXPECT_NE(xml.find("not TOML"), xml.npos);
    EXPECT_NE(xml.find("there is no key"), xml.npos);
}

TEST(Junit, TroubleIsAFailure) {
    CheckResult result = check_result();
    result.judgement.trouble = "node 3 does not settle";
    EXPECT_NE(to_junit(result).find("node 3 does not settle"), std::string::npos);
    EXPECT_NE(to_junit(result).find(R"(tests="4" failures="4")"), std::string::npos);
}

TEST(Junit, HostileNamesStayXml) {
    for (const std::string& name :
         {std::string("<b>&\"'"), std::string("a\0b\x0B\x1B", 5), std::string("\xFF\xC0\xAF"),
          std::string("]]>"), std::string("\xEF\xBF\xBF"), std::string("line\nline\ttab"),
          std::string("Ω ✓")}) {
        CheckResult result = check_result();
        result.bench->title = result.judgement.links[0].link = name;
        result.judgement.findings[0].sentence = name;
        const std::string xml = to_junit(result);
        EXPECT_EQ(std::ranges::count(elements(xml), "testcase"), 3);
        for (const char c : xml) EXPECT_TRUE(static_cast<unsigned char>(c) >= 0x20 || c == '\n');
        EXPECT_EQ(xml.find("\xEF\xBF\xBF"), xml.npos);  // U+FFFF is no Char (2.2)
        EXPECT_EQ(xml.find("]]>"), xml.npos);           // 2.4
        EXPECT_NO_THROW(nlohmann::json(xml).dump());    // UTF-8 throughout
    }
    CheckResult result = check_result();
    result.bench->title = "a\x80z & line\nline";
    EXPECT_NE(to_junit(result).find("<testsuite name=\"a\uFFFDz &amp; line&#10;line\""), std::string::npos);
}

}  // namespace
