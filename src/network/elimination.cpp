#include "network/elimination.h"

#include <set>

namespace voltsill::batch {

void Pattern::fill_in() {
    for (int k = 0; k < size_; ++k)
        for (int i = k + 1; i < size_; ++i)
            for (int j = k + 1; j < size_ && at(i, k) >= 0; ++j)
                if (at(k, j) >= 0) add(i, j);
}

std::vector<int> elimination_order(int unknowns, const std::vector<std::vector<int>>& groups) {
    std::vector<std::set<int>> neighbours(unknowns);
    const auto unknown = [&](int k) { return k >= 0 && k < unknowns; };
    for (const auto& group : groups)
        for (int a : group)
            for (int b : group)
                if (a != b && unknown(a) && unknown(b)) neighbours[a].insert(b);
    std::vector<int> left, order;
    for (int k = 0; k < unknowns; ++k) left.push_back(k);
    while (!left.empty()) {
        const auto next = std::min_element(left.begin(), left.end(), [&](int a, int b) {
            return neighbours[a].size() < neighbours[b].size();
        });
        const int pivot = *next;
        left.erase(next);
        order.push_back(pivot);
        for (int a : neighbours[pivot]) {
            neighbours[a].erase(pivot);
            for (int b : neighbours[pivot])
                if (a != b) neighbours[a].insert(b);
        }
    }
    return order;
}

EliminationTape elimination_tape(const Pattern& pattern) {
    EliminationTape tape;
    const int n = pattern.size();
    const auto products = [&] { return static_cast<int>(tape.products.size()); };
    for (int i = 0; i < n; ++i) {
        tape.diagonal.push_back(pattern.at(i, i));
        for (int j = 0; j < n; ++j) {
            if (pattern.at(i, j) < 0) continue;
            const int first = products();
            for (int k = 0; k < std::min(i, j); ++k)
                if (pattern.at(i, k) >= 0 && pattern.at(k, j) >= 0)
                    tape.products.push_back({pattern.at(i, k), pattern.at(k, j)});
            const int pivot = j < i ? j : j == i ? -1 - i : upper;
            tape.elimination.push_back({pattern.at(i, j), first, products(), pivot});
        }
    }
    const auto substitution = [&](int i, int from, int to) {
        const int first = products();
        for (int j = from; j < to; ++j)
            if (pattern.at(i, j) >= 0) tape.products.push_back({pattern.at(i, j), j});
        return Substitution{i, first, products()};
    };
    for (int i = 0; i < n; ++i) tape.forward.push_back(substitution(i, 0, i));
    for (int i = n - 1; i >= 0; --i) tape.backward.push_back(substitution(i, i + 1, n));
    return tape;
}

}  // namespace voltsill::batch
