// The model: places and words of a drawing.
#include "drawing/drawing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "support/random_drawing.h"

namespace voltsill::drawing {
namespace {

TEST(Arc, StaysOnItsCircle) {
    const Point centre{10, 20};
    const Path path = arc(centre, 5, 0, 270);
    // Cubics with handles of 4/3 tan(a/4) leave a quarter circle by less than 0.03 % of the radius
    // (M. Riskus, Information Technology and Control 35, 2006, from memory).
    Point from = path.steps.front().to;
    EXPECT_NEAR(from.x, 15, 1e-12);
    for (std::size_t k = 1; k < path.steps.size(); ++k) {
        const Step& s = path.steps[k];
        for (double t = 0; t <= 1; t += 0.1) {
            const double u = 1 - t;
            const auto at = [&](double Point::*axis) {
                return u * u * u * from.*axis + 3 * u * u * t * s.control1.*axis + 3 * u * t * t * s.control2.*axis +
                       t * t * t * s.to.*axis;
            };
            EXPECT_NEAR(std::hypot(at(&Point::x) - centre.x, at(&Point::y) - centre.y), 5, 5 * 0.0003);
        }
        from = s.to;
    }
    EXPECT_NEAR(from.x, 10, 1e-12);  // clockwise: 270 degrees is up, where y is small
    EXPECT_NEAR(from.y, 15, 1e-12);
}

TEST(RoundedBox, KeepsInsideItsBox) {
    const Path path = rounded_box(1, 2, 30, 10, 4);
    double x0 = 1e9, x1 = -1e9, y0 = 1e9, y1 = -1e9;
    for (const Step& s : path.steps) {
        if (s.kind == Step::Kind::close) continue;
        x0 = std::min(x0, s.to.x), x1 = std::max(x1, s.to.x);
        y0 = std::min(y0, s.to.y), y1 = std::max(y1, s.to.y);
    }
    EXPECT_NEAR(x0, 1, 1e-9);
    EXPECT_NEAR(x1, 31, 1e-9);
    EXPECT_NEAR(y0, 2, 1e-9);
    EXPECT_NEAR(y1, 12, 1e-9);
}

RC_GTEST_PROP(TextWidth, GrowsWithLettersAndSize, ()) {
    const std::string a = *random_text(), b = *random_text();
    const double size = *rc::gen::inRange(7, 30);
    RC_ASSERT(text_width(a + b, size) >= text_width(a, size) - 1e-9);
    RC_ASSERT(std::abs(text_width(a, 2 * size) - 2 * text_width(a, size)) < 1e-6);
}

RC_GTEST_PROP(Fitted, IsNoWiderThanItsRoom, ()) {
    const std::string text = *random_text();
    const double room = *rc::gen::inRange(0, 200);
    const std::string fit = fitted(text, room, 9);
    RC_ASSERT(text_width(fit, 9) <= room + 1e-9);
    if (text_width(text, 9) <= room) RC_ASSERT(text_width(fit, 9) == text_width(text, 9));
}

RC_GTEST_PROP(BoxOf, TurnsAboutItsPlaceAndFollowsItsAnchor, ()) {
    Label label{.at = {50, 60}, .text = *random_text(), .size = 9};
    const Box flat = box_of(label);
    const double width = text_width(label.text, 9);
    RC_ASSERT(std::abs(flat.x1 - flat.x0 - width) < 1e-9);
    RC_ASSERT(flat.y0 < 60 && flat.y1 > 60);
    label.turned = 90;  // clockwise: what ran right runs down
    const Box turned = box_of(label);
    RC_ASSERT(std::abs(turned.y1 - turned.y0 - width) < 1e-9);
    RC_ASSERT(std::abs(turned.y0 - 60) < 1e-9);
    RC_ASSERT(std::abs(turned.x1 - (50 + (60 - flat.y0))) < 1e-9);
    label.turned = 0;
    label.anchor = Anchor::end;
    RC_ASSERT(std::abs(box_of(label).x1 - 50) < 1e-9);
    label.anchor = Anchor::middle;
    RC_ASSERT(std::abs(box_of(label).x0 + box_of(label).x1 - 100) < 1e-9);
}

TEST(LabelsOf, GoesIntoGroups) {
    Drawing d;
    d.items = {Label{.text = "a"}, Group{"g", {}, {Label{.text = "b"}, Group{"h", {}, {Label{.text = "c"}}}}},
               Label{.text = "d"}};
    std::string all;
    for (const Label* l : labels_of(d)) all += l->text;
    EXPECT_EQ(all, "abcd");
}

}  // namespace
}  // namespace voltsill::drawing
