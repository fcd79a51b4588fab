/// `voltsill trace` from outside: exit codes, forms, files, Ctrl-C.
#include <gtest/gtest.h>
#include <pty.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "support/program.h"

namespace {
namespace fs = std::filesystem;

using voltsill::testing::Outcome;

/// Standard output; standard error as well if asked for.
Outcome run_trace(const std::string& arguments, bool with_errors = true) {
    return voltsill::testing::run_program("trace " + arguments, with_errors);
}

const std::string traced_bench = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";
const std::string traced_station = std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml";

TEST(TraceProgram, ShowsWavesWithTheirThresholds) {
    const Outcome r = run_trace("--width 80 " + traced_bench);
    EXPECT_LE(r.code, 1) << r.out;
    for (const char* word :
         {"first signal", "sender.OUT, driver", "receiver.IN", "VIH", "VIL", "set-up time left"})
        EXPECT_NE(r.out.find(word), std::string::npos) << word << "\n" << r.out;
}

TEST(TraceProgram, WrongUseIsToldApart) {
    for (const char* wrong :
         {" --samples 0", " --samples -3", " --rate \"0 Hz\"", " --rate \"3 V\"", " --rate \"1..2 MHz\"",
          " --jobs 0", " --samples 3 --replay 1", " --json --svg", " nonsense"}) {
        const Outcome r = run_trace(traced_bench + wrong);
        EXPECT_EQ(r.code, 2) << wrong << "\n" << r.out;
        EXPECT_FALSE(r.out.empty()) << wrong;
    }
    EXPECT_EQ(run_trace(traced_station + " --all --svg").code, 2);
    EXPECT_EQ(run_trace(traced_station).code, 2) << "many links, none named";
    EXPECT_NE(run_trace(traced_station + " \"tnk echo\"").out.find("did you mean"), std::string::npos);
    EXPECT_EQ(run_trace("/no/such/bench.toml").code, 3);
}

TEST(TraceProgram, EveryFormOfARun) {
    const std::string some = traced_bench + " --samples 8 --seed 5 ";
    const auto json = nlohmann::json::parse(run_trace(some + "--json", false).out);
    EXPECT_EQ(json["format"], "voltsill-trace-1");
    EXPECT_EQ(json["traces"][0]["samples"], 8);
    EXPECT_NE(run_trace(some + "--html", false).out.find("<svg xmlns"), std::string::npos);
    EXPECT_NE(run_trace(some + "--markdown", false).out.find("| time | point |"), std::string::npos);
    EXPECT_EQ(run_trace(some + "--svg", false).out.rfind("<?xml", 0), 0u);
    EXPECT_EQ(run_trace(some + "--csv", false).out.rfind("time (s),", 0), 0u);
    for (const char* form : {"", "--json", "--html", "--markdown", "--svg", "--csv", "-q"})
        for (const char c : run_trace(some + "--ascii " + form).out) ASSERT_GE(c, 0) << form;
    EXPECT_EQ(run_trace(some + "--json --jobs 1", false).out, run_trace(some + "--json --jobs 3", false).out);
}

TEST(TraceProgram, WritesAFileForEveryLink) {
    const fs::path folder = fs::temp_directory_path() / ("voltsill-trace-" + std::to_string(getpid()));
    const Outcome r = run_trace(traced_bench + " --out " + folder.string());
    EXPECT_LE(r.code, 1) << r.out;
    for (const char* name : {"trace.html", "trace.md", "trace.json", "first-signal.svg", "first-signal.csv"})
        EXPECT_TRUE(fs::exists(folder / name)) << name;
    fs::remove_all(folder);
}

/// Reads until `word` has come, or the end.
std::string read_until(int from, const std::string& word) {
    std::string out;
    std::array<char, 4096> buffer;
    for (ssize_t n;
         out.find(word) == std::string::npos && (n = read(from, buffer.data(), buffer.size())) > 0;)
        out.append(buffer.data(), static_cast<std::size_t>(n));
    return out;
}

TEST(TraceProgram, InterruptedRunsPrintWhatTheyHaveAndSay130) {
    int ends[2], terminal = -1;
    ASSERT_EQ(pipe(ends), 0);
    winsize size{.ws_row = 24, .ws_col = 70};
    const std::string program = voltsill::testing::program_path();
    const pid_t child = forkpty(&terminal, nullptr, nullptr, &size);  // standard error stays on the terminal
    if (child == 0) {
        dup2(ends[1], STDOUT_FILENO);
        close(ends[0]);
        close(ends[1]);
        execl(program.c_str(), program.c_str(), "trace", traced_bench.c_str(), "--samples", "1000000", "--json",
              nullptr);
        _exit(127);
    }
    close(ends[1]);
    const std::string bar = read_until(terminal, " left");
    EXPECT_NE(bar.find("first signal ["), std::string::npos) << bar;
    EXPECT_NE(bar.find(" %, "), std::string::npos) << bar;
    kill(child, SIGINT);
    const std::string out = read_until(ends[0], "nothing ends it but the end");
    int status = 0;
    waitpid(child, &status, 0);
    close(ends[0]);
    close(terminal);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 130);
    const auto json = nlohmann::json::parse(out);
    EXPECT_EQ(json["traces"][0]["cancelled"], true);
    EXPECT_LT(json["traces"][0]["samples"], 1000000);
    EXPECT_GT(json["traces"][0]["samples"], 0);
}

}  // namespace
