#pragma once
/// What a bus allows at its rate.
#include "bench/bench.h"

namespace voltsill {

/// UM10204 rev 7.0 (1 Oct 2021), tables 10 and 11.
struct BusMode {
    const char* name;
    double rate, rise_max, sink, capacitance_max;
};
inline constexpr BusMode i2c_modes[] = {{"I2C Standard-mode", 100e3, 1000e-9, 3e-3, 400e-12},
                                        {"I2C Fast-mode", 400e3, 300e-9, 3e-3, 400e-12},
                                        {"I2C Fast-mode Plus", 1000e3, 120e-9, 20e-3, 550e-12}};

/// nullptr: no bus, or too fast for any of its modes.
inline const BusMode* bus_mode(const Link& link) {
    if (link.bus != "I2C") return nullptr;
    for (const BusMode& m : i2c_modes)
        if ((link.rate ? link.rate->si() : 0.0) <= m.rate) return &m;
    return nullptr;
}

}  // namespace voltsill
