#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <utility>

#include "documents/charts.h"
#include "printing/pieces.h"
#include "printing/vectors.h"

namespace voltsill::printing {
namespace {

constexpr Type body{.size = 9}, small{.size = 8};
constexpr double smallest_print = drawing::smallest_letters - 1e-6;  ///< points of a letter on paper
constexpr std::size_t lines_of_introduction = 4, lines_of_introductions = 8;
constexpr double room_for_heading = 40;   ///< kept free over a drawing as high as a page

struct Writer {
    const Letters& letters;
    const Room& room;
    double x = 0;  ///< further in for what stands in details
    Pieces out = {};
    bool legend_said = false, page_wanted = false;
    int elements = 0;
    std::optional<std::size_t> introduced;  ///< lines since a heading, while all of them introduce what comes

    double width() const { return room.width - x; }
    /// Pieces of one block, in an element of their own.
    std::vector<Piece> in(const char* type, std::vector<Piece> pieces) {
        ++elements;
        for (Piece& piece : pieces) piece.within.insert(piece.within.begin(), {type, elements});
        return pieces;
    }
    Piece in(const char* type, Piece piece) {
        piece.within.insert(piece.within.begin(), {type, ++elements});
        return piece;
    }
    void put(Piece piece) {
        piece.new_page = std::exchange(page_wanted, false);
        introduced.reset();
        out.all.push_back(std::move(piece));
    }
    void put(std::vector<Piece> pieces) {
        for (Piece& piece : pieces) put(std::move(piece));
    }
    void text(const doc::Text& words, const Type& type, double before) {
        put(in("P", pieces_of(letters.set(words, type, width()), x, before)));
    }

    void operator()(const doc::Heading& h) {
        const int level = std::clamp(h.level, 2, 6);
        static constexpr double sizes[] = {13, 10.5, 9.5, 9, 9};
        Piece piece;
        piece.add(letters.set(h.text, {.size = sizes[level - 2], .bold = true}, width()), x, level == 2 ? 5 : 0);
        piece.before = level == 2 ? 16 : 10;
        piece.height += 1.5;
        piece.keeps_next = true;
        piece.level = level;
        piece.words = doc::plain_text(h.text);
        piece.anchor = h.anchor;
        if (level == 2 && out.all.size() > 1)  // the title has a rule of its own
            piece.frame = [at = x, w = width()](cairo_t* cr, double left, double y, double) {
                cairo_set_source_rgb(cr, 0, 0, 0);
                cairo_set_line_width(cr, 0.5);
                cairo_move_to(cr, left + at, y);
                cairo_line_to(cr, left + at + w, y);
                cairo_stroke(cr);
            };
        put(in(fmt::format("H{}", level).c_str(), std::move(piece)));
        introduced = 0;
    }
    /// Words that are strong throughout, or end with a colon, ask or say what comes: they stand with what follows, as a
    /// heading does. So do the few lines under a heading, in one paragraph or several.
    void operator()(const doc::Paragraph& p) {
        auto pieces = pieces_of(letters.set(p.text, body, width()), x, 5);
        const bool introduces = introduced && pieces.size() <= lines_of_introduction &&
                                *introduced + pieces.size() <= lines_of_introductions;
        const std::size_t lines = introduced.value_or(0) + pieces.size();
        const bool announces = introduces || doc::plain_text(p.text).ends_with(':') ||
                               (!p.text.empty() && std::ranges::all_of(p.text, [](const doc::Run& run) {
                                   return run.face == doc::Face::strong;
                               }));
        for (Piece& piece : pieces) piece.keeps_next = piece.keeps_next || announces;
        put(in("P", std::move(pieces)));
        if (introduces) introduced = lines;
    }
    void operator()(const doc::BulletList& list) {
        std::vector<Piece> all;
        for (const doc::Text& item : list.items) {
            auto pieces = pieces_of(letters.set(item, body, width() - 14), x + 14, 3);
            for (Piece& piece : pieces) {
                piece.within = {{"LI", static_cast<int>(&item - list.items.data())}};
                for (PlacedLine& line : piece.lines) line.within.insert(line.within.begin(), {"LBody"});
            }
            Piece& first = pieces.front();
            first.add(letters.set({"•"}, body, -1), x + 4, 0, {{"Lbl"}});
            std::ranges::rotate(first.lines, first.lines.end() - 1);
            if (stands_with_next(static_cast<std::size_t>(&item - list.items.data()), list.items.size(), false))
                pieces.back().keeps_next = true;
            std::ranges::move(pieces, std::back_inserter(all));
        }
        put(in("L", std::move(all)));
    }
    void operator()(const doc::Definitions& list) { put(in("L", definition_pieces(letters, list, x, width()))); }
    void operator()(const doc::Table& table) { put(in("Table", table_pieces(letters, table, x, width()))); }
    void operator()(const doc::Arithmetic& a) {
        auto pieces = pieces_of(letters.set_lines(a.text, {.size = 8, .mono = true}, width() - 10), x + 10, 5);
        for (Piece& piece : pieces)
            piece.frame = [at = x](cairo_t* cr, double left, double y, double height) {
                cairo_set_source_rgb(cr, 0, 0, 0);
                cairo_rectangle(cr, left + at, y, 1.5, height);
                cairo_fill(cr);
            };
        put(in("P", std::move(pieces)));
    }
    void operator()(const doc::Caution& c) {
        Piece piece;
        double y = 6;
        const auto add = [&](const doc::Text& words, const Type& type) {
            piece.add(letters.set(words, type, width() - 26), x + 16, y, {{"P", static_cast<int>(piece.lines.size())}});
            y = piece.height + 3;
        };
        add({c.title}, {.size = 9, .bold = true});
        for (const doc::Text& p : c.paragraphs) add(p, body);
        piece.before = 9;
        piece.height += 5;
        piece.after = 4;
        piece.frame = [at = x, w = width()](cairo_t* cr, double left, double top, double height) {
            cairo_set_source_rgb(cr, 0, 0, 0);
            cairo_set_line_width(cr, 0.7);
            cairo_rectangle(cr, left + at + 0.35, top, w - 0.7, height);
            cairo_stroke(cr);
            cairo_rectangle(cr, left + at, top, 6, height);
            cairo_fill(cr);
        };
        put(in("Div", std::move(piece)));
    }
    void operator()(const doc::Picture& p) { drawing(p.drawing, p.caption); }
    void operator()(const doc::LevelChart& chart) {
        drawing(doc::level_chart_drawing(chart), chart.title);
        if (!std::exchange(legend_said, true)) text({std::string(doc::level_chart_legend)}, small, 4);
    }
    void operator()(const doc::WaveChart& chart) { drawing(doc::wave_chart_drawing(chart), chart.title); }

    void operator()(const doc::Steps& steps) {
        int number = steps.first;
        const std::string widest = fmt::format("{}.", steps.first + static_cast<int>(steps.items.size()) - 1);
        const double numbers = steps.numbered ? std::max(22.0, drawing::text_width(widest, body.size) + 7) : 0,
                     box = 14;
        std::vector<Piece> all;
        for (const doc::Steps::Step& s : steps.items) {
            Piece piece;
            piece.within = {{"LI", static_cast<int>(all.size())}};
            const double left = x + numbers + box, w = width() - numbers - box;
            if (steps.numbered)
                piece.add(
                    letters.set({fmt::format("{}.", number++)}, {.size = 9, .align = doc::Align::right}, numbers - 5),
                    x, 1.5, {{"Lbl"}});
            piece.add(letters.set({doc::tick({})}, {.size = 8.5}, -1), x + numbers, 0, {{"LBody"}, {"P"}});
            piece.add(letters.set(s.text, body, w), left, 1.5, {{"LBody"}, {"P", 1}});
            if (!s.more.empty())
                piece.add(letters.set(s.more, small, w), left, piece.height + 1, {{"LBody"}, {"P", 2}});
            piece.before = 3;
            // Options of one question stand together.
            piece.keeps_next = stands_with_next(static_cast<std::size_t>(&s - steps.items.data()), steps.items.size(),
                                                !steps.numbered);
            all.push_back(std::move(piece));
        }
        put(in("L", std::move(all)));
    }
    void operator()(const doc::PageBreak&) { page_wanted = true; }
    void operator()(const doc::Details& d) {
        doc::Text summary = d.summary;
        for (doc::Run& run : summary)
            if (run.face == doc::Face::plain) run.face = doc::Face::strong;
        auto pieces = pieces_of(letters.set(summary, body, width()), x, 8);
        for (Piece& piece : pieces) piece.keeps_next = !d.blocks.empty();
        put(in("P", std::move(pieces)));
        x += 10;
        blocks(d.blocks);
        x -= 10;
    }

    void drawing(const drawing::Drawing& given, const std::string& caption) {
        Piece piece;
        piece.before = 8;
        if (!caption.empty())
            piece.add(letters.set({caption}, {.size = 8.5, .bold = true}, width()), x, 0, {{"Caption"}});
        if (!(given.width > 0 && given.height > 0)) return put(in("Figure", std::move(piece)));
        const auto fit = [&](double w, double h) {
            return std::min({1.0, w / given.width, (h - piece.height - 3 - room_for_heading) / given.height});
        };
        double scale = fit(width(), room.height);
        const double letter = smallest_letters(given), turned = fit(room.side_width - x, room.side_height);
        if (letter * scale < smallest_print && turned > 1.02 * scale) piece.on_its_side = true, scale = turned;
        if (scale <= 0) scale = 0.01;
        if (letter * scale < smallest_print)
            out.trouble += fmt::format("{}the drawing \"{}\" is printed with letters of {:.1f} points",
                                       out.trouble.empty() ? "" : "; ", given.title, letter * scale);
        const double top = caption.empty() ? 0 : piece.height + 3;
        piece.drawing = PlacedDrawing{std::make_shared<const drawing::Drawing>(given), x, top, scale};
        piece.height = top + scale * given.height;
        put(in("Figure", std::move(piece)));
    }
    void blocks(const std::vector<doc::Block>& all) {
        for (const doc::Block& block : all) std::visit([this](const auto& b) { (*this)(b); }, block);
    }
};

}  // namespace

Pieces pieces_of(const Letters& letters, const doc::Document& document, const Room& room) {
    Writer writer{letters, room};
    Piece title;
    title.add(letters.set({document.title}, {.size = 17, .bold = true}, room.width), 0, 0);
    title.height += 5;
    title.frame = [w = room.width](cairo_t* cr, double x, double y, double height) {
        cairo_set_source_rgb(cr, 0, 0, 0);
        cairo_rectangle(cr, x, y + height, w, 1.2);
        cairo_fill(cr);
    };
    writer.put(writer.in("H1", std::move(title)));
    writer.blocks(document.blocks);
    return std::move(writer.out);
}

}  // namespace voltsill::printing
