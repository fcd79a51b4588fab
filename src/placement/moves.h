#pragma once
/// Small changes of a placement that keep it legal: what the search tries one after the other.
#include "placement/random.h"
#include "placement/score.h"
#include "placement/spots.h"

namespace voltsill {

class Moves {
  public:
    Moves(Layout& layout, Score& score, const std::vector<Home>& homes, Random& random);

    /// Makes a random change; the score is begun and not yet settled. False: nothing was changed.
    bool propose();
    void undo();

    /// Modules change places beside the boards; the score is to be rebuilt after both.
    void shuffle_modules();
    void unshuffle_modules();
    bool has_modules() const { return modules_.size() > 1; }

  private:
    void lift(int part);
    void put(int part, std::vector<Hole> holes);
    bool fail();
    std::vector<int> attached_to(int package) const;
    bool put_near(int part, const std::vector<Hole>& old, int rows_down, int boards_on);
    bool put_cheapest(int part);
    std::vector<int> anchors(int part);

    bool move_small();
    bool move_package();
    bool swap_packages();
    bool move_junction();
    void stack_modules();

    Layout& layout_;
    Score& score_;
    const std::vector<Home>& homes_;
    Random& random_;
    std::vector<int> small_, packages_, modules_;  ///< parts; modules in their order, left ones first
    std::vector<std::pair<int, NetId>> junctions_;

    std::vector<std::pair<int, std::vector<Hole>>> lifted_;
    std::vector<std::pair<int, NetId>> junction_gone_, junction_new_;
    std::vector<std::pair<int, PlacedPart>> modules_before_;
};

}  // namespace voltsill
