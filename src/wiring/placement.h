#pragma once
/// A wiring on solderless boards: which hole every lead and every end of a wire goes into.
///
/// The holes alone say what is joined (`nets_of_holes`): a placement is right when the nets they
/// make are those of the wiring, and a slip is a placement with one thing changed. Modules, and parts
/// that do not push into a board, stay beside it and are reached by wires from their headers.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bench/board.h"
#include "wiring/wiring.h"

namespace voltsill {

struct Hole {
    int board = 0, row = 0, column = 0;  ///< row from 1; column: index into BoardKind::columns
    bool operator==(const Hole&) const = default;
};

/// Leads by number: `holes[n - 1]` is where pin n of the package goes. Empty: beside the boards, on the
/// `right` or left of them, `down` pitches from the top of the first.
struct PlacedPart {
    std::vector<Hole> holes;
    bool right = false;
    double down = 0;
    bool on_board() const { return !holes.empty(); }
};

/// Where a wire ends: in a hole, on a pin of a part beside the boards, or at a terminal of a supply.
struct WireEnd {
    enum class Kind { hole, pin, supply, ground } kind = Kind::hole;
    Hole hole;               ///< hole
    int part = -1, pin = -1; ///< pin: indices of the wiring
    std::string rail;        ///< supply and ground: the supply's plus, or its 0 V
    bool operator==(const WireEnd&) const = default;
};

struct LaidWire {
    int number = 0;  ///< as on the sheet, from 1
    WireEnd from, to;
    NetId net = unconnected;
    WireUse use = WireUse::signal;
    double metres = 0;   ///< length to cut or take
    std::string colour;  ///< letter code of IEC 60757: "BK", "RD"
    std::string reason;  ///< "strap of U1: enable", "tank echo at controller"
};

struct Placement {
    std::vector<std::shared_ptr<const BoardKind>> boards;
    std::vector<PlacedPart> parts;  ///< by part of the wiring
    std::vector<LaidWire> wires;    ///< by number
};

/// Letters of a board among several, from 0: "A" .. "Z", "AA" ..
std::string board_letters(int board);
/// "B 12c" with several boards, "12c" with one; strips "12s".
std::string words(const Placement& placement, const Hole& hole);
/// "12c", "gauge.ECHO", "supply usb +", "supply usb 0 V".
std::string words(const Placement& placement, const Wiring& wiring, const WireEnd& end);

/// The wiring that the holes make: parts of `wiring`, nets from nothing but holes, wires, pins beside
/// the boards and terminals of supplies. Rails are the nets of their supplies' terminals or of the
/// pins that make them; a lead on no wire and no other lead is open.
Wiring nets_of_holes(const Bench& bench, const Wiring& wiring, const Placement& placement);

/// Rails and the ground that the holes join, such as {"ground", "rail usb"}: a short circuit, which the
/// nets of a wiring cannot say (each is one rail at most).
std::vector<std::pair<std::string, std::string>> shorts(const Bench& bench, const Wiring& wiring,
                                                        const Placement& placement);

/// Leads that share a hole, holes that are not there, legs of a DIP that do not straddle the trench, a
/// header pin with two jumpers, wires without length: what no board allows.
std::vector<std::string> impossible(const Wiring& wiring, const Placement& placement);

/// The boards lie below each other, rows downwards, `board_gap` pitches apart; in pitches.
struct BoardPoint {
    double across = 0, down = 0;
};
inline constexpr double board_gap = 4;
BoardPoint point_of(const Placement& placement, const Hole& hole);
/// Pins of parts beside the boards are `beside_gap` from their edges, one pitch below each other.
/// Terminals stand above the boards.
inline constexpr double beside_gap = 16;
BoardPoint point_of(const Placement& placement, const Bench& bench, const WireEnd& end);

}  // namespace voltsill
