#pragma once
/// One function per interface circuit; the table of them is in all.cpp.
#include "planning/circuit_kind.h"

namespace voltsill {

Proposal propose_direct(const Crossing& crossing);
Proposal propose_series_resistor(const Crossing& crossing);
Proposal propose_divider(const Crossing& crossing);
Proposal propose_blocking_diode(const Crossing& crossing);
Proposal propose_pull_up(const Crossing& crossing);
Proposal propose_npn_inverter(const Crossing& crossing);
Proposal propose_fet_inverter(const Crossing& crossing);
Proposal propose_inverter_pair(const Crossing& crossing);
Proposal propose_two_way_fet(const Crossing& crossing);
Proposal propose_low_rail_buffer(const Crossing& crossing);
Proposal propose_high_rail_buffer(const Crossing& crossing);
Proposal propose_dual_supply(const Crossing& crossing);
Proposal propose_auto_push_pull(const Crossing& crossing);
Proposal propose_auto_open_drain(const Crossing& crossing);
Proposal propose_pass_gate(const Crossing& crossing);
Proposal propose_repeater(const Crossing& crossing);
Proposal propose_opto(const Crossing& crossing);
Proposal propose_comparator(const Crossing& crossing);
Proposal propose_follower(const Crossing& crossing);
Proposal propose_load_driver(const Crossing& crossing);
Proposal propose_change_of_supply(const Crossing& crossing);

}  // namespace voltsill
