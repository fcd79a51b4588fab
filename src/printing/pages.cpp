#include "printing/pages.h"

#include <algorithm>
#include <iterator>

namespace voltsill::printing {
namespace {

/// A head that takes more than this share of a page is not worth having again.
constexpr double largest_head = 0.3;
/// What stands under a heading is not parted when it takes no more than this share of a page.
constexpr double short_section = 0.4;

void cut_to_size(std::vector<Piece>& pieces, const Room& room) {
    std::vector<Piece> out;
    for (Piece& piece : pieces) {
        if (piece.head && piece.head->height > largest_head * room.height) piece.head.reset();
        const double page = piece.on_its_side ? room.side_height : room.height;
        std::ranges::move(split(std::move(piece), page - (piece.head ? piece.head->height : 0)), std::back_inserter(out));
    }
    pieces = std::move(out);
}

struct Stack {
    const Room& room;
    std::vector<Page> pages{1};
    double y = 0;

    double left() const { return (pages.back().on_its_side ? room.side_height : room.height) - y; }
    void turn_page(bool on_its_side) {
        if (!pages.back().pieces.empty()) pages.emplace_back();
        pages.back().on_its_side = on_its_side;
        y = 0;
    }
    void put(const Piece& piece) {
        if (y == 0 && piece.head) {
            pages.back().pieces.push_back({piece.head.get(), 0});
            y = piece.head->height;
        }
        if (y > 0) y += piece.before;
        pages.back().pieces.push_back({&piece, y});
        y += piece.height + piece.after;
    }
};

/// Height of a heading, or several, with all that stands under them.
double section_height(const std::vector<Piece>& pieces, std::size_t at) {
    double height = 0;
    for (bool under = false; at < pieces.size(); ++at) {
        const Piece& piece = pieces[at];
        if (under && (piece.level > 0 || piece.new_page)) break;
        under = under || piece.level == 0;
        height += piece.before + piece.height + piece.after;
    }
    return height;
}

}  // namespace

std::vector<Page> pages_of(std::vector<Piece>& pieces, const Room& room) {
    cut_to_size(pieces, room);
    Stack stack{room};
    for (std::size_t begin = 0, end; begin < pieces.size(); begin = end) {
        double height = 0;
        bool new_page = false, on_its_side = false;
        for (end = begin; end < pieces.size(); ++end) {
            const Piece& piece = pieces[end];
            height += piece.before + piece.height;
            if (piece.keeps_next) height += piece.after;
            new_page = new_page || piece.new_page;
            on_its_side = on_its_side || piece.on_its_side;
            if (!piece.keeps_next) {
                ++end;
                break;
            }
        }
        if (pieces[begin].level > 0) {
            const double section = section_height(pieces, begin);
            if (section <= short_section * room.height && section > stack.left()) new_page = true;
        }
        if (new_page || on_its_side != stack.pages.back().on_its_side || height > stack.left())
            stack.turn_page(on_its_side);
        for (std::size_t k = begin; k < end; ++k) {
            if (stack.y > 0 && pieces[k].before + pieces[k].height > stack.left() + 0.01) stack.turn_page(on_its_side);
            stack.put(pieces[k]);
        }
    }
    return std::move(stack.pages);
}

}  // namespace voltsill::printing
