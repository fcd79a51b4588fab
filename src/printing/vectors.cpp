#include "printing/vectors.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "drawing/look.h"

namespace voltsill::printing {
namespace {

using namespace drawing;

/// Cairo counts in 1/256 points up to 8 million; what is no number stands at 0.
double sane(double v) { return std::isfinite(v) ? std::clamp(v, -1e5, 1e5) : 0; }

struct Painter {
    cairo_t* cr;
    const Letters& letters;
    Box edges;

    void colour(const Colour& c, bool line) const {
        const Rgb rgb = rgb_of(c, Medium::print, line);
        cairo_set_source_rgb(cr, rgb.red, rgb.green, rgb.blue);
    }
    void fill(const Colour& c) const {
        if (c.tone == Tone::none) return;
        colour(c, false);
        cairo_fill_preserve(cr);
    }
    void stroke(const Stroke& s) const {
        if (s.colour.tone == Tone::none || !(s.width > 0)) return;
        colour(s.colour, true);
        cairo_set_line_width(cr, std::min(sane(s.width), 1000.0));
        const std::vector<double> lengths = dash_lengths(s.dash);
        cairo_set_dash(cr, lengths.data(), static_cast<int>(lengths.size()), 0);
        cairo_stroke_preserve(cr);
        cairo_set_dash(cr, nullptr, 0, 0);
    }

    /// Lines across the current path, at the places where a pattern of the drawing's plane has them.
    void hatch(Hatch kind) const {
        double x0, y0, x1, y1;
        cairo_path_extents(cr, &x0, &y0, &x1, &y1);
        x0 = std::max(x0, edges.x0), y0 = std::max(y0, edges.y0);
        x1 = std::min(x1, edges.x1), y1 = std::min(y1, edges.y1);
        cairo_path_t* outline = cairo_copy_path(cr);
        cairo_save(cr);
        cairo_clip(cr);
        colour(Tone::ink, true);
        cairo_set_line_width(cr, hatch_width);
        const double spacing = hatch_spacing(kind), height = y1 - y0;
        if (height > 0) {
            for (double c = std::floor((x0 + y0) / spacing) * spacing; c <= x1 + y1; c += spacing) {
                cairo_move_to(cr, c - y0, y0);  // rising to the right: x + y = c
                cairo_line_to(cr, c - y1, y1);
            }
            if (kind == Hatch::dense)
                for (double c = std::floor((x0 - y1) / spacing) * spacing; c <= x1 - y0; c += spacing) {
                    cairo_move_to(cr, c + y0, y0);
                    cairo_line_to(cr, c + y1, y1);
                }
        }
        cairo_stroke(cr);
        cairo_restore(cr);
        cairo_new_path(cr);
        cairo_append_path(cr, outline);
        cairo_path_destroy(outline);
    }

    void operator()(const Path& p) const {
        cairo_new_path(cr);
        for (const Step& s : p.steps) {
            if (!cairo_has_current_point(cr)) cairo_move_to(cr, 0, 0);
            switch (s.kind) {
                case Step::Kind::move:
                    cairo_move_to(cr, sane(s.to.x), sane(s.to.y));
                    break;
                case Step::Kind::line:
                    cairo_line_to(cr, sane(s.to.x), sane(s.to.y));
                    break;
                case Step::Kind::curve:
                    cairo_curve_to(cr, sane(s.control1.x), sane(s.control1.y), sane(s.control2.x), sane(s.control2.y),
                                   sane(s.to.x), sane(s.to.y));
                    break;
                case Step::Kind::close:
                    cairo_close_path(cr);
            }
        }
        fill(p.fill);
        if (p.hatch != Hatch::none) hatch(p.hatch);
        stroke(p.stroke);
        cairo_new_path(cr);
    }
    void operator()(const Circle& c) const {
        cairo_new_path(cr);
        cairo_arc(cr, sane(c.centre.x), sane(c.centre.y), std::max(0.0, sane(c.radius)), 0, 2 * std::numbers::pi);
        fill(c.fill);
        stroke(c.stroke);
        cairo_new_path(cr);
    }
    /// Words that lie wholly beyond the edges would still be found by a search: they are left out.
    void operator()(const Label& l) const {
        if (!(l.size > 0) || !box_of(l).touches(edges)) return;
        const auto layout =
            letters.word(l.text, {.size = l.size, .bold = l.bold, .italic = l.italic, .mono = l.mono}, l.overline);
        PangoLayoutLine* line = pango_layout_get_line_readonly(layout.get(), 0);
        PangoRectangle logical;
        pango_layout_line_get_extents(line, nullptr, &logical);
        const double width = points(logical.width);
        cairo_save(cr);
        cairo_translate(cr, sane(l.at.x), sane(l.at.y));
        cairo_rotate(cr, std::isfinite(l.turned) ? l.turned * std::numbers::pi / 180 : 0);
        cairo_move_to(cr, l.anchor == Anchor::start ? 0 : l.anchor == Anchor::middle ? -width / 2 : -width, 0);
        if (l.halo) {
            cairo_save(cr);
            pango_cairo_layout_line_path(cr, line);
            colour(Tone::paper, true);
            cairo_set_line_width(cr, halo_width);
            cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
            cairo_stroke(cr);
            cairo_restore(cr);
            cairo_move_to(cr, l.anchor == Anchor::start ? 0 : l.anchor == Anchor::middle ? -width / 2 : -width, 0);
        }
        const bool plain = l.colour.tone == Tone::none || l.colour.tone == Tone::volts;
        colour(plain ? Colour(Tone::ink) : l.colour, true);
        pango_cairo_show_layout_line(cr, line);
        cairo_restore(cr);
        cairo_new_path(cr);
    }
    void operator()(const Group& g) const { items(g.items); }
    void items(const std::vector<Item>& all) const {
        for (const Item& item : all) std::visit([this](const auto& i) { (*this)(i); }, item);
    }
};

}  // namespace

void draw(cairo_t* cr, const Letters& letters, const drawing::Drawing& drawing, double x, double y, double scale) {
    cairo_save(cr);
    cairo_translate(cr, x, y);
    cairo_scale(cr, scale, scale);
    cairo_rectangle(cr, 0, 0, drawing.width, drawing.height);
    cairo_clip(cr);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    Painter{cr, letters, {0, 0, drawing.width, drawing.height}}.items(drawing.items);
    cairo_restore(cr);
}

double smallest_letters(const drawing::Drawing& drawing) {
    double out = 100;
    for (const Label* label : labels_of(drawing))
        if (label->size > 0) out = std::min(out, label->size);
    return out;
}

}  // namespace voltsill::printing
