/// The class as a whole, from what its learners have entered and handed in: which gate, which reading, which mistake.
#include <algorithm>

#include "server/hall.h"

namespace voltsill::server {
namespace {

/// How many learners each name holds for, the most frequent first.
using Counted = std::map<std::string, int>;

Json counted_json(const Counted& counted) {
    std::vector<std::pair<std::string, int>> rows(counted.begin(), counted.end());
    std::ranges::stable_sort(rows, std::greater{}, &std::pair<std::string, int>::second);
    return json_list(rows, [](const auto& row) { return Json{{"name", row.first}, {"learners", row.second}}; });
}

struct Builds {
    int handed_in = 0, without_mistake = 0, harmful = 0;
    std::map<std::string, Json> mistakes;  ///< by words
    Counted kinds, links;

    void add(const Json& build, bool harms) {
        if (!build.is_object() || !build.value("accepted", false)) return;
        const Json& made = build.at("mistakes");
        ++handed_in;
        without_mistake += made.empty();
        harmful += harms;
        std::set<std::string> own_kinds, own_links;
        for (const Json& mistake : made) {
            Json& row = mistakes[mistake.at("words")];
            if (row.is_null()) row = {{"learners", 0}};
            for (const char* what : {"words", "kind", "harm", "links"}) row[what] = mistake.at(what);
            row["gate"] = mistake.value("gate", 0);
            row["learners"] = row["learners"].get<int>() + 1;
            own_kinds.insert(mistake.at("kind"));
            for (const Json& link : mistake.at("links")) own_links.insert(link);
        }
        for (const std::string& kind : own_kinds) ++kinds[kind];
        for (const std::string& link : own_links) ++links[link];
    }
    Json mistakes_json() const {
        std::vector<Json> rows;
        for (const auto& [words, row] : mistakes) rows.push_back(row);
        std::ranges::stable_sort(rows, [](const Json& a, const Json& b) { return a["learners"] > b["learners"]; });
        return rows;
    }
};

}  // namespace

Json Hall::summary() const {
    const std::lock_guard lock(mutex_);
    Builds builds;
    for (const auto& [id, learner] : learners_) builds.add(learner.build, learner.harmful);
    Json all_gates = Json::array();
    for (int gate = 1; gate <= store::gates; ++gate) {
        const auto passed = [gate](const auto& entry) { return entry.second.passed[gate - 1] > 0; };
        const auto waits = [&](const auto& entry) {
            return gate <= 2 && entry.second.gate() == gate && all_right(entry.second, gate);
        };
        all_gates.push_back({{"gate", gate},
                             {"title", gate_title(gate)},
                             {"passed", std::ranges::count_if(learners_, passed)},
                             {"waiting", std::ranges::count_if(learners_, waits)}});
    }
    const Json checks = json_list(lesson_.checks, [&](const LessonCheck& check) {
        int entered = 0, right = 0, hints = 0;
        for (const auto& [id, learner] : learners_) {
            const auto state = learner.checks.find(check.id);
            if (state == learner.checks.end() || state->second.tries == 0) continue;
            ++entered;
            right += state->second.correct;
            hints += state->second.hints;
        }
        return Json{
            {"id", check.id},     {"what", check.what}, {"gate", check.gate},       {"link", name_or_null(check.link)},
            {"entered", entered}, {"right", right},     {"wrong", entered - right}, {"hints", hints}};
    });
    return {{"format", "voltsill-class-summary-1"},
            {"learners", learners_.size()},
            {"handed_in", builds.handed_in},
            {"without_mistake", builds.without_mistake},
            {"harmful", builds.harmful},
            {"mistakes", builds.mistakes_json()},
            {"kinds", counted_json(builds.kinds)},
            {"links", counted_json(builds.links)},
            {"gates", std::move(all_gates)},
            {"minutes", minutes_json()},
            {"checks", checks}};
}

}  // namespace voltsill::server
