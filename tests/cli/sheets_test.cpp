/// `voltsill sheets` from outside: exit codes, files, QR codes read back, the script run dry and for show.
#include <gtest/gtest.h>

#include <array>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>
#include <string_view>

#include "support/program.h"

namespace {
namespace fs = std::filesystem;
using voltsill::testing::Folder;
using voltsill::testing::Outcome;

Outcome run_sheets(const std::string& arguments, bool with_errors = true) {
    return voltsill::testing::run_program("sheets " + arguments, with_errors);
}

/// Any other program: its output with errors, and its exit code.
Outcome other(const std::string& command, const std::string& input = "/dev/null") {
    return voltsill::testing::run_command("{ " + command + "\n} 2>&1 <" + input);
}

const std::string bench = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";
const std::string rain_garden = std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml";

TEST(SheetsProgram, WrongUseIsToldApart) {
    for (const char* wrong : {" --for nobody", " --seats 0", " --seats x", " --paper a5", " --pdf",
                              " nonsense", " --json --html", " --html --for all", " --html --for planted",
                              " --script --for faults"}) {
        const Outcome r = run_sheets(bench + wrong);
        EXPECT_EQ(r.code, 2) << wrong << "\n" << r.out;
        EXPECT_FALSE(r.out.empty()) << wrong;
    }
    EXPECT_EQ(run_sheets("/no/such/bench.toml").code, 3);
    EXPECT_EQ(run_sheets(bench + " --since /no/such/old.toml").code, 3);
}

TEST(SheetsProgram, ExitCodeIsThatOfThePlan) {
    EXPECT_EQ(run_sheets(bench + " --for build").code, 0);
    EXPECT_EQ(run_sheets(std::string(VOLTSILL_ROOT) + "/examples/existing-build.toml --for test").code, 1)
        << "harmful";
}

TEST(SheetsProgram, WritesAFileASheet) {
    const Folder folder;
    EXPECT_EQ(run_sheets(rain_garden + " --seats 3 --out " + folder.path("all")).code, 0);
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder.path("all")))
        names.insert(entry.path().filename());
    std::set<std::string> wanted = {"sheets.json", "exercise.sh", "questions.csv", "question-key.csv",
                                    "questions-qti.zip"};
    for (const char* sheet : {"build", "test", "learner", "answers", "lesson", "lesson-notes", "questions",
                              "question-key", "card", "parts", "count-out", "count-back", "labels", "exercises"})
        for (const char* ending : {".html", ".md"}) wanted.insert(std::string(sheet) + ending);
    EXPECT_EQ(names, wanted);
    EXPECT_EQ(nlohmann::json::parse(folder.read("all/sheets.json"))["format"], "voltsill-sheets-1");
    EXPECT_EQ(run_sheets(rain_garden + " --for learner --html --out " + folder.path("some")).code, 0);
    EXPECT_TRUE(fs::exists(folder.path("some/learner.html")));
    EXPECT_FALSE(fs::exists(folder.path("some/answers.html"))) << "answers in a learner's folder";
    EXPECT_FALSE(fs::exists(folder.path("some/learner.md")));
    EXPECT_TRUE(fs::exists(folder.path("some/questions.csv")));
    for (const char* key : {"question-key.csv", "questions-qti.zip", "question-key.html", "lesson-notes.html"})
        EXPECT_FALSE(fs::exists(folder.path(std::string("some/") + key))) << key;
}

TEST(SheetsProgram, SheetsAboutFaultsAreMadeApart) {
    const Folder folder;
    const auto files = [&](const std::string& audience) {
        EXPECT_EQ(
            run_sheets(bench + " --pdf --effort 0.2 --seats 3 --for " + audience + " --out " + folder.path(audience))
                .code,
            0);
        std::set<std::string> names;
        for (const auto& entry : fs::directory_iterator(folder.path(audience))) names.insert(entry.path().filename());
        return names;
    };
    EXPECT_EQ(files("faults"), (std::set<std::string>{"faults.pdf", "sheets.json"}));
    EXPECT_EQ(files("fault-causes"), (std::set<std::string>{"fault-causes.pdf", "sheets.json"}));
    EXPECT_EQ(files("planted"), (std::set<std::string>{"planted.pdf", "find-the-fault.pdf", "sheets.json"}));
    const auto json = nlohmann::json::parse(folder.read("planted/sheets.json"));
    EXPECT_EQ(json["planted"]["of_seat"].size(), 3u);
    EXPECT_NE(other("pdfinfo " + folder.path("planted") + "/find-the-fault.pdf").out.find("Pages:           1\n"),
              std::string::npos);
}

/// By Poppler: the text of the pages is the text of the Markdown, and the card is one page.
TEST(SheetsProgram, PdfSaysWhatTheOtherFormsSay) {
    const Folder folder;
    for (const char* paper : {"a4", "letter"}) {
        ASSERT_EQ(run_sheets(rain_garden + " --pdf --markdown --paper " + paper + " --out " + folder.path(paper)).code,
                  0);
        const std::string at = folder.path(paper);
        EXPECT_NE(other("pdfinfo " + at + "/card.pdf").out.find("Pages:           1\n"), std::string::npos);
        const std::string pages = std::regex_replace(other("pdftotext -layout " + at + "/test.pdf -").out,
                                                     std::regex("\\s+|\xC2\xA0"), "");
        std::istringstream rows(folder.read(std::string(paper) + "/test.md"));
        int readings = 0;
        const std::regex row(R"(\| ([^|]+) (?:high|low|released) +\| (.+?) +\| (.+?) +\| .*)");
        for (std::string line; std::getline(rows, line);) {
            std::smatch cell;
            if (!std::regex_match(line, cell, row)) continue;
            ++readings;
            const std::string window = std::regex_replace(cell[3].str(), std::regex("\\s+|\xC2\xA0"), "");
            EXPECT_NE(pages.find(window), std::string::npos) << line;
        }
        EXPECT_GT(readings, 60);
    }
}

TEST(SheetsProgram, QrCodesNameBenchAndVersion) {
    const Folder folder;
    ASSERT_EQ(run_sheets(bench + " --seats 2 --out " + folder.path("out")).code, 0);
    const std::string page = folder.read("out/labels.html");
    const std::size_t from = page.find("<svg"), to = page.find("</svg>", from);
    ASSERT_NE(from, std::string::npos);
    std::string svg = page.substr(from, to + 6 - from);
    if (svg.find("xmlns=") == std::string::npos) svg.insert(4, " xmlns=\"http://www.w3.org/2000/svg\"");
    const std::size_t style = page.find("<style>"), after = page.find("</style>", style);
    ASSERT_NE(style, std::string::npos);
    svg.insert(svg.find('>') + 1, page.substr(style, after + 8 - style));
    folder.write("labels.svg", svg);
    const Outcome drawn = other("rsvg-convert --zoom 3 --background-color white -o " +
                                folder.path("labels.png") + " " + folder.path("labels.svg"));
    ASSERT_EQ(drawn.code, 0) << drawn.out;
    const Outcome read = other("zbarimg --quiet --raw " + folder.path("labels.png"));
    const std::string version = nlohmann::json::parse(folder.read("out/sheets.json"))["version"];
    for (const char* what : {"seat 1 of 2", "seat 2 of 2", "rail five", "sender", "U1"})
        EXPECT_NE(read.out.find("First bench, version " + version + ", " + what), std::string::npos)
            << what << "\n"
            << read.out;
    // On dark paper they stay dark on light: readers need not know codes in reversed reflectance.
    EXPECT_NE(page.find(".drawing [data-code] { --paper: #ffffff; --ink: #000000; }"), std::string::npos);
    const auto count = [](const std::string& text, std::string_view what) {
        int found = 0;
        for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; ++at) ++found;
        return found;
    };
    std::istringstream lines(read.out);
    std::set<std::string> read_back;
    for (std::string line; std::getline(lines, line);)
        if (line.starts_with("First bench, version ")) read_back.insert(line);
    EXPECT_EQ(count(page, "<g data-code=\"qr\">"), static_cast<int>(read_back.size()));
    EXPECT_EQ(count(svg, "class=\"fill-paper\"/>"), static_cast<int>(read_back.size()));  // each on a ground of its own
}

TEST(SheetsProgram, ScriptIsCleanAndDryByDefault) {
    const Folder folder;
    const std::string script = folder.write("exercise.sh", run_sheets(rain_garden + " --script", false).out);
    const Outcome clean = other("shellcheck --shell=sh " + script);
    EXPECT_EQ(clean.code, 0) << clean.out;
    // With tools that would leave a mark if anything called them.
    folder.write("gpioset", "#!/bin/sh\ntouch " + folder.path("touched") + "\n");
    folder.write("gpioget", "#!/bin/sh\ntouch " + folder.path("touched") + "\n");
    other("chmod +x " + folder.path("gpioset") + " " + folder.path("gpioget"));
    const std::string path = "PATH=" + folder.path(".") + ":$PATH ";
    const Outcome dry = other(path + "sh " + script);
    EXPECT_EQ(dry.code, 0) << dry.out;
    EXPECT_NE(dry.out.find("would set D1"), std::string::npos) << dry.out;
    EXPECT_NE(dry.out.find("would read D2"), std::string::npos) << dry.out;
    EXPECT_FALSE(fs::exists(folder.path("touched")));
    const Outcome refused = other(path + "sh " + script + " --run");
    EXPECT_EQ(refused.code, 2);
    EXPECT_NE(refused.out.find("--map"), std::string::npos) << refused.out;
    EXPECT_EQ(other("sh " + script + " --link 'no such link'").code, 2);
    EXPECT_FALSE(fs::exists(folder.path("touched")));
}

/// Stand-ins for the tools note how they were called; the line reads what `level` says.
void stand_in(const Folder& folder, const std::string& version) {
    const std::string head = "#!/bin/sh\n[ \"$1\" = --version ] && { echo 'gpioset (libgpiod) " + version +
                             "'; exit 0; }\necho \"$(basename \"$0\") $*\" >> " + folder.path("calls") + "\n";
    folder.write("gpioset", head + "exec sleep 30\n");
    folder.write("gpioget", head + "cat " + folder.path("level") + "\n");
    other("chmod +x " + folder.path("gpioset") + " " + folder.path("gpioget"));
}

TEST(SheetsProgram, ScriptSpeaksBothVersionsOfTheTools) {
    for (const auto& [version, set, get] :
         {std::array<std::string, 3>{"v1.6.3", "gpioset --mode=signal --drive=push-pull gpiochip4 17=1",
                                     "gpioget gpiochip4 22"},
          {"v2.1.1", "gpioset --chip gpiochip4 --drive push-pull 17=1",
           "gpioget --chip gpiochip4 --numeric 22"}}) {
        const Folder folder;
        stand_in(folder, version);
        const std::string script = folder.write("exercise.sh", run_sheets(rain_garden + " --script", false).out);
        folder.write("map", "chip=gpiochip4\nD1=17\nD2=22\n");
        folder.write("yes", "yes\n\n\n\n\n\n\n\n\n\n");
        folder.write("level", "1\n");
        const std::string call = "PATH=" + folder.path(".") + ":$PATH sh " + script + " --run --map " +
                                 folder.path("map") + " --link ";
        other(call + "'tank trigger'", folder.path("yes"));
        const Outcome reading = other(call + "'tank echo'", folder.path("yes"));
        const std::string calls = folder.read("calls");
        EXPECT_NE(calls.find(set + "\n"), std::string::npos) << calls;
        EXPECT_NE(calls.find(get + "\n"), std::string::npos) << calls;
        EXPECT_EQ(reading.code, 1) << "always 1 is wrong for a low\n" << reading.out;
        EXPECT_NE(reading.out.find("D2 reads 1: right"), std::string::npos) << reading.out;
        EXPECT_NE(reading.out.find("D2 reads 1, wanted 0: WRONG"), std::string::npos) << reading.out;
        const Outcome unmapped = other(call + "'strip data'", folder.path("yes"));
        EXPECT_NE(unmapped.code, 0);
        EXPECT_NE(unmapped.out.find("no line for pin D4"), std::string::npos) << unmapped.out;
    }
}

TEST(SheetsProgram, SaysWhatChanged) {
    const Folder folder;
    std::ifstream in(bench);
    std::stringstream text;
    text << in.rdbuf();
    const std::string old = folder.write(
        "old.toml", std::regex_replace(text.str(), std::regex("limit = \"500 mA\""), "limit = \"400 mA\""));
    const Outcome r = run_sheets(bench + " --for build --since " + old + " --width 200");
    EXPECT_NE(r.out.find("rail five"), std::string::npos);
    EXPECT_NE(r.out.find("up to 500 mA in place of"), std::string::npos) << r.out;
}

}  // namespace
