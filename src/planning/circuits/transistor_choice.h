#pragma once
/// Which transistor, and its base resistor: shared by inverters and load drivers.
#include "planning/circuit_kind.h"

namespace voltsill {

using TypePtr = std::shared_ptr<const PartType>;

/// N-channel FET that surely conducts with `drive` from gate to source (VGS(th) max 0.3 V below), stands `off` from
/// drain to source and carries `amps`. Stocked and cheap ones first; null: none.
TypePtr fet_for(const Bench& bench, Volts drive, Volts off, Amps amps = {});
/// NPN transistor that stands `off` between collector and emitter and carries `amps`; null: none.
TypePtr npn_for(const Bench& bench, Volts off, Amps amps = {});
/// RB <= (VOH min - VBE max) / (IC / 10), 10 kΩ at most, a value of the stocked series; ohms.
double base_resistor(const Crossing& crossing, const PartType& npn, double collector_amps);

/// Base resistor of a switch that carries a load, with what holds the base at the emitter:
///
///     IB = IC / 10 + VBE max / R hold,   RB <= (VOH min at IB - VBE max) / IB, less its tolerance
///
/// and the driver stands (V rail max - VBE min) / RB. IC / 10 is common practice.
struct BaseDrive {
    double ohms = 0, base_amps = 0;
    Volts high{};         ///< VOH min at that current
    std::string refusal;  ///< why the driver cannot give it, with the number
};
BaseDrive base_drive(const Crossing& crossing, const PartType& npn, double collector_amps, double hold_ohms);

/// Lets a recipe bring a flyback diode where the load is a coil, and say what matters about it; where the load may be
/// one, asks. Answers why there is no such diode; empty: all is well.
std::string add_flyback(const Crossing& crossing, Recipe& recipe, double amps);
std::string gate_words(Volts drive, const PartType& fet);
std::string no_fet(Volts drive);

}  // namespace voltsill
