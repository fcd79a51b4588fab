#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "documents/report_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string level_words(char level) {
    switch (level) {
        case '0':
            return "low";
        case '1':
            return "high";
        case 'Z':
            return "floats";
        default:
            return "undefined";
    }
}

/// A meter shows nothing below a millivolt.
std::string meter_words(double volts) { return std::abs(volts) < 0.5e-3 ? "0 V" : print(Volts{volts}); }

std::string range_words(const StateReading& r) {
    const std::string lo = meter_words(r.lo), hi = meter_words(r.hi);
    return lo == hi ? lo : fmt::format("{} to {}", lo, hi);
}

/// Readings of one net in one state: its pins together, with the level that a pin of it reads.
std::vector<StateReading> merged(const std::vector<StateReading>& readings) {
    std::vector<StateReading> out;
    std::map<std::pair<std::string, std::string>, size_t> row_of;
    for (const StateReading& r : readings) {
        const auto [at, fresh] = row_of.emplace(std::pair{r.net, r.state}, out.size());
        if (fresh) {
            out.push_back(r);
            continue;
        }
        StateReading& row = out[at->second];
        row.point += ", " + r.point;
        if (row.level == 'X') row.level = r.level;
    }
    return out;
}

/// "all rails up; tank echo high" is the scene "all rails up" and the condition "tank echo high".
std::pair<std::string, std::string> split_state(const std::string& state) {
    const size_t at = state.find("; ");
    return at == std::string::npos ? std::pair{state, std::string()}
                                   : std::pair{state.substr(0, at), state.substr(at + 2)};
}

}  // namespace

doc::Document readings_report(const Bench& bench, const std::vector<StateReading>& readings) {
    doc::Document out{"Readings of " + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"Steady voltages against ground, from lowest to highest over all tolerances; what a good meter "
         "shows near the nominal. A point that floats may show anything."}));
    std::vector<std::pair<std::string, doc::Table>> scenes;
    for (const StateReading& r : merged(readings)) {
        const auto [scene, condition] = split_state(r.state);
        auto at = std::ranges::find(scenes, scene, &std::pair<std::string, doc::Table>::first);
        if (at == scenes.end()) {
            scenes.emplace_back(scene, doc::Table{.columns = {{"point"},
                                                              {"when"},
                                                              {"range", doc::Align::right, false},
                                                              {"nominal", doc::Align::right, false},
                                                              {"level", doc::Align::left, false},
                                                              {"net"}}});
            at = std::prev(scenes.end());
        }
        const bool floats = r.level == 'Z';
        const std::string range = floats ? "-" : range_words(r);
        const std::string nominal = floats ? "-" : meter_words(r.nominal);
        at->second.rows.push_back(
            {{r.point}, {condition}, {range}, {nominal}, {level_words(r.level)}, {r.net}});
    }
    for (size_t k = 0; k < scenes.size(); ++k) {
        out.blocks.push_back(doc::heading(2, {scenes[k].first}, fmt::format("scene-{}", k + 1)));
        out.blocks.push_back(std::move(scenes[k].second));
    }
    out.blocks.push_back(standing_caution());
    return out;
}

}  // namespace voltsill
