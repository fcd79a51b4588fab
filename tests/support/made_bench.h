#pragma once
/// Benches made at random from a seed: rails, modules with pins of many kinds, links between them that a
/// bench may hold. Names are short, long, and in letters of more than one byte.
#include <fmt/format.h>

#include <random>
#include <string>
#include <vector>

namespace voltsill::made {

class BenchMaker {
  public:
    BenchMaker(unsigned seed, int links) : random_(seed), links_(links) {}
    std::string text() {
        out_ = "title = \"made\"\n[rails]\n";
        static constexpr const char* volts[] = {"1.8 V ± 5 %", "2.5 V ± 5 %", "3.3 V ± 3 %", "4.75..5.25 V",
                                                "11..13 V"};
        static constexpr const char* names[] = {"low", "core", "logic", "usb", "pumps and motors"};
        const int first = below(3), count = 2 + below(4 - first);
        for (int r = first; r < std::min(5, first + count); ++r) {
            rails_.push_back({names[r], r});
            out_ += fmt::format("{} = {{ volts = \"{}\", limit = \"1 A\" }}\n", quoted(names[r]), volts[r]);
        }
        const int modules = 2 + below(1 + std::min(8, links_));
        for (int m = 0; m < modules; ++m) module(m);
        out_ += types_;
        out_ += "[parts]\n" + parts_;
        for (int l = 0; l < links_; ++l) link(l);
        return out_;
    }

  private:
    struct Rail {
        std::string name;
        int level;
    };
    int below(int n) { return int(std::uniform_int_distribution<int>(0, n - 1)(random_)); }
    static std::string quoted(const std::string& text) { return "\"" + text + "\""; }

    std::string name_of(int n) {
        static constexpr const char* words[] = {"gauge", "pump", "light sensor of the greenhouse", "Zähler", "数据", "x",
                                                "controller", "W", "radio_modem_number", "iiii"};
        return fmt::format("{} {}", words[below(10)], n);
    }
    std::string pin_of(int n) {
        static constexpr const char* words[] = {"D", "OUT", "/ALERT", "TRIGGER_IN", "Q", "/CS", "W"};
        return fmt::format("{}{}", words[below(7)], n);
    }
    void module(int m) {
        const Rail& rail = rails_[std::size_t(below(int(rails_.size())))];
        static constexpr const char* range[] = {"1.6..2.0 V", "2.3..2.7 V", "3.0..3.6 V", "4.5..5.5 V", "10..14 V"};
        static constexpr const char* most[] = {"-0.3..2.4 V", "-0.3..3.2 V", "-0.3..4 V", "-0.3..6 V", "-0.3..16 V"};
        // Archetypes of the catalogue; at 12 V there are open-collector outputs only.
        static constexpr const char* drives[] = {"push-pull output, 1.8 V", "push-pull output, 3.3 V",
                                                 "push-pull output, 3.3 V", "push-pull output, 5 V",
                                                 "open-collector output with 10 kΩ to its supply"};
        static constexpr const char* listens[] = {"CMOS input, 1.8 V", "CMOS input, 3.3 V", "LVTTL input, 3.3 V",
                                                  "TTL input, 5 V", "CMOS input, 5 V"};
        const std::string name = name_of(m);
        types_ += fmt::format("[types.made-{}]\ntitle = \"made {}\"\nsource = \"invented\"\ncertainty = \"assumed\"\n"
                              "invented = true\nsupplies.VCC = {{ range = \"{}\", max = \"{}\" }}\n",
                              m, m, range[rail.level], most[rail.level]);
        const auto pins = [&](std::vector<std::pair<std::string, std::string>>& into, const char* like, int from) {
            const int count = 1 + below(6);
            for (int k = 0; k < count; ++k) {
                const std::string pin = pin_of(from + k);
                types_ += fmt::format("pins.{} = {{ like = \"{}\" }}\n", quoted(pin), like);
                into.emplace_back(name, pin);
            }
        };
        pins(from_, drives[rail.level], 0);
        pins(to_, listens[rail.level], 10);
        types_ += "pins.GND = { is = \"ground\" }\n";
        parts_ += fmt::format("{} = {{ type = \"made-{}\", supply = {} }}\n", quoted(name), m, quoted(rail.name));
    }
    /// Every receiver has one driver.
    void link(int l) {
        if (to_.empty()) return;
        const auto& from = from_[std::size_t(below(int(from_.size())))];
        const std::size_t at = std::size_t(below(int(to_.size())));
        const auto to = to_[at];
        to_.erase(to_.begin() + std::ptrdiff_t(at));
        if (to.first == from.first) return;
        static constexpr const char* words[] = {"echo", "level of the second tank", "bus clock", "Füllstand", "t"};
        out_ += fmt::format("[[links]]\nname = \"{} {}\"\nfrom = {}\nto = {}\nrate = \"{} kHz\"\n", words[below(5)], l,
                            quoted(from.first + "." + from.second), quoted(to.first + "." + to.second), 1 + below(100));
    }

    std::mt19937 random_;
    int links_;
    std::string out_, types_, parts_;
    std::vector<Rail> rails_;
    std::vector<std::pair<std::string, std::string>> from_, to_;
};

/// Text of a bench file with up to `links` links.
inline std::string bench(unsigned seed, int links) { return BenchMaker(seed, links).text(); }

}  // namespace voltsill::made
