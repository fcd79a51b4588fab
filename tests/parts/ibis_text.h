#pragma once
/// Small IBIS files for the tests, built from pieces.
#include <fmt/format.h>

#include <fstream>
#include <sstream>
#include <string>

#include "parts/ibis.h"

namespace voltsill::ibis_text {

inline std::string file(const std::string& models, const std::string& pins = "1 A A_MODEL\n") {
    return "[IBIS Ver] 4.2\n[File Name] test.ibs\n[File Rev] 1\n[Component] PART\n[Manufacturer] nobody\n"
           "[Package]\nR_pkg 50m 40m 60m\nL_pkg 4nH 3nH 5nH\nC_pkg 1pF 0.5pF 1.5pF\n"
           "[Pin] signal_name model_name\n" +
           pins + models + "[End]\n";
}

inline std::string head(const std::string& type, const std::string& more = "",
                        const std::string& name = "A_MODEL") {
    return "[Model] " + name + "\nModel_type " + type + "\nC_comp 2pF 1pF 3pF\n" + more +
           "[Voltage Range] 5.0 4.5 5.5\n";
}

/// A resistor as an I-V table: volts in steps over [from, to], amps = sign * volts / ohms.
inline std::string resistor_table(const std::string& keyword, double sign, double ohms, double from = -5,
                                  double to = 10) {
    std::string text = "[" + keyword + "]\n";
    for (double v = from; v <= to + 1e-9; v += 0.5)
        text += fmt::format("{:.3f} {:.9g} {:.9g} {:.9g}\n", v, sign * v / ohms, sign * v / (ohms * 1.25),
                            sign * v / (ohms * 0.8));
    return text;
}

/// A push-pull output of two resistors: minimum column weaker, maximum stronger.
inline std::string resistor_driver(double down, double up, const std::string& type = "3-state") {
    return head(type) + resistor_table("Pulldown", 1, down) + resistor_table("Pullup", -1, up) +
           "[Ramp]\ndV/dt_r 2.0/1n 1.8/1.5n 2.2/0.7n\ndV/dt_f 2.0/1n 1.8/1.5n 2.2/0.7n\n";
}

inline std::string on_disk(const std::string& name) {
    std::ostringstream text;
    text << std::ifstream(std::string(VOLTSILL_ROOT) + "/examples/ibis/" + name, std::ios::binary).rdbuf();
    return text.str();
}

inline std::string all(const Problems& problems) {
    std::string text;
    for (const Problem& p : problems) text += render(p) + '\n';
    return text;
}

inline IbisFile reading(const std::string& text) {
    Problems problems;
    IbisFile out = read_ibis(text, "test.ibs", problems);
    if (has_error(problems)) throw std::runtime_error(all(problems));
    return out;
}

}  // namespace voltsill::ibis_text
