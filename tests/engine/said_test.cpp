// Everything the judge says of the benches in said/, to the letter: what decides, where, in which state and corner,
// both figures with their sources, the sentence and the advice. A change of a number, a word or an order shows here as
// a difference to read; VOLTSILL_UPDATE=1 takes it over. The benches are made so that they meet nearly every code.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "documents/report_pieces.h"
#include "engine/finding_codes.h"
#include "sample.h"
#include "support/file_text.h"

namespace {

using namespace sample;
namespace fs = std::filesystem;

const fs::path said_folder = fs::path(VOLTSILL_ROOT) / "tests/engine/said";

void evidence(std::ostream& out, const char* which, const std::optional<Evidence>& e) {
    if (!e) return;
    out << "    " << which << ": " << e->what << " = " << e->value << " (" << words(e->origin.certainty)
        << (e->origin.from_memory ? ", from memory" : "") << "; " << e->origin.source << ")\n";
}

/// Findings in the order of the judge; those that say the same of further states stand with the first.
std::string said_of(const Judgement& judgement) {
    std::ostringstream out;
    out.precision(5);
    for (const LinkJudgement& link : judgement.links) {
        out << "link " << link.link << ": " << to_word(link.verdict);
        if (link.high_margin) out << ", high " << *link.high_margin;
        if (link.low_margin) out << ", low " << *link.low_margin;
        out << (link.inverted ? ", inverted\n" : "\n");
    }
    for (const Finding& f : judgement.findings) {
        out << "\n"
            << to_word(f.verdict) << " " << f.code << " at " << f.link << " | " << f.part << " | " << f.pin << " | "
            << f.net << "\n    state: " << f.state << "\n    corner: " << f.corner
            << (f.bound_exact ? "" : " (searched)") << "\n";
        evidence(out, "value", f.value);
        evidence(out, "limit", f.limit);
        out << "    margin: " << f.margin << "\n    " << f.arithmetic << "\n    " << f.sentence << "\n    " << f.advice
            << "\n";
    }
    return std::regex_replace(out.str(), std::regex(" +\n"), "\n");
}

class Said : public testing::TestWithParam<fs::path> {};

std::vector<fs::path> benches() {
    std::vector<fs::path> found;
    for (const auto& entry : fs::directory_iterator(said_folder))
        if (entry.path().extension() == ".toml") found.push_back(entry.path());
    std::ranges::sort(found);
    return found;
}

TEST_P(Said, IsWhatWasReadAndApproved) {
    const CheckResult result = check(test::file_text(GetParam()), GetParam().filename().string(), nullptr);
    ASSERT_TRUE(result.bench) << to_json(result);
    fs::path printed = GetParam();
    printed.replace_extension(".txt");
    const std::string said = said_of(result.judgement);
    if (std::getenv("VOLTSILL_UPDATE")) std::ofstream(printed, std::ios::binary) << said;
    EXPECT_EQ(test::file_text(printed), said) << "read the difference; then run this test with VOLTSILL_UPDATE=1";
}

INSTANTIATE_TEST_SUITE_P(Benches, Said, testing::ValuesIn(benches()),
                         [](const auto& bench) {
                             std::string name = bench.param.stem().string();
                             std::ranges::replace(name, '-', '_');
                             return name;
                         });

/// What no bench file can bring about, or no small one does.
TEST(SaidBenches, MeetEveryCodeButThese) {
    std::set<std::string> missing, met;
    for (const fs::path& bench : benches())
        for (const Finding& f : check(test::file_text(bench), bench.filename().string(), nullptr).judgement.findings)
            met.insert(f.code);
    for (const FindingCode& code : finding_codes())
        if (!met.contains(std::string(code.code))) missing.insert(std::string(code.code));
    EXPECT_EQ(missing, (std::set<std::string>{"not-solved", "supplies-joined"}));
}

}  // namespace
