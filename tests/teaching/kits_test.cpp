/// Kits against counts made here, and substitutes against the judge.
#include "teaching/kits.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "course.h"

namespace voltsill {
namespace {

const PartNeed* need_of(const StockReport& report, const std::string& type) {
    const auto at = std::ranges::find(report.needs, type, &PartNeed::type);
    return at == report.needs.end() ? nullptr : &*at;
}

std::map<std::string, Verdict> verdicts_of_links(const Judgement& j) {
    std::map<std::string, Verdict> out;
    for (const LinkJudgement& link : j.links) out[link.link] = link.verdict;
    return out;
}

/// A build that harms as it stands: a part that harms in the same way is no substitute, one that does not is.
TEST(Substitutes, AnEquallyHarmfulPartIsNone) {
    const course::Built& b = course::built("existing-build");  // HC 541 between 5 V and 3.3 V
    int lvc = 0, ac = 0;
    for (const Substitute& s : stock_report(b.bench, b.wiring, 1).substitutes) {
        if (s.instead == "LVC 541") lvc += s.works;
        if (s.instead == "AC 541") ac += !s.works;
    }
    EXPECT_EQ(lvc, 1);
    EXPECT_EQ(ac, 1);
}

/// needed = per seat x seats + ceil(share x per seat x seats); a fifth of circuits and transistors, half of diodes,
/// a tenth of the rest: common practice, no source.
void expect_needs(const course::Built& b) {
    std::map<std::string, std::pair<int, PartKind>> counted;
    for (const WiredPart& part : b.wiring.parts)
        if (part.added && part.type->kind != PartKind::module)
            ++counted.insert({part.type->name, {0, part.type->kind}}).first->second.first;
    for (const int seats : {1, 7}) {
        const StockReport report = stock_report(b.bench, b.wiring, seats);
        ASSERT_EQ(report.needs.size(), counted.size());
        for (const auto& [type, entry] : counted) {
            const auto [per_seat, kind] = entry;
            const double share = kind == PartKind::diode                                    ? 0.5
                                 : kind == PartKind::resistor || kind == PartKind::capacitor ? 0.1
                                                                                            : 0.2;
            const PartNeed* need = need_of(report, type);
            ASSERT_TRUE(need) << type;
            EXPECT_EQ(need->needed, per_seat * seats + static_cast<int>(std::ceil(share * per_seat * seats - 1e-9)))
                << type;
            if (need->stock) {
                EXPECT_EQ(need->lacking(), std::max(0, need->needed - *need->stock));
            }
        }
    }
}

/// What is called safe is judged in the wiring here: no link is worse than thin, or worse than it was.
void expect_safe_when_judged(const course::Built& b) {
    const StockReport report = stock_report(b.bench, b.wiring, 1);
    const auto before = verdicts_of_links(judge(b.bench, b.wiring));
    for (const Substitute& s : report.substitutes) {
        const auto& types = b.bench.catalogue->types();
        const auto type = std::ranges::find_if(types, [&](const auto& t) { return t->name == s.instead; });
        ASSERT_NE(type, types.end());
        const auto changed = with_substitute(b.wiring, s.wanted, *type);
        ASSERT_TRUE(changed);
        std::size_t put = 0;
        for (std::size_t p = 0; p < changed->parts.size(); ++p) {
            const WiredPart &is = changed->parts[p], &was = b.wiring.parts[p];
            if (was.type->name != s.wanted || !was.added) continue;
            ++put;
            EXPECT_EQ(is.type->name, s.instead);
            for (std::size_t k = 0; k < was.net_of_pin.size(); ++k)  // by name, pin by pin
                if (was.net_of_pin[k] >= 0) {
                    EXPECT_EQ(changed->net_at(is.name, was.type->pins[k].name), was.net_of_pin[k]);
                }
        }
        EXPECT_GT(put, 0u);
        bool worse_than_thin = false;
        const Judgement after = judge(b.bench, *changed);
        std::set<std::string> through;  // links with a pin of a part that was put in
        for (const Finding& f : after.findings)
            if (const int p = changed->part(f.part);
                p >= 0 && changed->parts[p].added && changed->parts[p].type == *type)
                through.insert(f.link);
        for (const auto& [link, verdict] : verdicts_of_links(after))
            worse_than_thin |=
                verdict > (through.contains(link) ? Verdict::thin : std::max(Verdict::thin, before.at(link)));
        if (s.works) {
            EXPECT_FALSE(worse_than_thin) << s.instead << " for " << s.wanted << ": " << s.because;
        }
        if (worse_than_thin) {
            EXPECT_FALSE(s.works) << s.instead << " for " << s.wanted;
        }
        EXPECT_NE(s.because.find_first_of("0123456789"), std::string::npos) << "no number: " << s.because;
    }
}

class Kits : public ::testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Examples, Kits,
                         ::testing::Values("first-bench", "eight-pairs", "up-shift", "existing-build", "rain-garden"),
                         [](const auto& p) {
                             std::string name = p.param;
                             std::ranges::replace(name, '-', '_');
                             return name;
                         });

TEST_P(Kits, HoldWhenCountedAndJudgedAgain) {
    expect_needs(course::built(GetParam()));
    expect_safe_when_judged(course::built(GetParam()));
}

/// A 3.3 V output is at most 3.4 V; an HC input at 5.25 V wants 0.7 of it, 3.7 V (SCLS020, VIH = 3.15 V at 4.5 V).
TEST(Substitutes, HcForHctBetween3v3And5vIsRefusedWithTheNumber) {
    const course::Built& b = course::built("up-shift");
    const StockReport report = stock_report(b.bench, b.wiring, 1);
    bool asked = false;
    for (const Substitute& s : report.substitutes) {
        if (!s.wanted.starts_with("HCT ") && !s.wanted.starts_with("AHCT ") && !s.wanted.starts_with("ACT ")) continue;
        if (!s.instead.starts_with("HC ") && !s.instead.starts_with("AC ") && !s.instead.starts_with("AHC ")) continue;
        asked = true;
        EXPECT_FALSE(s.works) << s.instead << " for " << s.wanted << ": " << s.because;
        EXPECT_NE(s.because.find(" V"), std::string::npos) << s.because;
    }
    EXPECT_TRUE(asked) << "the plan has no part with TTL thresholds";
}

/// One LVC 541 is in the drawer of the demo twice: one seat needs what it needs, twelve do not have it.
TEST(Stock, TwelveSeatsLackWhatOneSeatHas) {
    const course::Built& b = course::built("rain-garden");
    const StockReport twelve = stock_report(b.bench, b.wiring, 12);
    EXPECT_TRUE(twelve.counted);
    int lacking = 0;
    for (const PartNeed& need : twelve.needs) {
        for (const StockItem& item : b.bench.stock)
            if (item.name.starts_with(need.type + " ") && item.count) {
                EXPECT_EQ(need.stock, item.count) << need.type;
            }
        lacking += need.lacking();
    }
    EXPECT_GT(lacking, 0);
    EXPECT_FALSE(stock_report(course::built("first-bench").bench, course::built("first-bench").wiring, 1).counted);
}

}  // namespace
}  // namespace voltsill
