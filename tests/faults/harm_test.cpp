/// What faults do, by the judge: as of the whole wiring, and as computed by hand.
#include "faults/harm.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "faults/made_faults.h"
#include "faults/placed_benches.h"
#include "support/how_many.h"

namespace voltsill {
namespace {
using namespace hand;
using made::Made;
using made::up_shift;

/// What the judge says of the whole build that it does not say of the good one.
Verdict of_the_whole(const Judgement& good, const FaultyBuild& faulty) {
    const auto verdicts_of = [](const Judgement& judgement) {
        std::map<std::tuple<std::string, std::string, std::string, std::string>, Verdict> out;
        for (const Finding& f : judgement.findings) {
            const bool place = f.verdict == Verdict::harmful || f.verdict == Verdict::unknown;
            Verdict& known = out[{place ? "" : f.link, f.code, f.part.empty() ? f.net : f.part, f.pin}];
            known = worse(known, f.verdict);
        }
        return out;
    };
    const auto base = verdicts_of(good);
    const Judgement judged = judge(faulty.bench, faulty.wiring);
    Verdict worst = Verdict::safe;
    bool unknown = !judged.trouble.empty();
    for (const auto& [key, verdict] : verdicts_of(judged)) {
        const auto known = base.find(key);
        if (known != base.end() && known->second >= verdict) continue;
        if (verdict == Verdict::harmful) return verdict;
        unknown |= verdict == Verdict::unknown;
        worst = worse(worst, verdict);
    }
    return unknown ? Verdict::unknown : worst;
}

TEST(FaultHarm, IsThatOfTheWholeBuild) {
    std::mt19937 random(7);
    std::set<Verdict> seen;
    for (const char* name :
         {"first-bench.toml", "existing-build.toml", "two-way-bus.toml", "many ways"}) {  // small ones
        const placed::Build& build = placed::named(name);
        std::vector<Fault> faults = faults_of(build.bench, build.placed);
        std::erase_if(faults, [](const Fault& f) { return f.slip.has_value(); });  // slips_test.cpp holds those
        std::ranges::shuffle(faults, random);
        faults.resize(std::min<std::size_t>(faults.size(), made::how_many(16)));
        const Judgement good =
            judge(build.bench, wiring_of(build.bench, build.placed.wiring, build.placed.placement));
        const FaultJudge judge_one(build.bench, build.placed);
        for (const Fault& fault : faults) {
            const FaultHarm harm = judge_one.harm_of(fault), quick = judge_one.harm_of(fault, true);
            const Verdict whole = of_the_whole(good, with_fault(build.bench, build.placed, fault));
            EXPECT_EQ(harm.verdict, whole) << name << " " << fault.id << ": " << harm.code << " " << harm.sentence;
            EXPECT_EQ(quick.verdict, harm.may_harm() ? harm.verdict : Verdict::safe) << fault.id;
            EXPECT_EQ(harm.sentence.empty(), harm.verdict == Verdict::safe) << fault.id;
            seen.insert(whole);
        }
    }
    EXPECT_GE(seen.size(), 4u);
}

TEST(FaultHarm, OfTheBatchIsThatOfEachByAnyNumberOfThreads) {
    const placed::Build& build = placed::named("first-bench.toml");
    const std::vector<Fault> faults = faults_of(build.bench, build.placed);
    const auto alone = judge_faults(build.bench, build.placed, faults);
    const auto together = judge_faults(build.bench, build.placed, faults, {.threads = 3});
    ASSERT_EQ(alone.size(), faults.size());
    ASSERT_EQ(together.size(), faults.size());
    const FaultJudge judge_one(build.bench, build.placed);
    for (std::size_t k = 0; k < faults.size(); ++k) {
        EXPECT_EQ(alone[k].verdict, together[k].verdict) << faults[k].id;
        EXPECT_EQ(alone[k].sentence, together[k].sentence) << faults[k].id;
        EXPECT_EQ(alone[k].verdict, judge_one.harm_of(faults[k]).verdict) << faults[k].id;
    }
    FaultHarmOptions stopped;
    stopped.progress = [](int done, int) { return done < 5; };
    EXPECT_EQ(judge_faults(build.bench, build.placed, faults, stopped).size(), 5u);
}

/// Failure modes F11 and F23: HC at 5 V wants 0.7 * 5.25 V = 3.675 V for a high and gets 3.2 V - 0.4 V at most
/// 3.4 V; it stands that, so nothing is harmed. HCT wants 2.0 V.
TEST(FaultHarm, HcForHctAtFiveVoltsIsUnreadableNotHarmful) {
    const Made made = up_shift("HCT 541");
    EXPECT_EQ(made.harm("near-namesake/U1/HC-541").verdict, Verdict::unreadable);
    EXPECT_EQ(made.harm("near-namesake/U1/AHCT-541").verdict, Verdict::safe);
}

/// The 540 has the pins of the 541 and inverts: the level is wrong, nothing is harmed.
TEST(FaultHarm, AnInverterForABufferHarmsNothing) {
    const FaultHarm harm = up_shift("HCT 541").harm("near-namesake/U1/HCT-540");
    EXPECT_FALSE(harm.may_harm()) << harm.sentence;
}

/// A control pin high: the outputs let go, the receiver hangs on nothing.
TEST(FaultHarm, EnableAtTheWrongLevelCutsTheSignal) {
    const Made made = up_shift("HCT 541");
    for (const char* id : {"control-wrong-level/U1./OE1/five", "control-open/U1./OE1"}) {
        const FaultHarm harm = made.harm(id);
        EXPECT_FALSE(harm.may_harm()) << id;
        EXPECT_NE(harm.verdict, Verdict::safe) << id;
    }
}

/// 6 V is 0.5 V over the 5.5 V an HCT is made for; rail "five" at 120 % is 6 V, and the module stands 7 V.
TEST(FaultHarm, ASupplyTooHighHarms) {
    EXPECT_EQ(up_shift("HCT 541").harm("supply-high/five/6-V").verdict, Verdict::harmful);
    EXPECT_EQ(up_shift("HCT 541").harm("supply-off/five").verdict, Verdict::unreadable);
}

/// A short of 20 Ω to 5 V at an output that says low: (5 V - V) / 20 Ω, V below 2 V, is 150 mA or more; it stands
/// 40 mA. The stuck output itself drives nothing any more.
TEST(FaultHarm, AShortedDiodeLoadsItsOwnOutput) {
    Build build({rail("five", 4.75, 5.25)});
    Pin out = output("OUT");
    out.clamp_to_supply = out.clamp_to_ground = true;
    out.clamp_forward = {{Volts{0.5}, Volts{0.6}, Volts{0.7}}, sheet};
    build.module("G", {out}, "five");
    build.module("H", {input("IN", ttl(), true)}, "five");
    build.join("G.OUT", "H.IN");
    build.link("signal", {"G", "OUT", {}}, {"H", "IN", {}});
    const Made made(std::move(build));
    EXPECT_EQ(made.harm("clamp-shorted/G.OUT/up").verdict, Verdict::harmful);
    EXPECT_EQ(made.harm("output-stuck-high/G.OUT").verdict, Verdict::unreadable);
    EXPECT_EQ(made.harm("output-dead/G.OUT").verdict, Verdict::unreadable);
}

/// A divider 2.2 kΩ over 3.3 kΩ from 5 V gives 3.0 V; with 220 Ω above it is 5.25 V * 3.3 / 3.52 = 4.9 V, and
/// the pin stands 3.4 V + 0.3 V.
TEST(FaultHarm, ADividerADecadeLowHarmsThePinBehindIt) {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    build.module("G", {output("OUT")}, "five");
    build.module("C", {input("IN", ttl(), false)}, "three");
    build.resistor(2.2e3, "G.OUT", "C.IN");
    build.resistor(3.3e3, "C.IN", "ground");
    build.link("signal", {"G", "OUT", {}}, {"C", "IN", {}});
    const Made made(std::move(build));
    EXPECT_EQ(made.harm("wrong-value/R1/220-Ω").verdict, Verdict::harmful);
    EXPECT_EQ(made.harm("wrong-value/R2/33-kΩ").verdict, Verdict::harmful);  // 5.25 V * 33 / 35.2 = 4.9 V as well
    const FaultHarm high = made.harm("wrong-value/R1/22-kΩ");                // 0.65 V for a high: not read
    EXPECT_EQ(high.verdict, Verdict::unreadable) << high.sentence;
}

}  // namespace
}  // namespace voltsill
