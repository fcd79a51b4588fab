#include "planning/circuits/circuits.h"

namespace voltsill {

const std::vector<CircuitKind>& all_circuits() {
    static const std::vector<CircuitKind> circuits = {
        {"direct", "one wire", propose_direct},
        {"series-resistor", "series resistor", propose_series_resistor},
        {"divider", "resistor divider", propose_divider},
        {"blocking-diode", "Schottky diode and pull-up", propose_blocking_diode},
        {"pull-up", "pull-up at the receiver's rail", propose_pull_up},
        {"npn-inverter", "NPN inverter", propose_npn_inverter},
        {"fet-inverter", "N-channel FET inverter", propose_fet_inverter},
        {"inverter-pair", "two FET inverters", propose_inverter_pair},
        {"two-way-fet", "two-way N-channel FET", propose_two_way_fet},
        {"low-rail-buffer", "tolerant buffer on the lower rail", propose_low_rail_buffer},
        {"high-rail-buffer", "TTL-threshold buffer on the higher rail", propose_high_rail_buffer},
        {"dual-supply", "dual-supply translator with direction", propose_dual_supply},
        {"auto-push-pull", "auto-direction translator, push-pull", propose_auto_push_pull},
        {"auto-open-drain", "auto-direction translator, open-drain", propose_auto_open_drain},
        {"pass-gate", "pass-gate with bias", propose_pass_gate},
        {"repeater", "bus repeater", propose_repeater},
        {"opto", "optocoupler", propose_opto},
        {"comparator", "comparator", propose_comparator},
        {"follower", "divider and follower", propose_follower},
        {"load-driver", "transistor that switches the load", propose_load_driver},
        {"change-of-supply", "change of supply", propose_change_of_supply},
    };
    return circuits;
}

}  // namespace voltsill
