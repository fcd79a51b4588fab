#pragma once
/// Small benches for planning, written as bench files over pins of the built-in catalogue.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "planning/evaluate.h"
#include "planning/plan.h"

namespace voltsill::sample {

inline Bench read(const std::string& text) {
    BenchReading reading = read_bench(text, "sample.toml");
    // Pins made for 5 V stand on rails of 12 and 36 V here, which a reader doubts.
    std::erase_if(reading.problems, [](const Problem& p) { return p.code == "rows-beside-supply"; });
    for (const Problem& p : reading.problems) ADD_FAILURE() << p.code << ": " << p.message << "\n" << text;
    return reading.bench.value_or(Bench{});
}

/// A driver D.OUT and a receiver R.IN, each a pin `like` an archetype on a rail of its own choice. The
/// rails five, three, low, tiny, twelve and high go up and down together unless `apart`.
struct Two {
    std::string out, out_rail, in, in_rail;
    std::string link;  ///< more keys of the link, one a line
    std::string tail;  ///< [stock], [wishes]
    bool apart = false;
    std::string out_keys, in_keys;  ///< added to the pins

    std::string text() const {
        const char* together = apart ? "" : ", switch = \"bench\"";
        const auto supply = [](const std::string& rail) {
            return rail == "five"    ? "range = \"4.5..5.5 V\", max = \"-0.3..6 V\""
                   : rail == "three" ? "range = \"3.0..3.6 V\", max = \"-0.3..4 V\""
                   : rail == "low"   ? "range = \"1.65..1.95 V\", max = \"-0.3..2.2 V\""
                   : rail == "tiny"  ? "range = \"1.1..1.3 V\", max = \"-0.3..1.6 V\""
                   : rail == "high"  ? "range = \"30..36 V\", max = \"-0.3..40 V\""
                                     : "range = \"9..15 V\", max = \"-0.3..18 V\"";
        };
        std::string t = "title = \"two\"\n[rails]\n";
        for (const auto& [name, volts] : {std::pair{"five", "4.75..5.25 V"},
                                          {"three", "3.3 V ± 3 %"},
                                          {"low", "1.8 V ± 3 %"},
                                          {"tiny", "1.2 V ± 3 %"},
                                          {"twelve", "11.4..12.6 V"},
                                          {"high", "34 V ± 3 %"}})
            if (name == out_rail || name == in_rail)
                t += fmt::format("{} = {{ volts = \"{}\"{} }}\n", name, volts, together);
        t += fmt::format(
            "[parts]\nD = {{ type = \"driver\", supply = \"{}\" }}\nR = {{ type = \"receiver\", supply = "
            "\"{}\" }}\n",
            out_rail, in_rail);
        t += fmt::format("[[links]]\nname = \"signal\"\nfrom = \"D.OUT\"\nto = \"R.IN\"\n{}\n{}\n", link,
                         tail);
        const auto type = [&](const char* name, const std::string& rail, const char* pin,
                              const std::string& like, const std::string& keys) {
            return fmt::format(
                "[types.{}]\ntitle = \"{}\"\nsource = \"invented for this test\"\ncertainty = "
                "\"assumed\"\ninvented = true\n"
                "supplies.VCC = {{ {}, current = \"5 mA\", decoupling = false }}\npins.{} = {{ like = "
                "\"{}\"{}{} }}\npins.GND = {{ is = \"ground\" }}\n",
                name, name, supply(rail), pin, like, keys.empty() ? "" : ", ", keys);
        };
        return t + type("driver", out_rail, "OUT", out, out_keys) +
               type("receiver", in_rail, "IN", in, in_keys);
    }
    Bench bench() const { return read(text()); }
};

inline const Two down{"push-pull output, 5 V", "five", "LVTTL input, 3.3 V", "three", "rate = \"10 kHz\""};
inline const Two up{"push-pull output, 3.3 V", "three", "CMOS input, 5 V", "five", "rate = \"10 kHz\""};
inline const Two bus{"I2C pin",
                     "three",
                     "I2C pin",
                     "five",
                     "kind = \"open-drain\"\nbus = \"I2C\"\nrate = \"100 kHz\"",
                     "",
                     false,
                     "max = \"supply + 0.3 V\""};
inline const Two bucket{"open-collector output with 10 kΩ to its supply", "five", "CMOS input, 3.3 V",
                        "three", "rate = \"100 Hz\""};
inline const Two bare{"open-collector output", "five", "CMOS input, 3.3 V", "three", "rate = \"100 Hz\""};
inline const Two relay{"controller pin, 3.3 V", "three", "relay input, active low, 5 V", "five",
                       "kind = \"load\"\ninvert = true"};
inline const Two analog{"analog output",
                        "five",
                        "ADC pin, 3.3 V",
                        "three",
                        "kind = \"analog\"\nrate = \"10 Hz\"",
                        "",
                        false,
                        "analog_range = \"0..4.5 V\""};

inline std::vector<Evaluated> tried(const Bench& bench) {
    std::vector<Evaluated> all;
    for (const Crossing& c : crossings_of(bench))
        for (Evaluated& e : evaluate_all(c)) all.push_back(std::move(e));
    return all;
}
/// The first candidate of a circuit that serves, else its first.
inline Evaluated first_of(const std::vector<Evaluated>& all, std::string_view circuit) {
    Evaluated found;
    for (const Evaluated& e : all) {
        if (e.candidate.circuit != circuit) continue;
        if (e.would_serve) return e;
        if (found.candidate.circuit.empty()) found = e;
    }
    EXPECT_EQ(found.candidate.circuit, circuit);
    return found;
}
inline Evaluated of(const Bench& bench, std::string_view circuit) { return first_of(tried(bench), circuit); }
inline const WiredPart* added(const Wiring& w, std::string_view purpose) {
    for (const WiredPart& p : w.parts)
        if (p.purpose.find(purpose) != std::string::npos) return &p;
    return nullptr;
}
inline int count_of(const Wiring& w, PartKind kind) {
    return static_cast<int>(std::count_if(
        w.parts.begin(), w.parts.end(), [&](const WiredPart& p) { return p.added && p.type->kind == kind; }));
}
inline Two with(Two two, std::string_view link, std::string_view tail = {}) {
    two.link += "\n" + std::string(link);
    two.tail += tail;
    return two;
}

}  // namespace voltsill::sample
