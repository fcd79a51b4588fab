#include "planning/pack.h"

#include <algorithm>
#include <cmath>
#include <coin/CbcModel.hpp>
#include <coin/OsiClpSolverInterface.hpp>
#include <set>

namespace voltsill {
namespace {

/// Rows and columns of the program, by index: options of all crossings first, then groups.
struct Program {
    CoinPackedMatrix rows{false, 0, 0};
    std::vector<double> lower, upper, objective;
    int columns = 0;

    void row(const std::vector<std::pair<int, double>>& terms, double lo, double hi) {
        CoinPackedVector v;
        for (const auto& [column, weight] : terms) v.insert(column, weight);
        rows.appendRow(v);
        lower.push_back(lo);
        upper.push_back(hi);
    }
};

/// Crossings that cannot be told apart.
struct Class {
    std::vector<int> members;
    std::vector<int> sets;
    int first = 0;  ///< column of its first option
};

std::vector<Class> classes_of(const std::vector<std::vector<PackOption>>& crossings,
                              const std::vector<PackSet>& sets) {
    std::vector<Class> found;
    for (int c = 0; c < static_cast<int>(crossings.size()); ++c) {
        std::vector<int> in;
        for (size_t s = 0; s < sets.size(); ++s)
            if (std::ranges::find(sets[s].crossings, c) != sets[s].crossings.end())
                in.push_back(static_cast<int>(s));
        const auto like = std::ranges::find_if(
            found, [&](const Class& k) { return k.sets == in && crossings[k.members[0]] == crossings[c]; });
        if (like != found.end())
            like->members.push_back(c);
        else
            found.push_back({.members = {c}, .sets = std::move(in)});
    }
    return found;
}

struct SetKind {
    int set;
    std::string kind;
};

std::vector<SetKind> kinds_of(const std::vector<std::vector<PackOption>>& crossings,
                              const std::vector<PackSet>& sets) {
    std::vector<SetKind> found;
    for (size_t s = 0; s < sets.size(); ++s) {
        std::set<std::string> names;
        for (const int c : sets[s].crossings)
            for (const PackOption& o : crossings[c]) names.insert(o.kind);
        for (const std::string& name : names) found.push_back({static_cast<int>(s), name});
    }
    return found;
}

/// How often each column is used in the cheapest solution; nullopt: there is none.
std::optional<std::vector<double>> solved(const Program& p, const std::vector<double>& column_upper) {
    OsiClpSolverInterface solver;
    solver.messageHandler()->setLogLevel(0);
    const std::vector<double> column_lower(p.columns, 0.0);
    solver.loadProblem(p.rows, column_lower.data(), column_upper.data(), p.objective.data(), p.lower.data(),
                       p.upper.data());
    for (int c = 0; c < p.columns; ++c) solver.setInteger(c);
    CbcModel model(solver);
    model.setLogLevel(0);
    model.messageHandler()->setLogLevel(0);
    model.branchAndBound();
    if (!model.isProvenOptimal()) return std::nullopt;
    return std::vector<double>(model.bestSolution(), model.bestSolution() + p.columns);
}

}  // namespace

std::optional<std::vector<int>> pack(const std::vector<std::vector<PackOption>>& crossings,
                                     const std::vector<PackGroup>& groups,
                                     const std::vector<PackLimit>& limits, const std::vector<PackSet>& sets) {
    if (crossings.empty()) return std::vector<int>{};
    if (std::ranges::any_of(crossings, [](const auto& options) { return options.empty(); }))
        return std::nullopt;
    Program p;
    std::vector<double> most;  // upper bounds of the columns
    std::vector<Class> classes = classes_of(crossings, sets);
    const auto options = [&](const Class& k) -> const std::vector<PackOption>& {
        return crossings[k.members[0]];
    };
    for (Class& k : classes) {
        k.first = static_cast<int>(most.size());
        for (const PackOption& o : options(k))
            p.objective.push_back(o.score), most.push_back(double(k.members.size()));
    }
    const int group_column = static_cast<int>(most.size());
    for (const PackGroup& g : groups) p.objective.push_back(g.cost), most.push_back(double(crossings.size()));
    const int set_column = static_cast<int>(most.size());
    const std::vector<SetKind> kinds = kinds_of(crossings, sets);
    for (const SetKind& kind : kinds) p.objective.push_back(sets[kind.set].cost), most.push_back(1.0);
    p.columns = static_cast<int>(most.size());
    p.rows.setDimensions(0, p.columns);

    using Terms = std::vector<std::pair<int, double>>;
    /// Adds `weight(option)` times every option's column where that is not 0.
    const auto collect = [&](Terms& terms, const Class& k, auto weight) {
        for (size_t o = 0; o < options(k).size(); ++o)
            if (const double w = weight(options(k)[o]); w != 0)
                terms.emplace_back(k.first + static_cast<int>(o), w);
    };
    for (const Class& k : classes) {
        Terms terms;
        collect(terms, k, [](const PackOption&) { return 1.0; });
        p.row(terms, double(k.members.size()), double(k.members.size()));
    }
    for (int g = 0; g < static_cast<int>(groups.size()); ++g) {
        Terms terms{{group_column + g, -double(groups[g].channels)}};
        for (const Class& k : classes)
            collect(terms, k, [&](const PackOption& o) { return o.group == g ? 1.0 : 0.0; });
        p.row(terms, -COIN_DBL_MAX, 0);
    }
    for (int y = 0; y < static_cast<int>(kinds.size()); ++y)
        for (const Class& k : classes) {
            if (std::ranges::find(k.sets, kinds[y].set) == k.sets.end()) continue;
            Terms terms{{set_column + y, -double(k.members.size())}};
            collect(terms, k, [&](const PackOption& o) { return o.kind == kinds[y].kind ? 1.0 : 0.0; });
            if (terms.size() > 1) p.row(terms, -COIN_DBL_MAX, 0);
        }
    for (const PackLimit& limit : limits) {
        Terms terms;
        for (int g = 0; g < static_cast<int>(groups.size()); ++g)
            if (const double n = double(groups[g].type == limit.type) +
                                 double(std::ranges::count(groups[g].uses, limit.type));
                n > 0)
                terms.emplace_back(group_column + g, n);
        for (const Class& k : classes)
            collect(terms, k,
                    [&](const PackOption& o) { return double(std::ranges::count(o.uses, limit.type)); });
        if (!terms.empty()) p.row(terms, -COIN_DBL_MAX, limit.count);
    }

    const auto used = solved(p, most);
    if (!used) return std::nullopt;
    std::vector<int> chosen(crossings.size(), 0);
    for (const Class& k : classes) {
        size_t next = 0;
        for (int o = 0; o < static_cast<int>(options(k).size()); ++o)
            for (long n = std::lround((*used)[k.first + o]); n > 0 && next < k.members.size(); --n)
                chosen[k.members[next++]] = o;
    }
    return chosen;
}

}  // namespace voltsill
