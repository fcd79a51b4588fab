/// The table of a fault finder (common practice, no source): what a learner says, and what to test first. Each row as
/// readings of a build: every cause, planted, is predicted to read so, and is among the first suspects of who reads so.
#include <gtest/gtest.h>

#include <set>

#include "faults/diagnosis.h"
#include "faults/placed_benches.h"
#include "faults/reading_lines.h"

namespace voltsill {
namespace {

Dictionary& dictionary_of(const std::string& name) {
    static std::map<std::string, std::unique_ptr<Dictionary>> made;
    auto& one = made[name];
    const placed::Build& build = placed::named(name);
    if (!one) one = std::make_unique<Dictionary>(build.bench, build.placed, faults_of(build.bench, build.placed));
    return *one;
}

std::vector<Reading> said_in(Dictionary& dictionary, const std::vector<std::string>& lines) {
    std::vector<Reading> out;
    const ReadingsRead read = read_reading_lines(lines, "x", dictionary.questions());
    for (const Problem& p : read.problems) ADD_FAILURE() << p.message;
    if (read.file)
        for (const GivenReading& given : read.file->readings) out.push_back(given.reading);
    return out;
}

/// Whether a meter (1 % and 20 mV) would read so with this fault.
bool reads_so(const Dictionary& dictionary, const Reading& said, int hypothesis) {
    const Prediction p = dictionary.predict(said.question, hypothesis);
    if (!p.known) return false;
    if (p.kind == Prediction::Kind::chance) return (said.kind == Reading::Kind::yes) == (p.yes >= 0.5);
    if (said.kind == Reading::Kind::drifts || p.floats) return p.floats && said.kind == Reading::Kind::drifts;
    const double error = 0.02 + 0.01 * std::abs(said.value);
    return said.value >= p.lo - error && said.value <= p.hi + error;
}

constexpr std::size_t first_suspects = 10;

std::set<FaultKind> first_kinds_of(const Dictionary& dictionary, const std::vector<Reading>& said) {
    const Diagnosis d = diagnose(dictionary, said);
    std::set<FaultKind> out;
    for (std::size_t k = 0; k < std::min(first_suspects, d.suspects.size()); ++k)
        for (const int h : d.suspects[k].hypotheses)
            if (const int f = dictionary.hypotheses()[h].first; f >= 0) out.insert(dictionary.faults()[f].kind);
    return out;
}

struct SymptomRow {
    const char* says;
    const char* bench;
    std::vector<std::string> lines;
    std::vector<FaultKind> causes;  ///< each must be predicted to show it, and be among the first suspects
};

TEST(SymptomRows, EachCauseShowsTheSymptomAndIsAmongTheFirstSuspects) {
    using enum FaultKind;
    const std::vector<SymptomRow> rows{
        {"nothing works at all", "first-bench.toml", {"nothing works"}, {supply_off, ground_not_common}},
        {"works when I touch it",
         "first-bench.toml",
         {"first signal fails", "first signal works when touched"},
         {pin_open, wire_missing}},
        {"works when I touch it", "first-bench.toml", {"receiver.IN = drifts"}, {wire_missing}},
        {"the 3.3 V rail reads 3.6 V to 4.4 V", "first-bench.toml", {"rail three = 3.96 V"}, {supply_high}},
        {"analyser clean, circuit fails",
         "up-shift.toml",
         {"lamp on looks clean on an analyser but fails"},
         {contact_resistance}},
        {"fine slowly, garbage fast", "two-way-bus.toml", {"data line fine slowly, garbage fast"}, {near_namesake}},
        {"fine alone, fails with the second module",
         "two-way-bus.toml",
         {"data line works alone, fails while others talk"},
         {pull_doubled}},
        {"always on", "up-shift.toml", {"lamp.IN = 3.3 V when controller.D2 low"}, {output_stuck_high}},
        {"resets when a load switches",
         "up-shift.toml",
         {"dips at controller = yes"},
         {contact_resistance, supply_low}},
        {"resets when a load switches", "up-shift.toml", {"dips at U1 = yes"}, {decoupling_missing}},
        {"a hot chip", "first-bench.toml", {"U1 gets hot"}, {part_turned}},
        {"failed after being moved to another bench", "first-bench.toml", {"rail five = 4.4 V"}, {supply_low}},
        {"failed after being moved to another bench", "first-bench.toml", {"rail five = 5.8 V"}, {supply_high}},
    };
    for (const SymptomRow& row : rows) {
        Dictionary& dictionary = dictionary_of(row.bench);
        const std::vector<Reading> said = said_in(dictionary, row.lines);
        const std::set<FaultKind> first = first_kinds_of(dictionary, said);
        for (const FaultKind cause : row.causes) {
            int shows = 0;
            for (int h = 1; h <= std::ssize(dictionary.faults()); ++h)
                shows += dictionary.faults()[h - 1].kind == cause &&
                         std::ranges::all_of(said, [&](const Reading& r) { return reads_so(dictionary, r, h); });
            EXPECT_GT(shows, 0) << row.says << ": " << row.lines.back() << ": " << to_key(cause);
            EXPECT_TRUE(first.contains(cause)) << row.says << ": " << row.lines.back() << ": " << to_key(cause);
        }
        EXPECT_TRUE(std::ranges::any_of(said, [&](const Reading& r) { return !reads_so(dictionary, r, 0); }))
            << row.says << ": the build as planned does it, too";
    }
}

/// Rows of which the number is the build's own: half of a rail, and the level of the neighbour. The fault is planted,
/// the meter read, and the reading given back with what works and what does not.
TEST(SymptomRows, HalfARailAndTheLevelOfANeighbour) {
    struct Wanted {
        const char* says;
        const char* bench;
        FaultKind cause;
        double lo, hi;  ///< share of 5 V at which the symptom stands
    };
    for (const Wanted& row :
         {Wanted{"half-rail voltage, steady", "many ways", FaultKind::strong_pull, 0.3, 0.6},
          Wanted{"output right, one place over", "up-shift.toml", FaultKind::neighbours_swapped, 0.9, 1.1}}) {
        Dictionary& dictionary = dictionary_of(row.bench);
        int planted = 0, found = 0;
        for (int h = 1; h <= std::ssize(dictionary.faults()) && planted < 3; ++h) {
            if (dictionary.faults()[h - 1].kind != row.cause) continue;
            for (const int q : dictionary.worth_asking()) {
                const Prediction now = dictionary.predict(q, h), planned = dictionary.predict(q, 0);
                if (now.kind != Prediction::Kind::volts || !now.known || now.floats || planned.floats) continue;
                if (now.may_float || now.gap_lo < now.gap_hi) continue;  // one of several readings
                if (now.nominal < 5 * row.lo || now.nominal > 5 * row.hi || !told_apart(now, planned)) continue;
                ++planted;
                std::vector<Reading> said{{.question = q, .value = now.nominal}};
                for (int link = 0; link < std::ssize(dictionary.questions().bench().links); ++link) {
                    const int works = dictionary.questions().behaviour(Behaviour::link_works, link);
                    said.push_back(
                        {.question = works,
                         .kind = dictionary.predict(works, h).yes > 0.5 ? Reading::Kind::yes : Reading::Kind::no});
                }
                found += first_kinds_of(dictionary, said).contains(row.cause);
                break;
            }
        }
        EXPECT_GT(planted, 0) << row.says;
        EXPECT_EQ(found, planted) << row.says;
    }
}

}  // namespace
}  // namespace voltsill
