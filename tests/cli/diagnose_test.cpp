/// `voltsill diagnose` from outside: exit codes, forms, hints, and the walk through a pipe.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "support/program.h"

namespace {
using voltsill::testing::Folder;
using voltsill::testing::Outcome;

const std::string small = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";
const std::string garden = std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml";

Outcome run_diagnose(const std::string& arguments, bool with_errors = true, const std::string& input = "/dev/null") {
    return voltsill::testing::run_program("diagnose " + arguments + " --effort 0.1", with_errors, input);
}

TEST(DiagnoseProgram, ExitCodes) {
    EXPECT_EQ(run_diagnose(small).code, 0) << "nothing read";
    EXPECT_EQ(run_diagnose(small + " --reading \"first signal fails\"").code, 1);
    for (const char* wrong : {" --hint 4", " --next x", " --json --html", " a b c", " --boards none"})
        EXPECT_EQ(run_diagnose(small + wrong).code, 2) << wrong;
    EXPECT_EQ(run_diagnose("/no/such/bench.toml").code, 3);
    EXPECT_EQ(run_diagnose(small + " /no/such/readings.toml").code, 3);
    const Outcome mistake = run_diagnose(small + " --reading \"sender.OTU = 3 V\"");
    EXPECT_EQ(mistake.code, 3);
    EXPECT_NE(mistake.out.find("--reading:1:8"), std::string::npos) << mistake.out;
    EXPECT_NE(mistake.out.find("OUT"), std::string::npos) << mistake.out;
}

TEST(DiagnoseProgram, WritesFilesThatAreReadBack) {
    const Folder folder;
    const Outcome first = run_diagnose(
        garden + " " + VOLTSILL_ROOT + "/examples/readings/tank-echo.toml --json --out " + folder.path("out"), false);
    EXPECT_EQ(first.code, 1) << first.out.substr(0, 400);
    const auto json = nlohmann::json::parse(first.out);
    EXPECT_EQ(json["format"], "voltsill-diagnose-1");
    EXPECT_EQ(json["readings"].size(), 3u);
    for (const char* name : {"diagnosis.html", "diagnosis.md", "diagnosis.json", "readings.toml"})
        EXPECT_FALSE(folder.read(std::string("out/") + name).empty()) << name;
    const Outcome again = run_diagnose(garden + " " + folder.path("out/readings.toml") + " --json", false);
    EXPECT_EQ(nlohmann::json::parse(again.out)["suspects"], json["suspects"]);
}

TEST(DiagnoseProgram, HintsSayNoMoreThanTheirDepth) {
    const std::string seen = small + " --reading \"first signal fails\"";
    const auto hints = nlohmann::json::parse(run_diagnose(seen + " --json", false).out)["hints"];
    const auto flat = [](std::string text) {
        for (char& c : text) c = c == '\n' ? ' ' : c;
        return text;
    };
    const std::string first = flat(run_diagnose(seen + " --hint 1 --width 200").out),
                      third = flat(run_diagnose(seen + " --hint 3 --width 200").out);
    const std::string cause = hints["cause"].get<std::string>().substr(0, 30);
    EXPECT_EQ(first.find(cause), std::string::npos) << first;
    EXPECT_NE(third.find(cause), std::string::npos) << third;
}

TEST(DiagnoseProgram, AsksUntilSomebodyHasEnough) {
    const Folder folder;
    // A word that answers nothing is refused and asked again; a reading of one's own counts; the end of input ends it.
    const std::string input = folder.write(
        "input", "perhaps\nwhy\nlist\nfirst signal works = no\nskip\nback\nfirst signal works = no\nquit\n");
    const Outcome walk = run_diagnose(small + " --ask --save " + folder.path("readings.toml"), true, input);
    EXPECT_EQ(walk.code, 1) << walk.out;
    EXPECT_NE(walk.out.find("perhaps"), std::string::npos) << "the mistake is shown";
    const std::string saved = folder.read("readings.toml");
    EXPECT_NE(saved.find("first signal"), std::string::npos) << saved;
    EXPECT_EQ(saved.find("[[readings]]"), std::string::npos) << saved;
    const Outcome silent = run_diagnose(small + " --ask --json", false);
    EXPECT_EQ(nlohmann::json::parse(silent.out)["format"], "voltsill-diagnose-1")
        << "the document alone on standard output";
}

/// What the bench did is an answer as it is said; a mistake is shown in what was typed and nothing else.
TEST(DiagnoseProgram, TakesWhatTheBenchDidAndShowsWhatWasTyped) {
    const Folder folder;
    const Outcome walk = run_diagnose(small + " --ask --save " + folder.path("readings.toml"), true,
                                      folder.write("input", "first signal fails\nquit\n"));
    EXPECT_EQ(walk.code, 1) << walk.out;
    EXPECT_EQ(walk.out.find("error"), std::string::npos) << walk.out;
    EXPECT_NE(folder.read("readings.toml").find("first signal"), std::string::npos);
    const Outcome wrong =
        run_diagnose(small + " --ask", true, folder.write("input", "first signul fails\nperhaps so\nquit\n"));
    EXPECT_NE(wrong.out.find("did you mean \"first signal\""), std::string::npos) << wrong.out;
    EXPECT_NE(wrong.out.find("1 | first signul fails\n"), std::string::npos) << wrong.out;
    EXPECT_NE(wrong.out.find("1 | perhaps so\n"), std::string::npos) << wrong.out;
}

/// A mistake in an answer is told as the answer was typed; an answer that was a slip can be taken back.
TEST(DiagnoseProgram, TakesAnAnswerBackAndSaysWhatCanBeTyped) {
    const Folder folder;
    for (const char* word : {"undo", "u", "back"}) {
        const std::string input =
            folder.write("input", std::string("first signal fails\nsender.OUT = 0 V\n") + word + "\nquit\n");
        const Outcome walk = run_diagnose(small + " --ask --save " + folder.path("readings.toml"), true, input);
        EXPECT_NE(walk.out.find("Taken back: sender.OUT = 0 V"), std::string::npos) << word << walk.out;
        const std::string saved = folder.read("readings.toml");
        EXPECT_NE(saved.find("first signal"), std::string::npos) << word << saved;
        EXPECT_EQ(saved.find("sender.OUT"), std::string::npos) << word << saved;
        EXPECT_NE(run_diagnose(small + " --ask", true, folder.write("input", std::string(word) + "\nquit\n"))
                      .out.find("no answer of this walk"),
                  std::string::npos);
    }
    const std::string input = folder.write("input", "first signal fails\nsender.OUT = 3,3\n3,3\nhelp\nquit\n");
    const Outcome walk = run_diagnose(small + " --ask --width 200", true, input);
    EXPECT_EQ(walk.out.find("--reading"), std::string::npos) << walk.out;
    EXPECT_NE(walk.out.find("your answer:1:15: error: a comma stands inside the number; write a decimal point"),
              std::string::npos) << walk.out;
    const auto first = walk.out.find("undo, u or back");
    ASSERT_NE(first, std::string::npos);
    EXPECT_NE(walk.out.find("undo, u or back", first + 1), std::string::npos) << "help says it again";
}

/// The walk ends with a cause when every wire and part that is looked at is as planned but one.
TEST(DiagnoseProgram, WalksToACause) {
    const Folder folder;
    std::string answers = "first signal fails =yes\n";
    for (int k = 0; k < 40; ++k) answers += "not as planned\n0 V\nopen\n";
    const Outcome walk = run_diagnose(small + " --ask", true, folder.write("input", answers));
    EXPECT_EQ(walk.code, 1) << walk.out;
    EXPECT_NE(walk.out.find("what may be wrong  "), std::string::npos);
}

}  // namespace
