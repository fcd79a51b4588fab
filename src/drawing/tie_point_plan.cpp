#include "drawing/tie_point_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "drawing/tie_point_draft.h"

namespace voltsill::drawing {
namespace {

/// How far apart two boxes are.
double gap(const Box& a, const Box& b) {
    const double x = std::max({0.0, a.x0 - b.x1, b.x0 - a.x1}), y = std::max({0.0, a.y0 - b.y1, b.y0 - a.y1});
    return std::hypot(x, y);
}

/// Corners cut round, so that two wires that bend in one place can be told apart.
Path rounded(const std::vector<Point>& points, const Stroke& stroke) {
    Path path;
    path.stroke = stroke;
    constexpr double radius = 2;
    const auto toward = [](Point from, Point to, double by) {
        const double length = std::hypot(to.x - from.x, to.y - from.y), share = length > 0 ? by / length : 0;
        return Point{from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share};
    };
    path.steps.push_back({Step::Kind::move, points.front(), {}, {}});
    for (std::size_t k = 1; k + 1 < points.size(); ++k) {
        const Point &a = points[k - 1], &b = points[k], &c = points[k + 1];
        const double cut =
            std::min({radius, std::hypot(b.x - a.x, b.y - a.y) / 2, std::hypot(c.x - b.x, c.y - b.y) / 2});
        path.steps.push_back({Step::Kind::line, toward(b, a, cut), {}, {}});
        path.steps.push_back(
            {Step::Kind::curve, toward(b, c, cut), toward(b, a, cut * 0.45), toward(b, c, cut * 0.45)});
    }
    path.steps.push_back({Step::Kind::line, points.back(), {}, {}});
    return path;
}

}  // namespace

void BoardDraft::header(const SideHeader& h) {
    Group group{.title = h.title + (h.part >= 0 ? ", beside the board" : ""), .data = {}, .items = {}};
    if (h.part >= 0) group.data.emplace_back("part", wiring.parts[h.part].name);
    const double capsule = sheet.header_x(h.left), edge = h.left ? capsule - 9 : capsule + 9;
    const double outer = h.left ? 4 : page_width - 4, width = std::abs(edge - outer);
    const double y0 = sheet.line_y(h.slot) - 5, y1 = sheet.line_y(h.slot + h.lines() - 1) + 5;
    group.items.push_back(rounded_box(std::min(outer, edge), y0, width, y1 - y0, 2, Tone::none, {Tone::line, 0.8}));
    const auto word = [&](Label label) {
        room.take(label);
        hinder(box_of(label), over_words);
        group.items.push_back(std::move(label));
    };
    word({.at = {0.5 * (outer + edge), sheet.line_y(h.slot) + 2.8},
          .text = fitted(h.title, width - 4, small_letters, true),
          .anchor = Anchor::middle,
          .size = small_letters,
          .bold = true});
    for (std::size_t k = 0; k < h.pins.size(); ++k) {
        const SideHeader::Pin& pin = h.pins[k];
        const double y = sheet.line_y(h.slot + 1 + int(k)), inward = h.left ? -1 : 1;
        const Colour ink = pin.wire < 0 ? Tone::soft : Tone::ink;
        if (pin.wire < 0) group.items.push_back(Circle{{capsule, y}, 1.2, Tone::none, {Tone::soft, 0.5}});
        group.items.push_back(line({edge, y}, {capsule, y}, {Tone::line, 0.6}));
        if (pin.again) continue;
        const bool numbered = !pin.number.empty() && pin.number != pin.name;
        word([&] {
            Label l = pin_name(pin.name, {edge + inward * 3, y + 2.5}, h.left ? Anchor::end : Anchor::start,
                               small_letters, width - (numbered ? 16 : 6));
            l.colour = ink;
            return l;
        }());
        if (numbered)
            word({.at = {outer - inward * 2.5, y + 2.5},
                  .text = pin.number,
                  .anchor = h.left ? Anchor::start : Anchor::end,
                  .size = small_letters,
                  .colour = Tone::soft});
    }
    hinder({std::min(outer, edge), y0, std::max(outer, edge), y1}, over_body);
    // A line along the pins would seem to join them.
    hinder({capsule - 7, y0, capsule + 7, y1}, over_lead);
    add(std::move(group));
}

void BoardDraft::headers() {
    for (const SideHeader& h : sheet.headers) header(h);
}

/// Leads first, then parts with rows of pins, whose numbers stand where they stand, then those with two
/// legs, whose bodies find a place between.
void BoardDraft::find_parts() {
    std::vector<int> here;
    for (std::size_t p = 0; p < placement.parts.size(); ++p)
        if (placement.parts[p].on_board() && placement.parts[p].holes.front().board == sheet.board)
            here.push_back(int(p));
    for (const int p : here)
        for (const Hole& hole : placement.parts[p].holes) {
            const Point lead = sheet.at(hole);
            hinder({lead.x - 3, lead.y - 3, lead.x + 3, lead.y + 3}, over_lead);
            room.take(Box{lead.x - 2.5, lead.y - 2.5, lead.x + 2.5, lead.y + 2.5});
        }
    std::ranges::stable_sort(here, {}, [&](int p) { return placement.parts[p].holes.size() == 2; });
    for (const int p : here) {
        parts.push_back(part_figure(wiring, placement, p, sheet, room));
        for (const Box& body : parts.back().bodies) {
            hinder(body, over_body);
            room.take(body);
        }
    }
}

/// Do words stand nearer to another part than to their own?
bool BoardDraft::misleads(const BoardFigure& own, const Box& words) const {
    const auto nearest = [&](const BoardFigure& part) {
        double near = 1e9;
        for (const std::vector<Box>* boxes : {&part.bodies, &part.legs})
            for (const Box& one : *boxes) near = std::min(near, gap(words, one));
        return near;
    };
    const double mine = nearest(own);
    return std::ranges::any_of(parts,
                               [&](const BoardFigure& part) { return &part != &own && nearest(part) < mine + 2; });
}

/// Names that stand beside their parts, once all bodies are known.
void BoardDraft::place_names() {
    for (const BoardFigure& part : parts)
        for (const Box& one : part.legs) room.take(one);
    for (BoardFigure& part : parts) {
        if (part.name.text.empty()) continue;
        const auto find = [&](const std::string& text) {
            Label label = part.name;
            label.text = text;
            return room.find(label, part.middle, part.clear_x + 1, part.clear_y + 0.5);
        };
        auto spot = find(part.name.text);
        const double far = std::max(part.clear_x, part.clear_y) + 6;
        if (part.short_name.empty()) {  // its name stands in its body, the value may do without
            if (!spot || spot->far > far || misleads(part, box_of(spot->label))) continue;
        } else if (!spot || spot->far > far || misleads(part, box_of(spot->label))) {
            // A name beside its part is worth more than one with its value far off; the list has values.
            if (const auto near = find(part.short_name); near && (!spot || near->far + 2 < spot->far)) spot = near;
        }
        if (!spot) continue;
        room.take(spot->label);
        const Box words = box_of(spot->label);
        hinder(words, over_words);
        if (spot->far > far + 3) {
            const Point near{std::clamp(part.middle.x, words.x0, words.x1),
                             std::clamp(part.middle.y, words.y0, words.y1)};
            part.group.items.push_back(line(part.middle, near, {Tone::soft, 0.5, Dash::dotted}));
        }
        // Whoever shows or pales a part does so to its name.
        over.push_back(Group{.title = spot->label.text, .data = part.group.data, .items = {spot->label}});
    }
}

/// A number in its capsule, on the hole or the pin where the wire ends.
void BoardDraft::number(const EndSpot& end) {
    const LaidWire& wire = placement.wires[end.wire];
    const bool chosen = options.highlight.contains(wire.number);
    const bool pale = !options.highlight.empty() && !chosen;
    const NetWords net = net_words(bench, wiring, wire.net);
    const Box b = sheet.capsule(end.at);
    Stroke rim = net_stroke(net);
    rim.width = net.shared() ? 1.2 : 0.7;
    rim.dash = Dash::solid;
    if (pale) rim = {Tone::line, 0.5};
    const WireEnd& place = end.from ? wire.from : wire.to;
    Group group{.title = fmt::format("wire {} ends in {}", wire.number, words(placement, wiring, place)),
                .data = {{"wire", std::to_string(wire.number)}, {"end", end.from ? "from" : "to"}},
                .items = {}};
    group.items.push_back(rounded_box(b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0, (b.y1 - b.y0) / 2,
                                      chosen ? Tone::ink : Tone::paper, rim));
    group.items.push_back(Label{.at = {end.at.x, end.at.y + 2.5},
                                .text = std::to_string(wire.number),
                                .anchor = Anchor::middle,
                                .size = small_letters,
                                .bold = chosen,
                                .colour = chosen ? Tone::paper : pale ? Tone::soft : Tone::ink});
    over.push_back(std::move(group));
}

void BoardDraft::wires() {
    std::map<int, std::vector<EndSpot>> ends;
    for (const EndSpot& end : sheet.ends) ends[end.wire].push_back(end);
    std::vector<RouteRequest> requests;
    std::vector<int> of;
    for (const auto& [wire, two] : ends) {
        if (two.size() != 2) continue;
        requests.push_back({{two[0].at, sheet.capsule(two[0].at)}, {two[1].at, sheet.capsule(two[1].at)},
                            placement.wires[wire].net});
        of.push_back(wire);
    }
    sheet.add_lines(terrain);
    const std::vector<std::vector<Point>> laid = routes(terrain, requests);
    std::vector<std::vector<Item>> numbers;
    for (std::size_t r = 0; r < laid.size(); ++r) {
        const LaidWire& wire = placement.wires[of[r]];
        const NetWords net = net_words(bench, wiring, wire.net);
        const bool chosen = options.highlight.contains(wire.number);
        Stroke stroke = net_stroke(net);
        if (chosen) stroke.width += 1.2;
        if (!options.highlight.empty() && !chosen) stroke = {Tone::line, 0.4};
        Group group{.title = fmt::format("wire {}, {}: {} to {}, {}", wire.number, wire.colour,
                                         words(placement, wiring, wire.from), words(placement, wiring, wire.to),
                                         wire.reason.empty() ? net.text : wire.reason),
                    .data = {{"wire", std::to_string(wire.number)},
                             {"net", wire.net == unconnected ? "" : wiring.nets[wire.net].name},
                             {"step", std::string(to_word(wire.use))}},
                    .items = {}};
        group.items.push_back(rounded(laid[r], stroke));
        add(std::move(group));
    }
    for (const EndSpot& end : sheet.ends) number(end);
}

Drawing tie_point_plan(const Bench& bench, const Wiring& wiring, const Placement& placement, int board,
                       const TiePointOptions& options) {
    Sheet sheet = sheet_of(wiring, placement, board);
    const double height = sheet.height;
    BoardDraft plan{bench, wiring, placement, options, std::move(sheet),
              {.width = page_width, .height = height, .title = {}, .description = {}, .items = {}},
              LabelRoom({2, 2, page_width - 2, height - 2})};
    plan.out.title =
        fmt::format("tie points{}: {}", placement.boards.size() > 1 ? " of board " + board_letters(board) : "",
                    plan.kind().title.empty() ? plan.kind().name : plan.kind().title);
    plan.out.description =
        "Plan view of a solderless board: rows by number down the page, columns by letter across it, parts as "
        "outlines, "
        "wires by number at both ends, modules and supplies beside it.";
    plan.find_nets();
    plan.take_numbers();
    plan.title();
    plan.board_and_rows();
    plan.column_letters();
    plan.strips();
    plan.headers();
    plan.find_parts();
    plan.place_names();
    plan.holes();
    plan.wires();
    for (BoardFigure& part : plan.parts) plan.add(std::move(part.group));
    for (Item& item : plan.over) plan.add(std::move(item));
    return std::move(plan.out);
}

}  // namespace voltsill::drawing
