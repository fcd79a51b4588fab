#pragma once
// One right bench for the tests of this room. Its part figures are invented for them.
#include <gmock/gmock.h>

#include <string>

#include "bench/bench.h"

namespace sample {

using namespace voltsill;

/// Rails of both kinds, every kind of link, stock, a build, wishes, and types of its own.
inline const std::string bench = R"(# A bench of the tests
title   = "Station"
ambient = "0..40 °C"

[rails]
usb   = { volts = "4.75..5.25 V", limit = "900 mA", switch = "plug" }   # from the plug
logic = { volts = "3.3 V ± 3 %", limit = "300 mA", from = "controller.3V3" }

[parts]
controller = { type = "controller-3v3", supply = "usb" }
gauge      = { type = "gauge-5v", supply = "usb", note = "the grey one" }
display    = { type = "display-5v", supply = "usb", pulls_removed = ["SDA"] }
shifter    = { type = "LVC 8T245", supplies = { VCCA = "logic", VCCB = "usb" }, as_is = true }
pump       = { type = "relay-module-5v", supply = "usb" }

[[links]]
name = "tank echo"
from = "gauge.ECHO"          # how full
to   = "controller.D4"
rate = "2 kHz"

[[links]]
name = "bus data"
bus  = "I2C"
from = "controller.SDA"
to   = ["display.SDA"]
rate = "100 kHz"

[[links]]
name = "bus clock"
from = "controller.SCL"
to   = "display.SCL"

[[links]]
name = "moisture"
from = "gauge.LEVEL"
to   = "controller.A0"

[[links]]
name = "pump on"
from = "controller.D5"
to   = "pump.IN"
safe_level = "high"
invert = true

[[links]]
name = "side by side"
kind = "two-way"
group = "pair"
interface = "direct"
from = "controller.D6"
to   = "shifter.A1"

[stock]
"LVC 541 DIP-20" = 3
"resistor E24"   = "1 Ω .. 10 MΩ"
"capacitor"      = 0

[wishes]
margin = "0.3 V"
weights = { cost = 2, teach = 0.5 }
wire_capacitance = "20 pF"

[wiring]
parts.U1 = { type = "HC 541 DIP-20" }
parts.R1 = { type = "resistor", value = "4.7 kΩ" }
wires = [
    ["gauge.ECHO", "U1.2"],
    ["U1.18", "controller.D4"],
    ["R1.1", "rail logic"],
    ["U1./OE1", "ground"],
]

[types.gauge-5v]
source = "invented for the tests"
supplies.VCC = { range = "4.5..5.5 V", max = "-0.3..6 V", current = "15 mA" }
pins.ECHO = { like = "push-pull output, 5 V" }
pins.LEVEL = { like = "analog output" }
pins.GND  = { is = "ground" }

[types.display-5v]
source = "invented for the tests"
supplies.VCC = { range = "4.5..5.5 V", max = "-0.3..6 V", current = "15 mA" }
pins.SDA = { like = "I2C pin with 4.7 kΩ to its supply" }
pins.SCL = { like = "I2C pin with 4.7 kΩ to its supply" }
pins.GND = { is = "ground" }
)";

/// `bench` with its first `old` replaced; the test fails if there is none.
inline std::string with(const std::string& old, const std::string& fresh, std::string text = bench) {
    const std::size_t at = text.find(old);
    EXPECT_NE(at, std::string::npos) << old;
    if (at != std::string::npos) text.replace(at, old.size(), fresh);
    return text;
}

inline std::string rendered(const Problems& problems) {
    std::string text;
    for (const Problem& problem : problems) text += render(problem);
    return text;
}

inline BenchReading read(const std::string& text, const Includer& include = {}) {
    return read_bench(text, "bench.toml", include);
}

}  // namespace sample
