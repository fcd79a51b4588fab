/// What room a part takes on a board, by its package.
#include "wiring/footprint.h"

#include <gtest/gtest.h>

namespace voltsill {
namespace {

/// Pitches of 2.54 mm; reaches are common practice, no source (a 0.25 W body is 6.3 mm long).
TEST(Footprint, FollowsThePackage) {
    struct Case {
        const char* package;
        int leads;
        bool fits;
        PartKind kind;
        FootprintKind shape;
        double reach_min, reach_max;
    };
    using enum FootprintKind;
    for (const Case& c : {Case{"AXIAL-2", 2, true, PartKind::resistor, two, 3, 8},
                          Case{"RADIAL-2", 2, true, PartKind::capacitor, two, 1, 4},
                          Case{"AXIAL-3", 3, true, PartKind::module, row, 0, 0},
                          Case{"DIP-14", 14, true, PartKind::logic, dip, 0, 0},
                          Case{"TO-92", 3, true, PartKind::bjt, row, 0, 0},
                          Case{"SIP-8", 8, true, PartKind::module, row, 0, 0},
                          Case{"SOIC-8", 8, false, PartKind::logic, dip, 0, 0},
                          Case{"SOT-23-5", 5, false, PartKind::logic, row, 0, 0},
                          Case{"SOT-23-6", 6, false, PartKind::logic, row, 0, 0},
                          Case{"SC-70-6", 6, false, PartKind::logic, row, 0, 0},
                          Case{"HEADER-4", 4, true, PartKind::module, beside, 0, 0},
                          Case{"HEADER-4", 4, true, PartKind::logic, row, 0, 0}}) {
        auto type = std::make_shared<PartType>();
        type->kind = c.kind;
        type->packages = {{.name = c.package, .pin_of_number = std::vector<int>(c.leads, 0), .fits_board = c.fits}};
        const WiredPart part{.name = "X", .type = type, .package = &type->packages[0]};
        const Footprint f = footprint_of(part);
        EXPECT_EQ(f.kind, c.shape) << c.package;
        EXPECT_EQ(f.reach_min, c.reach_min) << c.package;
        EXPECT_EQ(f.reach_max, c.reach_max) << c.package;
        if (c.shape == beside) continue;
        EXPECT_EQ(f.leads, c.leads) << c.package;
        EXPECT_EQ(f.adapter, !c.fits) << c.package;
    }
    EXPECT_EQ(footprint_of(WiredPart{.name = "X", .type = std::make_shared<PartType>()}).kind, beside);
}

}  // namespace
}  // namespace voltsill
