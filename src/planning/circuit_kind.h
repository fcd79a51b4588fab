#pragma once
/// An interface circuit as the planner knows it: all of it stands in one file of circuits/, as
/// `extern const CircuitKind NAME_circuit{...};`, from which cmake/circuits.cmake makes `all_circuits`
/// and a test the table of docs/circuits.md.
///
/// A circuit looks at a crossing and proposes recipes: which parts, which values, and how they
/// are wired between the two nets. It computes windows for values; whether the result is good is
/// for the judge alone. Report, sheets, board and drawings are made of the wiring: a circuit draws nothing.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "planning/plan.h"
#include "quantity/preferred.h"

namespace voltsill {

/// One side of a crossing.
struct Side {
    int part = -1;  ///< index into the bench's parts
    int pin = -1;
    const BenchPart* bench_part = nullptr;
    const Pin* facts = nullptr;
    std::string rail;     ///< rail the pin's levels follow; empty: none
    Span<Volts> volts{};  ///< of that rail
    std::string label() const { return bench_part->name + "." + facts->name; }
};

/// A link, or the part of it that goes to receivers on one rail.
struct Crossing {
    const Bench* bench = nullptr;
    const Link* link = nullptr;
    std::vector<Side> from, to;  ///< receivers all on one rail
    std::string refusal;         ///< why no circuit may serve it, whatever it is; empty: try them
    const Side& driver() const { return from.front(); }
    const Side& receiver() const { return to.front(); }
    bool both_ways() const { return link->kind == LinkKind::open_drain || link->kind == LinkKind::two_way; }
    bool open_drain_driver() const;  ///< the driver only pulls low
    bool up() const { return driver().volts.nominal < receiver().volts.nominal; }
    bool down() const { return driver().volts.nominal > receiver().volts.nominal; }
    const Side& low_side() const { return up() ? driver() : receiver(); }
    const Side& high_side() const { return up() ? receiver() : driver(); }
    double rate() const { return link->rate ? link->rate->si() : 0.0; }
    /// Farads at the receiver: its pins and the wire.
    double load_capacitance() const;
};

/// Adds a recipe's discrete parts to a wiring between the nets of driver and receiver.
using Assemble = std::function<void(Wiring&, NetId driver, NetId receiver)>;

struct Recipe {
    std::string title;      ///< "divider 2.2 kΩ over 3.3 kΩ"
    std::string how_sized;  ///< the window and the choice, as arithmetic
    std::vector<std::string> cautions;
    /// A channel of a shared integrated circuit: its type and the rail of each of its supplies.
    std::shared_ptr<const PartType> ic;
    std::vector<std::pair<std::string, std::string>> ic_rails;
    bool b_to_a = false;  ///< transceivers: the driver is on side B
    Assemble assemble;    ///< without an `ic`: joins the nets; with one: adds what else is needed
    std::vector<std::string> pulls_removed;  ///< "part.PIN": module pull-ups to take off
    std::string moved_part, moved_rail;      ///< change of supply: a suggestion, never chosen by itself
    bool suggestion_only = false;
    bool inverts = false;  ///< a high at the driver is a low at the receiver
    bool rests_high =
        false;  ///< the receiver sees a high while nothing drives, whatever holds the driver's net
    double simplicity = 0;  ///< 0 a wire .. 10 hard to explain
};

struct Proposal {
    std::vector<Recipe> recipes;
    std::string refusal;  ///< why this circuit cannot serve at all, with the number
};

struct CircuitKind {
    const char* name;   ///< stable, what a bench file calls it: "divider"
    const char* title;  ///< "resistor divider"
    int place;          ///< in lists, from the simplest on; tens, so that another fits between
    Proposal (*propose)(const Crossing&);
    const char *where, *sizing, *source, *refused;  ///< its row of docs/circuits.md
};

/// Every circuit, in the order in which they are listed to people.
const std::vector<CircuitKind>& all_circuits();
std::vector<CircuitKind> in_place(std::vector<CircuitKind> circuits);

// What circuits share.

/// "LVC 541 DIP-20" names the type "LVC 541"; "resistor E24" the type "resistor".
bool names_type(std::string_view stock_item, std::string_view type);
/// True when the bench has no [stock] or its stock names the type.
bool in_stock(const Bench& bench, std::string_view type_name);
/// Catalogue types of a kind that a predicate accepts, those in stock first, then by price.
using Accept = std::function<bool(const PartType&)>;
std::vector<std::shared_ptr<const PartType>> types_of(const Bench& bench, PartKind kind,
                                                      const Accept& accept = {});
/// The resistor series of the stock, E12 unless it says otherwise. Coarse series are bought with the
/// tolerance of the resistor type (5 %), fine ones with that of the series (IEC 60063: E96 1 %).
struct ResistorStock {
    Series series = Series::E12;
    Span<Ohms> span{Ohms{1}, Ohms{1e3}, Ohms{10e6}};
    double tolerance = 0.05;
};
ResistorStock resistor_stock(const Bench& bench);
/// Nearest value of the stocked series at or above (below) `ohms`.
double resistor_at_least(const Bench& bench, double ohms);
double resistor_at_most(const Bench& bench, double ohms);
void add_resistor(const Bench& bench, Wiring& wiring, double ohms, NetId a, NetId b, std::string purpose);
/// A pull-up, unless a resistor added before already joins this net and this rail: links that
/// branch to several rails share the driver's net, and its pull-up counts once.
void add_pull_up(const Bench& bench, Wiring& wiring, double ohms, std::string_view rail, NetId net,
                 const std::string& link);
/// Adds a part and joins its pins, named in order, to nets.
int add_discrete(Wiring& wiring, const std::shared_ptr<const PartType>& type, std::string_view prefix,
                 const std::vector<std::pair<std::string, NetId>>& pins, std::string purpose);
/// A pull-up whose edge takes 0.2 of a bit (1 us without a rate): R = t / (ln 9 C), between 1 kΩ and
/// 10 kΩ (common practice), at or below that value.
double pull_up_for(const Crossing& crossing);
/// Lowest high a side is printed for with little load: the first row of its drive curve at its
/// lowest rail; 0.4 V under that rail when no row is printed (common practice).
Volts surely_high(const Side& side);
/// A pull-up that is always there at one of the pins, from the part's own supply.
bool pulls_up(const Side& side, const Pull& pull);  ///< there in operation: not taken off, not only at reset
const Pull* own_pull_up(const std::vector<Side>& sides);
/// Holds the driver's net by 4.7 kΩ (common practice: well below internal pulls of 20 to 50 kΩ) at the
/// level that gives the receiver the link's safe level, when the link asks for one. Answers why the
/// recipe cannot give that level; empty when it can.
std::string hold_safe_level(const Crossing& crossing, Recipe& recipe);

}  // namespace voltsill
