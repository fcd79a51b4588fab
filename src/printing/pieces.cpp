#include "printing/pieces.h"

#include <algorithm>
#include <numeric>

namespace voltsill::printing {

void Piece::add(const Lines& text, double x, double y, const Elements& further_in) {
    const std::unique_ptr<PangoLayoutIter, void (*)(PangoLayoutIter*)> at(pango_layout_get_iter(text.layout.get()),
                                                                        pango_layout_iter_free);
    Elements elements = further_in;
    const auto leads = [](const Mark& mark) { return !mark.target.empty(); };
    if (std::ranges::any_of(text.marks, leads)) elements.push_back({"Span"});
    int number = 0;
    do {
        PangoRectangle logical;
        pango_layout_iter_get_line_extents(at.get(), nullptr, &logical);
        const double top = y + points(logical.y), bottom = top + points(logical.height);
        const double base = y + points(pango_layout_iter_get_baseline(at.get()));
        lines.push_back({text, number++, x + points(logical.x), top, base, bottom, elements});
        height = std::max(height, bottom);
    } while (pango_layout_iter_next_line(at.get()));
}

std::vector<Piece> split(Piece piece, double height) {
    std::vector<Piece> out;
    if (piece.height <= height || piece.lines.empty()) return {std::move(piece)};
    std::vector<PlacedLine> rest = std::exchange(piece.lines, {});
    while (!rest.empty()) {
        Piece part = piece;
        const double start = std::ranges::min(rest, {}, &PlacedLine::top).top;
        part.height = 0;
        if (!out.empty()) part.before = 0, part.new_page = false, part.level = 0, part.drawing.reset();
        std::vector<PlacedLine> later;
        for (PlacedLine& line : rest) {
            if (line.bottom > start + height && line.top > start) {
                later.push_back(std::move(line));
                continue;
            }
            line.top -= start, line.base -= start, line.bottom -= start;
            part.height = std::max(part.height, line.bottom);
            part.lines.push_back(std::move(line));
        }
        rest = std::move(later);
        out.push_back(std::move(part));
    }
    return out;
}

std::vector<Piece> pieces_of(const Lines& text, double x, double before) {
    Piece whole;
    whole.add(text, x, 0);
    std::vector<Piece> out;
    const std::size_t count = whole.lines.size();
    for (std::size_t k = 0; k < count; ++k) {
        PlacedLine line = whole.lines[k];
        Piece& piece = out.emplace_back();
        piece.before = k == 0 ? before : 0;
        piece.height = (k + 1 < count ? whole.lines[k + 1].top : line.bottom) - line.top;
        piece.keeps_next = (k == 0 || k + 2 == count) && k + 1 < count;
        line.base -= line.top, line.bottom -= line.top, line.top = 0;
        piece.lines.push_back(std::move(line));
    }
    return out;
}

std::vector<double> shared_out(std::vector<double> natural, const std::vector<double>& least, double room) {
    const auto total = [](const std::vector<double>& w) { return std::accumulate(w.begin(), w.end(), 0.0); };
    if (total(natural) <= room) return natural;
    const bool words_break = total(least) > room;
    const std::vector<double> floor = words_break ? std::vector<double>(least.size(), 0.0) : least;
    if (words_break) natural = least;
    // No column wider than `cap`, unless its longest word is: found by halving.
    double low = 0, high = std::ranges::max(natural);
    for (int round = 0; round < 40; ++round) {
        const double cap = (low + high) / 2;
        double sum = 0;
        for (std::size_t c = 0; c < natural.size(); ++c) sum += std::max(floor[c], std::min(natural[c], cap));
        (sum > room ? high : low) = cap;
    }
    for (std::size_t c = 0; c < natural.size(); ++c) natural[c] = std::max(floor[c], std::min(natural[c], low));
    return natural;
}

std::vector<double> shared_by_need(const std::vector<double>& natural, std::vector<double> least, double room) {
    const auto total = [](const std::vector<double>& w) { return std::accumulate(w.begin(), w.end(), 0.0); };
    const double over = room - total(least), lacking = total(natural) - total(least);
    if (over < 0 || lacking <= over) return shared_out(natural, least, room);
    for (std::size_t c = 0; c < least.size(); ++c) least[c] += over * (natural[c] - least[c]) / lacking;
    return least;
}

}  // namespace voltsill::printing
