#pragma once
/// Room for words on a crowded plane: what is taken, and the nearest free place for one more.
#include <optional>

#include "drawing/drawing.h"

namespace voltsill::drawing {

class LabelRoom {
  public:
    explicit LabelRoom(Box within) : within_(within) {}

    void take(const Box& box) { taken_.push_back(box); }
    void take(const Label& label) { take(box_of(label)); }
    bool is_free(const Box& box) const;
    /// How many things a box would lie on.
    int hits(const Box& box) const;
    bool is_free(const Label& label) const { return is_free(box_of(label)); }

    struct Spot {
        Label label;     ///< moved there, its middle at its anchor
        double far = 0;  ///< from the middle of the words to `centre`, less their own half
    };
    /// The nearest free place for a label around `centre`, clear of a body of the given half sizes.
    std::optional<Spot> find(const Label& label, Point centre, double clear_x, double clear_y) const;

  private:
    Box within_;
    std::vector<Box> taken_;
};

}  // namespace voltsill::drawing
