#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <string>
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

std::string range_words(const StateReading& r) {
    return r.level == 'Z' ? "-" : meter_words(r.lo, r.hi);
}

std::string nominal_words(const StateReading& r) { return r.level == 'Z' ? "-" : meter_words(r.nominal); }

/// Readings of one net in one state: its pins together, each once, with the level that a pin of
/// it reads. A state that comes twice with other voltages stays another row.
std::vector<StateReading> merged(const std::vector<StateReading>& readings) {
    std::vector<StateReading> out;
    std::map<std::array<std::string, 4>, size_t> row_of;
    std::set<std::pair<size_t, std::string>> listed;
    for (const StateReading& r : readings) {
        const auto [at, fresh] =
            row_of.emplace(std::array{r.net, r.state, range_words(r), nominal_words(r)}, out.size());
        const bool named = !listed.emplace(at->second, r.point).second;
        if (fresh) {
            out.push_back(r);
            continue;
        }
        StateReading& row = out[at->second];
        if (!named) row.point += ", " + r.point;
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

doc::Document readings_report(const Bench& bench, const std::vector<StateReading>& readings, bool planned) {
    doc::Document out{"Readings of " + title_of(bench), {}};
    out.blocks.push_back(doc::paragraph(
        {"Steady voltages against ground, from lowest to highest over all tolerances; what a good meter "
         "shows near the nominal. A point that floats may show anything."}));
    if (planned)
        out.blocks.push_back(doc::paragraph(
            {"The bench has no [wiring]: these are the readings of the planned circuit, with its interface "
             "circuits in place."}));
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
        at->second.rows.push_back(
            {{r.point}, {condition}, {range_words(r)}, {nominal_words(r)}, {level_words(r.level)}, {r.net}});
    }
    for (size_t k = 0; k < scenes.size(); ++k) {
        out.blocks.push_back(doc::heading(2, {scenes[k].first}, fmt::format("scene-{}", k + 1)));
        out.blocks.push_back(std::move(scenes[k].second));
    }
    out.blocks.push_back(standing_caution());
    return out;
}

}  // namespace voltsill
