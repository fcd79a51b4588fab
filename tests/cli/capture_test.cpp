/// `voltsill capture` from outside: exit codes, streams, forms, refusals.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "support/program.h"

namespace {
namespace fs = std::filesystem;

using voltsill::testing::Folder;
using voltsill::testing::Outcome;

/// Both streams as a person sees them; `input` is fed to standard input.
Outcome run_capture(const std::string& arguments, const std::string& input = "/dev/null", bool with_errors = true) {
    return voltsill::testing::run_program("capture " + arguments, with_errors, input);
}

const std::string examples_root = VOLTSILL_ROOT, station = examples_root + "/examples/rain-garden.toml ";

/// A square wave as a table, 2 kHz.
std::string square_csv(double low, double high) {
    std::ostringstream out;
    out << "Time,CH1\nSecond,Volt\n";
    for (int k = 0; k < 20000; ++k) out << k * 1e-6 << ',' << (k / 250 % 2 ? high : low) << '\n';
    return out.str();
}

TEST(CaptureProgram, HoldsAChannelAgainstItsLink) {
    const Folder folder;
    const std::string ok = folder.write("ok.csv", square_csv(0.0, 3.3)),
                      over = folder.write("over.csv", square_csv(0.0, 5.0));
    const std::string command = station, map = " --map CH1=\"tank echo\"";
    const Outcome good = run_capture(command + ok + map), bad = run_capture(command + over + map);
    EXPECT_EQ(good.code, 0) << good.out;
    EXPECT_NE(good.out.find("tank echo at controller.D2"), std::string::npos);
    EXPECT_NE(good.out.find("2 kHz"), std::string::npos);
    EXPECT_EQ(bad.code, 1);
    EXPECT_NE(bad.out.find("harmful"), std::string::npos);
    EXPECT_NE(run_capture(command + over + map + " --quiet").out.find("beyond what it stands"), std::string::npos);
    EXPECT_EQ(run_capture(command + ok + map + " --scale CH1=10").code, 1) << "33 V";
}

TEST(CaptureProgram, ReadsStandardInputAndWritesEveryForm) {
    const Folder folder;
    const std::string csv = folder.write("a.csv", square_csv(0.0, 3.3)), out = folder.path("out");
    const Outcome piped = run_capture(station + "- --json --map CH1=controller.D2 --out " + out, csv);
    EXPECT_EQ(piped.code, 0) << piped.out;
    const auto json = nlohmann::json::parse(piped.out);
    EXPECT_EQ(json["format"], "voltsill-capture-1");
    EXPECT_EQ(json["mapped"][0]["point"], "controller.D2");
    EXPECT_NEAR(json["channels"][0]["pulses"]["frequency"]["value"].get<double>(), 2000, 0.1);
    EXPECT_FALSE(json["partial"].get<bool>());
    for (const char* name : {"out/capture.html", "out/capture.md", "out/capture.json"})
        EXPECT_GT(fs::file_size(folder.path(name)), 500u) << name;
    EXPECT_NE(run_capture(station + "--html " + csv).out.find("<!DOCTYPE html>"), std::string::npos);
}

TEST(CaptureProgram, RefusesWithTheNearestRightName) {
    const Folder folder;
    const std::string csv = folder.write("a.csv", square_csv(0.0, 3.3)), command = station;
    const Outcome link = run_capture(command + csv + " --map CH1=\"tank eco\""),
                  channel = run_capture(command + csv + " --map CH2=\"tank echo\"");
    EXPECT_EQ(link.code, 3);
    EXPECT_NE(link.out.find("did you mean \"tank echo\""), std::string::npos);
    EXPECT_EQ(channel.code, 3);
    EXPECT_NE(channel.out.find("did you mean \"CH1\""), std::string::npos);
    EXPECT_EQ(run_capture(command + "/no/such.csv").code, 3);
    EXPECT_EQ(run_capture(command + examples_root).code, 3);
    EXPECT_EQ(run_capture(command + folder.write("b.csv", "nothing here\n")).code, 3);
    EXPECT_EQ(run_capture(command + csv + " --glitch often").code, 2);
    EXPECT_EQ(run_capture(command + csv + " --accuracy 70%").code, 2);
    EXPECT_EQ(run_capture(command).code, 2);
}

TEST(CaptureProgram, ListsChannelsWithoutAMapAndTakesThoseNamedLikeALink) {
    const Folder folder;
    const std::string dump = folder.write(
        "a.vcd",
        "$timescale 1 us $end $scope module pod $end $var wire 1 ! D0 $end $var wire 1 \" tank_echo $end "
        "$upscope $end $enddefinitions $end\n#0 0! 0\"\n#100 1!\n#200 0!\n#300 1!\n#400\n");
    const Outcome plain = run_capture(station + dump);
    EXPECT_EQ(plain.code, 0);
    EXPECT_NE(plain.out.find("pod.D0"), std::string::npos);
    EXPECT_NE(plain.out.find("--map"), std::string::npos);
    const std::string csv =
        folder.write("named.csv", "Time,tank echo\n0,0\n0.1,3.3\n0.2,0\n0.3,3.3\n0.4,0\n");
    EXPECT_NE(run_capture(station + csv).out.find("tank echo at controller.D2"), std::string::npos);
}

TEST(CaptureProgram, AFileCutOffIsMarkedPartial) {
    const Folder folder;
    std::string bytes = square_csv(0.0, 3.3);
    bytes.resize(bytes.rfind(','));
    const Outcome r = run_capture(station + "--json " + folder.write("cut.csv", bytes), "/dev/null", false);
    EXPECT_TRUE(nlohmann::json::parse(r.out)["partial"].get<bool>());
}

}  // namespace
