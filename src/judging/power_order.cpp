#include "judging/power_order.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

namespace voltsill {
namespace {

using RailSet = std::set<std::string>;

/// Rails that a scene's words say are down: "usb down, logic down".
RailSet down_in(std::string_view state) {
    RailSet out;
    std::string_view scene = state.substr(0, state.find(';'));
    while (!scene.empty()) {
        const size_t comma = scene.find(", ");
        const std::string_view piece = scene.substr(0, comma);
        if (piece.ends_with(" down")) out.emplace(piece.substr(0, piece.size() - 5));
        scene = comma == std::string_view::npos ? std::string_view{} : scene.substr(comma + 2);
    }
    return out;
}

struct Wait {
    Verdict verdict = Verdict::safe;
    std::string sentence;
};

struct Ordering {
    std::vector<std::string> switches;
    std::map<std::string, std::vector<std::string>> rails_of;
    std::map<RailSet, Wait> waits;
    /// With more switches only each alone was judged.
    static constexpr size_t most_mixed = 3, most_permuted = 7;

    bool judged(size_t up) const { return switches.size() <= most_mixed || up + 1 == switches.size(); }
    RailSet down_after(const std::vector<size_t>& order, size_t up) const {
        RailSet out;
        for (size_t k = up; k < order.size(); ++k)
            out.insert(rails_of.at(switches[order[k]]).begin(), rails_of.at(switches[order[k]]).end());
        return out;
    }
    Wait wait(const std::vector<size_t>& order, size_t up) const {
        const auto at = waits.find(down_after(order, up));
        return at == waits.end() ? Wait{} : at->second;
    }
    /// Worst verdict of its waits, then their sum; smaller is better.
    std::pair<int, int> cost(const std::vector<size_t>& order) const {
        std::pair<int, int> out{0, 0};
        for (size_t up = 1; up < order.size(); ++up) {
            const int v = judged(up) ? static_cast<int>(wait(order, up).verdict) : 0;
            out = {std::max(out.first, v), out.second + v};
        }
        return out;
    }
    std::string words(const std::vector<size_t>& order) const {
        std::vector<std::string> names;
        for (size_t k : order) names.push_back(fmt::format("{}", fmt::join(rails_of.at(switches[k]), " with ")));
        return fmt::format("{}", fmt::join(names, ", then "));
    }
    /// All orders, or with many switches each as the last one: only that was judged.
    std::vector<std::vector<size_t>> orders() const {
        std::vector<size_t> order(switches.size());
        std::iota(order.begin(), order.end(), size_t{0});
        std::vector<std::vector<size_t>> out;
        if (order.size() <= most_permuted) {
            do out.push_back(order);
            while (std::ranges::next_permutation(order).found);
            return out;
        }
        for (size_t last = 0; last < order.size(); ++last) {
            out.push_back(order);
            std::rotate(out.back().begin() + static_cast<long>(last), out.back().begin() + static_cast<long>(last) + 1,
                        out.back().end());
        }
        return out;
    }
};

Ordering ordering_of(const Bench& bench, const Judgement& judgement) {
    Ordering out;
    for (const Rail& rail : bench.rails) {
        const std::string name = switch_of(bench, rail);
        if (std::ranges::find(out.switches, name) == out.switches.end()) out.switches.push_back(name);
        out.rails_of[name].push_back(rail.name);
    }
    for (const Finding& f : judgement.findings) {
        Wait& wait = out.waits[down_in(f.state)];
        if (f.verdict > wait.verdict) wait = {f.verdict, f.sentence};
    }
    return out;
}

}  // namespace

const Rail* feeder_of(const Bench& bench, const Rail& rail) {
    const BenchPart* maker = rail.from.empty() ? nullptr : bench.part(rail.from.substr(0, rail.from.find('.')));
    if (!maker) return nullptr;
    for (const auto& [port, feeding] : maker->supplies)
        if (const Rail* feeder = bench.rail(feeding); feeder && feeder != &rail) return feeder;
    return nullptr;
}

std::string switch_of(const Bench& bench, const Rail& rail) {
    const Rail* at = &rail;
    for (size_t depth = 0; depth <= bench.rails.size(); ++depth) {
        if (!at->switch_group.empty() && at->switch_group != at->name) return at->switch_group;
        const Rail* feeder = feeder_of(bench, *at);
        if (!feeder) return at->name;
        at = feeder;
    }
    return at->name;
}

PowerOrder power_order(const Bench& bench, const Judgement& judgement) {
    const Ordering ordering = ordering_of(bench, judgement);
    const auto orders = ordering.orders();
    const auto cost = [&](const std::vector<size_t>& order) { return ordering.cost(order); };
    const auto best = *std::ranges::min_element(orders, {}, cost);
    const auto worst = *std::ranges::max_element(orders, {}, cost);
    PowerOrder out;
    for (size_t k = 0; k < best.size(); ++k) {
        PowerStep step{.rails = ordering.rails_of.at(ordering.switches[best[k]])};
        if (k + 1 < best.size()) {
            const Wait wait = ordering.wait(best, k + 1);
            const RailSet down = ordering.down_after(best, k + 1);
            step.waiting = fmt::format("{} down", fmt::join(down, ", "));
            step.judged = ordering.judged(k + 1);
            step.verdict = wait.verdict;
            step.sentence = wait.sentence;
            out.verdict = worse(out.verdict, wait.verdict);
        }
        out.steps.push_back(std::move(step));
    }
    if (cost(worst) == cost(best)) return out;
    out.worst_order = ordering.words(worst);
    Wait heaviest;
    for (size_t up = 1; up < worst.size(); ++up)
        if (const Wait w = ordering.wait(worst, up); w.verdict > heaviest.verdict) heaviest = w;
    out.worst_sentence = heaviest.sentence;
    return out;
}

}  // namespace voltsill
