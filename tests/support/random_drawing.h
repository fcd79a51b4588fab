#pragma once
/// Drawings with items of every kind, at places good and bad, in words that users might type.
#include <rapidcheck.h>

#include <limits>

#include "drawing/drawing.h"
#include "support/random_text.h"

namespace voltsill::drawing {

inline std::vector<Item> random_items(int depth) {
    const auto place = [] {
        return *rc::gen::element(-1e9, -3.0, 0.0, 7.0, 12.5, 90.0, 400.0, std::numeric_limits<double>::infinity(),
                                 std::numeric_limits<double>::quiet_NaN());
    };
    const auto at = [&] { return Point{place(), place()}; };
    const auto colour = [&] { return Colour(static_cast<Tone>(*rc::gen::inRange(0, 15)), place()); };
    const auto stroke = [&] { return Stroke{colour(), place(), static_cast<Dash>(*rc::gen::inRange(0, 4))}; };
    std::vector<Item> out;
    for (int k = *rc::gen::inRange(0, 6); k > 0; --k) {
        Path path = rounded_box(place(), place(), place(), place(), place(), colour(), stroke());
        path.hatch = static_cast<Hatch>(*rc::gen::inRange(0, 3));
        out.emplace_back(path);
        out.emplace_back(Path{.steps = {{Step::Kind::line, at(), {}, {}}, {Step::Kind::curve, at(), at(), at()}}});
        out.emplace_back(Circle{at(), place(), colour(), stroke()});
        out.emplace_back(Label{.at = at(),
                               .text = *random_text(),
                               .anchor = static_cast<Anchor>(*rc::gen::inRange(0, 3)),
                               .size = place(),
                               .bold = *rc::gen::arbitrary<bool>(),
                               .italic = *rc::gen::arbitrary<bool>(),
                               .mono = *rc::gen::arbitrary<bool>(),
                               .turned = place(),
                               .halo = *rc::gen::arbitrary<bool>(),
                               .colour = colour(),
                               .overline = *rc::gen::arbitrary<bool>()});
        if (depth > 0)
            out.emplace_back(
                Group{*random_text(), {{"wire", *random_text()}, {*random_text(), "x"}}, random_items(depth - 1)});
    }
    return out;
}

inline rc::Gen<Drawing> random_drawing() {
    return rc::gen::exec([] {
        return Drawing{.width = *rc::gen::element(1.0, 60.0, 510.0, 900.0),
                       .height = *rc::gen::element(1.0, 60.0, 700.0, 1200.0),
                       .title = *random_text(),
                       .description = *random_text(),
                       .items = random_items(1)};
    });
}

}  // namespace voltsill::drawing
