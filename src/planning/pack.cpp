#include "planning/pack.h"

#include <coin/CbcModel.hpp>
#include <coin/OsiClpSolverInterface.hpp>

#include <algorithm>
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

struct SetKind {
    int set;
    std::string kind;
};

std::vector<SetKind> kinds_of(const std::vector<std::vector<PackOption>>& crossings, const std::vector<PackSet>& sets) {
    std::vector<SetKind> found;
    for (size_t s = 0; s < sets.size(); ++s) {
        std::set<std::string> names;
        for (const int c : sets[s].crossings)
            for (const PackOption& o : crossings[c]) names.insert(o.kind);
        for (const std::string& name : names) found.push_back({static_cast<int>(s), name});
    }
    return found;
}

}  // namespace

std::optional<std::vector<int>> pack(const std::vector<std::vector<PackOption>>& crossings,
                                     const std::vector<PackGroup>& groups, const std::vector<PackLimit>& limits,
                                     const std::vector<PackSet>& sets) {
    if (crossings.empty()) return std::vector<int>{};
    Program p;
    std::vector<int> first;
    for (const auto& options : crossings) {
        if (options.empty()) return std::nullopt;
        first.push_back(p.columns);
        for (const PackOption& o : options) p.objective.push_back(o.score);
        p.columns += static_cast<int>(options.size());
    }
    const int group_column = p.columns;
    for (const PackGroup& g : groups) p.objective.push_back(g.cost);
    p.columns += static_cast<int>(groups.size());
    const int set_column = p.columns;
    const std::vector<SetKind> kinds = kinds_of(crossings, sets);
    for (const SetKind& kind : kinds) p.objective.push_back(sets[kind.set].cost);
    p.columns += static_cast<int>(kinds.size());
    p.rows.setDimensions(0, p.columns);

    for (size_t c = 0; c < crossings.size(); ++c) {
        std::vector<std::pair<int, double>> terms;
        for (size_t k = 0; k < crossings[c].size(); ++k) terms.emplace_back(first[c] + static_cast<int>(k), 1.0);
        p.row(terms, 1, 1);
    }
    for (size_t g = 0; g < groups.size(); ++g) {
        std::vector<std::pair<int, double>> terms{{group_column + static_cast<int>(g), -double(groups[g].channels)}};
        for (size_t c = 0; c < crossings.size(); ++c)
            for (size_t k = 0; k < crossings[c].size(); ++k)
                if (crossings[c][k].group == static_cast<int>(g)) terms.emplace_back(first[c] + static_cast<int>(k), 1.0);
        p.row(terms, -COIN_DBL_MAX, 0);
    }
    for (size_t y = 0; y < kinds.size(); ++y)
        for (const int c : sets[kinds[y].set].crossings) {
            std::vector<std::pair<int, double>> terms{{set_column + static_cast<int>(y), -1.0}};
            for (size_t k = 0; k < crossings[c].size(); ++k)
                if (crossings[c][k].kind == kinds[y].kind) terms.emplace_back(first[c] + static_cast<int>(k), 1.0);
            if (terms.size() > 1) p.row(terms, -COIN_DBL_MAX, 0);
        }
    for (const PackLimit& limit : limits) {
        std::vector<std::pair<int, double>> terms;
        for (size_t g = 0; g < groups.size(); ++g)
            if (const double n = double(groups[g].type == limit.type) + double(std::ranges::count(groups[g].uses, limit.type)); n > 0)
                terms.emplace_back(group_column + static_cast<int>(g), n);
        for (size_t c = 0; c < crossings.size(); ++c)
            for (size_t k = 0; k < crossings[c].size(); ++k)
                if (const auto n = std::ranges::count(crossings[c][k].uses, limit.type); n > 0)
                    terms.emplace_back(first[c] + static_cast<int>(k), double(n));
        if (!terms.empty()) p.row(terms, -COIN_DBL_MAX, limit.count);
    }

    OsiClpSolverInterface solver;
    solver.messageHandler()->setLogLevel(0);
    std::vector<double> column_lower(p.columns, 0.0), column_upper(p.columns, 1.0);
    std::fill(column_upper.begin() + group_column, column_upper.begin() + set_column, double(crossings.size()));
    solver.loadProblem(p.rows, column_lower.data(), column_upper.data(), p.objective.data(), p.lower.data(), p.upper.data());
    for (int c = 0; c < set_column; ++c) solver.setInteger(c);
    CbcModel model(solver);
    model.setLogLevel(0);
    model.messageHandler()->setLogLevel(0);
    model.branchAndBound();
    if (!model.isProvenOptimal() || !model.bestSolution()) return std::nullopt;
    std::vector<int> chosen;
    for (size_t c = 0; c < crossings.size(); ++c)
        for (size_t k = 0; k < crossings[c].size(); ++k)
            if (model.bestSolution()[first[c] + k] > 0.5) {
                chosen.push_back(static_cast<int>(k));
                break;
            }
    return chosen;
}

}  // namespace voltsill
