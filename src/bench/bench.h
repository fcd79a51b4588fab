#pragma once
/// A bench: rails, parts and intended links, as the user wrote them. One TOML file.
///
/// The bench states intent. How it is wired is a `Wiring` (room wiring): the links joined as
/// they are, the wires of `[wiring]`, or a plan. Everything knows its place in the file, so
/// that findings can point back to it.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/board.h"
#include "parts/catalogue.h"
#include "records/problem.h"

namespace voltsill {

/// Highest voltage between any two points a bench may hold. Extra-low voltage with margin:
/// IEC 61140:2016 allows 120 V DC; boards of this kind are used up to 36 V (common practice).
inline constexpr Volts highest_bench_volts{36.0};

struct Rail {
    std::string name;
    Figure<Volts> volts;
    std::optional<Amps> limit;  ///< what its source can deliver
    std::string from;           ///< "controller.3V3": made by that part; empty: a supply of its own
    std::string switch_group;   ///< rails with the same switch go up and down together; default: own name
    bool sinks = false;         ///< source can take current back (a battery, a shunt regulator)
    Place place;
};

struct BenchPart {
    std::string name;
    std::string type_name;                 ///< as written: "HCT 541 DIP-20"
    std::shared_ptr<const PartType> type;  ///< own types and overrides merged
    const Package* package = nullptr;
    std::vector<std::pair<std::string, std::string>> supplies;  ///< supply port -> rail name
    bool grounded = true;                                       ///< ground pins joined to the common ground
    std::optional<double> value;                                ///< SI, for resistors, capacitors
    std::vector<std::string> pulls_removed;                     ///< pins whose removable pulls are taken off
    bool as_is = false;  ///< the planner may not change or move this part
    Place place;
    std::string note;
};

struct PinRef {
    std::string part, pin;
    Place place;
    bool operator==(const PinRef& o) const { return part == o.part && pin == o.pin; }
};

enum class LinkKind {
    logic,       ///< one way, push-pull or open-drain driver
    open_drain,  ///< both ways, wired-AND (I2C, 1-wire): all ends may pull low
    two_way,     ///< push-pull both ways, in turns
    analog,
    load,  ///< switches a load: relay, LED, motor driver input
};
std::string_view to_word(LinkKind kind);

struct Link {
    std::string name;
    LinkKind kind = LinkKind::logic;
    std::vector<PinRef> from, to;
    std::optional<Hertz> rate;  ///< bit or clock rate
    std::string bus;            ///< "I2C" and the like: selects limits by bus standard; empty: none
    bool invert_allowed = false;
    std::optional<std::string> safe_level;  ///< "low" or "high": level wanted while nothing drives (reset)
    std::string group;                      ///< links that must share direction and enable (a parallel bus)
    std::string interface;                  ///< user's choice of interface circuit; empty: planner chooses
    Place place;
};

struct StockItem {
    std::string name;          ///< "LVC 541 DIP-20", "resistor E24"
    std::optional<int> count;  ///< nullopt: enough
    std::optional<Span<Ohms>> span;
    Place place;
};

/// An existing build: parts beside those of [parts] and every wire, end to end.
struct Wire {
    std::string from, to;  ///< "gauge.ECHO", "U1.13" (number or name), "rail usb", "ground"
    Place place;
};
struct GivenWiring {
    std::vector<BenchPart> parts;
    std::vector<Wire> wires;
    Place place;
};

struct Wishes {
    Volts margin{0.4};  ///< wanted noise margin (TTL tradition, common practice)
    double weight_margin = 1, weight_stock = 1, weight_parts = 1, weight_cost = 1, weight_simple = 1,
           weight_teach = 1;
    Farads wire_capacitance{15e-12};  ///< per net: jumper and board rows (common practice)
    Henries wire_inductance{150e-9};  ///< per jumper of 15 cm, at 1 uH/m (common practice)
    Farads probe_capacitance{0};      ///< of a probe on every receiver, for traces; 0: none
};

struct Bench {
    std::string title;
    Celsius ambient_lo{0}, ambient_hi{40};
    std::vector<Rail> rails;
    std::vector<BenchPart> parts;
    std::vector<Link> links;
    std::vector<StockItem> stock;
    bool has_stock = false;  ///< without [stock] everything in the catalogue may be used
    std::optional<GivenWiring> wiring;
    Wishes wishes;
    std::vector<std::shared_ptr<const BoardKind>> boards;       ///< to build it on; empty: not said
    std::vector<std::shared_ptr<const BoardKind>> board_kinds;  ///< built in, and the bench's own
    std::shared_ptr<const Catalogue> catalogue;  ///< built-in plus the bench's own types and includes
    std::string about;

    const Rail* rail(std::string_view name) const;
    const BenchPart* part(std::string_view name) const;
    const Link* link(std::string_view name) const;
    std::shared_ptr<const BoardKind> board_kind(std::string_view name) const;  ///< null: none
};

/// Gives the bytes of an included file, or nullopt. The core asks; the skin reads the disk.
using Includer = std::function<std::optional<std::string>(const std::string& path)>;

struct BenchReading {
    std::optional<Bench> bench;  ///< nullopt when a problem is an error
    Problems problems;
};
BenchReading read_bench(std::string_view bytes, const std::string& file, const Includer& include = {});

/// JSON Schema (draft 2020-12) of the bench file, from the reader's own description.
std::string bench_schema();

}  // namespace voltsill
