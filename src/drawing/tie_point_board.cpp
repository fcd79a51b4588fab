/// The board of a tie-point plan: outline, rows, letters of columns, strips with what they carry, holes.
#include <fmt/format.h>

#include <algorithm>

#include "drawing/tie_point_draft.h"
#include "wiring/part_words.h"

namespace voltsill::drawing {

void BoardDraft::find_nets() {
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

void BoardDraft::title() {
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

void BoardDraft::take_numbers() {
    for (const EndSpot& end : sheet.ends) room.take(sheet.capsule(end.at));
}

/// Row numbers keep beside the holes, the fifth ones heavy with a guide line across.
void BoardDraft::row_numbers(int row, Group& group) {
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

void BoardDraft::board_and_rows() {
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

void BoardDraft::column_letters() {
    for (std::size_t c = 0; c < kind().columns.size(); ++c)
        for (const double y : {sheet.top - 7, sheet.bottom + 12})
            words_at({.at = {sheet.column_x[c], y},
                      .text = kind().columns[c].name,
                      .anchor = Anchor::middle,
                      .size = 8,
                      .bold = true});
}

/// What a piece of a strip carries: above or below the board, beside it for pieces between.
void BoardDraft::strip_label(int column, const std::pair<int, int>& piece, NetId net, bool at_top, bool at_bottom) {
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
    words_at({.at = {x + side * away + (side < 0 ? -5 : 0) + 0.5,
                     0.5 * (sheet.line_y(piece.first - 1) + sheet.line_y(piece.second - 1))},
              .text = fitted(text, sheet.pitch * (piece.second - piece.first), small_letters, words.shared()),
              .anchor = Anchor::middle,
              .size = small_letters,
              .bold = words.shared(),
              .turned = 90});
}

void BoardDraft::strips() {
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

/// A dot for every hole, its column's letter in every fifth row.
void BoardDraft::holes() {
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

}  // namespace voltsill::drawing
