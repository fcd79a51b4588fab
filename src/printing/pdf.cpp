#include "printing/pdf.h"

#include <cairo-pdf.h>
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "drawing/look.h"
#include "drawing/text.h"
#include "printing/pages.h"
#include "printing/vectors.h"

namespace voltsill::printing {
namespace {

constexpr double inch = 72, margin = 15 / 25.4 * inch, footer_at = 9 / 25.4 * inch;

struct Format {
    double width = 0, height = 0;
};
Format format_of(Paper paper) {
    if (paper == Paper::letter) return {8.5 * inch, 11 * inch};
    return {210 / 25.4 * inch, 297 / 25.4 * inch};
}

cairo_status_t collect(void* bytes, const unsigned char* data, unsigned length) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

bool is_anchor(const std::string& name) {
    return !name.empty() && name.size() < 100 && std::ranges::all_of(name, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
    });
}

/// The first heading of each anchor; the others cannot be told apart.
std::set<std::string> anchors_of(const std::vector<Piece>& pieces) {
    std::set<std::string> out;
    for (const Piece& piece : pieces)
        if (is_anchor(piece.anchor)) out.insert(piece.anchor);
    return out;
}

struct Press {
    cairo_surface_t* surface;
    cairo_t* cr;
    const Letters& letters;
    const std::set<std::string> anchors;
    Structure structure{cr};
    std::set<std::string> said = {};
    std::vector<std::pair<int, int>> open = {};  ///< bookmarks that may have others below: level, number
    int headings = 0;

    /// Area that the bytes of a mark take in a line.
    std::optional<drawing::Box> area(const PlacedLine& placed, const Mark& mark, double x, double y) const {
        PangoLayoutLine* line = pango_layout_get_line_readonly(placed.text.layout.get(), placed.line);
        const int begin = std::max(mark.begin, line->start_index),
                  end = std::min(mark.end, line->start_index + line->length);
        if (begin >= end) return std::nullopt;
        int from = 0, to = 0;
        pango_layout_line_index_to_x(line, begin, FALSE, &from);
        pango_layout_line_index_to_x(line, end, FALSE, &to);
        return drawing::Box{x + placed.x + points(std::min(from, to)), y + placed.top,
                            x + placed.x + points(std::max(from, to)), y + placed.bottom};
    }

    /// The sign of a verdict stands in its colour, within a thin frame.
    void sign(const drawing::Box& box, Verdict verdict) const {
        static constexpr drawing::Tone tones[] = {drawing::Tone::safe, drawing::Tone::thin, drawing::Tone::unknown,
                                                  drawing::Tone::unreadable, drawing::Tone::harmful};
        const drawing::Rgb c = drawing::rgb_of(tones[static_cast<int>(verdict)], drawing::Medium::print, false);
        cairo_rectangle(cr, box.x0 - 0.6, box.y0 + 0.3, box.x1 - box.x0 + 1.2, box.y1 - box.y0 - 1.4);
        cairo_set_source_rgb(cr, c.red, c.green, c.blue);
        cairo_fill_preserve(cr);
        cairo_set_source_rgb(cr, 0, 0, 0);
        cairo_set_line_width(cr, 0.4);
        cairo_stroke(cr);
    }

    void line(const PlacedLine& placed, double x, double y) {
        for (const Mark& mark : placed.text.marks)
            if (const auto box = area(placed, mark, x, y); box && mark.target.empty()) sign(*box, mark.verdict);
        cairo_set_source_rgb(cr, 0, 0, 0);
        cairo_move_to(cr, x + placed.x, y + placed.base);
        pango_cairo_show_layout_line(cr, pango_layout_get_line_readonly(placed.text.layout.get(), placed.line));
        cairo_new_path(cr);
        for (const Mark& mark : placed.text.marks) {
            const auto box = area(placed, mark, x, y);
            if (!box || !anchors.contains(mark.target)) continue;
            structure.pause();
            const std::string where = fmt::format("rect=[{:.2f} {:.2f} {:.2f} {:.2f}] dest='{}'", box->x0, box->y0,
                                                  box->x1 - box->x0, box->y1 - box->y0, mark.target);
            cairo_tag_begin(cr, CAIRO_TAG_LINK, where.c_str());
            cairo_tag_end(cr, CAIRO_TAG_LINK);
        }
    }

    void bookmark(const Piece& piece, double x, double y) {
        const bool named = anchors.contains(piece.anchor) && said.insert(piece.anchor).second;
        const std::string name = named ? piece.anchor : fmt::format("Heading{}", ++headings);
        cairo_tag_begin(cr, CAIRO_TAG_DEST, fmt::format("name='{}' x={:.2f} y={:.2f}", name, x, y).c_str());
        cairo_tag_end(cr, CAIRO_TAG_DEST);
        while (!open.empty() && open.back().first >= piece.level) open.pop_back();
        const int parent = open.empty() ? CAIRO_PDF_OUTLINE_ROOT : open.back().second;
        const int number =
            cairo_pdf_surface_add_outline(surface, parent, clean(piece.words).c_str(),
                                          fmt::format("dest='{}'", name).c_str(), CAIRO_PDF_OUTLINE_FLAG_OPEN);
        open.emplace_back(piece.level, number);
    }

    /// What is no part of what is read: it is painted before any words.
    void beside(const PlacedPiece& placed) {
        const Piece& p = *placed.piece;
        if (p.frame) {
            cairo_save(cr);
            p.frame(cr, margin, margin + placed.y, p.height);
            cairo_restore(cr);
        }
        if (placed.again)
            for (const PlacedLine& words : p.lines) line(words, margin, margin + placed.y);
    }

    void words(const Piece& p, double x, double y) {
        const auto within = [&](const Elements& further) {
            Elements all = p.within;
            all.insert(all.end(), further.begin(), further.end());
            structure.words_in(all);
        };
        for (const PlacedLine& placed : p.lines) {
            within(placed.within);
            line(placed, x, y);
        }
        if (p.drawing) {
            within({{"Span"}});
            draw(cr, letters, *p.drawing->drawing, x + p.drawing->x, y + p.drawing->y, p.drawing->scale);
        }
        if (p.level > 0) bookmark(p, x, y);
    }

    /// Words of the page before are at their end.
    void page(const Page& page) {
        for (const PlacedPiece& placed : page.pieces) beside(placed);
        for (const PlacedPiece& placed : page.pieces)
            if (!placed.again) words(*placed.piece, margin, margin + placed.y);
    }

    /// What is printed at the left below, the number of the page at the right.
    void footer(const std::string& words, const Format& format, std::size_t page, std::size_t pages) const {
        constexpr double size = 7.5;
        const Type type{.size = size};
        const std::string number = fmt::format("{} of {}", page, pages);
        const double y = format.height - footer_at, right = format.width - margin;
        const double room = right - margin - drawing::text_width(number, size) - 12;
        const auto put = [&](const std::string& text, double x) {
            cairo_move_to(cr, x, y);
            pango_cairo_show_layout_line(cr, pango_layout_get_line_readonly(letters.word(text, type).get(), 0));
        };
        cairo_set_source_rgb(cr, 0, 0, 0);
        put(drawing::fitted(words, room, size), margin);
        put(number, right - drawing::text_width(number, size));
        cairo_new_path(cr);
    }
};

void describe(cairo_surface_t* surface, const doc::Document& document, const PdfOptions& options) {
    const auto say = [&](cairo_pdf_metadata_t what, const std::string& words) {
        if (!words.empty()) cairo_pdf_surface_set_metadata(surface, what, clean(words).c_str());
    };
    say(CAIRO_PDF_METADATA_TITLE, document.title);
    say(CAIRO_PDF_METADATA_SUBJECT, options.subject);
    say(CAIRO_PDF_METADATA_KEYWORDS, options.keywords);
    say(CAIRO_PDF_METADATA_CREATOR, "Voltsill");
    // Cairo writes the time of day unless told a date; what is no date leaves the entry out.
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, clean(options.created).c_str());
}

}  // namespace

Pdf render_pdf(const doc::Document& document, const PdfOptions& options) {
    Pdf out;
    const Letters letters;
    out.trouble = letters.trouble();
    if (!letters.usable()) return out;
    const Format upright = format_of(options.paper), on_its_side{upright.height, upright.width};
    const Room room{upright.width - 2 * margin, upright.height - 2 * margin, on_its_side.width - 2 * margin,
                    on_its_side.height - 2 * margin};
    Pieces pieces = pieces_of(letters, document, room);
    if (!pieces.trouble.empty()) out.trouble += (out.trouble.empty() ? "" : "; ") + pieces.trouble;
    const std::vector<Page> pages = pages_of(pieces.all, room);

    cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(collect, &out.bytes, upright.width, upright.height);
    cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_5);
    describe(surface, document, options);
    cairo_t* cr = cairo_create(surface);
    Press press{surface, cr, letters, anchors_of(pieces.all)};
    for (std::size_t k = 0; k < pages.size(); ++k) {
        const Format format = pages[k].on_its_side ? on_its_side : upright;
        cairo_pdf_surface_set_size(surface, format.width, format.height);
        press.page(pages[k]);
        k + 1 < pages.size() ? press.structure.pause() : press.structure.end();
        press.footer(options.footer, format, k + 1, pages.size());
        cairo_show_page(cr);
    }
    const cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    const cairo_status_t written = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    for (const cairo_status_t status : {drawn, written})
        if (status != CAIRO_STATUS_SUCCESS)
            return {.bytes = {}, .pages = 0, .trouble = fmt::format("Cairo: {}", cairo_status_to_string(status))};
    out.pages = static_cast<int>(pages.size());
    return out;
}

}  // namespace voltsill::printing
