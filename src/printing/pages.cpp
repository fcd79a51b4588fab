#include "printing/pages.h"

#include <algorithm>
#include <iterator>
#include <optional>

namespace voltsill::printing {
namespace {

/// A head that takes more than this share of a page is not worth having again.
constexpr double largest_head = 0.3;
/// What stands under a heading is not parted when it takes no more than this share of a page.
constexpr double short_section = 0.4;
/// A last page with less than this share looks like a mistake: the section it ends comes along.
constexpr double short_end = 0.12;

void cut_to_size(std::vector<Piece>& pieces, const Room& room) {
    std::vector<Piece> out;
    for (Piece& piece : pieces) {
        if (piece.head && piece.head->height > largest_head * room.height) piece.head.reset();
        const double page = piece.on_its_side ? room.side_height : room.height;
        std::ranges::move(split(std::move(piece), page - (piece.head ? piece.head->height : 0)),
                          std::back_inserter(out));
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
            pages.back().pieces.push_back({piece.head.get(), 0, true});
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

std::vector<Page> laid_out(const std::vector<Piece>& pieces, const Room& room) {
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

/// The section that ends with a few lines alone on a page of their own, where moving all of it helps.
std::optional<std::size_t> parted_for_little(const std::vector<Page>& pages, const std::vector<Piece>& pieces,
                                             const Room& room) {
    const auto first_of = [](const Page& page, std::size_t k) { return page.pieces[k].piece; };
    const auto own = [&](const Piece* piece) {
        return piece >= pieces.data() && piece < pieces.data() + pieces.size();
    };
    for (std::size_t p = 1; p < pages.size(); ++p) {
        const PlacedPiece& last = pages[p].pieces.back();
        if (last.y + last.piece->height > short_end * room.height) continue;
        if (p + 1 < pages.size() && !first_of(pages[p + 1], 0)->new_page) continue;
        const Piece* const top = own(first_of(pages[p], 0)) ? first_of(pages[p], 0) : first_of(pages[p], 1);
        auto start = static_cast<std::size_t>(top - pieces.data());
        while (start > 0 && pieces[start].level == 0) --start;
        while (start > 0 && pieces[start - 1].level > 0) --start;
        if (&pieces[start] == top || pieces[start].level == 0 || pieces[start].new_page) continue;
        if (section_height(pieces, start) <= room.height) return start;
    }
    return std::nullopt;
}

}  // namespace

std::vector<Page> pages_of(std::vector<Piece>& pieces, const Room& room) {
    cut_to_size(pieces, room);
    std::vector<Page> pages = laid_out(pieces, room);
    while (const auto section = parted_for_little(pages, pieces, room)) {
        pieces[*section].new_page = true;
        pages = laid_out(pieces, room);
    }
    return pages;
}

}  // namespace voltsill::printing
