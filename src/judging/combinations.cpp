/// Which levels the drivers of an island can show together.
#include <fmt/format.h>

#include <algorithm>

#include "judging/scene.h"

namespace voltsill {
namespace {

std::vector<Logic> levels_in(LevelSet set) {
    std::vector<Logic> out;
    for (Logic l : {Logic::zero, Logic::one, Logic::Z})
        if (set & bit(l)) out.push_back(l);
    return out;
}

std::string words_of(const Circuit& circuit, const Island& island, const Levels& levels) {
    std::string words;
    int named = 0;
    for (size_t s = 0; s < levels.size(); ++s) {
        const StageSite& site = circuit.stages[island.stage_of[s]];
        if (levels[s] == Logic::Z && levels.size() > 1 && !(site.can_pull_down && !site.can_pull_up))
            continue;
        if (++named > 4) continue;
        const char* level = levels[s] == Logic::one ? "high" : levels[s] == Logic::zero ? "low" : "off";
        words += fmt::format("{}{} {}", words.empty() ? "" : ", ",
                             circuit.label(circuit.site(site.part, site.pin)), level);
    }
    return words.empty() ? "nothing drives" : words;
}

}  // namespace

Combination combination_of(const Circuit& circuit, const Island& island, const Levels& levels) {
    return {levels, words_of(circuit, island, levels)};
}

std::vector<Combination> combinations(const Circuit& circuit, const Scene& scene, const Island& island) {
    constexpr size_t most = 64;
    const size_t n = island.stage_of.size();
    std::vector<std::vector<Logic>> choices(n);
    size_t product = 1;
    std::vector<bool> in_turns(n);
    for (size_t s = 0; s < n; ++s) {
        const StageSite& site = circuit.stages[island.stage_of[s]];
        choices[s] = levels_in(scene.reach[island.stage_of[s]]);
        if (choices[s].empty()) choices[s] = {Logic::Z};
        in_turns[s] = site.can_pull_up && std::ranges::find(choices[s], Logic::Z) != choices[s].end() &&
                      choices[s].size() > 1;
        product = std::min<size_t>(product * choices[s].size(), most * most);
    }
    std::vector<Levels> found;
    const auto add = [&](const Levels& levels) {
        if (std::ranges::find(found, levels) == found.end()) found.push_back(levels);
    };
    if (product <= most * 4) {
        Levels levels(n);
        for (size_t code = 0; code < product; ++code) {
            size_t rest = code;
            int turns = 0;
            for (size_t s = 0; s < n; ++s) {
                levels[s] = choices[s][rest % choices[s].size()];
                rest /= choices[s].size();
                turns += in_turns[s] && levels[s] != Logic::Z;
            }
            if (turns <= 1) add(levels);
        }
    } else {
        const auto pick = [&](size_t s, Logic wanted) {
            const auto& c = choices[s];
            return std::ranges::find(c, wanted) != c.end() ? wanted : c.back();
        };
        // Voltages rise with every driver, so all low and all high bound every mixture; single
        // deviations show who fights whom, which is asked with all rails up.
        const bool singles = scene.all_up && n <= most;
        for (Logic wanted : {Logic::zero, Logic::one, Logic::Z}) {
            Levels levels(n);
            for (size_t s = 0; s < n; ++s) levels[s] = pick(s, wanted);
            add(levels);
            for (size_t s = 0; s < n && singles; ++s)
                for (Logic other : choices[s]) {
                    Levels one = levels;
                    one[s] = other;
                    add(one);
                }
        }
    }
    std::vector<Combination> out;
    for (const Levels& levels : found) out.push_back(combination_of(circuit, island, levels));
    return out;
}

}  // namespace voltsill
