#pragma once
/// An interface circuit as the planner knows it: one small file each, registered in `all_circuits`.
///
/// A circuit looks at a crossing and proposes recipes: which parts, which values, and how they
/// are wired between the two nets. It computes windows for values; whether the result is good is
/// for the judge alone.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "planning/plan.h"

namespace voltsill {

/// One side of a crossing.
struct Side {
    int part = -1;                      ///< index into the bench's parts
    int pin = -1;
    const BenchPart* bench_part = nullptr;
    const Pin* facts = nullptr;
    std::string rail;                   ///< rail the pin's levels follow; empty: none
    Span<Volts> volts{};                ///< of that rail
    std::string label() const { return bench_part->name + "." + facts->name; }
};

/// A link, or the part of it that goes to receivers on one rail.
struct Crossing {
    const Bench* bench = nullptr;
    const Link* link = nullptr;
    std::vector<Side> from, to;         ///< receivers all on one rail
    const Side& driver() const { return from.front(); }
    const Side& receiver() const { return to.front(); }
    bool both_ways() const { return link->kind == LinkKind::open_drain || link->kind == LinkKind::two_way; }
    bool open_drain_driver() const;     ///< the driver only pulls low
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
    std::string title;                  ///< "divider 2.2 kΩ over 3.3 kΩ"
    std::string how_sized;              ///< the window and the choice, as arithmetic
    std::vector<std::string> cautions;
    /// A channel of a shared integrated circuit: its type and the rail of each of its supplies.
    std::shared_ptr<const PartType> ic;
    std::vector<std::pair<std::string, std::string>> ic_rails;
    bool b_to_a = false;                ///< transceivers: the driver is on side B
    Assemble assemble;                  ///< without an `ic`: joins the nets; with one: adds what else is needed
    std::vector<std::string> pulls_removed;  ///< "part.PIN": module pull-ups to take off
    std::string moved_part, moved_rail;      ///< change of supply: a suggestion, never chosen by itself
    bool suggestion_only = false;
    int parts = 0;                      ///< discrete parts added
    double price = 0;                   ///< of these, relative
    std::vector<std::string> needs;     ///< catalogue types used, for stock ("resistor", "schottky diode")
    double simplicity = 0;              ///< 0 a wire .. 10 hard to explain
};

struct Proposal {
    std::vector<Recipe> recipes;
    std::string refusal;                ///< why this circuit cannot serve at all, with the number
};

struct CircuitKind {
    const char* name;                   ///< stable: "divider"
    const char* title;                  ///< "resistor divider"
    Proposal (*propose)(const Crossing&);
};

/// Every circuit, in the order in which they are listed to people.
const std::vector<CircuitKind>& all_circuits();

// What circuits share.

/// True when the bench has no [stock] or its stock names the type.
bool in_stock(const Bench& bench, std::string_view type_name);
/// Catalogue types of a kind that a predicate accepts, those in stock first, then by price.
using Accept = std::function<bool(const PartType&)>;
std::vector<std::shared_ptr<const PartType>> types_of(const Bench& bench, PartKind kind, const Accept& accept = {});
/// The resistor series of the stock, E12 unless it says otherwise.
struct ResistorStock {
    int series = 12;
    Span<Ohms> span{Ohms{1}, Ohms{1e3}, Ohms{10e6}};
};
ResistorStock resistor_stock(const Bench& bench);
/// Nearest value of the stocked series at or above (below) `ohms`.
double resistor_at_least(const Bench& bench, double ohms);
double resistor_at_most(const Bench& bench, double ohms);
void add_resistor(const Bench& bench, Wiring& wiring, double ohms, NetId a, NetId b, std::string purpose);
/// Adds a part and joins its pins, named in order, to nets.
int add_discrete(Wiring& wiring, const std::shared_ptr<const PartType>& type, std::string_view prefix,
                 const std::vector<std::pair<std::string, NetId>>& pins, std::string purpose);
/// A pull-up for an edge of 0.3 of a bit (or 1 us) into the receiver: R = t / (2.2 C), between 1 kOhm and 10 kOhm.
double pull_up_for(const Crossing& crossing);

}  // namespace voltsill
