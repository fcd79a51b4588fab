/// `voltsill mark` from outside: exit codes, files, forms.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "support/program.h"

namespace {
namespace fs = std::filesystem;
using voltsill::testing::Folder;
using voltsill::testing::Outcome;

Outcome run_mark(const std::string& arguments) { return voltsill::testing::run_program("mark " + arguments, true); }

const std::string marked_bench = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";
const std::string marked_class = std::string(VOLTSILL_ROOT) + "/examples/class";

TEST(MarkProgram, WrongUseIsToldApart) {
    for (const std::string& wrong : {std::string(), marked_bench, marked_bench + " /no/such/folder",
                                     marked_bench + " " + marked_class + " --json --csv",
                                     marked_bench + " " + marked_class + " --boards huge"})
        EXPECT_EQ(run_mark(wrong).code, 2) << wrong;
    EXPECT_EQ(run_mark("/no/such.toml " + marked_class).code, 3);
    EXPECT_EQ(run_mark(marked_bench + " " + marked_class + " --rubric " + marked_bench).code, 3);
}

TEST(MarkProgram, PrintsATableAndSaysThatSomethingIsWrong) {
    const Outcome r = voltsill::testing::run_program("mark " + marked_bench + " " + marked_class + " --csv", false);
    EXPECT_EQ(r.code, 1);
    EXPECT_TRUE(r.out.starts_with("learner,points,of,open,")) << r.out;
    EXPECT_NE(r.out.find("\nheron,70.0,100,30,as planned,"), std::string::npos) << r.out;
}

TEST(MarkProgram, WritesASheetALearner) {
    const Folder folder;
    const std::string out = folder.path("out");
    EXPECT_EQ(run_mark(marked_bench + " " + marked_class + " --out " + out).code, 1);
    for (const char* name : {"class.html", "class.md", "marks.csv", "marking.json", "heron.html", "wren.md"})
        EXPECT_TRUE(fs::exists(fs::path(out) / name)) << name;
}

TEST(MarkProgram, APrintedBuildIsAsPlanned) {
    const Folder folder;
    fs::create_directories(folder.path("builds"));
    const Outcome printed = run_mark(marked_bench + " --print-build");
    EXPECT_EQ(printed.code, 0);
    std::ofstream(folder.path("builds/anna.csv")) << printed.out;
    EXPECT_NE(printed.out.find("\nreading,receiver.IN,sender.OUT high,,\n"), std::string::npos) << printed.out;
    const Outcome r = run_mark(marked_bench + " " + folder.path("builds") + " --csv");
    EXPECT_EQ(r.code, 0) << r.out;
    EXPECT_NE(r.out.find("\nanna,40.0,100,30,as planned,,0,0,"), std::string::npos) << r.out;
    EXPECT_EQ(run_mark(marked_bench + " --print-build --out " + folder.path("out")).code, 0);
    EXPECT_EQ(folder.read("out/build.csv"), printed.out);
    EXPECT_EQ(run_mark("--print-build").code, 2);
    EXPECT_EQ(run_mark(marked_bench + " " + marked_class + " --print-build").code, 2);
}

TEST(MarkProgram, SaysWhyThereIsNothingToMark) {
    const Folder folder;
    fs::create_directories(folder.path("builds"));
    const std::string builds = folder.path("builds");
    const auto why = [&](const std::string& where) { return run_mark(marked_bench + " " + where); };
    EXPECT_NE(why(builds).out.find("the folder is empty"), std::string::npos) << why(builds).out;
    EXPECT_NE(why(builds).out.find("--print-build"), std::string::npos);
    folder.write("builds/anna.ods", "x");
    EXPECT_NE(why(builds).out.find("only anna.ods"), std::string::npos) << why(builds).out;
    EXPECT_NE(why(folder.path("nowhere")).out.find("no such folder"), std::string::npos);
    EXPECT_NE(why(marked_bench).out.find("is a file"), std::string::npos);
    folder.write("builds/anna.CSV", "");
    folder.write("builds/berta.csv", "kind,from,to,value,note\n");
    const Outcome r = why(builds);
    EXPECT_EQ(r.code, 1);
    EXPECT_NE(r.out.find("this file holds nothing"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("this file has no wires"), std::string::npos) << r.out;
}

TEST(MarkProgram, TheBuiltInRubricMarksAsTheBuiltInOne) {
    const Folder folder;
    const std::string path = folder.path("rubric.toml");
    std::ofstream(path) << run_mark("--print-rubric").out;
    const Outcome r = run_mark(marked_bench + " " + marked_class + " --csv --rubric " + path);
    EXPECT_NE(r.out.find("heron,70.0,100,30,as planned,"), std::string::npos) << r.out;
}

}  // namespace
