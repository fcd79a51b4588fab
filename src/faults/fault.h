#pragma once
/// Faults: what can be wrong with a build, each as another bench and wiring that the one engine looks at.
///
///     fault: (bench, wiring, placement)  ->  (bench', wiring')
///
/// A slip of a hand moves a wire or a part; a wrong or broken part is another part, an open pin or a
/// resistor more; a supply that is off is a rail of 0 V behind an open. Nothing here computes a voltage:
/// readings come from the network of wiring', harm from the judge.
///
/// `weight` is how often a kind of fault is met at one place where it can happen (an end of a wire, a pin, a
/// rail), per thousand of them, shared out evenly over the variants of the place:
///
///     weight = usual_weight(kind) / variants of the place
///
/// (common practice, no source, settable): only ratios count, and more wires are more chances to slip.
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "judging/finding.h"
#include "placement/place.h"
#include "placement/slips.h"

namespace voltsill {

enum class FaultKind {
    wire_missing,         ///< one that is no bridge of strips and no ground of a supply or module
    one_row_off,
    one_column_off,
    neighbours_swapped,
    facing_pin,
    wrong_strip,
    header_pin_off,
    part_one_row_off,
    part_turned,
    strip_gap_open,       ///< a split strip that nobody bridged
    ground_not_common,    ///< a supply or module whose 0 V is not joined
    pin_open,             ///< bent under the body, or a contact that does not grip
    contact_resistance,   ///< worn contact, bad jumper: some ohms in series, or broken inside
    near_namesake,        ///< HC for HCT, 125 for 126, a function with other power pins
    wrong_value,          ///< resistor a decade off, or a colour band misread (IEC 60062)
    diode_reversed,
    drain_source_swapped,
    gate_on_wrong_rail,
    control_open,         ///< enable or direction on nothing
    control_wrong_level,  ///< enable or direction at the other level
    supply_off,
    supply_low,
    supply_high,
    output_dead,          ///< drives nothing
    output_stuck_low,
    output_stuck_high,
    clamp_shorted,        ///< the protection diode to a supply is a short circuit
    pull_missing,
    pull_doubled,
    strong_pull,          ///< a strong pull at a part that finds its direction by itself
    decoupling_missing,
};
/// "wire left out", in the words of a sheet.
std::string_view to_word(FaultKind kind);
/// As in files and JSON: "wire-missing".
std::string_view to_key(FaultKind kind);
std::optional<FaultKind> fault_kind(std::string_view key);
std::span<const FaultKind> fault_kinds();
/// How often a class meets a kind at one place, per thousand (common practice, no source).
double usual_weight(FaultKind kind);

/// What a look shows: "in 19t", "missing", "turned", "HC 541".
struct Sight {
    int wire = -1;  ///< number of the placement wire that is looked at; -1: the fault's part
    std::string text;
};

struct Fault {
    FaultKind kind{};
    std::string id;      ///< short and stable for a build: "wire-missing/12", "near-namesake/U1/HC-541"
    std::string words;   ///< "wire 12 left out (strap of U1: enable)"
    std::string remedy;  ///< "put wire 12 from 13c to 20s"
    double weight = 0;   ///< prior, relative; > 0
    bool seen_by_eye = false;    ///< a look at the build beside the plan shows it
    bool by_print = false;       ///< only what is printed on the part, letters or bands, shows it to the eye
    std::vector<Sight> sights;   ///< what it shows where it is seen; empty: nothing
    std::vector<int> wires;      ///< numbers of placement wires that are concerned
    int part = -1, pin = -1;     ///< of the wiring; -1: of none in particular
    std::string rail;            ///< of a supply fault, and where a pin is moved to
    std::optional<Slip> slip;    ///< of a kind that moves wires or parts
    std::string variant;         ///< what else tells faults of one kind and place apart: "HC 541", "1 kΩ", "up"
    double value = 0;            ///< SI: ohms that are there, wrong or too many; volts of a supply
};

/// What is on the table with a fault. Parts are those of the wiring in the same order; a fault that needs
/// another device (a short, a contact's resistance, a pull-up more) has it behind them.
struct FaultyBuild {
    Bench bench;
    Wiring wiring;
};

struct FaultOptions {
    std::map<FaultKind, double> weights;  ///< in place of common practice; 0 leaves a kind out
    std::vector<FaultKind> kinds;         ///< only these; empty: all
};

/// Every single fault, heaviest kinds first, in an order that depends on nothing but the build. Without a
/// placement (`build.trouble`) those that need holes are left out: a missing wire is an open pin.
std::vector<Fault> faults_of(const Bench& bench, const PlacedWiring& build, const FaultOptions& options = {});
FaultyBuild with_fault(const Bench& bench, const PlacedWiring& build, const Fault& fault);
/// Both at once: the second is made on what the first left. Nothing where they exclude each other.
std::optional<FaultyBuild> with_faults(const Bench& bench, const PlacedWiring& build, const Fault& first,
                                       const Fault& second);

}  // namespace voltsill
