#pragma once
/// What belongs to the circuit of a link, before anything is laid out: the elements to draw and the
/// nets between them, found in a wiring by following nets from the ends of the link.
///
/// Nets of rails and the ground end the search; so do pins of modules and ends of links. Through a
/// shared package only the channels on those nets are followed. `depth` orders nets by the signal's
/// way: 0 at the driver, one more behind every element in series.
#include <map>
#include <set>
#include <string>
#include <vector>

#include "wiring/part_words.h"

namespace voltsill::drawing {

/// A pin of an element, or an inner end of a resistor inside a module (pin -1).
struct Joint {
    int pin = -1;
    NetId net = unconnected;
    enum class Way { in, out, both, control, supply } way = Way::both;
};

struct Element {
    enum class Kind {
        end,        ///< named terminal of the link or of something else on its nets
        two_leads,  ///< resistor, capacitor, diode
        transistor,
        opto,
        unit,   ///< a channel of a package, with the supplies when `with_supplies`
        other,  ///< a part without channels: a box
        pull,   ///< resistor inside a module, at `joints[0].pin`
        load    ///< diodes and resistor inside a module
    } kind = Kind::two_leads;
    int part = -1;
    int channel = -1;                       ///< unit
    int pull = -1;                          ///< pull: index into the pin's pulls
    bool driver = false, receiver = false;  ///< end: of this link
    std::vector<Joint> joints;
};

struct Scheme {
    std::vector<Element> elements;
    std::map<NetId, int> depth;      ///< of every net to draw as wires
    std::vector<NetId> flags;        ///< control nets that are only named, not followed
    std::vector<std::string> notes;  ///< what is left out, in words
    bool both_ways = false;

    bool drawn(NetId net) const { return depth.contains(net); }
};

/// Empty when the bench has no such link.
Scheme scheme_of(const Bench& bench, const Wiring& wiring, const std::string& link);

/// Sets `depth` of these nets: breadth first from the drivers; nets that no signal reaches stand in front
/// of what they feed. Used by scheme_of.
void order_nets(const Wiring& wiring, const std::set<NetId>& nets, Scheme& scheme);

/// True for nets drawn as a symbol wherever they end: rails and the ground.
inline bool is_supply(const Wiring& wiring, NetId net) {
    return net >= 0 && (wiring.nets[net].ground || !wiring.nets[net].rail.empty());
}
/// "U1B" for a channel of several, "U1" for the only one.
std::string unit_name(const WiredPart& part, int channel);

}  // namespace voltsill::drawing
