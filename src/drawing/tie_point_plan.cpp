#include "drawing/tie_point_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "drawing/tie_point_parts.h"
#include "wiring/part_words.h"

namespace voltsill::drawing {
namespace {

// What it costs a wire to pass there, against length: holes, letters in their place, leads, bodies of parts, words.
constexpr double over_hole = 3, over_letter = 10, over_lead = 30, over_body = 16, over_words = 25;

struct Plan {
    const Bench& bench;
    const Wiring& wiring;
    const Placement& placement;
    const TiePointOptions& options;
    Sheet sheet;
    Drawing out;
    LabelRoom room;
    Terrain terrain = {};
    std::map<int, NetId> net_of_node = {};
    std::vector<BoardFigure> parts = {};
    std::vector<Item> over = {};  ///< drawn last

    const BoardKind& kind() const { return *sheet.kind; }
    void add(Item item) { out.items.push_back(std::move(item)); }
    void words_at(Label label) {
        room.take(label);
        hinder(box_of(label), over_words);
        add(std::move(label));
    }
    void hinder(const Box& box, double cost) { terrain.hindrances.push_back({box, cost}); }

    void find_nets();
    void title();
    void take_numbers();
    void board_and_rows();
    void row_numbers(int row, Group& group);
    void column_letters();
    void strips();
    void strip_label(int column, const std::pair<int, int>& piece, NetId net, bool at_top, bool at_bottom);
    void headers();
    void header(const SideHeader& h);
    void find_parts();
    bool misleads(const BoardFigure& own, const Box& words) const;
    void place_names();
    void holes();
    void wires();
    void number(const EndSpot& end);
};

void Plan::find_nets() {
    const auto note = [&](const Hole& hole, NetId net) {
        if (hole.board == sheet.board && net != unconnected) net_of_node[kind().node_of(hole.row, hole.column)] = net;
    };
    for (const LaidWire& wire : placement.wires)
        for (const WireEnd* end : {&wire.from, &wire.to})
            if (end->kind == WireEnd::Kind::hole) note(end->hole, wire.net);
    for (std::size_t p = 0; p < placement.parts.size(); ++p)
        for (std::size_t n = 0; n < placement.parts[p].holes.size(); ++n) {
            const WiredPart& part = wiring.parts[p];
            const int pin = pin_of_lead(part, int(n));
            if (pin >= 0) note(placement.parts[p].holes[n], part.net_of_pin[pin]);
        }
}

void Plan::title() {
    const bool several = placement.boards.size() > 1;
    const std::string name = several ? "Board " + board_letters(sheet.board) : "Board";
    Label label{.at = {page_width / 2, 12}, .text = name, .anchor = Anchor::middle, .size = 10, .bold = true};
    words_at(label);
    const double half = text_width(name, 10, true) / 2;
    words_at({.at = {page_width / 2 + half + 6, 12},
              .text = fitted(kind().name, page_width / 2 - half - 12, 8),
              .size = 8,
              .colour = Tone::soft});
}

void Plan::take_numbers() {
    for (const EndSpot& end : sheet.ends) room.take(sheet.capsule(end.at));
}

/// Row numbers keep beside the holes, the fifth ones heavy with a guide line across.
void Plan::row_numbers(int row, Group& group) {
    const int first = sheet.first_inner(), last = sheet.last_inner();
    if (first < 0) return;
    const bool fifth = row % 5 == 0 || row == 1;
    const double away = sheet.capsule_width / 2 + 2.6, y = sheet.top + sheet.pitch * (row - 1) + 2.5;
    for (const bool on_left : {true, false}) {
        Label label{.at = {sheet.column_x[on_left ? first : last] + (on_left ? -away : away), y},
                    .text = std::to_string(row),
                    .anchor = on_left ? Anchor::end : Anchor::start,
                    .size = small_letters,
                    .bold = fifth,
                    .halo = true,
                    .colour = fifth ? Tone::ink : Tone::soft};
        room.take(label);
        hinder(box_of(label), over_words);
        group.items.push_back(std::move(label));
    }
}

void Plan::board_and_rows() {
    const double y0 = sheet.top - 15.5, y1 = sheet.bottom + 15;
    add(rounded_box(sheet.left, y0, sheet.right - sheet.left, y1 - y0, 4, Tone::paper, {Tone::line, 1.0}));
    for (int row = 5; row <= kind().rows; row += 5) {
        const double y = sheet.line_y(row - 1);
        add(line({sheet.left + 1, y}, {sheet.right - 1, y}, {Tone::hair, 0.5}));
    }
    // The trench: two lines where the sides part.
    for (std::size_t c = 1; c < kind().columns.size(); ++c) {
        const BoardColumn &a = kind().columns[c - 1], &b = kind().columns[c];
        if (a.strip || b.strip || a.side == b.side) continue;
        for (const double x : {sheet.column_x[c - 1] + 10, sheet.column_x[c] - 10})
            add(line({x, y0 + 6}, {x, y1 - 6}, {Tone::hair, 0.8}));
    }
    for (int row = 1; row <= kind().rows; ++row) {
        Group group{.title = fmt::format("row {}", row), .data = {{"row", std::to_string(row)}}, .items = {}};
        row_numbers(row, group);
        over.push_back(std::move(group));
    }
}

void Plan::column_letters() {
    for (std::size_t c = 0; c < kind().columns.size(); ++c)
        for (const double y : {sheet.top - 7, sheet.bottom + 12})
            words_at({.at = {sheet.column_x[c], y},
                      .text = kind().columns[c].name,
                      .anchor = Anchor::middle,
                      .size = 8,
                      .bold = true});
}

/// What a piece of a strip carries: above or below the board, beside it for pieces between.
void Plan::strip_label(int column, const std::pair<int, int>& piece, NetId net, bool at_top, bool at_bottom) {
    const bool outer = column == 0 || column + 1 == int(kind().columns.size());
    const bool left_of_board = sheet.column_x[column] < page_width / 2;
    NetWords words = net_words(bench, wiring, net);
    if (net == unconnected) words.text = "not used";
    const double x = sheet.column_x[column];
    const std::string mark = kind().columns[column].mark == "-" ? "−" : kind().columns[column].mark;
    const std::string text = mark.empty() ? words.text : mark + " " + words.text;
    const Anchor anchor = outer == left_of_board ? Anchor::end : Anchor::start;
    const double room_for = outer ? (left_of_board ? x - 6 : page_width - 6 - x) : 70;
    const auto put = [&](double y) {
        words_at({.at = {x + (anchor == Anchor::end ? 4 : -4), y},
                  .text = fitted(text, room_for, small_letters, words.shared()),
                  .anchor = anchor,
                  .size = small_letters,
                  .bold = words.shared(),
                  .colour = words.shared() ? Tone::ink : Tone::soft});
    };
    if (at_top) put(sheet.top - 18);
    if (at_bottom) put(sheet.bottom + 21.5);
    if (at_top || at_bottom) return;
    const double away = sheet.capsule_width / 2 + 1.5;
    const double side = outer == left_of_board ? -1 : 1;
    words_at({.at = {x + side * away + (side < 0 ? -5 : 0) + 0.5, 0.5 * (sheet.line_y(piece.first - 1) + sheet.line_y(piece.second - 1))},
              .text = fitted(text, sheet.pitch * (piece.second - piece.first), small_letters, words.shared()),
              .anchor = Anchor::middle,
              .size = small_letters,
              .bold = words.shared(),
              .turned = 90});
}

void Plan::strips() {
    for (std::size_t c = 0; c < kind().columns.size(); ++c) {
        const BoardColumn& column = kind().columns[c];
        if (!column.strip) continue;
        for (std::size_t s = 0; s < column.segments.size(); ++s) {
            const auto& piece = column.segments[s];
            const auto found = net_of_node.find(kind().node_of(piece.first, int(c)));
            const NetId net = found == net_of_node.end() ? unconnected : found->second;
            const NetWords words = net_words(bench, wiring, net);
            Group group{.title = fmt::format("strip {}, rows {} to {}: {}", column.name, piece.first, piece.second,
                                             net == unconnected ? "not used" : words.text),
                        .data = {{"strip", column.name}},
                        .items = {}};
            if (net != unconnected) group.data.emplace_back("net", wiring.nets[net].name);
            const double x = sheet.column_x[c], y0 = sheet.line_y(piece.first - 1) - 4.4,
                         y1 = sheet.line_y(piece.second - 1) + 4.4;
            Stroke stroke = net_stroke(words);
            stroke.width = 1.6;
            if (net == unconnected) stroke = {Tone::hair, 0.8};
            group.items.push_back(line({x, y0}, {x, y1}, stroke));
            for (const double y : {y0, y1}) group.items.push_back(line({x - 3, y}, {x + 3, y}, {Tone::ink, 0.8}));
            add(std::move(group));
            strip_label(int(c), piece, net, s == 0, s + 1 == column.segments.size() && s > 0);
            if (column.segments.size() == 1) strip_label(int(c), piece, net, false, true);
        }
    }
}

void Plan::header(const SideHeader& h) {
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

void Plan::headers() {
    for (const SideHeader& h : sheet.headers) header(h);
}

/// Leads first, then parts with rows of pins, whose numbers stand where they stand, then those with two
/// legs, whose bodies find a place between.
void Plan::find_parts() {
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

/// How far apart two boxes are.
double gap(const Box& a, const Box& b) {
    const double x = std::max({0.0, a.x0 - b.x1, b.x0 - a.x1}), y = std::max({0.0, a.y0 - b.y1, b.y0 - a.y1});
    return std::hypot(x, y);
}

/// Do words stand nearer to another part than to their own?
bool Plan::misleads(const BoardFigure& own, const Box& words) const {
    const auto nearest = [&](const BoardFigure& part) {
        double near = 1e9;
        for (const std::vector<Box>* boxes : {&part.bodies, &part.legs})
            for (const Box& one : *boxes) near = std::min(near, gap(words, one));
        return near;
    };
    const double mine = nearest(own);
    return std::ranges::any_of(parts, [&](const BoardFigure& part) { return &part != &own && nearest(part) < mine + 2; });
}

/// Names that stand beside their parts, once all bodies are known.
void Plan::place_names() {
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
            const Point near{std::clamp(part.middle.x, words.x0, words.x1), std::clamp(part.middle.y, words.y0, words.y1)};
            part.group.items.push_back(line(part.middle, near, {Tone::soft, 0.5, Dash::dotted}));
        }
        // Whoever shows or pales a part does so to its name.
        over.push_back(Group{.title = spot->label.text, .data = part.group.data, .items = {spot->label}});
    }
}

/// A dot for every hole, its column's letter in every fifth row.
void Plan::holes() {
    Group group{.title = "holes", .data = {}, .items = {}};
    for (int row = 1; row <= kind().rows; ++row)
        for (std::size_t c = 0; c < kind().columns.size(); ++c) {
            if (!kind().has_hole(row, int(c))) continue;
            const Point p = sheet.at(row, int(c));
            const bool letter = row % 5 == 0 && !kind().columns[c].strip;
            Label label{.at = {p.x, p.y + 2.4}, .text = kind().columns[c].name, .anchor = Anchor::middle,
                        .size = small_letters, .colour = Tone::soft};
            hinder({p.x - 1.5, p.y - 1.5, p.x + 1.5, p.y + 1.5}, over_hole);
            if (letter && room.is_free(label)) {
                hinder(box_of(label), over_letter);
                room.take(label);
                label.halo = true;
                group.items.push_back(std::move(label));
            } else if (room.is_free(Box{p.x - 1, p.y - 1, p.x + 1, p.y + 1})) {
                group.items.push_back(Circle{p, 1.0, Tone::paper, {Tone::soft, 0.5}});
            }
        }
    add(std::move(group));
}

/// A number in its capsule, on the hole or the pin where the wire ends.
void Plan::number(const EndSpot& end) {
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
        const double cut = std::min({radius, std::hypot(b.x - a.x, b.y - a.y) / 2, std::hypot(c.x - b.x, c.y - b.y) / 2});
        path.steps.push_back({Step::Kind::line, toward(b, a, cut), {}, {}});
        path.steps.push_back({Step::Kind::curve, toward(b, c, cut), toward(b, a, cut * 0.45), toward(b, c, cut * 0.45)});
    }
    path.steps.push_back({Step::Kind::line, points.back(), {}, {}});
    return path;
}

void Plan::wires() {
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

}  // namespace

Drawing tie_point_plan(const Bench& bench, const Wiring& wiring, const Placement& placement, int board,
                       const TiePointOptions& options) {
    Sheet sheet = sheet_of(wiring, placement, board);
    const double height = sheet.height;
    Plan plan{bench, wiring, placement, options, std::move(sheet),
              {.width = page_width, .height = height, .title = {}, .description = {}, .items = {}},
              LabelRoom({2, 2, page_width - 2, height - 2})};
    plan.out.title = fmt::format("tie points{}: {}", placement.boards.size() > 1 ? " of board " + board_letters(board) : "",
                                 plan.kind().title.empty() ? plan.kind().name : plan.kind().title);
    plan.out.description =
        "Plan view of a solderless board: rows by number down the page, columns by letter across it, parts as outlines, "
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
