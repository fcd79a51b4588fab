#pragma once
/// Symbols of circuit diagrams, drawn at a pose: after IEC 60617 (database, parts 3 to 5 of the old
/// edition) for passive parts, semiconductors, supplies and terminals, and after IEC 60617-12 for
/// binary logic. Shapes and the clauses named below are from memory.
///
/// Every lead ends on a multiple of `grid`, so that wires can run on one. What a symbol draws of a
/// lead stops at `Lead::from`; whoever uses it draws the rest to `Lead::to`.
#include "drawing/drawing.h"
#include "parts/model.h"

namespace voltsill::drawing {

inline constexpr double grid = 5;

/// Turned clockwise by quarter turns, after mirroring left to right.
struct Pose {
    Point at;
    int quarters = 0;
    bool mirrored = false;
    Point operator()(double x, double y) const;
};

struct SymbolLead {
    Point from, to;
};

/// Leads in the order of the symbol's terminals.
struct Symbol {
    std::vector<Item> items;
    std::vector<SymbolLead> leads;
    Box box;  ///< around what is drawn, leads left out
};

/// 04-01-01 resistor: terminals left and right, 40 apart.
Symbol resistor(const Pose& pose);
/// 04-02-01 capacitor, 04-02-05 polarized with a plus at the first terminal.
Symbol capacitor(const Pose& pose, bool polarized);
/// 05-03-01 diode, 05-03-02 light emitting, Schottky barrier by its hooked bar; anode first.
enum class DiodeShape { plain, schottky, light_emitting };
Symbol diode(const Pose& pose, DiodeShape shape);
/// A resistor and a light emitting diode in one line, 70 apart: the input of a module.
Symbol led_with_resistor(const Pose& pose);
/// The same with the cathode first: the input of a module that hangs on its supply.
Symbol led_with_resistor_from_supply(const Pose& pose);
/// 05-05-01/02 PNP and NPN: base, collector, emitter. Base at (-20, 0), collector above, emitter
/// below at (10, ±20) for an NPN; the other way round for a PNP.
Symbol bipolar(const Pose& pose, bool pnp);
/// 05-05-14/15 insulated-gate FET, enhancement type, substrate joined to the source, with its body
/// diode: gate, drain, source. Gate at (-20, 5), drain above, source below at (10, ±20) for an
/// N-channel; upside down for a P-channel.
Symbol mosfet(const Pose& pose, bool p_channel);
/// What stands inside the outline of an optocoupler: light emitting diode, two arrows, transistor.
std::vector<Item> light_path(const Pose& pose);

/// A rail: a bar in the tone of its voltage across the lead's end; (0, 0) is where a wire joins, the
/// bar 10 above.
Symbol supply_bar(const Pose& pose, double volts);
/// 02-15-01 earth, used for the common ground: the first line 10 below (0, 0).
Symbol ground(const Pose& pose);
/// 03-02-02 terminal: a circle.
Item terminal(Point at);
/// Solid arrow head with its point at `at`, flying along +x of the pose.
Item arrow_head(const Pose& pose);
/// 03-02-01 connection of conductors.
Item junction(Point at);

// Signs inside and at the outline of a logic element, IEC 60617-12; about 8 wide, centred at `at`.

/// Clause 12: output that only sinks (diamond, bar below), with three states (triangle, point down),
/// hysteresis, amplification (triangle, point in signal's way).
std::vector<Item> open_drain_sign(Point at);
Item three_state_sign(Point at);
Item hysteresis_sign(Point at);
Item amplifier_sign(Point at, bool to_right);
/// Negation at an outline: a circle outside, touching `at`, on the side that `outward` points to.
Item negation(Point at, Point outward);

/// Qualifying symbol of a function: "&", "≥1", "=1", "1"; `both_ways_sign` where neither side is the input.
inline constexpr std::string_view both_ways_sign = "↔";
std::string_view qualifying_sign(ChannelLogic logic);
/// Whether its output is negated.
bool inverts(ChannelLogic logic);

/// Rectangle around some items.
Box box_around(const std::vector<Item>& items);
void move(Item& item, double dx, double dy);

}  // namespace voltsill::drawing
