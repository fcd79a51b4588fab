#pragma once
/// A tie-point plan while it is drawn: what is on it so far, where words have room, and what stands in the
/// way of wires. The board comes first (tie_point_board.cpp), then what is on it (tie_point_plan.cpp).
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "drawing/tie_point_parts.h"
#include "drawing/tie_point_plan.h"

namespace voltsill::drawing {

// What it costs a wire to pass there, against length: holes, letters in their place, leads, bodies of parts, words.
inline constexpr double over_hole = 3, over_letter = 10, over_lead = 30, over_body = 16, over_words = 25;

struct BoardDraft {
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

}  // namespace voltsill::drawing
