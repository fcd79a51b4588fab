#include "drawing/drawing.h"

#include <utf8proc.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "drawing/font_widths.h"
#include "drawing/text.h"

namespace voltsill::drawing {
namespace {

// Heights of DejaVu Sans over and under the base line, em: letters with ascenders and descenders.
constexpr double ascent = 0.76, descent = 0.24, overline_height = 0.95;
/// Em of a letter that the table leaves out: it comes from a font nobody can foresee.
constexpr double strange_letter = 1.25;

double advance(char32_t code, bool bold, bool mono) {
    const std::optional<double> known = advance_of(code, bold);
    const bool takes_room = utf8proc_charwidth(static_cast<utf8proc_int32_t>(code)) > 0;
    const double sans = known ? *known : takes_room ? strange_letter : 0;
    if (!mono) return sans;
    return code < 0x2000 && known ? mono_advance : takes_room ? std::max(sans, mono_advance) : 0;
}

Step move_to(Point p) { return {Step::Kind::move, p, {}, {}}; }
Step line_to(Point p) { return {Step::Kind::line, p, {}, {}}; }
constexpr Step close{Step::Kind::close, {}, {}, {}};

Point on_circle(Point centre, double radius, double angle) {
    return {centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)};
}

/// From `from` to `to` in cubics of at most a quarter each, with handles of 4/3 tan(a/4) radii
/// (M. Riskus, Information Technology and Control 35, 2006, pp. 371-378, from memory).
void add_arc(std::vector<Step>& steps, Point centre, double radius, double from, double to) {
    if (!std::isfinite(to - from)) return;
    const double quarters = std::min(std::abs(to - from) / (std::numbers::pi / 2), 4.0);
    const int pieces = std::max(1, static_cast<int>(std::ceil(quarters)));
    const double part = (to - from) / pieces, handle = 4.0 / 3 * std::tan(part / 4) * radius;
    for (int k = 0; k < pieces; ++k) {
        const double a = from + k * part, b = a + part;
        const Point start = on_circle(centre, radius, a), end = on_circle(centre, radius, b);
        steps.push_back({Step::Kind::curve, end,
                         {start.x - handle * std::sin(a), start.y + handle * std::cos(a)},
                         {end.x + handle * std::sin(b), end.y - handle * std::cos(b)}});
    }
}

void collect(const std::vector<Item>& items, std::vector<const Label*>& out) {
    for (const Item& item : items) {
        if (const auto* label = std::get_if<Label>(&item)) out.push_back(label);
        if (const auto* group = std::get_if<Group>(&item)) collect(group->items, out);
    }
}

}  // namespace

Path line(Point from, Point to, Stroke stroke) { return polyline({from, to}, stroke); }

Path polyline(const std::vector<Point>& points, Stroke stroke) {
    Path path{.steps = {}, .stroke = stroke};
    for (const Point p : points) path.steps.push_back(path.steps.empty() ? move_to(p) : line_to(p));
    return path;
}

Path polygon(const std::vector<Point>& points, Colour fill, Stroke stroke) {
    Path path = polyline(points, stroke);
    path.fill = fill;
    if (!points.empty()) path.steps.push_back(close);
    return path;
}

Path box(double x, double y, double width, double height, Colour fill, Stroke stroke) {
    return polygon({{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, fill, stroke);
}

Path rounded_box(double x, double y, double width, double height, double radius, Colour fill, Stroke stroke) {
    const double r = std::clamp(radius, 0.0, std::min(std::abs(width), std::abs(height)) / 2);
    if (r == 0) return box(x, y, width, height, fill, stroke);
    constexpr double quarter = std::numbers::pi / 2;
    Path path{.steps = {move_to({x + r, y})}, .fill = fill, .stroke = stroke};
    const Point centres[] = {{x + width - r, y + r}, {x + width - r, y + height - r}, {x + r, y + height - r},
                             {x + r, y + r}};
    for (int k = 0; k < 4; ++k) {
        const double from = (k - 1) * quarter;
        path.steps.push_back(line_to(on_circle(centres[k], r, from)));
        add_arc(path.steps, centres[k], r, from, from + quarter);
    }
    path.steps.push_back(close);
    return path;
}

Path arc(Point centre, double radius, double from, double to, Stroke stroke) {
    const double degree = std::numbers::pi / 180;
    Path path{.steps = {move_to(on_circle(centre, radius, from * degree))}, .stroke = stroke};
    add_arc(path.steps, centre, radius, from * degree, to * degree);
    return path;
}

double text_width(std::string_view text, double size, bool bold, bool mono) {
    double width = 0;
    for (const char32_t code : decode_utf8(clean(text))) width += advance(code, bold, mono);
    return width * size;
}

std::string fitted(std::string_view text, double width, double size, bool bold, bool mono) {
    const std::string whole = clean(text);
    if (text_width(whole, size, bold, mono) <= width) return whole;
    const double room = width - text_width("…", size, bold, mono);
    if (room < 0) return {};
    std::string out;
    double used = 0;
    for (const Cluster& c : clusters(whole)) {
        used += text_width(c.bytes, size, bold, mono);
        if (used > room) break;
        out += c.bytes;
    }
    return out + "…";
}

Box box_of(const Label& label) {
    const double width = text_width(label.text, label.size, label.bold, label.mono);
    const double left = label.anchor == Anchor::start ? 0 : label.anchor == Anchor::middle ? -width / 2 : -width;
    const double top = -label.size * (label.overline ? overline_height : ascent), bottom = label.size * descent;
    const double angle = label.turned * std::numbers::pi / 180, c = std::cos(angle), s = std::sin(angle);
    Box out{label.at.x, label.at.y, label.at.x, label.at.y};
    bool first = true;
    for (const double x : {left, left + width})
        for (const double y : {top, bottom}) {
            const double px = label.at.x + x * c - y * s, py = label.at.y + x * s + y * c;
            out = first ? Box{px, py, px, py}
                        : Box{std::min(out.x0, px), std::min(out.y0, py), std::max(out.x1, px), std::max(out.y1, py)};
            first = false;
        }
    return out;
}

std::vector<const Label*> labels_of(const Drawing& drawing) {
    std::vector<const Label*> out;
    collect(drawing.items, out);
    return out;
}

}  // namespace voltsill::drawing
