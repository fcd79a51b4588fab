#pragma once
/// A wiring: concrete. Parts that are there, and which net every pin is on.
///
/// Three ways to get one: `wire_directly` joins link ends as they are, `wire_as_given` takes the
/// wires of the bench's [wiring], and the planner builds one with interface circuits. Whatever
/// the way, `lower` (wiring/circuit.h) turns it into a network and the judge looks at that.
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "bench/bench.h"

namespace voltsill {

using NetId = int;
inline constexpr NetId unconnected = -1;

struct Net {
    std::string name;  ///< "ground", "rail usb", "tank echo at gauge" ...
    std::string rail;  ///< rail name when this net is a rail
    bool ground = false;
};

struct WiredPart {
    std::string name;  ///< bench part name, or "U1", "R3", "Q2" for added ones
    std::shared_ptr<const PartType> type;
    const Package* package = nullptr;
    std::vector<NetId> net_of_pin;    ///< by pin index; unconnected: -1
    std::optional<double> value;      ///< SI (ohms, farads)
    std::optional<double> tolerance;  ///< overrides the model's
    std::vector<std::string> pulls_removed;
    bool added = false;    ///< by a plan or [wiring], not in [parts]
    std::string purpose;   ///< "decouples U1 at VCC", "pull-up of tank echo"
    std::string for_link;  ///< link it was added for; empty: shared
};

struct Wiring {
    std::vector<Net> nets;
    std::vector<WiredPart> parts;
    bool direct = false;  ///< links joined as they are: no decoupling or straps are expected yet

    NetId ground() const;
    NetId rail(std::string_view name) const;
    NetId add_net(std::string name);
    int part(std::string_view name) const;  ///< -1: none
    NetId net_at(std::string_view part, std::string_view pin) const;
    std::string fresh_name(std::string_view prefix) const;  ///< "R" -> "R4"
    /// Adds a part with all pins open, then `connect` its pins by name.
    int add_part(std::string_view prefix, std::shared_ptr<const PartType> type, std::string purpose);
    void connect(int part, std::string_view pin, NetId net);
    /// All pins of net `gone` move to `kept`.
    void merge(NetId kept, NetId gone);
};

/// Bench parts with supplies and grounds on their rails, no link wired.
Wiring wire_supplies(const Bench& bench);
/// Link ends joined without anything between.
Wiring wire_directly(const Bench& bench);
/// The build of [wiring]. Problems: unknown part or pin, two rails joined.
Wiring wire_as_given(const Bench& bench, Problems& problems);

/// In the order in which wires are laid, power off. Bridges join pieces of strips on boards.
enum class WireUse { ground, supply, bridge, strap, signal };
std::string_view to_word(WireUse use);

/// One wire to lay, in a sensible order (grounds, supplies, straps, decoupling, signals).
struct WireListEntry {
    std::string from, to;  ///< "U1.20 VCC", "rail usb"
    std::string net, reason;
    WireUse use = WireUse::signal;
};
std::vector<WireListEntry> wire_list(const Wiring& wiring);

struct PartsListEntry {
    std::string what;  ///< "HCT 541 DIP-20", "resistor 10 kΩ 5 %"
    int count = 0, spares = 0;
    std::vector<std::string> names;
};
/// Spares after breakage rates of common practice.
std::vector<PartsListEntry> parts_list(const Wiring& wiring);

/// Why a pin is held at a rail or at ground: "enable", "direction", "unused input".
std::string strap_reason(const WiredPart& part, int pin);

/// One sentence for every used channel whose output is not the pin facing its input: in a
/// package of N pins, pin n faces N + 1 - n.
std::vector<std::string> facing_pin_notes(const Wiring& wiring);

/// What [wiring] has to say for a bench file to read back to the same nets.
GivenWiring given_wiring(const Wiring& wiring);

}  // namespace voltsill
