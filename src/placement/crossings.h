#pragma once
/// How many wires cross, while wires come and go. Lines are looked up by the rows they span, so that a
/// change costs as much as there are lines beside it.
#include <vector>

#include "wiring/placement.h"

namespace voltsill {

/// Straight lines that cross inside both; lines that touch or lie on each other do not count.
bool cross(const BoardPoint& a, const BoardPoint& b, const BoardPoint& c, const BoardPoint& d);

class Crossings {
  public:
    void add(const BoardPoint& a, const BoardPoint& b) { total_ += count(a, b), put(a, b); }
    void remove(const BoardPoint& a, const BoardPoint& b) { take(a, b), total_ -= count(a, b); }
    long total() const { return total_; }

  private:
    static constexpr int rows_each = 6;
    static constexpr int above = 60;  ///< rows above the first that lines may begin at
    struct Line {
        BoardPoint a, b;
    };
    static int strip_of(double down) { return (static_cast<int>(down) + above) / rows_each; }
    long count(const BoardPoint& a, const BoardPoint& b) const;
    void put(const BoardPoint& a, const BoardPoint& b);
    void take(const BoardPoint& a, const BoardPoint& b);

    std::vector<std::vector<Line>> strips_;
    long total_ = 0;
};

}  // namespace voltsill
