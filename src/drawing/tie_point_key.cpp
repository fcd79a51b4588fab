/// What the signs of a tie-point plan mean.
#include <fmt/format.h>

#include <algorithm>

#include "drawing/net_signs.h"
#include "drawing/tie_point_plan.h"

namespace voltsill::drawing {
namespace {

constexpr double line_height = 17, sign_x = 26, words_x = 58, size = 8;

struct Key {
    Drawing out;
    double y = 14;

    /// `draw` gets the middle of the sign.
    void entry(const std::string& words, const auto& draw) {
        Group group{.title = words, .data = {{"key", "sign"}}, .items = {}};
        draw(group, Point{sign_x, y});
        group.items.push_back(
            Label{.at = {words_x, y + 2.8}, .text = fitted(words, page_width - words_x - 6, size), .size = size});
        out.items.push_back(std::move(group));
        y += line_height;
    }
};

void capsule(Group& g, Point p, std::string_view number, const Stroke& rim) {
    g.items.push_back(rounded_box(p.x - 5.8, p.y - 4.1, 11.6, 8.2, 4.1, Tone::paper, rim));
    g.items.push_back(Label{.at = {p.x, p.y + 2.5}, .text = std::string(number), .anchor = Anchor::middle, .size = 7});
}

/// "wires 3, 10..12": numbers tell rails apart where nobody sees their hues (WCAG 2.2, SC 1.4.1).
std::string wires_of(const Placement& placement, NetId net) {
    std::vector<int> numbers;
    for (const LaidWire& wire : placement.wires)
        if (wire.net == net) numbers.push_back(wire.number);
    std::ranges::sort(numbers);
    std::string out = numbers.size() == 1 ? "wire" : "wires";
    for (std::size_t k = 0, next; k < numbers.size(); k = next) {
        for (next = k + 1; next < numbers.size() && numbers[next] == numbers[next - 1] + 1;) ++next;
        const bool run = next - k > 2;
        out += fmt::format("{} {}", k > 0 ? "," : "", numbers[k]);
        if (run) out += fmt::format("..{}", numbers[next - 1]);
        else next = k + 1;
    }
    return out;
}

}  // namespace

Drawing tie_point_key(const Bench& bench, const Wiring& wiring, const Placement& placement) {
    Key key{{.width = page_width,
             .height = 0,
             .title = "signs of the tie-point plans",
             .description = "What the lines, numbers and marks of the tie-point plans mean.",
             .items = {}}};
    key.entry("end of a wire, by its number in the wire list: the same number stands at its other end",
              [](Group& g, Point p) {
                  capsule(g, {p.x - 12, p.y}, "7", {Tone::ink, 0.7});
                  g.items.push_back(line({p.x - 6.2, p.y}, {p.x + 6.2, p.y}, {Tone::ink, 0.6}));
                  capsule(g, {p.x + 12, p.y}, "7", {Tone::ink, 0.7});
              });
    std::vector<NetId> shown;
    for (const LaidWire& wire : placement.wires) {
        if (wire.net == unconnected || std::ranges::find(shown, wire.net) != shown.end()) continue;
        const NetWords net = net_words(bench, wiring, wire.net);
        if (!net.shared()) continue;
        shown.push_back(wire.net);
        key.entry(
            fmt::format("{}: strips and {}", net.ground ? "0 V, ground" : net.text, wires_of(placement, wire.net)),
            [&](Group& g, Point p) {
                g.items.push_back(line({p.x - 18, p.y}, {p.x + 18, p.y}, net_stroke(net)));
            });
    }
    key.entry("hole; in every fifth row stands the letter of its column instead", [](Group& g, Point p) {
        for (const double dx : {-13.0, 13.0})
            g.items.push_back(Circle{{p.x + dx, p.y}, 1, Tone::paper, {Tone::soft, 0.5}});
        g.items.push_back(
            Label{.at = {p.x, p.y + 2.4}, .text = "b", .anchor = Anchor::middle, .size = 7, .colour = Tone::soft});
    });
    key.entry("lead of a part in its hole; letters for the leads of a transistor", [](Group& g, Point p) {
        g.items.push_back(box(p.x - 14.8, p.y - 1.8, 3.6, 3.6, Tone::ink, no_stroke));
        g.items.push_back(box(p.x + 6.8, p.y - 4, 8.4, 8, Tone::paper, {Tone::ink, 0.8}));
        g.items.push_back(Label{.at = {p.x + 11, p.y + 2.6}, .text = "G", .anchor = Anchor::middle, .size = 7});
    });
    key.entry("notch: pin 1 is the first pin anticlockwise from it, seen from above", [](Group& g, Point p) {
        g.items.push_back(box(p.x - 9, p.y - 6, 18, 12, Tone::paper, {Tone::ink, 1.0}));
        g.items.push_back(arc({p.x, p.y - 6}, 3.5, 0, 180, {Tone::ink, 1.0}));
    });
    key.entry("a strip ends here: its two pieces are not joined inside the board", [](Group& g, Point p) {
        for (const double side : {-1.0, 1.0}) {
            g.items.push_back(line({p.x + side * 18, p.y}, {p.x + side * 5, p.y}, {Tone::ink, 1.6}));
            g.items.push_back(line({p.x + side * 5, p.y - 3}, {p.x + side * 5, p.y + 3}, {Tone::ink, 0.8}));
        }
    });
    key.out.height = key.y - line_height / 2 + 4;
    return std::move(key.out);
}

}  // namespace voltsill::drawing
