/// Sheets against the values and wirings they are made from.
#include "engine/sheets.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "documents/markdown.h"
#include "documents/terminal.h"
#include "quantity/parse.h"
#include "schema_check.h"

namespace voltsill {
namespace {

const std::vector<std::string> examples = {"first-bench", "rain-garden", "two-way-bus",   "unknown-module",
                                           "eight-pairs", "up-shift",    "existing-build"};

std::string bytes_of(const std::string& name) {
    std::ifstream in(std::string(VOLTSILL_ROOT) + "/examples/" + name + ".toml", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

const SheetsResult& sheets_of(const std::string& name) {
    static std::map<std::string, SheetsResult> made;
    const auto at = made.find(name);
    if (at != made.end()) return at->second;
    SheetsOptions options;
    options.seats = 6;
    return made.emplace(name, make_sheets(bytes_of(name), name + ".toml", {}, options)).first->second;
}

const doc::Document& document(const SheetsResult& result, const std::string& name) {
    for (const NamedDocument& d : result.documents)
        if (d.name == name) return d.document;
    throw std::runtime_error("no sheet " + name);
}

class Example : public ::testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Sheets, Example, ::testing::ValuesIn(examples),
                         [](const auto& p) { return std::regex_replace(p.param, std::regex("-"), "_"); });

TEST_P(Example, StepsHoldEveryWireOnceInASafeOrder) {
    const Sheets& s = sheets_of(GetParam()).sheets;
    std::map<int, WireUse> use;
    for (const BuildWire& w : s.wires) EXPECT_TRUE(use.emplace(w.number, w.use).second) << w.number;
    std::vector<int> laid;
    for (const BuildPhase& phase : s.phases)
        for (const BuildStep& step : phase.steps)
            if (step.wire) laid.push_back(step.wire);
    EXPECT_EQ(std::set<int>(laid.begin(), laid.end()).size(), laid.size()) << "a wire twice";
    EXPECT_EQ(laid.size(), s.wires.size()) << "a wire left out";
    const auto last = [&](WireUse wanted) {
        for (size_t k = laid.size(); k-- > 0;)
            if (use.at(laid[k]) == wanted) return static_cast<long>(k);
        return -1L;
    };
    const auto first = [&](WireUse wanted) {
        for (size_t k = 0; k < laid.size(); ++k)
            if (use.at(laid[k]) == wanted) return static_cast<long>(k);
        return static_cast<long>(laid.size());
    };
    EXPECT_LT(last(WireUse::ground), first(WireUse::supply));
    EXPECT_LT(last(WireUse::supply), first(WireUse::strap));
    EXPECT_LT(last(WireUse::supply), first(WireUse::signal));
    EXPECT_LT(last(WireUse::strap), first(WireUse::signal));
    EXPECT_EQ(s.phases.front().title, "Power off");
}

TEST_P(Example, EveryAddedPartIsPutInOnce) {
    const Sheets& s = sheets_of(GetParam()).sheets;
    std::multiset<int> put;
    for (const BuildPhase& phase : s.phases)
        for (const BuildStep& step : phase.steps)
            if (step.part >= 0) put.insert(step.part);
    for (int p = 0; p < static_cast<int>(s.wiring().parts.size()); ++p)
        if (s.wiring().parts[p].added) {
            EXPECT_EQ(put.count(p), 1u) << s.wiring().parts[p].name;
        }
}

TEST_P(Example, LinkReadingsAreReadings) {
    const SheetsResult& r = sheets_of(GetParam());
    const std::vector<StateReading> all = readings(*r.bench, r.sheets.wiring());
    for (const LinkReading& l : r.sheets.levels) {
        const bool there = std::ranges::any_of(all, [&](const StateReading& x) {
            return x.point == l.reading.point && x.state == l.reading.state && x.net == l.reading.net &&
                   x.lo == l.reading.lo && x.hi == l.reading.hi && x.nominal == l.reading.nominal &&
                   x.level == l.reading.level;
        });
        EXPECT_TRUE(there) << l.link << " at " << l.reading.point << ", " << l.reading.state;
    }
    for (const Link& link : r.bench->links)
        for (const PinRef& end : link.to)
            EXPECT_TRUE(std::ranges::any_of(r.sheets.levels,
                                            [&](const LinkReading& l) {
                                                return l.link == link.name && l.receiver &&
                                                       l.reading.point == end.part + "." + end.pin;
                                            }))
                << link.name << " is never read at " << end.part << "." << end.pin;
}

/// "| set | point | lo to hi | nominal | ..." of the Markdown of the sheet with answers.
TEST_P(Example, PrintedLevelsAreThoseOfTheReadings) {
    const SheetsResult& r = sheets_of(GetParam());
    const std::vector<StateReading> all = readings(*r.bench, r.sheets.wiring());
    std::stringstream text(doc::render_markdown(document(r, "answers")));
    const auto volts = [](std::string words) {
        words = std::regex_replace(words, std::regex("\xC2\xA0"), " ");
        const auto span = parse<Volts>(words);
        EXPECT_TRUE(span.has_value()) << words;
        return span ? span->nominal.si() : NAN;
    };
    const std::regex row(
        R"(\| (.+) (high|low|released|any level) +\| (.+?) +\| (.+?) +\| (.+?) +\| (high|low|-).*)");
    int rows = 0;
    for (std::string line; std::getline(text, line);) {
        line = std::regex_replace(line, std::regex("\xC2\xA0"), " ");
        std::smatch m;
        if (!std::regex_match(line, m, row)) continue;
        ++rows;
        const std::string point = m[3], window = m[4], nominal = m[5];
        if (window == "floats") continue;
        const size_t to = window.find(" to ");
        const double lo = volts(window.substr(0, to)),
                     hi = to == std::string::npos ? lo : volts(window.substr(to + 4)), mid = volts(nominal);
        const auto near = [](double printed, double exact) {  // three digits are printed
            return std::abs(printed - exact) <= 0.006 * std::abs(exact) + 0.6e-3;
        };
        EXPECT_TRUE(std::ranges::any_of(all, [&](const StateReading& x) {
            return x.point == point && x.state.starts_with("all rails up") && near(lo, x.lo) &&
                   near(hi, x.hi) && near(mid, x.nominal);
        })) << line;
    }
    EXPECT_EQ(rows, static_cast<int>(r.sheets.levels.size())) << "every reading is on the sheet";
}

/// A meter at a learner's pin must not look right at the volts of another rail.
TEST(BenchCard, ShowsEachSideOfABusByItself) {
    const SheetsResult& r = sheets_of("two-way-bus");
    std::map<std::string, std::string> row_of;
    for (const auto& block : bench_card(*r.bench, r.sheets).blocks)
        if (const auto* table = std::get_if<doc::Table>(&block); table && table->columns[0].title == "link")
            for (const auto& row : table->rows)
                row_of[doc::plain_text(row[0]) + " at " + doc::plain_text(row[2])] =
                    doc::plain_text(row[1]) + ": " + doc::plain_text(row[4]);
    const std::string low_side = "2.99 V to 3.4 V", high_side = "4.7 V to 5.25 V";  // 4.75 V less 10 uA by 4.935 kohm
    EXPECT_EQ(row_of,
              (std::map<std::string, std::string>{
                  {"data line at sensor.SDA, controller.SDA", "sensor.SDA, display.SDA, clock.SDA: " + low_side},
                  {"data line at display.SDA, clock.SDA", "controller.SDA: " + high_side},
                  {"clock line at sensor.SCL, controller.SCL", "sensor.SCL, display.SCL, clock.SCL: " + low_side},
                  {"clock line at display.SCL, clock.SCL", "controller.SCL: " + high_side}}));
}

TEST_P(Example, KitCountsAreCountsTimesSeatsAndSpares) {
    const Sheets& s = sheets_of(GetParam()).sheets;
    std::map<std::string, int> count;
    for (const PartsListEntry& entry : parts_list(s.wiring())) count[entry.what] = entry.count;
    int wires = 0, parts = 0, supplies = 0;
    for (const KitEntry& k : s.kit) {
        EXPECT_EQ(k.seats, 6);
        EXPECT_EQ(k.total(), k.per_seat * 6 + k.spares) << k.what;
        EXPECT_GT(k.spares, 0) << k.what;
        const std::string name = k.what.substr(0, k.what.find(": "));  // a module's title comes after its name
        if (count.contains(name)) {
            EXPECT_EQ(k.per_seat, count[name]) << k.what;
            ++parts;
        } else if (k.what.starts_with("supply")) {
            supplies += k.per_seat;
        } else if (k.what.find("wire") != std::string::npos) {
            wires += k.per_seat;
            EXPECT_EQ(k.spares, k.per_seat * 6) << "as many again";
        }
    }
    EXPECT_EQ(parts, static_cast<int>(count.size()));
    EXPECT_EQ(supplies, std::ranges::count(sheets_of(GetParam()).bench->rails, "", &Rail::from));
    EXPECT_EQ(wires, static_cast<int>(s.wires.size()));
}

TEST_P(Example, JsonMatchesItsClosedSchema) {
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(sheets_of(GetParam())))), "");
}

TEST_P(Example, EverySheetSaysItsVersionAndCare) {
    const SheetsResult& r = sheets_of(GetParam());
    for (const char* name : {"build", "test", "answers", "card", "parts"})
        EXPECT_NE(doc::render_terminal(document(r, name)).find(r.sheets.version), std::string::npos) << name;
    for (const char* name : {"build", "test", "learner", "answers", "card"}) {
        std::string text = doc::render_markdown(document(r, name));
        text = std::regex_replace(text, std::regex("\\s+"), " ");
        EXPECT_NE(text.find("local codes and licensed practice"), std::string::npos) << name;
    }
}

TEST(Sheets, AnswersAreTheInstructorsOnly) {
    const SheetsResult& r = sheets_of("first-bench");
    for (const char* spoiler : {"nominal", "else it is"}) {
        EXPECT_NE(doc::render_markdown(document(r, "answers")).find(spoiler), std::string::npos);
        EXPECT_EQ(doc::render_markdown(document(r, "learner")).find(spoiler), std::string::npos);
    }
}

/// 5 V cannot be made safe at 3.3 V with an empty drawer.
TEST(Sheets, WhatMayNotBeBuiltIsSaidLoudly) {
    const SheetsResult r =
        make_sheets(bytes_of("first-bench") + "\n[stock]\n\"npn\" = 0\n", "x.toml", {}, SheetsOptions{});
    ASSERT_TRUE(r.bench);
    for (const char* name : {"build", "test"}) {
        const std::string text = doc::render_terminal(document(r, name));
        EXPECT_NE(text.find("STOP"), std::string::npos) << name;
        EXPECT_LT(text.find("STOP"), 700u) << "not on the first page of " << name;
        EXPECT_NE(text.find("first signal"), std::string::npos);
    }
    EXPECT_EQ(doc::render_terminal(document(sheets_of("first-bench"), "build")).find("STOP"),
              std::string::npos);
}

/// FIPS 180-4, by another program: coreutils.
TEST(Sheets, VersionIsTheStartOfSha256) {
    EXPECT_EQ(version_of("abc", 64), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(version_of("abc"), "ba7816bf");  // FIPS 180-4 example, SHA-256 of "abc"
    const std::string path = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";
    FILE* pipe = popen(("sha256sum '" + path + "' | cut -c1-8").c_str(), "r");
    std::array<char, 9> digits{};
    ASSERT_EQ(fread(digits.data(), 1, 8, pipe), 8u);
    pclose(pipe);
    EXPECT_EQ(sheets_of("first-bench").sheets.version, digits.data());
}

SheetsResult since(const std::string& now, const std::string& before) {
    SheetsOptions options;
    options.audience = Audience::build;
    options.since = before;
    options.since_file = "old.toml";
    return make_sheets(now, "new.toml", {}, options);
}

TEST(Changes, TheSameBenchHasNone) {
    for (const std::string& name : examples) {
        const SheetsResult r = since(bytes_of(name), bytes_of(name));
        ASSERT_TRUE(r.changes) << name;
        EXPECT_TRUE(r.changes->changes.empty()) << name;
        EXPECT_TRUE(r.changes->sheets.empty()) << name;
        EXPECT_TRUE(r.changes->steps.empty()) << name;
    }
}

TEST(Changes, ForthAndBackMirror) {
    const std::string old = bytes_of("first-bench");
    const std::vector<std::string> others = {
        std::regex_replace(old, std::regex("4\\.75\\.\\.5\\.25 V\", limit"), "4.9..5.1 V\", limit"),
        std::regex_replace(old, std::regex("10 kHz"), "20 kHz"),
        std::regex_replace(old, std::regex("first signal"), "other signal"), bytes_of("up-shift"),
        bytes_of("rain-garden")};
    for (const std::string& other : others) {
        ASSERT_NE(old, other);
        const auto forth = since(other, old).changes->changes, back = since(old, other).changes->changes;
        EXPECT_FALSE(forth.empty());
        ASSERT_EQ(forth.size(), back.size());
        for (Change c : forth) {
            std::swap(c.was, c.is);
            c.kind = c.kind == Change::Kind::added     ? Change::Kind::removed
                     : c.kind == Change::Kind::removed ? Change::Kind::added
                                                       : c.kind;
            EXPECT_NE(std::ranges::find(back, c), back.end()) << c.what << " " << c.name;
        }
    }
}

TEST(Changes, NameTheRailAndWhatToPrintAgain) {
    const std::string old = bytes_of("first-bench");
    const std::string now =
        std::regex_replace(old, std::regex("4\\.75\\.\\.5\\.25 V\", limit"), "4.9..5.1 V\", limit");
    const SheetsResult r = since(now, old);
    ASSERT_EQ(r.changes->changes.size(), 1u);
    EXPECT_EQ(r.changes->changes[0].what, "rail");
    EXPECT_EQ(r.changes->changes[0].name, "five");
    EXPECT_EQ(r.changes->changes[0].kind, Change::Kind::changed);
    EXPECT_TRUE(r.changes->steps.empty()) << "no wire moved";
}

TEST(Sheets, CanBeStopped) {
    const SheetsResult r = make_sheets(bytes_of("first-bench"), "x.toml", {}, SheetsOptions{},
                                       [](double, const std::string&) { return false; });
    EXPECT_TRUE(r.cancelled);
    EXPECT_TRUE(r.documents.empty());
}

}  // namespace
}  // namespace voltsill
