#include "support/generated_bench.h"

#include <fmt/format.h>

#include "placement/random.h"

namespace voltsill::test {
std::string module_types(const std::string& bus_pins, const std::string& of_five) {
    return fmt::format(R"([types.five]
title = "five"
source = "invented"
certainty = "assumed"
invented = true
supplies.VCC = {{ range = "4.5..5.5 V", max = "-0.3..6 V" }}
pins."OUT1..OUT4" = {{ like = "push-pull output, 5 V" }}
pins."IN1..IN4" = {{ like = "TTL input, 5 V" }}
{1}pins."{0}" = {{ like = "I2C pin", max = "6 V", min = "-0.3 V" }}
pins.GND = {{ is = "ground" }}
[types.three]
title = "three"
source = "invented"
certainty = "assumed"
invented = true
supplies.VCC = {{ range = "3.0..3.6 V", max = "-0.3..4 V" }}
pins."OUT1..OUT4" = {{ like = "push-pull output, 3.3 V" }}
pins."IN1..IN4" = {{ like = "LVTTL input, 3.3 V" }}
pins."{0}" = {{ like = "I2C pin", max = "supply + 0.3 V", min = "-0.3 V" }}
pins.GND = {{ is = "ground" }}
)",
                       bus_pins, of_five);
}

std::string generated_bench(std::uint64_t seed, int links, const std::string& boards) {
    Random random(seed);
    std::string text =
        "title = \"generated\"\n[rails]\nfive = { volts = \"4.75..5.25 V\" }\nthree = { volts = \"3.3 V ± 3 %\" "
        "}\n";
    if (!boards.empty()) text += "[boards]\nuse = [" + boards + "]\n";
    text += '\n' + module_types("SD1..SD4", "pins.\"CM1..CM4\" = { like = \"CMOS input, 5 V\" }\n");
    text += "[parts]\n";
    const int modules = (links + 3) / 4;
    for (int k = 0; k < modules; ++k)
        text += fmt::format(
            "a{0} = {{ type = \"five\", supply = \"five\" }}\nb{0} = {{ type = \"three\", supply = \"three\" }}\n", k);
    for (int k = 0; k < links; ++k) {
        const int module = k / 4, pin = k % 4 + 1;
        const int kind = random.below(8);
        const auto link = [&](const char* from, const char* to, const char* more) {
            text += fmt::format("[[links]]\nname = \"link {0}\"\nfrom = \"{1}\"\nto = \"{2}\"\n{3}\n", k,
                                fmt::format(fmt::runtime(from), module, pin),
                                fmt::format(fmt::runtime(to), module, pin), more);
        };
        if (kind < 3)
            link("a{}.OUT{}", "b{}.IN{}", "rate = \"10 kHz\"");
        else if (kind < 5)
            link("b{}.OUT{}", "a{}.IN{}", "rate = \"10 kHz\"");
        else if (kind < 7)
            link("b{}.OUT{}", "a{}.CM{}", "rate = \"100 kHz\"");
        else
            link("a{}.SD{}", "b{}.SD{}", "kind = \"open-drain\"\nrate = \"50 kHz\"");
    }
    return text;
}

}  // namespace voltsill::test
