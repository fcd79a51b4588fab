#include "drawing/symbols.h"

#include <algorithm>
#include <cmath>

namespace voltsill::drawing {
namespace {

const Stroke thin{Tone::ink, 0.9}, plate{Tone::ink, 1.4}, faint{Tone::ink, 0.6};

/// Draws in the coordinates of a pose.
struct Pen {
    const Pose& pose;
    std::vector<Item> items;

    void stroke(std::initializer_list<Point> points, const Stroke& with = thin) {
        items.push_back(polyline(placed(points), with));
    }
    void shape(std::initializer_list<Point> points, Colour fill, const Stroke& with = thin) {
        items.push_back(polygon(placed(points), fill, with));
    }
    std::vector<Point> placed(std::initializer_list<Point> points) const {
        std::vector<Point> out;
        for (const Point& p : points) out.push_back(pose(p.x, p.y));
        return out;
    }
    Symbol done(std::initializer_list<std::pair<Point, Point>> leads) {
        Symbol s{.items = std::move(items)};
        s.box = box_around(s.items);
        for (const auto& [from, to] : leads) s.leads.push_back({pose(from.x, from.y), pose(to.x, to.y)});
        return s;
    }
    /// Triangle and bar of a diode on the line y: its anode at x - 5, or at x + 5 if `turned`.
    void diode_at(double x, double y, DiodeShape form, bool turned = false) {
        const double s = turned ? -1 : 1;
        shape({{x - 5 * s, y - 5}, {x - 5 * s, y + 5}, {x + 5 * s, y}}, Tone::paper);
        if (form == DiodeShape::schottky)
            stroke({{x + 2.5, y - 3},
                    {x + 2.5, y - 5},
                    {x + 5, y - 5},
                    {x + 5, y + 5},
                    {x + 7.5, y + 5},
                    {x + 7.5, y + 3}});
        else
            stroke({{x + 5 * s, y - 5}, {x + 5 * s, y + 5}});
        if (form != DiodeShape::light_emitting) return;
        for (const double k : {-2.0, 3.0}) {  // two arrows away from it
            stroke({{x + k, y - 7}, {x + k + 4, y - 11}}, faint);
            shape({{x + k + 5, y - 12}, {x + k + 4.3, y - 9.3}, {x + k + 2.3, y - 11.3}}, Tone::ink,
                  no_stroke);
        }
    }
};

}  // namespace

Point Pose::operator()(double x, double y) const {
    if (mirrored) x = -x;
    for (int k = 0; k < (quarters % 4 + 4) % 4; ++k) {
        const double turned = -y;
        y = x;
        x = turned;
    }
    return {at.x + x, at.y + y};
}

Symbol resistor(const Pose& pose) {
    Pen pen{pose, {}};
    pen.shape({{-11, -4}, {11, -4}, {11, 4}, {-11, 4}}, Tone::paper);
    return pen.done({{{-11, 0}, {-20, 0}}, {{11, 0}, {20, 0}}});
}

Symbol capacitor(const Pose& pose, bool polarized) {
    Pen pen{pose, {}};
    pen.stroke({{-2, -8}, {-2, 8}}, plate);
    pen.stroke({{2, -8}, {2, 8}}, plate);
    if (polarized) {
        pen.stroke({{-8, -6}, {-4, -6}}, faint);
        pen.stroke({{-6, -8}, {-6, -4}}, faint);
    }
    return pen.done({{{-2, 0}, {-20, 0}}, {{2, 0}, {20, 0}}});
}

Symbol diode(const Pose& pose, DiodeShape form) {
    Pen pen{pose, {}};
    pen.diode_at(0, 0, form);
    return pen.done({{{-5, 0}, {-20, 0}}, {{5, 0}, {20, 0}}});
}

Symbol led_with_resistor(const Pose& pose) {
    Pen pen{pose, {}};
    pen.shape({{-26, -4}, {-4, -4}, {-4, 4}, {-26, 4}}, Tone::paper);
    pen.stroke({{-4, 0}, {9, 0}});
    pen.diode_at(14, 0, DiodeShape::light_emitting);
    return pen.done({{{-26, 0}, {-35, 0}}, {{19, 0}, {35, 0}}});
}

Symbol led_with_resistor_from_supply(const Pose& pose) {
    Pen pen{pose, {}};
    pen.shape({{4, -4}, {26, -4}, {26, 4}, {4, 4}}, Tone::paper);
    pen.stroke({{4, 0}, {-9, 0}});
    pen.diode_at(-14, 0, DiodeShape::light_emitting, true);
    return pen.done({{{-19, 0}, {-35, 0}}, {{26, 0}, {35, 0}}});
}

Symbol bipolar(const Pose& pose, bool pnp) {
    Pen pen{pose, {}};
    const double c = pnp ? 1 : -1;  // the collector's side
    pen.stroke({{-4, -9}, {-4, 9}}, plate);
    pen.stroke({{-4, 4 * c}, {10, 13 * c}});
    pen.stroke({{-4, -4 * c}, {10, -13 * c}});
    const double s = -c;  // the emitter's arrow: out of an NPN, into a PNP
    const Point tip{pnp ? -1.0 : 8, s * (pnp ? 6 : 11.7)};
    const double back = pnp ? 5.5 : -5.5;
    const Point tail{tip.x + back, tip.y + s * back * 9 / 14};
    pen.shape({tip, {tail.x - 1.6, tail.y + s * 2.5}, {tail.x + 1.6, tail.y - s * 2.5}}, Tone::ink,
              no_stroke);
    return pen.done({{{-4, 0}, {-20, 0}}, {{10, 13 * c}, {10, 20 * c}}, {{10, -13 * c}, {10, -20 * c}}});
}

Symbol mosfet(const Pose& pose, bool p_channel) {
    Pen pen{pose, {}};
    const double d = p_channel ? 1 : -1;  // the drain's side
    pen.stroke({{-7, -9}, {-7, 9}}, plate);
    for (const double y : {-7.0, 0.0, 7.0}) pen.stroke({{-3.5, y - 2.4}, {-3.5, y + 2.4}}, plate);
    pen.stroke({{-3.5, 7 * d}, {10, 7 * d}, {10, 13 * d}});
    pen.stroke({{-3.5, -7 * d}, {10, -7 * d}, {10, -13 * d}});
    pen.stroke({{-3.5, 0}, {5, 0}, {5, -7 * d}});
    if (p_channel)
        pen.shape({{3.5, 0}, {-1, -2}, {-1, 2}}, Tone::ink, no_stroke);
    else
        pen.shape({{-3, 0}, {1.5, -2}, {1.5, 2}}, Tone::ink, no_stroke);
    pen.stroke({{10, -10}, {17, -10}, {17, 10}, {10, 10}}, faint);
    // Anode at the source of an N-channel, at the drain of a P-channel: the lower end in both.
    pen.shape({{13.5, 3}, {20.5, 3}, {17, -3}}, Tone::paper, faint);
    pen.stroke({{13.5, -3}, {20.5, -3}}, faint);
    return pen.done(
        {{{-7, -5 * d}, {-20, -5 * d}}, {{10, 13 * d}, {10, 20 * d}}, {{10, -13 * d}, {10, -20 * d}}});
}

std::vector<Item> light_path(const Pose& pose) {
    Pen pen{pose, {}};
    pen.stroke({{-20, -10}, {-12, -10}, {-12, -4}});  // anode on top
    pen.shape({{-17, -4}, {-7, -4}, {-12, 5}}, Tone::paper);
    pen.stroke({{-17, 5}, {-7, 5}});
    pen.stroke({{-12, 5}, {-12, 10}, {-20, 10}});
    for (const double y : {-3.0, 2.0}) {
        pen.stroke({{-5, y}, {0, y}}, faint);
        pen.shape({{3, y}, {-0.5, y - 1.6}, {-0.5, y + 1.6}}, Tone::ink, no_stroke);
    }
    pen.stroke({{8, -8}, {8, 8}}, plate);
    pen.stroke({{8, -3}, {17, -10}, {20, -10}});
    pen.stroke({{8, 3}, {17, 10}, {20, 10}});
    pen.shape({{16.2, 9.4}, {13.8, 5.2}, {11.6, 8.1}}, Tone::ink, no_stroke);
    return std::move(pen.items);
}

Symbol supply_bar(const Pose& pose, double volts) {
    Pen pen{pose, {}};
    pen.shape({{-9, -10}, {9, -10}, {9, -13}, {-9, -13}}, Colour(Tone::volts, volts), faint);
    return pen.done({{{0, -10}, {0, 0}}});
}

Symbol ground(const Pose& pose) {
    Pen pen{pose, {}};
    pen.stroke({{-8, 10}, {8, 10}});
    pen.stroke({{-5, 12.5}, {5, 12.5}});
    pen.stroke({{-2, 15}, {2, 15}});
    return pen.done({{{0, 10}, {0, 0}}});
}

Item terminal(Point at) { return Circle{at, 2.2, Tone::paper, thin}; }

Item arrow_head(const Pose& pose) {
    return polygon({pose(0, 0), pose(-6.5, -2.6), pose(-6.5, 2.6)}, Tone::ink, no_stroke);
}

Item junction(Point at) { return Circle{at, 1.7, Tone::ink, no_stroke}; }

std::vector<Item> open_drain_sign(Point at) {
    return {polygon({{at.x, at.y - 4.5}, {at.x + 3.5, at.y - 1}, {at.x, at.y + 2.5}, {at.x - 3.5, at.y - 1}},
                    Tone::none, faint),
            line({at.x - 3.5, at.y + 4.5}, {at.x + 3.5, at.y + 4.5}, faint)};
}

Item three_state_sign(Point at) {
    return polygon({{at.x - 3.5, at.y - 3}, {at.x + 3.5, at.y - 3}, {at.x, at.y + 3}}, Tone::none, faint);
}

Item hysteresis_sign(Point at) {
    return polyline({{at.x - 5, at.y + 3},
                     {at.x + 1, at.y + 3},
                     {at.x + 1, at.y - 3},
                     {at.x + 5, at.y - 3},
                     {at.x - 1, at.y - 3},
                     {at.x - 1, at.y + 3}},
                    faint);
}

Item amplifier_sign(Point at, bool to_right) {
    const double s = to_right ? 1 : -1;
    return polygon({{at.x - 3 * s, at.y - 3.5}, {at.x - 3 * s, at.y + 3.5}, {at.x + 3 * s, at.y}}, Tone::none,
                   faint);
}

Item negation(Point at, Point outward) {
    return Circle{{at.x + 2.5 * outward.x, at.y + 2.5 * outward.y}, 2.5, Tone::paper, thin};
}

namespace {

struct Extent {
    Box box{1e9, 1e9, -1e9, -1e9};
    void add(const Point& p, double by = 0) {
        box.x0 = std::min(box.x0, p.x - by), box.y0 = std::min(box.y0, p.y - by);
        box.x1 = std::max(box.x1, p.x + by), box.y1 = std::max(box.y1, p.y + by);
    }
    void operator()(const Path& path) {
        for (const Step& s : path.steps)
            if (s.kind != Step::Kind::close) add(s.to, path.stroke.width / 2);
    }
    void operator()(const Circle& c) { add(c.centre, c.radius + c.stroke.width / 2); }
    void operator()(const Label& l) {
        const Box b = box_of(l);
        add({b.x0, b.y0}), add({b.x1, b.y1});
    }
    void operator()(const Group& g) {
        for (const Item& item : g.items) std::visit(*this, item);
    }
};

struct Mover {
    double dx, dy;
    void by(Point& p) const { p.x += dx, p.y += dy; }
    void operator()(Path& path) const {
        for (Step& s : path.steps) by(s.to), by(s.control1), by(s.control2);
    }
    void operator()(Circle& c) const { by(c.centre); }
    void operator()(Label& l) const { by(l.at); }
    void operator()(Group& g) const {
        for (Item& item : g.items) std::visit(*this, item);
    }
};

}  // namespace

std::string_view qualifying_sign(ChannelLogic logic) {
    switch (logic) {
        case ChannelLogic::and_:
        case ChannelLogic::nand:
            return "&";
        case ChannelLogic::or_:
        case ChannelLogic::nor:
            return "≥1";
        case ChannelLogic::xor_:
            return "=1";
        case ChannelLogic::pass_gate:
        case ChannelLogic::auto_push_pull:
        case ChannelLogic::auto_open_drain:
        case ChannelLogic::repeater:
            return both_ways_sign;
        default:
            return "1";
    }
}

bool inverts(ChannelLogic logic) {
    return logic == ChannelLogic::inverter || logic == ChannelLogic::nand || logic == ChannelLogic::nor;
}

Box box_around(const std::vector<Item>& items) {
    Extent extent;
    for (const Item& item : items) std::visit(extent, item);
    return extent.box;
}

void move(Item& item, double dx, double dy) { std::visit(Mover{dx, dy}, item); }

}  // namespace voltsill::drawing
