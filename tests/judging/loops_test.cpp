/// Rings of inverters: an odd one never rests, an even one does; two-way parts are no rings.
#include <gtest/gtest.h>

#include "judging/finding.h"
#include "support/hand_parts.h"

namespace voltsill {
namespace {
using namespace hand;

/// `count` of the six inverters of an HCT 04 in a ring.
Build ring(int count) {
    Build b({rail("five", 4.75, 5.25)});
    b.added("U1", stock("HCT 04"), {"five"});
    for (int k = 1; k <= count; ++k)
        b.join("U1." + std::to_string(k) + "Y", "U1." + std::to_string(k % count + 1) + "A");
    for (int k = count + 1; k <= 6; ++k) b.join("ground", "U1." + std::to_string(k) + "A");
    return b;
}

TEST(Loops, OddRingOscillates) {
    for (int count : {1, 3, 5}) {
        const Found f = find(ring(count).judge().findings, "oscillates");
        ASSERT_NE(f, nullptr) << count;
        EXPECT_EQ(f->verdict, Verdict::unreadable);
        EXPECT_NE(f->sentence.find("U1 channel"), std::string::npos);
    }
}

TEST(Loops, EvenRingRestsEitherWay) {
    for (int count : {2, 4, 6}) EXPECT_EQ(find(ring(count).judge().findings, "oscillates"), nullptr) << count;
}

TEST(Loops, ChainIsNone) {
    Build b({rail("five", 4.75, 5.25)});
    b.added("U1", stock("HCT 04"), {"five"});
    for (int k = 1; k < 6; ++k) b.join("U1." + std::to_string(k) + "Y", "U1." + std::to_string(k + 1) + "A");
    b.join("ground", "U1.1A");
    EXPECT_EQ(find(b.judge().findings, "oscillates"), nullptr);
}

}  // namespace
}  // namespace voltsill
