#pragma once
/// Which transistor, and its base resistor: shared by inverters and load drivers.
#include "planning/circuit_kind.h"

namespace voltsill {

using TypePtr = std::shared_ptr<const PartType>;

/// N-channel FET that surely conducts with `drive` from gate to source (VGS(th) max 0.3 V below) and
/// stands `off` from drain to source. Stocked and cheap ones first; null: none.
TypePtr fet_for(const Bench& bench, Volts drive, Volts off);
/// NPN transistor that stands `off` between collector and emitter; null: none.
TypePtr npn_for(const Bench& bench, Volts off);
/// RB <= (VOH min - VBE max) / (IC / 10), 10 kΩ at most, a value of the stocked series; ohms.
double base_resistor(const Crossing& crossing, const PartType& npn, double collector_amps);
std::string gate_words(Volts drive, const PartType& fet);
std::string no_fet(Volts drive);

}  // namespace voltsill
