#pragma once
/// Pieces on pages.
#include <vector>

#include "printing/pieces.h"

namespace voltsill::printing {

struct PlacedPiece {
    const Piece* piece = nullptr;
    double y = 0;
    bool again = false;  ///< the head of a table on a further page
};
struct Page {
    bool on_its_side = false;
    std::vector<PlacedPiece> pieces;
};

/// At least one page. Pieces that keep together go to the next page together, unless no page holds
/// them. The pieces are split in place where they are higher than a page.
std::vector<Page> pages_of(std::vector<Piece>& pieces, const Room& room);

}  // namespace voltsill::printing
