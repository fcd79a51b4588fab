// docs/findings.md, the table of codes and the judge name the same findings.
#include "engine/finding_codes.h"
#include "support/file_text.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

namespace {

using namespace voltsill;

const std::filesystem::path root = VOLTSILL_ROOT;

/// Literals that become a finding's code: `.code = ...` or the first argument of `finding(` and
/// `part_finding(`, both possibly chosen by a condition.
std::set<std::string> codes_of_judge() {
    static const std::regex place(R"((?:\.code\s*=(?!=)|finding\()([^,;}]*))"),
        literal(R"re("([a-z]+(?:-[a-z]+)*)")re");
    std::set<std::string> out;
    for (const auto& file : std::filesystem::directory_iterator(root / "src/judging")) {
        if (file.path().extension() != ".cpp") continue;
        const std::string text = test::file_text(file.path());
        for (std::sregex_iterator at(text.begin(), text.end(), place), end; at != end; ++at) {
            const std::string argument = (*at)[1];
            for (std::sregex_iterator word(argument.begin(), argument.end(), literal); word != end; ++word)
                out.insert((*word)[1]);
        }
    }
    return out;
}

std::set<std::string> codes_of_table() {
    std::set<std::string> out;
    for (const FindingCode& known : finding_codes())
        EXPECT_TRUE(out.insert(std::string(known.code)).second) << known.code;
    return out;
}

TEST(FindingCodes, TableHasTheCodesOfTheJudge) { EXPECT_EQ(codes_of_judge(), codes_of_table()); }

TEST(FindingCodes, VerdictsAreWordsMildestFirst) {
    const std::vector<std::string> words = {"safe", "thin", "unknown", "unreadable", "harmful"};
    for (const FindingCode& known : finding_codes()) {
        std::istringstream in{std::string(known.verdicts)};
        std::ptrdiff_t last = -1;
        for (std::string word; std::getline(in >> std::ws, word, ',');) {
            const auto at = std::ranges::find(words, word) - words.begin();
            EXPECT_LT(at, std::ssize(words)) << word;
            EXPECT_GT(at, last) << known.code;
            last = at;
        }
        EXPECT_GE(last, 0) << known.code;
        EXPECT_TRUE(known.meaning.ends_with('.')) << known.code;
    }
}

TEST(FindingCodes, DocumentPrintsTheTable) {
    const std::filesystem::path path = root / "docs/findings.md";
    std::string table = "| code | verdict | meaning |\n|---|---|---|\n";
    for (const FindingCode& known : finding_codes())
        table += "| `" + std::string(known.code) + "` | " + std::string(known.verdicts) + " | " +
                 std::string(known.meaning) + " |\n";
    std::string document = test::file_text(path);
    const size_t begin = document.find("| code |");
    ASSERT_NE(begin, document.npos);
    if (std::getenv("VOLTSILL_UPDATE")) {
        document.replace(begin, document.npos, table);
        std::ofstream(path, std::ios::binary) << document;
    }
    EXPECT_EQ(document.substr(begin), table) << "run this test with VOLTSILL_UPDATE=1";
}

}  // namespace
