// Marking held against builds whose mistake is known: every slip is one this test made itself, by with_slip.
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <thread>

#include "placement/example_benches.h"
#include "support/generated_bench.h"
#include "support/how_many.h"
#include "support/made_builds.h"
#include "support/random_text.h"
#include "support/wiring_differences.h"
#include "teaching/class_summary.h"

namespace {

using namespace voltsill;

struct Ready {
    std::unique_ptr<PreparedMarking> marking;
    std::vector<Slip> slips;
    const PlacedWiring& build() const { return marking->build(); }
};

Ready ready_for(const Bench& bench, const Wiring& wiring) {
    Ready out;
    PlacedWiring placed = place(bench, wiring, {.effort = 0.2});
    EXPECT_EQ(placed.trouble, "");
    out.slips = slips_of(bench, placed.wiring, placed.placement);
    out.marking = std::make_unique<PreparedMarking>(bench, std::move(placed));
    return out;
}

const Ready& first_bench() {
    static const Ready ready = [] {
        const examples::Example e = examples::read("first-bench.toml");
        return ready_for(e.bench, e.wiring);
    }();
    return ready;
}

Ready generated(int seed) {
    BenchReading reading = read_bench(test::generated_bench(seed, 2 + seed % 4, "\"full\""), "made.toml");
    return ready_for(*reading.bench, plan(*reading.bench).wiring);
}

std::string file_with(const Ready& ready, const Slip& slip) {
    return made::file_of(ready.build(), with_slip(ready.build().placement, slip));
}

const CriterionMark& criterion(const MarkedBuild& marked, std::string_view id) {
    return *std::ranges::find(marked.criteria, id, &CriterionMark::id);
}

/// The slip, or another that makes the same nets: its number of a wire or its part is in the words, or it is
/// the one that `slips_of` lists for these nets.
bool names(const Ready& ready, const Mistake& mistake, const Slip& slip) {
    const Placement& placement = ready.build().placement;
    if (slip.wire < 0) return mistake.words.find(ready.build().wiring.parts[slip.part].name) != std::string::npos;
    if (std::ranges::find(mistake.wires, placement.wires[slip.wire].number) != mistake.wires.end()) return true;
    return slip.other >= 0 &&
           std::ranges::find(mistake.wires, placement.wires[slip.other].number) != mistake.wires.end();
}

TEST(Marking, AsPlannedGetsAllThatIsNotReadOrGivenByHand) {
    const Ready& ready = first_bench();
    const MarkedBuild m =
        mark_build(*ready.marking, made::file_of(ready.build(), ready.build().placement), "a/anna.csv");
    EXPECT_EQ(m.learner, "anna");
    EXPECT_TRUE(m.as_planned);
    EXPECT_TRUE(m.mistakes.empty());
    EXPECT_DOUBLE_EQ(criterion(m, "supplies").points, 20);
    EXPECT_DOUBLE_EQ(criterion(m, "function").points, 20);
    EXPECT_DOUBLE_EQ(criterion(m, "levels").points, 0);  // no reading
    EXPECT_DOUBLE_EQ(m.open, 30);
    EXPECT_EQ(m.stop, "");
}

/// Of nothing wired each missing wire is judged on a build that is right otherwise: a supply whose plus or 0 V is
/// not joined feeds nothing. What is not a wire of its own is no mistake.
TEST(Marking, AnEmptyBuildLacksWhatTheSheetJoins) {
    const MarkedBuild m = mark_build(*first_bench().marking, "kind,from,to\n", "empty.csv");
    ASSERT_TRUE(m.readable);
    EXPECT_FALSE(m.mistakes.empty());
    for (const Mistake& x : m.mistakes) {
        EXPECT_EQ(x.kind, MistakeKind::wire_missing) << x.words;
        if (x.words.find("supply ") != std::string::npos) EXPECT_EQ(x.harm, Verdict::unreadable) << x.words;
        EXPECT_EQ(x.words.find("supply three + to rail three"), std::string::npos) << "it is that rail";
    }
}

// Every part turned together with a wire that is missing: two mistakes, named as they were made.
TEST(Marking, ATurnedPartIsNamedBesideAnotherMistake) {
    const Ready ready = generated(3);
    std::vector<Slip> missing;
    for (const Slip& slip : ready.slips)
        if (slip.kind == SlipKind::wire_missing) missing.push_back(slip);
    ASSERT_GT(missing.size(), 5u);
    int tried = 0;
    for (const Slip& turn : ready.slips) {
        if (turn.kind != SlipKind::part_turned) continue;
        const Slip& lost = missing[static_cast<std::size_t>(++tried) * 7 % missing.size()];
        const Placement made = with_slip(with_slip(ready.build().placement, turn), lost);
        const MarkedBuild m = mark_build(*ready.marking, made::file_of(ready.build(), made), "x.csv");
        std::string named;
        for (const Mistake& x : m.mistakes) named += x.words + "; ";
        ASSERT_EQ(m.mistakes.size(), 2u) << named;
        const auto turned = std::ranges::find(m.mistakes, MistakeKind::part_turned, &Mistake::kind);
        ASSERT_NE(turned, m.mistakes.end()) << named;
        EXPECT_TRUE(names(ready, *turned, turn)) << named;
        EXPECT_TRUE(names(ready, m.mistakes[turned == m.mistakes.begin()], lost)) << named;
    }
    EXPECT_GT(tried, 1);
}

// One signal wire that harms, of a bench with several links: only links on its nets, or of which a judgement of the
// whole build says so, count as not working.
TEST(Marking, HarmOnOneLinkLeavesTheOthersTheirMarks) {
    const Ready ready = generated(3);
    const Bench& bench = ready.marking->bench();
    const Judgement base = judge(bench, ready.build().wiring);
    int tried = 0;
    for (const Slip& slip : ready.slips) {
        if (slip.wire < 0 || tried == 20) continue;
        const MarkedBuild m = mark_build(*ready.marking, file_with(ready, slip), "x.csv");
        if (m.harm != Verdict::harmful || m.mistakes.size() != 1 || m.mistakes[0].gate != 3) continue;
        ++tried;
        const Judgement now =
            judge(bench, wiring_of(bench, ready.build().wiring, with_slip(ready.build().placement, slip)));
        for (const std::string& link : m.failing) {
            const auto verdict = [&](const Judgement& j) {
                return std::ranges::find(j.links, link, &LinkJudgement::link)->verdict;
            };
            const auto& own = m.mistakes[0].links;
            EXPECT_TRUE(verdict(now) > verdict(base) || std::ranges::find(own, link) != own.end())
                << m.mistakes[0].words << " and " << link;
        }
    }
    EXPECT_GT(tried, 3);
}

TEST(Marking, ReasonsSayWhatIsJoined) {
    const Ready& ready = first_bench();
    const Wiring& wiring = ready.build().wiring;
    const auto reasons_of = [&](const Placement& placement) {
        std::string out;
        const MarkedBuild m = mark_build(*ready.marking, made::file_of(ready.build(), placement), "x.csv");
        for (const std::string& reason : criterion(m, "supplies").reasons) out += reason + '\n';
        return out;
    };
    const int receiver = wiring.part("receiver"), vcc = wiring.parts[receiver].type->pin_index("VCC");
    const WireEnd pin{.kind = WireEnd::Kind::pin, .part = receiver, .pin = vcc};
    ASSERT_GE(vcc, 0);
    const std::vector<Rail>& rails = ready.marking->bench().rails;
    ASSERT_EQ(rails.size(), 2u);
    const std::string own = wiring.nets[wiring.parts[receiver].net_of_pin[vcc]].rail;
    const std::string other = rails[rails[0].name == own].name;
    Placement moved = ready.build().placement;
    for (LaidWire& wire : moved.wires)
        for (WireEnd* end : {&wire.from, &wire.to})
            if (*end == pin) (end == &wire.from ? wire.to : wire.from) = {.kind = WireEnd::Kind::supply, .rail = other};
    const std::string on_other = reasons_of(moved);
    EXPECT_NE(on_other.find(fmt::format("receiver.VCC is on rail {} in place of rail {}", other, own)),
              std::string::npos)
        << on_other;
    EXPECT_EQ(on_other.find("nothing on it counts"), std::string::npos) << on_other;
    Placement joined = ready.build().placement;
    joined.wires.push_back(
        {.from = {.kind = WireEnd::Kind::supply, .rail = own}, .to = {.kind = WireEnd::Kind::supply, .rail = other}});
    const std::string both = reasons_of(joined);
    EXPECT_NE(both.find(fmt::format("rail {} is joined with rail {}: nothing on it counts", own, other)),
              std::string::npos)
        << both;
}

// 500 builds with a known slip each: the smallest bench and generated ones.
TEST(Marking, NamesTheSlipThatWasMade) {
    unsigned tried = 0;
    std::map<std::string, int> wrong;
    const auto try_all = [&](const Ready& ready, unsigned most) {
        const std::size_t step = std::max<std::size_t>(1, ready.slips.size() / most);
        for (std::size_t k = 0; k < ready.slips.size(); k += step, ++tried) {
            const Slip& slip = ready.slips[k];
            const MarkedBuild m = mark_build(*ready.marking, file_with(ready, slip), "x.csv");
            EXPECT_FALSE(m.as_planned);
            const bool one = m.mistakes.size() == 1;
            if (!one || !names(ready, m.mistakes[0], slip)) {
                const std::string made = words(ready.build().wiring, ready.build().placement, slip);
                std::string named;
                for (const Mistake& x : m.mistakes) named += x.words + "; ";
                // Another slip may make the same nets: then that one may be named.
                const auto other = std::ranges::find_if(ready.slips, [&](const Slip& s) {
                    return one && names(ready, m.mistakes[0], s) &&
                           test::differences(nets_of_holes(ready.marking->bench(), ready.build().wiring,
                                                           with_slip(ready.build().placement, s)),
                                             nets_of_holes(ready.marking->bench(), ready.build().wiring,
                                                           with_slip(ready.build().placement, slip)))
                               .empty();
                });
                if (other == ready.slips.end()) ADD_FAILURE() << made << " was named " << named;
            }
        }
    };
    try_all(first_bench(), 200);
    for (int seed = 0; tried < made::how_many(500) && seed < 12; ++seed) try_all(generated(seed), 80);
    EXPECT_GE(tried, made::how_many(500));
}

// The verdict of a build with one slip is that of judge_slips, which judges each slip by itself.
TEST(Marking, HarmIsThatOfTheSlip) {
    const Ready& ready = first_bench();
    const auto& placed = ready.build();
    const std::vector<SlipHarm> harms =
        judge_slips(ready.marking->bench(), placed.wiring, placed.placement, ready.slips);
    ASSERT_EQ(harms.size(), ready.slips.size());
    for (std::size_t k = 0; k < harms.size(); ++k) {
        const MarkedBuild m = mark_build(*ready.marking, file_with(ready, ready.slips[k]), "x.csv");
        EXPECT_EQ(m.harm, harms[k].verdict) << words(placed.wiring, placed.placement, ready.slips[k]);
        EXPECT_EQ(m.stop.empty(), m.harm != Verdict::harmful);
    }
}

/// The one mistake of a build with one slip, or none where it is named as several.
std::optional<Mistake> only_mistake(const Ready& ready, const std::string& file) {
    MarkedBuild m = mark_build(*ready.marking, file, "x.csv");
    return m.mistakes.size() == 1 ? std::optional(std::move(m.mistakes[0])) : std::nullopt;
}

// Gates of docs/marking.md (order of the trade: common practice, no source). Which wires belong to rails and ground is
// taken from the placement, not from the marking: their continuity is read with the power off,
// the rest is read as levels.
TEST(Marking, AWireThatIsMissingIsMetAtTheGateThatReadsIt) {
    std::map<int, int> met;
    const auto try_all = [&](const Ready& ready) {
        for (const Slip& slip : ready.slips) {
            if (slip.kind != SlipKind::wire_missing) continue;
            const auto mistake = only_mistake(ready, file_with(ready, slip));
            if (!mistake) continue;
            const LaidWire& wire = ready.build().placement.wires[slip.wire];
            const Net& net = ready.build().wiring.nets.at(static_cast<std::size_t>(wire.net));
            const bool supplied = net.ground || !net.rail.empty();
            EXPECT_EQ(mistake->gate, supplied ? 1 : 3) << mistake->words << ": " << wire.reason;
            ++met[mistake->gate];
        }
    };
    try_all(first_bench());
    for (int seed = 0; seed < 3; ++seed) try_all(generated(seed));
    EXPECT_GT(met[1], 20);
    EXPECT_GT(met[3], 5);
}

// A class whose every build has one slip: each gate is counted once for each learner who has a mistake that it shows.
TEST(Marking, AClassCountsItsMistakesByGate) {
    const Ready& ready = first_bench();
    std::vector<MarkedBuild> builds{
        mark_build(*ready.marking, made::file_of(ready.build(), ready.build().placement), "as-planned.csv")};
    std::map<std::string, int> expected;
    for (const Slip& slip : ready.slips) {
        builds.push_back(mark_build(*ready.marking, file_with(ready, slip), "x.csv"));
        std::set<int> gates;
        for (const Mistake& m : builds.back().mistakes) {
            EXPECT_TRUE(m.gate == 1 || m.gate == 3 || (m.gate == 0 && m.harm == Verdict::safe)) << m.words;
            gates.insert(m.gate);
        }
        for (const int gate : gates) ++expected[gate == 0 ? "no gate" : "gate " + std::to_string(gate)];
    }
    std::map<std::string, int> counted;
    for (const NamedCount& g : class_of(*ready.marking, std::move(builds)).summary.gates)
        counted[g.name.substr(0, g.name.find(':'))] = g.learners;
    EXPECT_EQ(counted, expected);
    EXPECT_GT(counted["gate 1"], 20);
    EXPECT_GT(counted["gate 3"], 5);
}

// 500 other wirings of the same nets: other holes, other chains, other order, ends exchanged.
TEST(Marking, EquivalentRewiringsGetFullMarks) {
    std::mt19937_64 random(7);
    unsigned tried = 0;
    for (int seed = -1; tried < made::how_many(500); ++seed) {
        const Ready own = seed < 0 ? Ready{} : generated(seed);
        const Ready& ready = seed < 0 ? first_bench() : own;
        for (int k = 0; k < 100 && tried < made::how_many(500); ++k, ++tried) {
            const Placement other = made::rewired(ready.build(), random);
            const MarkedBuild m = mark_build(*ready.marking, made::file_of(ready.build(), other), "x.csv");
            EXPECT_TRUE(m.as_planned);
            EXPECT_DOUBLE_EQ(criterion(m, "supplies").points, 20);
            EXPECT_DOUBLE_EQ(criterion(m, "function").points, 20);
        }
    }
}

// Channels of one kind exchanged with all their pins make another wiring that is as good: nets are exchanged here
// pin by pin, then written as wires from pin to pin.
TEST(Marking, ExchangedEqualChannelsGetFullMarks) {
    int tried = 0;
    for (const int seed : {-1, 0, 1, 2, 3}) {
        const Ready own = seed < 0 ? Ready{} : generated(seed);
        const Ready& ready = seed < 0 ? first_bench() : own;
        for (std::size_t p = 0; p < ready.build().wiring.parts.size(); ++p) {
            const auto& type = *ready.build().wiring.parts[p].type;
            if (!ready.build().wiring.parts[p].added || type.channels.size() < 2 || type.function != "4050") continue;
            Wiring other = ready.build().wiring;
            const Channel &a = type.channels[0], &b = type.channels[1];
            std::swap(other.parts[p].net_of_pin[a.inputs[0]], other.parts[p].net_of_pin[b.inputs[0]]);
            std::swap(other.parts[p].net_of_pin[a.output], other.parts[p].net_of_pin[b.output]);
            std::string file = "from,to\n";
            for (const WireListEntry& wire : wire_list(other)) file += fmt::format("{},{}\n", wire.from, wire.to);
            const MarkedBuild m = mark_build(*ready.marking, file, "x.csv");
            EXPECT_TRUE(m.problems.empty()) << render(m.problems.front());
            EXPECT_TRUE(m.as_planned) << file;
            ++tried;
        }
    }
    EXPECT_GE(tried, 1);
}

TEST(Marking, OrderOfLinesDoesNotMatter) {
    const Ready& ready = first_bench();
    std::mt19937_64 random(3);
    for (unsigned k = 0; k < made::how_many(60); ++k) {
        Placement one = with_slip(ready.build().placement, ready.slips[random() % ready.slips.size()]);
        Placement other = one;
        std::ranges::shuffle(other.wires, random);
        const MarkedBuild a = mark_build(*ready.marking, made::file_of(ready.build(), one), "x.csv");
        const MarkedBuild b = mark_build(*ready.marking, made::file_of(ready.build(), other), "x.csv");
        EXPECT_DOUBLE_EQ(a.points, b.points);
        ASSERT_EQ(a.mistakes.size(), b.mistakes.size());
        for (std::size_t m = 0; m < a.mistakes.size(); ++m) EXPECT_EQ(a.mistakes[m].words, b.mistakes[m].words);
    }
}

// Wires of the sheet laid one after another in any order: shares of joins never fall, and no half of the build has
// more points than the whole. (A link may work or harm by the judge before it is whole, so function may fall.)
TEST(Marking, ARightWireNeverLowersTheJoins) {
    const Ready& ready = first_bench();
    std::mt19937_64 random(5);
    for (unsigned k = 0; k < made::how_many(20); ++k) {
        Placement placement = ready.build().placement;
        std::vector<LaidWire> wires = placement.wires;
        std::ranges::shuffle(wires, random);
        placement.wires.clear();
        double before = 0, most = 0, last = 0;
        for (const LaidWire& wire : wires) {
            placement.wires.push_back(wire);
            const MarkedBuild m = mark_build(*ready.marking, made::file_of(ready.build(), placement), "x.csv");
            EXPECT_GE(criterion(m, "supplies").points, before - 1e-9);
            EXPECT_GE(m.points, 0);
            EXPECT_LE(m.points, m.of);
            before = criterion(m, "supplies").points;
            most = std::max(most, m.points), last = m.points;
        }
        EXPECT_DOUBLE_EQ(last, most);
    }
}

TEST(Marking, MoreTrueReadingsNeverLowerTheMarks) {
    const Ready& ready = first_bench();
    std::string file = made::file_of(ready.build(), ready.build().placement);
    const double none = mark_build(*ready.marking, file, "x.csv").points;
    file += "reading,receiver.IN,sender.OUT high,3.3 V,\n";
    const MarkedBuild one = mark_build(*ready.marking, file, "x.csv");
    file += "reading,receiver.IN,sender.OUT low,0 V,\n";
    const MarkedBuild both = mark_build(*ready.marking, file, "x.csv");
    EXPECT_DOUBLE_EQ(one.points, none + 15);
    EXPECT_DOUBLE_EQ(both.points, none + 30);
}

// A 5 V output joined straight to a 3.3 V input that stands 0.3 V above its supply: the protection diode holds it a
// diode drop (0.3 to 1.2 V, from memory) above 3.3 V, so a meter shows neither 3.3 V nor 5 V.
TEST(Marking, AnHonestReadingOfAWrongBuildIsPlausible) {
    const Ready& ready = first_bench();
    Placement placement = ready.build().placement;
    const auto of = [&](std::string_view part) {
        return ready.build().wiring.parts[ready.build().wiring.part(part)].type->pin_index(part == "sender" ? "OUT"
                                                                                                            : "IN");
    };
    const WireEnd out{.kind = WireEnd::Kind::pin, .part = ready.build().wiring.part("sender"), .pin = of("sender")};
    const WireEnd in{.kind = WireEnd::Kind::pin, .part = ready.build().wiring.part("receiver"), .pin = of("receiver")};
    std::erase_if(placement.wires,
                  [&](const LaidWire& w) { return w.from == out || w.to == out || w.from == in || w.to == in; });
    placement.wires.push_back({.from = out, .to = in});
    const std::string wires = made::file_of(ready.build(), placement);
    const auto mark_of = [&](const char* volts) {
        const MarkedBuild m = mark_build(
            *ready.marking, wires + fmt::format("reading,receiver.IN,sender.OUT high,{},\n", volts), "x.csv");
        EXPECT_EQ(m.harm, Verdict::harmful);  // above 4 V at an input that stands VCC + 0.3 V
        EXPECT_NE(m.stop, "");
        return m.readings.front().mark;
    };
    EXPECT_EQ(mark_of("4.2 V ± 0.6 V"), ReadingMark::plausible);
    EXPECT_EQ(mark_of("5.2 V"), ReadingMark::impossible);
    EXPECT_EQ(mark_of("3.3 V"), ReadingMark::impossible);  // copied from the sheet
    EXPECT_EQ(mark_of("1.0 V"), ReadingMark::impossible);
    EXPECT_EQ(mark_of("3.6 V ± 1.2 V"), ReadingMark::right);  // a poor meter that says so
}

// A low of an output without load is 0 V. A hand meter of 1 % and 20 mV (common practice, no source) may show 20 mV
// for it and not 30 mV, marked or diagnosed; a bare number is in the unit that the sheet prints behind the dots.
TEST(Marking, TheHandMeterOfTheDiagnosisMarks) {
    const Ready& ready = first_bench();
    const std::string wires = made::file_of(ready.build(), ready.build().placement);
    const auto mark_of = [&](const char* volts) {
        const MarkedBuild m =
            mark_build(*ready.marking, wires + fmt::format("reading,receiver.IN,sender.OUT low,{},\n", volts), "x.csv");
        EXPECT_TRUE(m.problems.empty()) << render(m.problems.front());
        const auto low = std::ranges::find_if(m.readings, [](const MarkedReading& r) { return r.read.has_value(); });
        return low == m.readings.end() ? ReadingMark::missing : low->mark;
    };
    EXPECT_EQ(mark_of("0.02 V"), ReadingMark::right);
    EXPECT_EQ(mark_of("0.02"), ReadingMark::right);
    EXPECT_EQ(mark_of("20 mV"), ReadingMark::right);
    EXPECT_EQ(mark_of("0.05"), ReadingMark::impossible);
}

TEST(Marking, AnotherRubricMarksAgain) {
    const Ready& ready = first_bench();
    RubricReading rubric = read_rubric(
        "title = \"wires only\"\n[[criteria]]\nid = \"w\"\nwords = \"Wires\"\npoints = 7\nby = \"function\"\n",
        "r.toml");
    ASSERT_TRUE(rubric.rubric);
    rubric.rubric->version = "two";
    const PreparedMarking own(ready.marking->bench(), ready.build(), *rubric.rubric);
    const MarkedBuild m = mark_build(own, made::file_of(ready.build(), ready.build().placement), "x.csv");
    EXPECT_DOUBLE_EQ(m.points, 7);
    EXPECT_DOUBLE_EQ(m.of, 7);
    EXPECT_EQ(m.rubric_version, "two");
}

TEST(Marking, HandMarksCountAndAreClamped) {
    const Ready& ready = first_bench();
    const std::vector<HandMark> marks = {{"neatness", 8, "tidy"}, {"faults", 99, ""}};
    const MarkedBuild m = mark_build(*ready.marking, "from,to\n", "x.csv", marks);
    EXPECT_DOUBLE_EQ(criterion(m, "neatness").points, 8);
    EXPECT_DOUBLE_EQ(criterion(m, "faults").points, 20);
    EXPECT_DOUBLE_EQ(m.open, 0);
}

TEST(Marking, ThreadsGetTheSameMarks) {
    const Ready& ready = first_bench();
    std::vector<std::string> files;
    for (std::size_t k = 0; k < ready.slips.size(); k += 3) files.push_back(file_with(ready, ready.slips[k]));
    std::vector<double> alone, together(files.size());
    for (const std::string& file : files) alone.push_back(mark_build(*ready.marking, file, "x.csv").points);
    const auto fresh = std::make_unique<PreparedMarking>(ready.marking->bench(), ready.build());
    {
        std::vector<std::jthread> threads;
        for (std::size_t t = 0; t < 4; ++t)
            threads.emplace_back([&, t] {
                for (std::size_t k = t; k < files.size(); k += 4)
                    together[k] = mark_build(*fresh, files[k], "x.csv").points;
            });
    }
    EXPECT_EQ(alone, together);
}

TEST(Marking, AnyBytesAreMarkedBetweenNothingAndAll) {
    const Ready& ready = first_bench();
    const std::string good = made::file_of(ready.build(), ready.build().placement);
    std::mt19937_64 random(11);
    for (unsigned k = 0; k < made::how_many(300); ++k) {
        std::string bytes = good.substr(0, 1 + random() % good.size());
        for (unsigned n = random() % 8; n-- > 0;) {
            const std::size_t at = random() % bytes.size();
            const char what = "\",;\n\r\0\xff.12s "[random() % 13];
            random() % 2 ? bytes.insert(at, 1, what) : bytes.replace(at, 1, 1, what);
        }
        const MarkedBuild m = mark_build(*ready.marking, bytes, "x.csv");
        EXPECT_GE(m.points, 0);
        EXPECT_LE(m.points, m.of);
        EXPECT_DOUBLE_EQ(m.of, 100);
        EXPECT_TRUE(m.readable || !m.problems.empty());
    }
}

}  // namespace
