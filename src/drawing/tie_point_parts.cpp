#include "drawing/tie_point_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "drawing/package_plan.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill::drawing {
namespace {

constexpr double lead = 3.6;
const Stroke outline{Tone::ink, 1.0}, leg{Tone::ink, 0.8};

std::string value_of(const WiredPart& part) {
    if (!part.value) return {};
    if (part.type->kind == PartKind::resistor) return print(Ohms{*part.value});
    if (part.type->kind == PartKind::capacitor) return print(Farads{*part.value});
    return {};
}

std::string name_and_value(const WiredPart& part) {
    const std::string value = value_of(part);
    return value.empty() ? part.name : part.name + " " + value;
}

struct Figure {
    const WiredPart& part;
    const Sheet& sheet;
    LabelRoom& room;
    std::vector<Point> at;  ///< leads in order
    BoardFigure out = {};

    void add(Item item) { out.group.items.push_back(std::move(item)); }
    void square(Point p) { add(box(p.x - lead / 2, p.y - lead / 2, lead, lead, Tone::ink, no_stroke)); }
    void body_box(const Box& b) {
        out.bodies.push_back(b);
        out.middle = {(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2};
        out.clear_x = (b.x1 - b.x0) / 2;
        out.clear_y = (b.y1 - b.y0) / 2;
    }
    bool across_trench() const;
    void dual();
    void row();
    void two_legs();
    void symbol(Point from, Point to, double share, double half);
    int hidden(Point from, Point to, double share, double half) const;
    void note_extent(Point from, Point to, Point middle, double half);
    bool inside(Point middle, double half, Point along, const std::string& text);
    void letter_leads();
    void keep_name_for_later(const std::string& text) {
        out.name = {.at = out.middle, .text = text, .size = small_letters, .halo = true};
        out.short_name = part.name;
    }
};

bool Figure::across_trench() const {
    return at.size() > 3 && part.package && two_rows(*part.package) &&
           std::ranges::any_of(at, [&](const Point& p) { return std::abs(p.x - at[0].x) > 1; });
}

/// Two rows of pins: body between them with notch and dot at pin 1, numbers at its edges.
void Figure::dual() {
    const auto [low, high] = std::ranges::minmax(at, {}, &Point::y);
    const auto [west, east] = std::ranges::minmax(at, {}, &Point::x);
    const double x0 = west.x + 4.5, x1 = east.x - 4.5;
    const double y0 = low.y - sheet.pitch * 0.45, y1 = high.y + sheet.pitch * 0.45;
    const bool notch_up = at.front().y < 0.5 * (y0 + y1) + 1e-6;
    const double middle = 0.5 * (x0 + x1);
    add(box(x0, y0, x1 - x0, y1 - y0, Tone::paper, outline));
    add(notch_up ? arc({middle, y0}, 4, 0, 180, outline) : arc({middle, y1}, 4, 180, 360, outline));
    body_box({west.x, y0, east.x, y1});
    for (std::size_t n = 0; n < at.size(); ++n) {
        square(at[n]);
        const bool on_left = at[n].x < middle;
        add(line({on_left ? x0 : x1, at[n].y}, at[n], leg));
        const Label number{.at = {on_left ? x0 + 2 : x1 - 2, at[n].y + 2.5},
                           .text = std::to_string(n + 1),
                           .anchor = on_left ? Anchor::start : Anchor::end,
                           .size = small_letters,
                           .bold = n == 0};
        room.take(number);
        add(number);
    }
    // Along the body, clear of notch and numbers.
    const double length = y1 - y0 - 10;
    Label name{.at = {middle - 2.8, 0.5 * (y0 + y1) + (notch_up ? 2 : -2)},
               .text = fitted(part.name + "  " + part.type->name, length, 7.5, true),
               .anchor = Anchor::middle,
               .size = 7.5,
               .bold = true,
               .turned = 90};
    if (name.text.starts_with(part.name) && room.is_free(name)) {
        room.take(name);
        add(name);
    } else {
        keep_name_for_later(part.name);
    }
}

/// Letters of its pins in place of leads: which way a transistor stands. Where a name is too long, numbers.
void Figure::letter_leads() {
    std::vector<std::string> names;
    for (std::size_t n = 0; n < at.size(); ++n) {
        const int pin = pin_of_lead(part, int(n));
        names.push_back(pin < 0 ? "-" : part.type->pins[pin].name);
    }
    const bool short_enough =
        std::ranges::all_of(names, [](const std::string& name) { return text_width(name, small_letters) < 9; });
    for (std::size_t n = 0; n < at.size(); ++n) {
        const std::string text = short_enough ? names[n] : std::to_string(n + 1);
        add(box(at[n].x - 4.2, at[n].y - 4, 8.4, 8, Tone::paper, {Tone::ink, 0.8}));
        const Label letter{
            .at = {at[n].x, at[n].y + 2.6}, .text = text, .anchor = Anchor::middle, .size = small_letters};
        room.take(letter);
        add(letter);
    }
}

/// One row of pins, or any other shape: an outline around the leads, a dot at pin 1.
void Figure::row() {
    Box around{1e9, 1e9, -1e9, -1e9};
    for (const Point& p : at)
        around = {std::min(around.x0, p.x), std::min(around.y0, p.y), std::max(around.x1, p.x),
                  std::max(around.y1, p.y)};
    around = {around.x0 - 6, around.y0 - 5, around.x1 + 6, around.y1 + 5};
    add(rounded_box(around.x0, around.y0, around.x1 - around.x0, around.y1 - around.y0, 3, Tone::none, outline));
    add(Circle{{at[0].x - 6, at[0].y - 5}, 1.6, Tone::ink, no_stroke});
    if (at.size() <= 4)
        letter_leads();
    else
        for (const Point& p : at) square(p);
    body_box(around);
    keep_name_for_later(part.name);
}

/// Half the thickness of a small body, and of what words keep off.
constexpr double half_body = 4.2, half_leg = 0.8;

/// Boxes along a line that hold it with `half` on either side: of a line that lies askew one box would hold
/// much that is free.
std::vector<Box> boxes_along(Point from, Point to, double half) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const bool askew = std::abs(to.x - from.x) > 0.01 && std::abs(to.y - from.y) > 0.01;
    const int pieces = askew ? std::max(1, static_cast<int>(std::ceil(length / 3))) : 1;
    std::vector<Box> out;
    for (int k = 0; k < pieces; ++k) {
        const auto at = [&](double share) {
            return Point{from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)};
        };
        const Point a = at(double(k) / pieces), b = at(double(k + 1) / pieces);
        // The corners of a piece lie `half` to its sides, not ahead of it.
        const double x = half * std::abs(to.y - from.y) / length, y = half * std::abs(to.x - from.x) / length;
        out.push_back({std::min(a.x, b.x) - x, std::min(a.y, b.y) - y, std::max(a.x, b.x) + x, std::max(a.y, b.y) + y});
    }
    return out;
}

/// IEC 60617: a box for a resistor, two plates for a capacitor, triangle and bar for a diode. Its middle
/// stands at a share of the way between the leads.
void Figure::symbol(Point from, Point to, double share, double half) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const Point middle{from.x + share * (to.x - from.x), from.y + share * (to.y - from.y)};
    const Point along{(to.x - from.x) / length, (to.y - from.y) / length}, side{-along.y, along.x};
    const auto spot = [&](double a, double b) {
        return Point{middle.x + along.x * a + side.x * b, middle.y + along.y * a + side.y * b};
    };
    if (part.type->kind == PartKind::capacitor) {
        add(line(spot(-half, -4), spot(-half, 4), {Tone::ink, 1.1}));
        add(line(spot(half, -4), spot(half, 4), {Tone::ink, 1.1}));
        if (part.type->name.find("electrolytic") != std::string::npos) {
            add(line(spot(-half - 3, -4.6), spot(-half - 3, -1.6), leg));
            add(line(spot(-half - 4.5, -3.1), spot(-half - 1.5, -3.1), leg));
        }
    } else if (part.type->kind == PartKind::diode) {
        const bool forward = part.package && part.type->pins[std::max(0, part.package->pin_of_number[0])].name == "A";
        const double tip = forward ? half : -half;
        add(polygon({spot(-tip, -3.6), spot(-tip, 3.6), spot(tip, 0)}, Tone::paper, leg));
        add(line(spot(tip, -3.6), spot(tip, 3.6), {Tone::ink, 1.2}));
    } else {
        add(polygon({spot(-half, -half_body), spot(half, -half_body), spot(half, half_body), spot(-half, half_body)},
                    Tone::paper, {Tone::ink, 0.9}));
    }
    add(line(from, spot(-half, 0), leg));
    add(line(spot(half, 0), to, leg));
    note_extent(from, to, middle, half);
    keep_name_for_later(name_and_value(part));
    if (part.type->kind != PartKind::resistor || std::abs(along.x * along.y) > 0.01) return;
    if (inside(middle, half, along, name_and_value(part)))
        out.name.text.clear();
    else if (inside(middle, half, along, part.name))
        out.name.text = value_of(part), out.short_name.clear();
}

/// What words and wires keep off, and where words for it are sought.
void Figure::note_extent(Point from, Point to, Point middle, double half) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const auto spot = [&](double a) {
        return Point{middle.x + (to.x - from.x) / length * a, middle.y + (to.y - from.y) / length * a};
    };
    out.bodies = boxes_along(spot(-half), spot(half), half_body);
    for (const auto& [a, b] : {std::pair{from, spot(-half)}, std::pair{spot(half), to}})
        std::ranges::copy(boxes_along(a, b, half_leg), std::back_inserter(out.legs));
    out.middle = middle;
    const bool askew = out.bodies.size() > 1;  // then its boxes keep the words off, and words come nearer
    out.clear_x = askew ? half_body : 0.5 * (out.bodies[0].x1 - out.bodies[0].x0);
    out.clear_y = askew ? half_body : 0.5 * (out.bodies[0].y1 - out.bodies[0].y0);
}

/// How much lies under a body of half length `half` there.
int Figure::hidden(Point from, Point to, double share, double half) const {
    const double length = std::hypot(to.x - from.x, to.y - from.y), by = half / length;
    const auto there = [&](double s) { return Point{from.x + s * (to.x - from.x), from.y + s * (to.y - from.y)}; };
    int under = 0;
    for (const Box& one : boxes_along(there(share - by), there(share + by), half_body + 0.6)) under += room.hits(one);
    return under;
}

/// Words along the body, in its middle or towards an end where a number stands on it.
bool Figure::inside(Point middle, double half, Point along, const std::string& text) {
    const bool upright = std::abs(along.y) > std::abs(along.x);
    const double spare = half - 1.5 - text_width(text, small_letters) / 2;
    if (spare < 0) return false;
    for (const double share : {0.0, -1.0, 1.0}) {
        const double off = share * spare;
        const Label label{.at = {middle.x + (upright ? -2.6 : off), middle.y + (upright ? off : 2.6)},
                          .text = text,
                          .anchor = Anchor::middle,
                          .size = small_letters,
                          .turned = upright ? 90.0 : 0.0};
        if (!room.is_free(label)) continue;
        room.take(label);
        add(label);
        return true;
    }
    return false;
}

/// The body stands where it hides no number, as long as fits there.
void Figure::two_legs() {
    const Point a = at[0], b = at[1];
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    double longest = std::clamp(length / 2 - 6, 3.0, 21.0);
    if (part.type->kind == PartKind::capacitor) longest = std::min(1.5, length / 6);
    if (part.type->kind == PartKind::diode) longest = std::min(3.5, length / 4);
    std::pair place{0.5, longest};
    int least = 1000;
    for (double half = longest; least > 0 && half > 0.99 * std::min(longest, 4.0); half *= 0.85)
        for (int off = 0; off <= 20; ++off)
            for (const double share : {0.5 + 0.02 * off, 0.5 - 0.02 * off}) {
                if (length * std::min(share, 1 - share) < half + 3) continue;
                const int under = hidden(a, b, share, half);
                if (under < least) least = under, place = {share, half};
            }
    symbol(a, b, place.first, place.second);
    square(a);
    square(b);
}

}  // namespace

BoardFigure part_figure(const Wiring& wiring, const Placement& placement, int part, const Sheet& sheet,
                       LabelRoom& room) {
    const WiredPart& wired = wiring.parts[part];
    Figure figure{wired, sheet, room, {}};
    std::string rows;
    for (const Hole& hole : placement.parts[part].holes) {
        figure.at.push_back(sheet.at(hole));
        rows += (rows.empty() ? "" : ", ") + words(placement, hole);
    }
    figure.out.group.title = fmt::format("{}, {}: {}", name_and_value(wired), wired.type->name, rows);
    figure.out.group.data = {{"part", wired.name}};
    if (figure.at.size() == 2)
        figure.two_legs();
    else if (figure.across_trench())
        figure.dual();
    else
        figure.row();
    return std::move(figure.out);
}

}  // namespace voltsill::drawing
