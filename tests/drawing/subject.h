#pragma once
/// What drawings are made of, for tests: a bench, its plan, a placement.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "planning/plan.h"
#include "support/made_bench.h"
#include "support/made_placement.h"

namespace voltsill {

struct Subject {
    std::string name;
    Bench bench;
    Plan plan;
    Placement placement;
};

inline std::optional<Subject> subject(const std::string& name, const std::string& text, int rows = 63) {
    BenchReading reading = read_bench(text, name);
    if (!reading.bench) return std::nullopt;
    Subject s{name, std::move(*reading.bench), {}, {}};
    s.plan = plan(s.bench);
    s.placement = made::placement(s.plan.wiring, made::board(rows));
    return s;
}

inline Subject example(const std::string& name) {
    std::ifstream file(VOLTSILL_ROOT "/examples/" + name + ".toml");
    std::stringstream text;
    text << file.rdbuf();
    auto s = subject(name, text.str());
    EXPECT_TRUE(s) << name;
    return s ? std::move(*s) : Subject{};
}

inline const std::vector<std::string>& example_names() {
    static const std::vector<std::string> names{"first-bench",    "up-shift",   "two-way-bus", "unknown-module",
                                                "existing-build", "eight-pairs", "rain-garden"};
    return names;
}

/// Groups of a drawing with a data key, at any depth.
inline void collect_groups(const std::vector<drawing::Item>& items, std::string_view key,
                           std::vector<const drawing::Group*>& out) {
    for (const drawing::Item& item : items) {
        const auto* group = std::get_if<drawing::Group>(&item);
        if (!group) continue;
        for (const auto& [k, value] : group->data)
            if (k == key) {
                out.push_back(group);
                break;
            }
        collect_groups(group->items, key, out);
    }
}
inline std::vector<const drawing::Group*> groups_with(const drawing::Drawing& d, std::string_view key) {
    std::vector<const drawing::Group*> out;
    collect_groups(d.items, key, out);
    return out;
}
inline std::string data_of(const drawing::Group& group, std::string_view key) {
    for (const auto& [k, value] : group.data)
        if (k == key) return value;
    return {};
}

}  // namespace voltsill
