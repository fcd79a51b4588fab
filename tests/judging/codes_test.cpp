/// Every code of docs/findings.md is raised by some test of this room, and no other is.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

namespace voltsill {
namespace {

std::string text_of(const std::filesystem::path& path) {
    std::ifstream in(path);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

std::set<std::string> matches(const std::string& text, const char* pattern) {
    std::set<std::string> out;
    const std::regex expression(pattern);
    for (std::sregex_iterator m(text.begin(), text.end(), expression), end; m != end; ++m)
        out.insert((*m)[1]);
    return out;
}

TEST(Codes, EveryDocumentedCodeHasATestOfItsOwn) {
    std::string tests;
    for (const auto& entry : std::filesystem::directory_iterator(VOLTSILL_ROOT "/tests/judging"))
        if (entry.path().filename() != "codes_test.cpp") tests += text_of(entry.path());
    const std::set<std::string> documented =
        matches(text_of(VOLTSILL_ROOT "/docs/findings.md"), "\\n\\| `([a-z-]+)`");
    EXPECT_GE(documented.size(), 30u);
    for (const std::string& code : documented)
        EXPECT_NE(tests.find('"' + code + '"'), std::string::npos) << code;
}

TEST(Codes, EveryCodeInTheSourcesIsDocumented) {
    const std::set<std::string> documented =
        matches(text_of(VOLTSILL_ROOT "/docs/findings.md"), "\\n\\| `([a-z-]+)`");
    for (const auto& entry : std::filesystem::directory_iterator(VOLTSILL_ROOT "/src/judging"))
        for (const char* pattern :
             {"\\.code = \"([a-z-]+)\"", "finding\\(\"([a-z-]+)\"", "part_finding\\(\"([a-z-]+)\""})
            for (const std::string& code : matches(text_of(entry.path()), pattern))
                EXPECT_TRUE(documented.contains(code)) << code << " in " << entry.path();
}

}  // namespace
}  // namespace voltsill
