#pragma once
/// A drawing as values: lines, shapes and words on a plane, in tones that a medium gives its
/// colours. The same drawing becomes SVG (svg.h) on a screen and vectors on paper (room printing),
/// and tests read its words and places without a picture.
///
/// One unit is one point of print, 1/72 inch: a drawing no wider than 510 units and no taller than 660
/// prints at its own size under a heading on A4 (ISO 216) and on Letter (ANSI/ASME Y14.1) with 15 mm of
/// margin. x runs right, y down.
/// Text is UTF-8 and may hold anything a user typed: whoever writes a medium makes it harmless.
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace voltsill::drawing {

inline constexpr double page_width = 510, page_height = 660;
/// Smallest letters of any drawing, units.
inline constexpr double smallest_letters = 7;

struct Point {
    double x = 0, y = 0;
    bool operator==(const Point&) const = default;
};

/// What a colour stands for. `volts`: pale at 0 V, dark at the highest voltage, in one hue. The last
/// five are the palette of verdicts, which always stand beside a sign and a word.
enum class Tone {
    none, paper, ink, soft, line, hair, wash, range, alarm, volts,
    safe, thin, unknown, unreadable, harmful,
};
struct Colour {
    Tone tone = Tone::none;
    double volts = 0;  ///< for Tone::volts
    Colour() = default;
    Colour(Tone t, double v = 0) : tone(t), volts(v) {}
    bool operator==(const Colour&) const = default;
};

enum class Dash { solid, dashed, dotted, chain };
struct Stroke {
    Colour colour = Tone::ink;
    double width = 0.8;  ///< 0: none
    Dash dash = Dash::solid;
};
inline const Stroke no_stroke{Tone::none, 0};

enum class Hatch { none, sparse, dense };

/// A step of a path. `curve` is a cubic with two control points before its end.
struct Step {
    enum class Kind { move, line, curve, close } kind = Kind::move;
    Point to, control1, control2;
};
struct Path {
    std::vector<Step> steps;
    Colour fill;
    Hatch hatch = Hatch::none;
    Stroke stroke;
};
struct Circle {
    Point centre;
    double radius = 1;
    Colour fill;
    Stroke stroke;
};

enum class Anchor { start, middle, end };
struct Label {
    Point at;  ///< on the base line
    std::string text;
    Anchor anchor = Anchor::start;
    double size = 9;
    bool bold = false, italic = false, mono = false;
    double turned = 0;     ///< degrees clockwise about `at`
    bool halo = false;     ///< a rim of paper keeps it readable over lines
    Colour colour = Tone::ink;
    bool overline = false; ///< of an active-low name
};

struct Group;
using Item = std::variant<Path, Circle, Label, Group>;
/// Things that belong together: a part, a wire, a band. `data` become attributes for a page ("wire"
/// -> data-wire); keys are [a-z-].
struct Group {
    std::string title;  ///< what it is, in words, for those who do not see it; may be empty
    std::vector<std::pair<std::string, std::string>> data;
    std::vector<Item> items;
};

struct Drawing {
    double width = 100, height = 100;
    std::string title;        ///< name of the drawing
    std::string description;  ///< what it shows, in words
    std::vector<Item> items;
};

Path line(Point from, Point to, Stroke stroke = {});
Path polyline(const std::vector<Point>& points, Stroke stroke = {});
Path polygon(const std::vector<Point>& points, Colour fill, Stroke stroke = {});
Path box(double x, double y, double width, double height, Colour fill = {}, Stroke stroke = {});
Path rounded_box(double x, double y, double width, double height, double radius, Colour fill = {}, Stroke stroke = {});
/// Part of a circle from angle `from` to `to`, degrees, clockwise from the right; at most a whole turn.
Path arc(Point centre, double radius, double from, double to, Stroke stroke = {});

/// Width in units of words in DejaVu Sans, the widest face a drawing is shown in: what fits here
/// fits elsewhere.
double text_width(std::string_view text, double size, bool bold = false, bool mono = false);
/// Words no wider than `width`, cut with "…" where they have to be.
std::string fitted(std::string_view text, double width, double size, bool bold = false, bool mono = false);

/// A rectangle that holds something.
struct Box {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    bool touches(const Box& other, double by = 0) const {
        return x0 < other.x1 - by && other.x0 < x1 - by && y0 < other.y1 - by && other.y0 < y1 - by;
    }
};
/// Around the letters of a label, turned as it is.
Box box_of(const Label& label);
/// Every label of a drawing, groups and all, in order.
std::vector<const Label*> labels_of(const Drawing& drawing);

}  // namespace voltsill::drawing
