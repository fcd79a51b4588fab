/// Packing against an exhaustive search that shares nothing with it but the question.
#include "planning/pack.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <map>
#include <set>

namespace voltsill {
namespace {

struct Instance {
    std::vector<std::vector<PackOption>> crossings;
    std::vector<PackGroup> groups;
    std::vector<PackLimit> limits;
    std::vector<PackSet> sets;
};

/// Cost of a choice; nullopt when the stock does not reach.
std::optional<double> cost_of(const Instance& in, const std::vector<int>& chosen) {
    double cost = 0;
    std::map<int, int> channels;
    std::map<std::string, int> used;
    for (size_t c = 0; c < chosen.size(); ++c) {
        const PackOption& o = in.crossings[c][chosen[c]];
        cost += o.score;
        if (o.group >= 0) ++channels[o.group];
        for (const auto& type : o.uses) ++used[type];
    }
    for (const auto& [g, n] : channels) {
        const int packages = (n + in.groups[g].channels - 1) / in.groups[g].channels;
        cost += packages * in.groups[g].cost;
        used[in.groups[g].type] += packages;
        for (const auto& type : in.groups[g].uses) used[type] += packages;
    }
    for (const PackSet& s : in.sets) {
        std::set<std::string> kinds;
        for (int c : s.crossings) kinds.insert(in.crossings[c][chosen[c]].kind);
        cost += s.cost * static_cast<double>(kinds.size());
    }
    for (const PackLimit& limit : in.limits)
        if (used[limit.type] > limit.count) return std::nullopt;
    return cost;
}

std::optional<double> best_by_hand(const Instance& in) {
    std::optional<double> best;
    std::vector<int> at(in.crossings.size(), 0);
    while (true) {
        if (const auto cost = cost_of(in, at); cost && (!best || *cost < *best)) best = cost;
        size_t c = 0;
        while (c < at.size() && ++at[c] == static_cast<int>(in.crossings[c].size())) at[c++] = 0;
        if (c == at.size()) return best;
    }
}

RC_GTEST_PROP(Pack, AgreesWithTryingEverything, ()) {
    const auto number = [](int lo, int hi) { return *rc::gen::inRange(lo, hi); };
    Instance in;
    const int groups = number(1, 4), crossings = number(1, 6);
    const std::vector<std::string> types{"quad", "octal", "pair"};
    for (int g = 0; g < groups; ++g)
        in.groups.push_back({types[g], number(1, 5), number(1, 40) / 4.0,
                             number(0, 2) ? std::vector<std::string>{"cap"} : std::vector<std::string>{}});
    for (int c = 0; c < crossings; ++c) {
        std::vector<PackOption> options;
        for (int k = number(1, 4); k > 0; --k) {
            PackOption o{.score = number(0, 60) / 4.0,
                         .group = number(-1, groups),
                         .kind = std::string(1, static_cast<char>('a' + number(0, 3)))};
            for (int u = number(0, 3); u > 0; --u) o.uses.push_back("fet");
            options.push_back(o);
        }
        in.crossings.push_back(options);
    }
    if (number(0, 2))  // crossings that cannot be told apart
        for (int c = 2; c < crossings; ++c) in.crossings[c] = in.crossings[c % 2];
    if (number(0, 2)) in.limits.push_back({"quad", number(0, 3)});
    if (number(0, 2)) in.limits.push_back({"fet", number(0, 8)});
    if (number(0, 2)) in.limits.push_back({"cap", number(0, 3)});
    if (number(0, 2)) {
        PackSet set{.cost = number(0, 20) / 4.0};
        for (int c = 0; c < crossings; c += 2) set.crossings.push_back(c);
        in.sets.push_back(set);
    }
    const auto wanted = best_by_hand(in);
    const auto got = pack(in.crossings, in.groups, in.limits, in.sets);
    RC_ASSERT(got.has_value() == wanted.has_value());
    if (!got) return;
    const auto cost = cost_of(in, *got);
    RC_ASSERT(cost.has_value());
    RC_ASSERT(std::abs(*cost - *wanted) < 1e-6);
}

TEST(Pack, NothingToPackIsNothing) { EXPECT_EQ(pack({}, {}, {}), std::vector<int>{}); }
TEST(Pack, ACrossingWithoutOptionsCannotBeServed) { EXPECT_EQ(pack({{}}, {}, {}), std::nullopt); }

}  // namespace
}  // namespace voltsill
