#pragma once
/// What a layout costs, kept up to date move by move.
///
///     cost = w_h slips + w_l length + w_x crossings        whole numbers, 10 000 for one harmful slip
///
/// Harmful slips are estimated while searching: an end of a wire or a lead of a small part that lands one
/// row off, or across the trench, joins the nets of two half rows side by side; whether that harms says
/// the judge. The slips of the finished placement are counted one by one (slips.h).
#include <functional>

#include "placement/crossings.h"
#include "placement/layout.h"

namespace voltsill {

/// May these two nets be joined by a slip without harm? Nets of the wiring that is placed.
using NetPairHarm = std::function<bool(NetId, NetId)>;

inline constexpr long slip_cost = 10'000;
inline constexpr long crossing_cost = 3'000;
inline constexpr long metre_cost = 100'000;
inline constexpr long unlike_rails_cost = 50'000;  ///< rails side by side without a free row between

class Score {
  public:
    Score(Layout& layout, NetPairHarm harm);

    /// Everything anew, after modules have moved.
    long rebuild();
    /// Between `begin` and `settle` parts may be lifted and put; every net and half row that changes is
    /// to be named. `settle` gives the cost, very large if a net has no tree.
    void begin();
    void touch(NetId net);
    void touch_half(int half) { touched_halves_.push_back(half); }
    long settle();
    /// After the parts have been put back as they were at `begin`.
    void revert();

    long cost() const;
    long slips() const { return slips_; }

  private:
    struct Saved {
        NetId net = unconnected;
        std::vector<Branch> tree;
        long length = 0;
        bool broken = false;
    };
    void change_lines(const std::vector<Branch>& from, const std::vector<Branch>& to);
    void weigh(int half);
    long pair_slips(int a, int b) const;
    bool harms(NetId a, NetId b) const;
    void weigh_touched();

    Layout& layout_;
    NetPairHarm harm_;
    mutable std::vector<signed char> known_;  ///< by pair of nets: -1 not asked yet
    Crossings crossings_;
    std::vector<long> below_, across_;  ///< by half row: pair with the row below, with the other side
    std::vector<long> unlike_;
    std::vector<Saved> saved_;
    std::vector<int> touched_halves_;
    long length_ = 0, slips_ = 0, unlike_total_ = 0;
    int broken_ = 0;
};

}  // namespace voltsill
