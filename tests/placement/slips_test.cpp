/// Slips of a hand: each kind is found, changes what is joined, and does what the judge says of the
/// wiring it makes.
#include "placement/slips.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <random>
#include <set>

#include "placement/example_benches.h"
#include "placement/plain_placement.h"
#include "support/hand_parts.h"
#include "support/wiring_differences.h"

namespace voltsill {
namespace {
using namespace hand;

/// Two supplies: a 3.3 V octal down a board, and a 5 V module beside it.
struct Small {
    Build build{{rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)}};
    Wiring wiring;
    Placement placement;

    explicit Small(int gap = 0) {
        build.module("G", {output("OUT"), input("IN", ttl(), true), input("FREE", ttl(), true)}, "five");
        build.module("C", {input("IN", cmos(), false)}, "three");
        build.added("U1", stock("LVC 541"), {"three"});
        build.join("U1.OE1", "ground");
        build.join("U1.OE2", "ground");
        build.join("G.OUT", "U1.A1");
        build.join("U1.Y1", "C.IN");
        for (int k = 2; k <= 8; ++k) build.join("U1.A" + std::to_string(k), "ground");
        build.resistor(10e3, "G.IN", "rail five");
        build.link("signal", {"G", "OUT", {}}, {"C", "IN", {}});
        // The catalogue's first package of each part is one that pushes into a board.
        for (BenchPart& part : build.bench.wiring->parts)
            if (!part.type->packages.empty()) part.package = &part.type->packages.front();
        wiring = build.wiring();
        placement = plain::place(build.bench, wiring, gap);
    }
    const Bench& bench() const { return build.bench; }
    std::vector<Slip> slips() const { return slips_of(bench(), wiring, placement); }
    std::vector<SlipHarm> judged() const { return judge_slips(bench(), wiring, placement, slips()); }
};

using Key = std::tuple<std::string, std::string, std::string, std::string>;
/// Verdicts by link and place; harm and what is not known belong to a place alone.
std::map<Key, Verdict> verdicts(const Judgement& judgement) {
    std::map<Key, Verdict> out;
    for (const Finding& f : judgement.findings) {
        const bool place = f.verdict == Verdict::harmful || f.verdict == Verdict::unknown;
        Verdict& known = out[{place ? "" : f.link, f.code, f.part.empty() ? f.net : f.part, f.pin}];
        known = worse(known, f.verdict);
    }
    return out;
}

/// What `judge` of the wiring as a whole says of a slip.
Verdict of_the_whole(const std::map<Key, Verdict>& base, const Judgement& changed) {
    Verdict worst = Verdict::safe;
    bool unknown = !changed.trouble.empty();
    for (const auto& [key, verdict] : verdicts(changed)) {
        const auto known = base.find(key);
        if (known != base.end() && known->second >= verdict) continue;
        if (verdict == Verdict::harmful) return verdict;
        unknown |= verdict == Verdict::unknown;
        worst = worse(worst, verdict);
    }
    return unknown ? Verdict::unknown : worst;
}

/// A bench of some size whose ground or supply is misplaced is one network: its whole takes long to judge.
bool moves_supply(const Wiring& wiring, const Placement& placement, const Slip& slip) {
    const auto supplies = [&](int wire) {
        const Net& net = wiring.nets[placement.wires[wire].net];
        return net.ground || !net.rail.empty();
    };
    return slip.wire < 0 || supplies(slip.wire) || (slip.other >= 0 && supplies(slip.other));
}

void expect_law(const Bench& bench, const Wiring& wiring, const Placement& placement, std::size_t most,
                bool with_supplies) {
    ASSERT_EQ(test::differences(wiring, nets_of_holes(bench, wiring, placement)), std::vector<std::string>{});
    std::vector<Slip> slips = slips_of(bench, wiring, placement);
    if (!with_supplies)
        std::erase_if(slips, [&](const Slip& s) { return moves_supply(wiring, placement, s); });
    std::mt19937 random(11);
    std::ranges::shuffle(slips, random);
    if (slips.size() > most) slips.resize(most);
    const auto base = verdicts(judge(bench, wiring));
    const std::vector<SlipHarm> judged = judge_slips(bench, wiring, placement, slips);
    const std::vector<SlipHarm> quick = judge_slips(bench, wiring, placement, slips, {.only_harm = true});
    ASSERT_EQ(judged.size(), slips.size());
    std::set<Verdict> seen;
    for (std::size_t k = 0; k < slips.size(); ++k) {
        const Wiring made = wiring_of(bench, wiring, with_slip(placement, slips[k]));
        const Verdict whole = of_the_whole(base, judge(bench, made));
        EXPECT_EQ(judged[k].verdict, whole)
            << words(wiring, placement, slips[k]) << ": " << judged[k].code << " " << judged[k].sentence;
        const bool may_harm = whole == Verdict::harmful || whole == Verdict::unknown;
        EXPECT_EQ(quick[k].verdict, may_harm ? whole : Verdict::safe) << words(wiring, placement, slips[k]);
        seen.insert(whole);
    }
    EXPECT_TRUE(seen.contains(Verdict::harmful));
    EXPECT_GE(seen.size(), 3u);
}

TEST(Slips, AreJudgedAsTheWholeIs) {
    const Small small;
    expect_law(small.bench(), small.wiring, small.placement, 60, true);
    for (const auto& [name, most, supplies] :
         {std::tuple{"existing-build.toml", 60, true}, {"rain-garden.toml", 25, false}}) {
        const examples::Example example = examples::read(name);
        expect_law(example.bench, example.wiring, plain::place(example.bench, example.wiring), most,
                   supplies);
    }
}

TEST(Slips, EveryKindIsFoundAndChangesWhatIsJoined) {
    const Small small(1), tight(0);
    std::set<SlipKind> kinds;
    for (const Small* bench : {&small, &tight})
        for (const Slip& slip : bench->slips()) {
            kinds.insert(slip.kind);
            const Placement slipped = with_slip(bench->placement, slip);
            const Wiring made = nets_of_holes(bench->bench(), bench->wiring, slipped);
            EXPECT_TRUE(!test::differences(bench->wiring, made).empty() ||
                        !shorts(bench->bench(), bench->wiring, slipped).empty())
                << words(bench->wiring, bench->placement, slip);
            for (const std::string& why : impossible(bench->wiring, slipped))
                EXPECT_TRUE(why.find("both in") == std::string::npos) << why;
        }
    for (const SlipKind kind : {SlipKind::one_row_off, SlipKind::one_column_off, SlipKind::neighbours_swapped,
                                SlipKind::facing_pin, SlipKind::wire_missing, SlipKind::wrong_strip,
                                SlipKind::header_pin_off, SlipKind::part_one_row_off, SlipKind::part_turned})
        EXPECT_TRUE(kinds.contains(kind)) << to_word(kind);
}

TEST(Slips, SwapsAndTurnsUndoThemselves) {
    const Small small;
    int undone = 0;
    for (const Slip& slip : small.slips()) {
        if (slip.kind != SlipKind::neighbours_swapped && slip.kind != SlipKind::part_turned) continue;
        const Placement twice = with_slip(with_slip(small.placement, slip), slip);
        for (std::size_t w = 0; w < twice.wires.size(); ++w) {
            EXPECT_EQ(twice.wires[w].from, small.placement.wires[w].from);
            EXPECT_EQ(twice.wires[w].to, small.placement.wires[w].to);
        }
        for (std::size_t p = 0; p < twice.parts.size(); ++p)
            EXPECT_EQ(twice.parts[p].holes, small.placement.parts[p].holes);
        ++undone;
    }
    EXPECT_GT(undone, 0);
}

/// Of the wire that brings 5 V, put one row further: beside it lies a pin of a 3.3 V part, or nothing.
TEST(Slips, FiveVoltsOneRowOffAtAThreeVoltPinHarms) {
    for (const bool empty : {false, true}) {
        Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
        build.module("G", {input("IN", ttl(), true)}, "five");
        build.module("C", {input("IN", cmos(), false)}, "three");
        build.resistor(10e3, "C.IN", "rail three");
        build.join("G.IN", "rail five");
        const Wiring wiring = build.wiring();
        const Placement placement = plain::place(build.bench, wiring, empty ? 1 : 0);
        const NetId five = wiring.rail("five");
        int looked = 0, harmful = 0;
        for (const SlipHarm& harm :
             judge_slips(build.bench, wiring, placement, slips_of(build.bench, wiring, placement))) {
            if (harm.slip.kind != SlipKind::one_row_off || harm.slip.wire < 0) continue;
            if (placement.wires[harm.slip.wire].net != five) continue;
            ++looked;
            harmful += harm.verdict == Verdict::harmful;
        }
        EXPECT_GT(looked, 0);
        EXPECT_EQ(harmful == 0, empty);
    }
}

const SlipHarm* find(const std::vector<SlipHarm>& all, SlipKind kind, auto&& where) {
    for (const SlipHarm& harm : all)
        if (harm.slip.kind == kind && where(harm.slip)) return &harm;
    return nullptr;
}

TEST(Slips, AChipTheOtherWayRoundAndASupplyTheWrongWayRoundHarm) {
    const Small small;
    const std::vector<SlipHarm> all = small.judged();
    const int chip = small.wiring.part("U1");
    const SlipHarm* turned = find(all, SlipKind::part_turned, [&](const Slip& s) { return s.part == chip; });
    ASSERT_TRUE(turned);
    EXPECT_EQ(turned->verdict, Verdict::harmful);
    const SlipHarm* reversed = find(all, SlipKind::neighbours_swapped, [&](const Slip& s) {
        return s.to.kind == WireEnd::Kind::ground || s.to.kind == WireEnd::Kind::supply;
    });
    ASSERT_TRUE(reversed);
    EXPECT_EQ(reversed->verdict, Verdict::harmful);
}

TEST(Slips, ASignalWireLeftOutFailsAndHarmsNothing) {
    const Small small;
    const NetId net = small.wiring.net_at("C", "IN");
    const SlipHarm* missing = nullptr;
    const std::vector<SlipHarm> all = small.judged();
    for (const SlipHarm& harm : all)
        if (harm.slip.kind == SlipKind::wire_missing && small.placement.wires[harm.slip.wire].net == net)
            missing = &harm;
    ASSERT_TRUE(missing);
    EXPECT_EQ(missing->verdict, Verdict::unreadable);
    EXPECT_FALSE(missing->sentence.empty());
}

TEST(Slips, ReportCountsAndNamesRows) {
    const Small small;
    const SlipReport report = slip_report(small.bench(), small.wiring, small.placement);
    EXPECT_EQ(report.slips, static_cast<int>(small.slips().size()));
    EXPECT_EQ(report.slips, report.harmful + report.unknown + report.fails + report.thin + report.same);
    ASSERT_FALSE(report.worst.empty());
    EXPECT_EQ(report.worst.front().verdict, Verdict::harmful);
    ASSERT_FALSE(report.rows.empty());
    for (std::size_t k = 1; k < report.rows.size(); ++k)
        EXPECT_GE(report.rows[k - 1].harmful, report.rows[k].harmful);
    EXPECT_NE(report.sentence.find(std::to_string(report.harmful)), std::string::npos);
}

TEST(Slips, ProgressMayEndThemEarly) {
    const Small small;
    SlipOptions options{.only_harm = true};
    options.progress = [](int done, int) { return done < 5; };
    EXPECT_EQ(judge_slips(small.bench(), small.wiring, small.placement, small.slips(), options).size(), 5u);
}

TEST(Slips, AnyNumberOfThreadsSaysTheSame) {
    const Small small;
    const std::vector<SlipHarm> alone = small.judged();
    for (const int threads : {2, 5}) {
        const auto together =
            judge_slips(small.bench(), small.wiring, small.placement, small.slips(), {.threads = threads});
        ASSERT_EQ(together.size(), alone.size());
        for (std::size_t k = 0; k < alone.size(); ++k) {
            EXPECT_EQ(together[k].slip.kind, alone[k].slip.kind);
            EXPECT_EQ(together[k].verdict, alone[k].verdict);
            EXPECT_EQ(together[k].sentence, alone[k].sentence);
        }
    }
}

/// Free rows between rows take what is put one row off, and keep neighbours apart. (A whole part can be
/// moved only where a row is free, so those slips are counted apart.)
RC_GTEST_PROP(Slips, FreeRowsNeverHarm, ()) {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    const int modules = *rc::gen::inRange(1, 4);
    for (int k = 0; k < modules; ++k) {
        const std::string name = "M" + std::to_string(k);
        const char* on = *rc::gen::element("five", "three");
        const bool tolerant = *rc::gen::arbitrary<bool>();
        build.module(name, {output("OUT"), input("IN", cmos(), tolerant)}, on);
        build.resistor(*rc::gen::element(1e3, 10e3), name + ".IN", std::string("rail ") + on);
    }
    const Wiring wiring = build.wiring();
    const auto harmful = [&](int gap) {
        const Placement placement = plain::place(build.bench, wiring, gap);
        int count = 0;
        const auto all = judge_slips(build.bench, wiring, placement, slips_of(build.bench, wiring, placement),
                                     {.only_harm = true});
        for (const SlipHarm& harm : all)
            count += harm.verdict == Verdict::harmful && (harm.slip.kind == SlipKind::one_row_off ||
                                                          harm.slip.kind == SlipKind::neighbours_swapped);
        return count;
    };
    const int tight = harmful(0), apart = harmful(1);
    RC_ASSERT(apart <= tight);
    RC_ASSERT(harmful(2) <= apart);
}

}  // namespace
}  // namespace voltsill
