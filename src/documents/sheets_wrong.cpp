#include "documents/sheets_wrong.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "documents/report_pieces.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr std::size_t most_causes = 2;

/// V; a hand meter does not tell less apart from the window of the sheet (common practice).
constexpr double near_window = 0.05;

bool inside(const WrongReading& wrong, const StateReading& expected) {
    const MeterReading& r = wrong.reading;
    return r.solved && !r.floats && expected.level != 'Z' && r.nominal > expected.lo - near_window &&
           r.nominal < expected.hi + near_window;
}

}  // namespace

std::vector<std::vector<WrongReading>> wrong_levels(const Bench& bench, const PlacedWiring& placed,
                                                    const std::vector<LinkReading>& levels) {
    std::vector<std::vector<WrongReading>> out(levels.size());
    if (!placed.trouble.empty() || placed.placement.boards.empty()) return out;
    const Wiring& wiring = placed.wiring;
    struct Spot {
        int part, pin;
    };
    std::map<std::string, Spot> pins;
    for (std::size_t p = 0; p < wiring.parts.size(); ++p)
        for (std::size_t k = 0; k < wiring.parts[p].net_of_pin.size(); ++k)
            pins.emplace(pin_label(wiring.parts[p], static_cast<int>(k)),
                         Spot{static_cast<int>(p), static_cast<int>(k)});
    std::vector<Checkpoint> checkpoints;
    std::vector<std::size_t> of;  // levels by checkpoint
    for (std::size_t k = 0; k < levels.size(); ++k) {
        const LinkReading& level = levels[k];
        const auto at = pins.find(level.reading.point), driver = pins.find(level.driver);
        if (level.set == 'A' || at == pins.end() || driver == pins.end()) continue;
        const WiredPart& part = wiring.parts[driver->second.part];
        checkpoints.push_back({at->second.part, at->second.pin,
                               {{part.name, part.type->pins[driver->second.pin].name, level.set != '0'}}});
        of.push_back(k);
    }
    auto read = what_wrong_readings_mean(bench, wiring, placed.placement, checkpoints);
    for (std::size_t c = 0; c < read.size(); ++c) {
        std::erase_if(read[c].wrong,
                      [&](const WrongReading& w) { return inside(w, levels[of[c]].reading); });
        out[of[c]] = std::move(read[c].wrong);
    }
    return out;
}

std::string wrong_words(const MeterReading& reading) {
    if (!reading.solved) return "no steady value";
    return reading.floats ? "drifts" : meter_words(reading.lo, reading.hi);
}

std::string cause_words(const std::vector<std::string>& causes) {
    const auto shown = std::min(causes.size(), most_causes);
    const auto end = causes.begin() + static_cast<std::ptrdiff_t>(shown);
    const std::string out = fmt::format("{}", fmt::join(causes.begin(), end, ", or "));
    return causes.size() > shown ? fmt::format("{}, or {} more", out, causes.size() - shown) : out;
}

}  // namespace voltsill
