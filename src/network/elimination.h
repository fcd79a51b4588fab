#pragma once
/// Sparse elimination planned once for many solves: order, pattern with fill-in, and the tape of
/// products that LU without pivoting runs through (T. Davis, "Direct Methods for Sparse Linear
/// Systems", SIAM 2006, ch. 6-7, from memory).
#include <algorithm>
#include <vector>

#include "network/batch_tape.h"

namespace voltsill::batch {

/// Matrix pattern: entry numbers by row and column, growing with fill-in.
class Pattern {
  public:
    explicit Pattern(int size) : entry_(static_cast<std::size_t>(size) * size, -1), size_(size) {
        for (int k = 0; k < size; ++k) add(k, k);
    }
    int at(int row, int column) const { return entry_[static_cast<std::size_t>(row) * size_ + column]; }
    void add(int row, int column) {
        int& e = entry_[static_cast<std::size_t>(row) * size_ + column];
        if (e < 0) e = count_++;
    }
    void fill_in();
    int count() const { return count_; }
    int size() const { return size_; }

  private:
    std::vector<int> entry_;
    int size_, count_ = 0;
};

/// Minimum degree on the symmetric pattern: the next unknown is the one with fewest neighbours
/// left, its neighbours become a clique. `groups`: unknowns 0 .. `unknowns` - 1 that a device
/// ties together; others are left out.
std::vector<int> elimination_order(int unknowns, const std::vector<std::vector<int>>& groups);

struct EliminationTape {
    std::vector<int> diagonal;  ///< entry of each unknown
    std::vector<Elimination> elimination;
    std::vector<Substitution> forward, backward;
    std::vector<Product> products;
};
/// `pattern` with its fill-in.
EliminationTape elimination_tape(const Pattern& pattern);

}  // namespace voltsill::batch
