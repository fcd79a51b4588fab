/// The program from outside: exit codes, streams, files, refusals.
#include "support/program.h"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

namespace {
namespace fs = std::filesystem;

using voltsill::testing::Folder;
using voltsill::testing::Outcome;

/// Standard output and error together, as a person sees them.
Outcome run(const std::string& arguments) { return voltsill::testing::run_program(arguments); }

const std::string root = VOLTSILL_ROOT;

std::string example(const std::string& name) { return root + "/examples/" + name + ".toml"; }

/// Whoever asks for JSON gets one document on standard output, whatever happens.
TEST(Program, CommandsAndOptionsThatDoNotExistAreToldWithTheNearestThatDoes) {
    const std::pair<std::string, std::string> cases[] = {
        {"chek " + example("first-bench"), "there is no command \"chek\"; did you mean \"check\"?\n`voltsill --help`"},
        {"", "a command is missing\n`voltsill --help` says what there is"},
        {"nonsense", "there is no command \"nonsense\"\n"},
        {"parts serch HCT", "there is no command \"serch\"; did you mean \"search\"?\n`voltsill parts --help`"},
        {"check " + example("first-bench") + " --wdith=80",
         "voltsill check has no option --wdith; did you mean \"--width\"?"},
        {"check --jsno " + example("first-bench"), "voltsill check has no option --jsno; did you mean \"--json\"?"},
        {"check", "BENCH is required\n`voltsill check --help` says what there is"},
        {"check --width 7 " + example("first-bench"), "--width: Value 7 not in range"}};
    for (const auto& [arguments, said] : cases) {
        const Outcome outcome = run(arguments);
        EXPECT_EQ(outcome.code, 2) << arguments;
        EXPECT_NE(outcome.out.find(said), std::string::npos) << arguments << "\n" << outcome.out;
    }
}

TEST(Program, JsonOnErrorsToo) {
    const Folder folder;
    const std::string bench = example("first-bench"), broken = folder.write("broken.toml", "[rails]\nfive = 5\n");
    fs::create_directories(folder.path("empty"));
    struct Case {
        std::string arguments;
        int code;
    };
    std::vector<Case> cases = {{"check --json", 2},
                               {"nonsense --json", 2},
                               {"parts show --json nothing", 2},
                               {"parts search --json zzzz", 1},
                               {"parts list --json", 0},
                               {"parts show --json \"TTL input, 5 V\"", 0},
                               {"parts check --json /no/such.toml", 3},
                               {"parts import --json /no/such.ibs", 3},
                               {"mark --json " + bench + " " + folder.path("empty"), 2},
                               {"mark --json", 2},
                               {"serve --json /no/such.toml", 2},
                               {"sheets --json --pdf " + bench, 2},
                               {"capture --json " + bench + " /no/such.csv", 3},
                               {"trace --json --rate x " + bench, 2}};
    for (const char* command : {"check", "plan", "readings", "sheets", "diagnose", "trace"}) {
        cases.push_back({std::string(command) + " --json /no/such.toml", 3});
        cases.push_back({std::string(command) + " --json " + folder.path("empty"), 3});
        cases.push_back({std::string(command) + " --json " + broken, 3});
    }
    for (const Case& c : cases) {
        const Outcome r = voltsill::testing::run_program(c.arguments, false);
        EXPECT_EQ(r.code, c.code) << c.arguments;
        EXPECT_TRUE(nlohmann::json::accept(r.out)) << c.arguments << "\n" << r.out.substr(0, 300);
    }
}

/// A byte order mark and line ends of other systems change nothing.
TEST(Program, BenchesOfOtherEditors) {
    const Folder folder;
    std::ifstream in(example("up-shift"), std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    std::string crlf;
    for (const char c : text.str()) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    const std::string plain = run("check --json " + folder.write("up-shift.toml", text.str())).out;
    EXPECT_EQ(run("check --json " + folder.write("up-shift.toml", "\xEF\xBB\xBF" + text.str())).out, plain);
    EXPECT_EQ(run("check " + folder.write("up-shift.toml", crlf)).code, run("check " + example("up-shift")).code);
}

TEST(Program, ExamplesStandInEveryHelp) {
    for (const char* command : {"",
                                "check",
                                "plan",
                                "readings",
                                "capture",
                                "trace",
                                "sheets",
                                "mark",
                                "diagnose",
                                "serve",
                                "parts",
                                "parts list",
                                "parts search",
                                "parts show",
                                "parts check",
                                "parts import",
                                "parts schema",
                                "schema",
                                "completion",
                                "manual"})
        EXPECT_NE(run(std::string(command) + " --help").out.find("Example"), std::string::npos) << command;
}

TEST(Program, NothingFoundIsSaid) {
    const Outcome none = run("parts search trnasceiver");
    EXPECT_EQ(none.code, 1);
    EXPECT_NE(none.out.find(" 245\""), std::string::npos) << none.out;
    EXPECT_NE(run("parts search zzzz").out.find("voltsill parts list"), std::string::npos);
    EXPECT_EQ(run("parts show \"TTL input, 5 V\"").code, 0);
    EXPECT_NE(run("parts search ttl input").out.find("TTL input, 5 V"), std::string::npos);
    EXPECT_EQ(run("check " + example("up-shift") + " >/dev/full").code, 2) << "a full disk";
}

TEST(Program, ExitCodesTellWhatHappened) {
    EXPECT_EQ(run("check " + example("first-bench")).code, 1);  // harmful
    EXPECT_EQ(run("plan " + example("first-bench")).code, 0);
    EXPECT_EQ(run("check").code, 2);
    EXPECT_EQ(run("nonsense").code, 2);
    EXPECT_EQ(run("check --width 7 " + example("first-bench")).code, 2);
    EXPECT_EQ(run("check /no/such/file.toml").code, 3);
    EXPECT_EQ(run("--help").code, 0);
    EXPECT_EQ(run("--version").code, 0);
    for (const char* command : {"check", "plan", "readings", "capture", "parts", "schema", "completion"}) {
        const Outcome help = run(std::string(command) + " --help");
        EXPECT_EQ(help.code, 0) << command;
        EXPECT_NE(help.out.find("--help"), std::string::npos) << command;
    }
}

TEST(Program, HarmfulLinkIsToldWithVoltsAndMilliamps) {
    const Outcome r = run("check --width 100 " + example("first-bench"));
    EXPECT_NE(r.out.find("harmful"), std::string::npos);
    EXPECT_NE(r.out.find("mA"), std::string::npos);
    EXPECT_NE(r.out.find("Extra-low voltage only"), std::string::npos);
    EXPECT_EQ(r.out.find('\033'), std::string::npos) << "no colour into a pipe";
}

TEST(Program, ColourWhenAskedFor) {
    EXPECT_NE(run("check --colour always " + example("first-bench")).out.find('\033'), std::string::npos);
}

TEST(Program, AsciiOnlyWhenAskedFor) {
    for (const char c : run("check --ascii " + example("up-shift")).out) ASSERT_GE(c, 0);
}

TEST(Program, AsciiHoldsForEveryOutput) {
    const Folder folder;
    const std::string bad =
        folder.write("bad.toml", "ambient = \"0..40 Ω µ\"\n[parts]\nµ = { type = \"Ω\" }\n");
    for (const std::string& command :
         {"check -q --ascii " + example("rain-garden"), "plan -q --ascii " + example("rain-garden"),
          "check --ascii --json " + example("rain-garden"), "check --ascii --html " + example("up-shift"),
          "check --ascii --markdown " + example("up-shift"), "check --ascii --junit " + example("up-shift"),
          "check --ascii " + bad, std::string("parts list --ascii"),
          std::string("parts search --ascii pull-ups"), std::string("parts show --ascii Ω")}) {
        const Outcome r = run(command);
        EXPECT_FALSE(r.out.empty()) << command;
        EXPECT_TRUE(std::ranges::all_of(r.out, [](char c) { return c >= 0; })) << command << "\n"
                                                                               << r.out.substr(0, 800);
    }
    EXPECT_EQ(nlohmann::json::parse(run("check --ascii --json " + example("rain-garden")).out),
              nlohmann::json::parse(run("check --json " + example("rain-garden")).out));
}

TEST(Program, QuietSaysWhatIsWrongAndNoMore) {
    const Outcome wrong = run("check -q " + example("first-bench"));
    EXPECT_NE(wrong.out.find("\nfirst signal: receiver.IN gets"), std::string::npos) << wrong.out;
    const Outcome right = run("plan -q " + example("first-bench"));
    EXPECT_EQ(std::ranges::count(right.out, '\n'), 1) << right.out;
}

TEST(Program, ResultsHaveOneForm) {
    for (const char* two : {"--json --html ", "--markdown --json ", "--sarif --junit ", "--html --sarif "})
        EXPECT_EQ(run(std::string("check ") + two + example("up-shift")).code, 2) << two;
    EXPECT_EQ(run("plan --json --markdown " + example("up-shift")).code, 2);
    EXPECT_EQ(run("parts list --json --html").code, 2);
}

TEST(Program, EveryExampleIsReadCheckedAndPlanned) {
    for (const auto& entry : fs::directory_iterator(root + "/examples")) {
        if (entry.path().extension() != ".toml") continue;
        const std::string file = entry.path().string();
        for (const char* command : {"check --json ", "plan --json ", "readings --json "}) {
            const Outcome r = run(command + file);
            EXPECT_LE(r.code, 1) << command << file << "\n" << r.out.substr(0, 500);
            EXPECT_TRUE(nlohmann::json::accept(r.out)) << command << file;
        }
    }
}

/// The first thing a reader sees of the program is what it says.
TEST(Program, TheReadmeShowsWhatCheckSays) {
    std::ifstream file(root + "/README.md");
    std::stringstream text;
    text << file.rdbuf();
    const std::string readme = text.str(), begin = "```\nlink ";
    const std::size_t from = readme.find(begin);
    ASSERT_NE(from, std::string::npos);
    const std::string shown = readme.substr(from + 4, readme.find("```", from + 4) - from - 4);
    EXPECT_GT(shown.size(), 1000u);
    EXPECT_NE(run("check --width 90 " + example("first-bench")).out.find(shown), std::string::npos) << shown;
}

TEST(Program, PlanWritesFilesThatCheckReadsBackToTheSameVerdict) {
    const Folder folder;
    for (const char* name : {"first-bench", "up-shift", "rain-garden", "two-way-bus"}) {
        const Outcome planned = run("plan --json " + example(name) + " --out " + folder.path(name));
        for (const char* file : {"/report.html", "/report.md", "/plan.json", "/wired.toml"})
            EXPECT_TRUE(fs::exists(folder.path(name + std::string(file)))) << name << file;
        const Outcome again = run("check --json " + folder.path(name + std::string("/wired.toml")));
        EXPECT_EQ(again.code, planned.code) << name;
        const auto plan = nlohmann::json::parse(planned.out), check = nlohmann::json::parse(again.out);
        EXPECT_EQ(plan["judgement"]["verdict"], check["judgement"]["verdict"]) << name;
    }
}

TEST(Program, CheckWritesEveryFormItPrints) {
    const Folder folder;
    const std::pair<const char*, const char*> forms[] = {
        {"", ""},      {"--json", "check.json"},      {"--html", "check.html"}, {"--markdown", "check.md"},
        {"--sarif", "check.sarif"}, {"--junit", "check.xml"}};
    for (const auto& [flag, file] : forms) {
        const std::string out = std::string("of") + flag + "/";
        const Outcome r =
            run(std::string("check ") + flag + " " + example("first-bench") + " --out " + folder.path(out));
        EXPECT_TRUE(!*file || folder.read(out + file) == r.out) << flag;
        for (const char* report : {"check.json", "check.html", "check.md"})
            EXPECT_FALSE(folder.read(out + report).empty()) << flag << report;
    }
    const std::string wrong = folder.write("wrong.toml", "[rails]\nv = { volts = \"5 W\" }\n");
    const Outcome r = run("check --sarif " + wrong + " --out " + folder.path("wrong"));
    EXPECT_EQ(r.code, 3) << "the mistakes of a bench are results as well";
    EXPECT_EQ(folder.read("wrong/check.sarif"), r.out);
    EXPECT_FALSE(fs::exists(folder.path("wrong/check.html")));
}

TEST(Program, PlanKeepsIncludesAndCommentsFromTheNewPlace) {
    const Folder folder;
    folder.write("mine.toml",
                 "[types.mine]\ntitle = \"mine\"\nsource = \"invented\"\ncertainty = "
                 "\"assumed\"\nsupplies.VCC = { range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }\n"
                 "pins.OUT = { like = \"push-pull output, 5 V\" }\npins.IN = { like = \"TTL input, 5 V\" "
                 "}\npins.GND = { is = \"ground\" }\n");
    const std::string bench =
        "# a remark of mine\ntitle = \"b\"\ninclude = \"mine.toml\"\n[rails]\nv = \"5 V ± 5 %\"  # the "
        "rail\n[parts]\na = { type = \"mine\", supply = \"v\" }\n"
        "b = { type = \"mine\", supply = \"v\" }\n[[links]]\nname = \"l\"\nfrom = \"a.OUT\"\nto = \"b.IN\"\n";
    const std::string file = folder.write("bench.toml", bench);
    EXPECT_EQ(run("plan -q " + file + " --out " + folder.path("deep/er")).code, 0);
    EXPECT_EQ(folder.read("bench.toml"), bench) << "the input is never changed";
    EXPECT_NE(folder.read("deep/er/wired.toml").find("# a remark of mine"), std::string::npos);
    EXPECT_NE(folder.read("deep/er/wired.toml").find("# the rail"), std::string::npos);
    const Outcome again = run("check -q " + folder.path("deep/er/wired.toml"));
    EXPECT_EQ(again.code, 0) << again.out;
}

TEST(Program, FilesThatAreNotThereAreToldWithTheNearestThatIs) {
    const Folder folder;
    folder.write("garden.toml", "");
    const std::string asked = folder.path("gardn.toml");
    EXPECT_EQ(run("check " + asked).out,
              "voltsill: " + asked + ": there is no such file; did you mean \"" + folder.path("garden.toml") + "\"?\n");
    EXPECT_EQ(run("check " + folder.path("b.toml")).out.find("did you mean"), std::string::npos)
        << "an extension alone makes no names alike";
    EXPECT_EQ(run("serve " + asked).out,
              "voltsill: " + asked + ": there is no such file or folder; did you mean \"" + folder.path("garden.toml") +
                  "\"?\n  expected: a bench file, or a folder of them; `voltsill serve` alone takes this folder\n");
    fs::create_directories(folder.path("own"));
    EXPECT_NE(run("serve " + folder.path("owm")).out.find("did you mean \"" + folder.path("own")), std::string::npos);
    EXPECT_EQ(run("check " + folder.path("owm")).out.find("did you mean"), std::string::npos) << "that needs a file";
    folder.write("own/gauges.toml", "");
    const std::string bench =
        folder.write("bench.toml",
                     "include = \"own/gauge.toml\"\n[rails]\nv = \"5 V\"\n[parts]\n"
                     "a = { type = \"own-gauge\", supply = \"v\" }\nb = { type = \"other\", supply = \"v\" }\n");
    const std::string expected = bench + ":1:11: error: the part file \"own/gauge.toml\" cannot be read\n"
                                 "  1 | include = \"own/gauge.toml\"\n"
                                 "    |           ^^^^^^^^^^^^^^^^\n"
                                 "  expected: the path of a part file, from the folder of the file that names it\n"
                                 "  did you mean \"own/gauges.toml\"?\n";
    EXPECT_EQ(run("check " + bench).out, expected + "\n");
    EXPECT_NE(run("check --sarif " + bench).out.find("Nearest: own/gauges.toml"), std::string::npos);
}

TEST(Program, BadInputIsRefusedWithAWord) {
    const Folder folder;
    const std::pair<const char*, std::string> files[] = {
        {"empty.toml", ""},
        {"binary.toml", std::string("\x7f"
                                    "ELF\x00\x01\xff\xfe",
                                    9)},
        {"units.toml", "[rails]\na = { volts = \"3.3 A\" }\n"},
        {"nan.toml", "[rails]\na = { volts = nan }\n"},
        {"mains.toml", "[rails]\na = { volts = \"230 V\" }\n[parts]\n"},
        {"negative.toml", "[rails]\na = \"5 V\"\n[parts]\nr = { type = \"resistor\", value = \"-3 kΩ\" }\n"},
        {"cycle.toml", "include = \"cycle.toml\"\n[rails]\na = \"5 V\"\n"},
        {"deep.toml", std::string(100000, '[')},
        {"duplicate.toml", "[rails]\na = \"5 V\"\na = \"3 V\"\n"},
    };
    for (const auto& [name, bytes] : files) {
        const Outcome r = run("check " + folder.write(name, bytes));
        EXPECT_EQ(r.code, 3) << name << "\n" << r.out;
        EXPECT_FALSE(r.out.empty()) << name;
        EXPECT_EQ(folder.read(name), bytes) << name;
    }
    EXPECT_EQ(run("check " + folder.path(".")).code, 3);
}

TEST(Program, HugeFilesAreRefusedAtOnce) {
    const Folder folder;
    folder.write("huge.toml", "");
    fs::resize_file(folder.path("huge.toml"), 100u << 20);
    const Outcome r = run("check " + folder.path("huge.toml"));
    EXPECT_EQ(r.code, 3);
    EXPECT_NE(r.out.find("MiB"), std::string::npos);
}

TEST(Program, AllMistakesInOneRun) {
    const Folder folder;
    const Outcome r =
        run("check " + folder.write("many.toml",
                                    "title = \"x\"\nambeint = \"0..40 °C\"\n[rails]\nusb = { volts = \"5 A\" "
                                    "}\n[parts]\na = { type = \"HCTT 541\", supply = \"usb\" }\n"));
    EXPECT_EQ(r.code, 3);
    EXPECT_NE(r.out.find("many.toml:2:1"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("ambient"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("many.toml:4:"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("many.toml:6:"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("HCT 541"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find('^'), std::string::npos) << r.out;
}

TEST(Program, ProblemsAsJson) {
    const Folder folder;
    const Outcome r = run("check --json " + folder.write("bad.toml", "[rails]\na = { volts = \"3.3 A\" }\n"));
    EXPECT_EQ(r.code, 3);
    EXPECT_TRUE(nlohmann::json::accept(r.out)) << r.out;
}

TEST(Program, NamesOfAnyScript) {
    const Folder folder;
    const Outcome r =
        run("check -q " +
            folder.write(
                "ünïcødé.toml",
                "title = \"日本 \\u202e рельс\"\n[rails]\n\"напряжение\" = \"5 V ± 5 "
                "%\"\n[types.\"датчик\"]\ntitle = \"x\"\nsource = \"invented\"\ncertainty = \"assumed\"\n"
                "supplies.VCC = { range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }\npins.\"出\" = { like = "
                "\"push-pull output, 5 V\" }\npins.\"入\" = { like = \"TTL input, 5 V\" }\npins.GND = { is = "
                "\"ground\" }\n"
                "[parts]\n\"α\" = { type = \"датчик\", supply = \"напряжение\" }\n\"β\" = { type = "
                "\"датчик\", supply = \"напряжение\" }\n[[links]]\nname = \"🌧\"\nfrom = \"α.出\"\nto "
                "= "
                "\"β.入\"\n"));
    EXPECT_EQ(r.code, 0) << r.out;
}

TEST(Program, PartsAreListedSearchedAndShownWithSources) {
    EXPECT_NE(run("parts list").out.find("HCT 541"), std::string::npos);
    EXPECT_NE(run("parts search open collector").out.find("LS 07"), std::string::npos);
    EXPECT_NE(run("parts search motion sensor").out.find("nothing in the catalogue is called \"motion sensor\""),
              std::string::npos);
    const Outcome shown = run("parts show \"LVC 245\"");
    EXPECT_EQ(shown.code, 0);
    EXPECT_NE(shown.out.find("3.6 V"), std::string::npos);
    EXPECT_NE(shown.out.find("DIP-20"), std::string::npos);
    EXPECT_TRUE(nlohmann::json::accept(run("parts show --json \"LVC 245\"").out));
    EXPECT_NE(run("parts list --html").out.find("<html"), std::string::npos);
    EXPECT_NE(run("parts search --markdown open collector").out.find("\n| `LS 07`"), std::string::npos);
    const Outcome wrong = run("parts show \"HCTT 541\"");
    EXPECT_EQ(wrong.code, 2);
    EXPECT_NE(wrong.out.find("HCT 541"), std::string::npos);
    const Folder folder;
    EXPECT_EQ(run("parts check " + folder.write("p.toml", "[types.x]\ntitel = \"x\"\n")).code, 3);
}

/// What is asked for is written and, for a program, printed as well; a folder that cannot be made is wrong use.
TEST(Program, EveryCommandWritesWhatOutAsksFor) {
    const Folder folder;
    const std::string bench = example("first-bench"), ibis = root + "/examples/ibis/octal-buffer.ibs";
    struct Case {
        std::string arguments;
        std::vector<const char*> files;
    };
    const std::vector<Case> cases = {
        {"check " + bench, {"check.html", "check.md", "check.json"}},
        {"plan " + bench, {"report.html", "report.md", "plan.json", "wired.toml"}},
        {"readings " + bench, {"readings.html", "readings.md", "readings.json"}},
        {"trace " + bench + " --all --samples 4", {"trace.html", "trace.md", "trace.json"}},
        {"sheets " + bench + " --for build --effort 0.05", {"sheets.json", "build.html", "build.md"}},
        {"mark " + bench + " " + root + "/examples/class", {"class.html", "marks.csv", "marking.json"}},
        {"diagnose " + bench + " --reading \"nothing works\" --effort 0.05",
         {"diagnosis.html", "diagnosis.json", "readings.toml"}},
        {"parts list", {"parts.html", "parts.md", "parts.json"}},
        {"parts search open collector", {"parts.html", "parts.md", "parts.json"}},
        {"parts show \"LVC 245\"", {"LVC-245.html", "LVC-245.md", "LVC-245.json"}},
        {"parts show \"TTL input, 5 V\"", {"TTL-input--5-V.html", "TTL-input--5-V.json"}},
        {"parts import " + ibis + " --pin 17", {"OCTAL-BUFFER-17.toml"}}};
    int number = 0;
    for (const Case& c : cases) {
        const std::string name = std::to_string(number++);
        const Outcome r = voltsill::testing::run_program(c.arguments + " --json --out " + folder.path(name), false);
        EXPECT_LE(r.code, 1) << c.arguments;
        EXPECT_TRUE(nlohmann::json::accept(r.out)) << c.arguments << "\n" << r.out.substr(0, 300);
        for (const char* file : c.files)
            EXPECT_FALSE(folder.read(name + "/" + file).empty()) << c.arguments << " " << file;
        for (const auto& written : fs::directory_iterator(folder.path(name)))
            EXPECT_NE(written.path().extension(), ".part") << written.path();
        const Outcome said = run(c.arguments + " --out " + folder.path(name));
        EXPECT_NE(said.out.find("Written"), std::string::npos) << c.arguments;
        folder.write("file", "");
        EXPECT_EQ(run(c.arguments + " --out " + folder.path("file")).code, 2) << c.arguments;
    }
    for (const char* without : {"parts schema", "parts check p.toml", "parts import p.ibs"}) {
        const Outcome r = run(std::string(without) + " --out " + folder.path("none"));
        EXPECT_EQ(r.code, 2) << without;
        EXPECT_NE(r.out.find("--out"), std::string::npos) << without;
        EXPECT_FALSE(fs::exists(folder.path("none"))) << without;
    }
}

TEST(Program, IbisModelsBecomePartsOfABench) {
    const std::string ibis = root + "/examples/ibis/octal-buffer.ibs";
    const Outcome listed = run("parts import " + ibis);
    EXPECT_EQ(listed.code, 0);
    for (const char* word : {"OUT_24", "BUS_IO", "pin 17", "selector BUFFER"})
        EXPECT_NE(listed.out.find(word), std::string::npos) << word;
    const Outcome wrong = run("parts import " + ibis + " --model OUT24");
    EXPECT_EQ(wrong.code, 2);
    EXPECT_NE(wrong.out.find("did you mean \"OUT_24\"?"), std::string::npos) << wrong.out;

    // As a shell's pattern gives them.
    const Outcome both = run("parts import " + ibis + " " + root + "/examples/ibis/schmitt-input.ibs");
    EXPECT_EQ(both.code, 0) << both.out;
    for (const char* word : {"OUT_24", "SCHMITT_IN"}) EXPECT_NE(both.out.find(word), std::string::npos) << word;
    EXPECT_EQ(run("parts import --model OUT_24 " + ibis + " " + ibis).code, 2);

    const Folder folder;
    EXPECT_EQ(run("parts import " + ibis + " --pin 17 --out " + folder.path("")).code, 0);
    EXPECT_EQ(run("parts check " + folder.path("OCTAL-BUFFER-17.toml")).code, 0);
    // Square-law output at the minimum corner and the LVTTL input of the same file.
    EXPECT_EQ(run("parts import " + ibis + " --model IN_LV --out " + folder.path("")).code, 0);
    const std::string bench = folder.write("b.toml", R"(title = "imported"
include = ["OCTAL-BUFFER-17.toml", "IN-LV.toml"]
[rails]
logic = { volts = "3.3 V ± 5 %" }
[parts]
from = { type = "OCTAL_BUFFER 17", supply = "logic" }
to = { type = "IN_LV", supply = "logic" }
[[links]]
name = "line"
from = "from.Y3"
to = "to.IN_LV"
)");
    const Outcome checked = run("check --json " + bench);
    EXPECT_EQ(checked.code, 0) << checked.out;
    EXPECT_EQ(nlohmann::json::parse(checked.out)["judgement"]["links"][0]["verdict"], "safe") << checked.out;

    const auto document = nlohmann::json::parse(run("parts import --json " + ibis + " --model BUFFER").out);
    EXPECT_EQ(document["format"], "voltsill-ibis-1");
    EXPECT_EQ(document["import"]["model"], "OUT_24");
    const Outcome cut = run("parts import " + folder.write("cut.ibs", "[IBIS Ver] 3.2\n[Component] X\n"));
    EXPECT_EQ(cut.code, 3);
    EXPECT_NE(cut.out.find("it may have been cut off"), std::string::npos) << cut.out;
}

TEST(Program, OtherForms) {
    const auto sarif = nlohmann::json::parse(run("check --sarif " + example("first-bench")).out);
    EXPECT_EQ(sarif["version"], "2.1.0");
    EXPECT_NE(run("check --junit " + example("first-bench")).out.find("<testsuite"), std::string::npos);
    EXPECT_NE(run("check --html " + example("first-bench")).out.find("<!DOCTYPE html>"), std::string::npos);
    EXPECT_NE(run("check --markdown " + example("first-bench")).out.find("# Check"), std::string::npos);
    for (const char* shell : {"bash", "zsh", "fish"})
        EXPECT_NE(run(std::string("completion ") + shell).out.find("readings"), std::string::npos);
    for (const char* which : {"bench", "parts", "results"})
        EXPECT_TRUE(nlohmann::json::accept(run(std::string("schema ") + which).out)) << which;
}

/// Every command of --help, every option of a command's --help, and nothing the formatter stumbles over.
TEST(Program, ManualSaysWhatHelpSays) {
    const Folder folder;
    const std::string page = run("manual").out;
    folder.write("voltsill.1", page);
    EXPECT_EQ(page.substr(0, 13), ".TH VOLTSILL ");
    ASSERT_EQ(std::system(("groff -man -ww -K utf8 -T utf8 -P -cbou " + folder.path("voltsill.1") + " >" +
                           folder.path("out") + " 2>" + folder.path("warnings"))
                              .c_str()),
              0);
    EXPECT_EQ(folder.read("warnings"), "");
    const std::string shown = folder.read("out");
    for (const char* section : {"NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "COMMANDS", "EXIT CODES", "EXAMPLES"})
        EXPECT_NE(shown.find(std::string(section)), std::string::npos) << section;
    for (const char* command : {"check", "plan", "readings", "capture", "trace", "sheets", "mark", "diagnose", "serve",
                                "parts", "schema", "completion", "manual"}) {
        EXPECT_NE(page.find(std::string("\n.SS voltsill ") + command + "\n"), std::string::npos) << command;
        const std::string help = run(std::string(command) + " --help").out;
        for (std::size_t at = help.find("\n  --"); at != std::string::npos; at = help.find("\n  --", at + 1)) {
            const std::string option = help.substr(at + 3, help.find_first_of(" ,", at + 3) - at - 3);
            EXPECT_NE(shown.find(option), std::string::npos) << command << ' ' << option;
        }
    }
}

/// Every option that --help of a command names is completed there, by the shell itself.
TEST(Program, CompletionKnowsEveryOptionAndItsWords) {
    const Folder folder;
    const std::string script = folder.write("c.bash", run("completion bash").out);
    const auto completed = [&](const std::string& words) {
        return voltsill::testing::run_command(
                   "bash -c 'source " + script + "; COMP_WORDS=(voltsill " + words +
                   "); COMP_CWORD=$((${#COMP_WORDS[@]}-1)); _voltsill; echo \" ${COMPREPLY[*]} \"'")
            .out;
    };
    const std::string fish = run("completion fish").out;
    const std::string commands = completed("\"\"");
    for (const std::string command : {"check", "plan", "readings", "capture", "trace", "sheets", "mark", "diagnose",
                                      "serve", "parts", "parts import", "schema", "completion", "manual"}) {
        EXPECT_NE(commands.find(" " + command.substr(0, command.find(' ')) + " "), std::string::npos) << commands;
        const std::string help = run(command + " --help").out, offered = completed(command + " --");
        for (std::size_t at = help.find("  --"); at != std::string::npos; at = help.find("  --", at + 1)) {
            const std::string option = help.substr(at + 2, help.find_first_of(" ,\n", at + 2) - at - 2);
            EXPECT_NE(offered.find(" " + option + " "), std::string::npos) << command << ' ' << option << offered;
            EXPECT_NE(fish.find(" -l " + option.substr(2) + " "), std::string::npos) << command << ' ' << option;
        }
    }
    EXPECT_EQ(completed("sheets x.toml --for fault"), " faults fault-causes \n");
    EXPECT_EQ(completed("check x.toml --colour a"), " auto always \n");
    EXPECT_EQ(completed("parts imp"), " import \n");
    EXPECT_EQ(completed("schema re"), " readings results \n");
    EXPECT_EQ(completed("completion \"\""), " bash zsh fish \n");
    EXPECT_NE(completed("serve x.toml --passphrase-f").find(" --passphrase-file "), std::string::npos);
}

TEST(Program, BashCompletionIsValidShell) {
    const Folder folder;
    folder.write("c.bash", run("completion bash").out);
    EXPECT_EQ(std::system(("bash -n " + folder.path("c.bash")).c_str()), 0);
}

}  // namespace
