#pragma once
/// From chosen recipes to a wiring: channels, straps, unused inputs, decoupling.
#include "planning/circuit_kind.h"

namespace voltsill {

struct ChannelSlot {
    int part = -1;     ///< index into the wiring's parts
    int channel = -1;  ///< index into the type's channels
};

/// Adds an integrated circuit: supplies and grounds on their rails, enables active, direction strapped.
int add_ic(const Bench& bench, Wiring& wiring, const Recipe& recipe);
/// Joins the nets by a recipe, through `slot` when it uses a channel.
void apply(Wiring& wiring, const Recipe& recipe, NetId driver, NetId receiver, ChannelSlot slot);
/// Ties what is left over on an integrated circuit and gives it its capacitors.
void finish_ic(const Bench& bench, Wiring& wiring, int part);
/// The crossings of a bench: each link, split by the rails of its receivers.
std::vector<Crossing> crossings_of(const Bench& bench);
/// Nets for the two sides of a crossing in a wiring; the driver's is made once per link.
NetId net_for(Wiring& wiring, const std::vector<Side>& sides, const std::string& name);

}  // namespace voltsill
