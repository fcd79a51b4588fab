#include "drawing/svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "drawing/look.h"
#include "drawing/text.h"

namespace voltsill::drawing {
namespace {

/// Hundredths of a unit; what is no number stands at 0.
std::string number(double value) {
    const double rounded = std::isfinite(value) ? std::round(std::clamp(value, -1e6, 1e6) * 100) / 100 : 0;
    return fmt::format("{}", rounded + 0.0);  // no "-0"
}

std::string point(Point p) { return number(p.x) + " " + number(p.y); }

std::string words(std::string_view text) { return escape_html(bind_units(clean(text))); }

std::string_view name_of(Tone tone) {
    const auto& looks = tone_looks();
    const auto at = std::ranges::find(looks, tone, &ToneLook::tone);
    return at == looks.end() ? "ink" : at->name;
}

std::string hex(const Rgb& c) {
    const auto byte = [](double v) { return static_cast<int>(std::lround(255 * v)); };
    return fmt::format("#{:02x}{:02x}{:02x}", byte(c.red), byte(c.green), byte(c.blue));
}

std::string path_data(const std::vector<Step>& steps) {
    std::string out;
    for (const Step& s : steps) {
        if (out.empty() && s.kind != Step::Kind::move) out += "M0 0";  // a path begins with a move
        switch (s.kind) {
            case Step::Kind::move:
                out += "M" + point(s.to);
                break;
            case Step::Kind::line:
                out += "L" + point(s.to);
                break;
            case Step::Kind::curve:
                out += "C" + point(s.control1) + " " + point(s.control2) + " " + point(s.to);
                break;
            case Step::Kind::close:
                out += "Z";
        }
    }
    return out;
}

/// Classes of an element and, for voltages, the share its style sheet computes the colour from.
struct Paint {
    std::string classes, style, plain;

    void colour(const Colour& c, bool line) {
        const char* property = line ? "stroke" : "fill";
        if (c.tone == Tone::none) {
            if (!line) plain += " fill=\"none\"";
            return;
        }
        classes += fmt::format("{}{}-{}", classes.empty() ? "" : " ", property,
                               c.tone == Tone::volts ? "volts" : name_of(c.tone));
        if (c.tone != Tone::volts) return;
        plain += fmt::format(" {}=\"{}\"", property, hex(rgb_of(c, Medium::light, line)));
        style += fmt::format("--{}-volts:{:.3f};", property, volts_share(c.volts));
    }
    void stroke(const Stroke& s) {
        if (s.colour.tone == Tone::none || !(s.width > 0)) return;
        colour(s.colour, true);
        plain += fmt::format(" stroke-width=\"{}\"", number(s.width));
        std::string lengths;
        for (const double l : dash_lengths(s.dash)) lengths += (lengths.empty() ? "" : " ") + number(l);
        if (!lengths.empty()) plain += fmt::format(" stroke-dasharray=\"{}\"", lengths);
    }
    std::string attributes() const {
        std::string out = classes.empty() ? "" : fmt::format(" class=\"{}\"", classes);
        if (!style.empty()) out += fmt::format(" style=\"{}\"", style);
        return out + plain;
    }
};

struct Writer {
    int id;
    std::string out;
    std::set<Hatch> hatches;

    void operator()(const Path& p) {
        if (p.steps.empty()) return;
        const std::string data = path_data(p.steps);
        Paint paint;
        paint.colour(p.fill, false);
        if (p.hatch == Hatch::none) paint.stroke(p.stroke);
        if (p.hatch == Hatch::none || p.fill.tone != Tone::none)
            out += fmt::format("<path d=\"{}\"{}/>\n", data, paint.attributes());
        if (p.hatch == Hatch::none) return;
        hatches.insert(p.hatch);
        Paint over;
        over.stroke(p.stroke);
        out += fmt::format("<path d=\"{}\" fill=\"url(#drawing-{}-{})\"{}/>\n", data, id,
                           p.hatch == Hatch::sparse ? "sparse" : "dense", over.attributes());
    }
    void operator()(const Circle& c) {
        Paint paint;
        paint.colour(c.fill, false);
        paint.stroke(c.stroke);
        out += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>\n", number(c.centre.x), number(c.centre.y),
                           number(std::max(0.0, c.radius)), paint.attributes());
    }
    void operator()(const Label& l) {
        Paint paint;
        for (const auto& [on, name] : {std::pair{l.bold, "bold"}, {l.italic, "italic"}, {l.mono, "mono"},
                                       {l.halo, "halo"}, {l.overline, "overline"}})
            if (on) paint.classes += (paint.classes.empty() ? "" : " ") + std::string(name);
        paint.colour(l.colour.tone == Tone::volts ? Colour(Tone::ink) : l.colour, false);
        std::string more;
        if (l.anchor != Anchor::start)
            more += fmt::format(" text-anchor=\"{}\"", l.anchor == Anchor::middle ? "middle" : "end");
        if (l.turned != 0)
            more += fmt::format(" transform=\"rotate({} {})\"", number(l.turned), point(l.at));
        out += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\"{}{}>{}</text>\n", number(l.at.x),
                           number(l.at.y), number(l.size), more, paint.attributes(), words(l.text));
    }
    void operator()(const Group& g) {
        out += "<g";
        for (const auto& [key, value] : g.data) {
            const bool plain = std::ranges::all_of(key, [](char c) { return (c >= 'a' && c <= 'z') || c == '-'; });
            if (!key.empty() && plain) out += fmt::format(" data-{}=\"{}\"", key, words(value));
        }
        out += ">\n";
        if (!g.title.empty()) out += fmt::format("<title>{}</title>\n", words(g.title));
        items(g.items);
        out += "</g>\n";
    }
    void items(const std::vector<Item>& all) {
        for (const Item& item : all) std::visit([this](const auto& i) { (*this)(i); }, item);
    }

    std::string pattern(Hatch hatch) const {
        const std::string size = number(hatch_spacing(hatch));
        std::string lines = fmt::format("M0 {0}L{0} 0", size);
        if (hatch == Hatch::dense) lines += fmt::format("M0 0L{0} {0}", size);
        return fmt::format(
            "<pattern id=\"drawing-{0}-{1}\" width=\"{2}\" height=\"{2}\" patternUnits=\"userSpaceOnUse\">"
            "<path d=\"{3}\" class=\"stroke-ink\" fill=\"none\" stroke-width=\"{4}\"/></pattern>\n",
            id, hatch == Hatch::sparse ? "sparse" : "dense", size, lines, number(hatch_width));
    }
};

/// From <svg to </svg>. `size` are its attributes of size, `first` stands before the drawing.
std::string element(const Drawing& drawing, int id, const std::string& size, const std::string& first) {
    Writer writer{.id = id, .out = {}, .hatches = {}};
    writer.items(drawing.items);
    std::string patterns;
    for (const Hatch hatch : writer.hatches) patterns += writer.pattern(hatch);
    if (!patterns.empty()) patterns = "<defs>\n" + patterns + "</defs>\n";
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" viewBox=\"0 0 {0} {1}\"{2} role=\"img\" "
        "aria-labelledby=\"drawing-{3}-title drawing-{3}-desc\">\n<title id=\"drawing-{3}-title\">{4}</title>\n"
        "<desc id=\"drawing-{3}-desc\">{5}</desc>\n{6}{7}{8}</svg>\n",
        number(drawing.width), number(drawing.height), size, id, words(drawing.title), words(drawing.description),
        first, patterns, writer.out);
}

/// CSS pixels of the smallest letters on the narrowest screen; a wider drawing scrolls there.
constexpr double readable_letters = 8.5;

std::string variables(Medium medium) {
    std::string out;
    for (const ToneLook& look : tone_looks())
        out += fmt::format(" --{}: #{:06x};", look.name, look.by_medium[static_cast<std::size_t>(medium)]);
    const VoltsLook line = volts_line(medium);
    return out + fmt::format(" --volts-from: {}%; --volts-fall: {}%;", line.from, line.fall);
}

std::string volts_rule(const char* property, const std::string& from, const std::string& fall) {
    return fmt::format(
        ".drawing .{0}-volts {{ {0}: hsl({1} calc({2}% + {3}% * var(--{0}-volts)) "
        "calc({4} - {5} * var(--{0}-volts))); }}\n",
        property, volts_hue, volts_saturation, volts_saturation_rise, from, fall);
}

}  // namespace

std::string svg_element(const Drawing& drawing, int number_in_page) {
    double letters = 10;
    for (const Label* label : labels_of(drawing)) letters = std::min(letters, label->size);
    const std::string size = fmt::format(
        " width=\"{0}\" style=\"max-width:{0}px;min-width:{1}px\"", std::lround(1.5 * drawing.width),
        std::lround(readable_letters / std::max(letters, 1.0) * drawing.width));
    return element(drawing, number_in_page, size, "");
}

std::string svg_file(const Drawing& drawing) {
    const std::string size =
        fmt::format(" width=\"{}pt\" height=\"{}pt\"", number(drawing.width), number(drawing.height));
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" +
           element(drawing, 0, size,
                   fmt::format("<style>\n{}</style>\n"
                               "<rect width=\"100%\" height=\"100%\" class=\"fill-paper\"/>\n",
                               style_sheet()));
}

/// Letters and strokes of every drawing; {} is the width of a halo.
constexpr const char* letter_rules =
    R"css(.drawing text {{ font-family: "Segoe UI", "Helvetica Neue", Helvetica, Arial, )css"
    R"css("DejaVu Sans", sans-serif; }}
.drawing .mono {{ font-family: ui-monospace, "Cascadia Mono", Consolas, "DejaVu Sans Mono", monospace; }}
.drawing .bold {{ font-weight: bold; }}
.drawing .italic {{ font-style: italic; }}
.drawing .overline {{ text-decoration: overline; }}
)css"
    R"css(.drawing .halo {{ paint-order: stroke; stroke: #fbfaf5; stroke: var(--paper); )css"
    R"css(stroke-width: {}px; stroke-linejoin: round; }}
.drawing path {{ stroke-linejoin: round; }}
.drawing [data-code] {{ --paper: #ffffff; --ink: #000000; }}
)css";

std::string style_sheet() {
    std::string out = fmt::format(
        ":root {{ color-scheme: light dark;{} }}\n"
        "@media (prefers-color-scheme: dark) {{ :root {{{} }} }}\n@media print {{ :root {{{} }} }}\n",
        variables(Medium::light), variables(Medium::dark), variables(Medium::print));
    // Every colour twice: viewers that know no variables keep the first.
    for (const ToneLook& look : tone_looks())
        for (const char* property : {"fill", "stroke"})
            out += fmt::format(".drawing .{0}-{1} {{ {0}: #{2:06x}; {0}: var(--{1}); }}\n", property, look.name,
                               look.by_medium[0]);
    out += volts_rule("fill", fmt::format("{}%", volts_fill.from), fmt::format("{}%", volts_fill.fall));
    out += volts_rule("stroke", "var(--volts-from)", "var(--volts-fall)");
    // Readers of codes want dark modules on a light ground, whatever the page (ISO/IEC 18004, quiet zone included).
    return out + fmt::format(letter_rules, halo_width);
}

}  // namespace voltsill::drawing
