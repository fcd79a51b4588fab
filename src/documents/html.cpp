#include "documents/html.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "documents/charts.h"
#include "drawing/svg.h"
#include "drawing/text.h"

namespace voltsill::doc {
namespace {

std::string words(std::string_view text) { return escape_html(bind_units(clean(text))); }

std::string marked(const Run& run) {
    const std::string text = words(run.text);
    switch (run.face) {
        case Face::plain:
            return text;
        case Face::strong:
            return "<strong>" + text + "</strong>";
        case Face::code:
            return "<code>" + text + "</code>";
        case Face::tick:
            return fmt::format("<input type=\"checkbox\" aria-label=\"{}\">", run.text.empty() ? "done" : text);
        case Face::verdict:
            break;
    }
    const std::string word(to_word(run.verdict));
    return fmt::format(
        "<span class=\"verdict {}\"><span class=\"sign\" aria-hidden=\"true\">{}</span> {}</span>", word,
        to_sign(run.verdict), run.text.empty() ? word : text);
}

std::string inline_html(const Text& text) {
    std::string out;
    for (const Run& run : text)
        out += run.target.empty() ? marked(run)
                                  : fmt::format("<a href=\"#{}\">{}</a>", words(run.target), marked(run));
    return out;
}

/// Attribute for a cell of the column, with its leading blank.
std::string class_of(const Column& column, bool body) {
    std::string names = column.align == Align::right    ? "right"
                        : column.align == Align::center ? "center"
                                                        : "";
    if (body && !column.may_wrap) names += names.empty() ? "whole" : " whole";
    return names.empty() ? names : fmt::format(" class=\"{}\"", names);
}

struct HtmlWriter {
    std::string out;
    int drawings = 0, labels = 0;
    bool legend_said = false;
    int level = 1;  ///< of the last heading: no level is skipped on the way down

    void operator()(const Heading& h) {
        level = std::clamp(h.level, 2, std::min(6, level + 1));
        const std::string id = h.anchor.empty() ? "" : fmt::format(" id=\"{}\"", words(h.anchor));
        out += fmt::format("<h{}{}>{}</h{}>\n", level, id, inline_html(h.text), level);
    }
    void operator()(const Paragraph& p) { out += fmt::format("<p>{}</p>\n", inline_html(p.text)); }
    void operator()(const BulletList& list) {
        if (list.items.empty()) return;
        out += "<ul>\n";
        for (const Text& item : list.items) out += fmt::format("<li>{}</li>\n", inline_html(item));
        out += "</ul>\n";
    }
    void operator()(const Definitions& list) {
        if (list.rows.empty()) return;
        out += "<dl>\n";
        for (const auto& [term, text] : list.rows)
            out += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", inline_html(term), inline_html(text));
        out += "</dl>\n";
    }
    /// Wide tables scroll in a region of their own that the keyboard reaches (WCAG 1.4.10, 2.1.1).
    void operator()(const Table& table) {
        const std::string name = table.caption.empty() ? "table" : table.caption;
        out +=
            fmt::format("<div class=\"scroll\" role=\"region\" aria-label=\"{}\" tabindex=\"0\">\n<table>\n",
                        words(name));
        if (!table.caption.empty()) out += fmt::format("<caption>{}</caption>\n", words(table.caption));
        out += "<thead><tr>";
        for (const Column& c : table.columns)
            out += fmt::format("<th scope=\"col\"{}>{}</th>", class_of(c, false), words(c.title));
        out += "</tr></thead>\n<tbody>\n";
        for (const auto& row : table.rows) {
            out += "<tr>";
            for (std::size_t c = 0; c < row.size(); ++c) {
                const bool heads = c == 0;
                out += fmt::format("<{0}{1}{2}>{3}</{0}>", heads ? "th" : "td", heads ? " scope=\"row\"" : "",
                                   class_of(table.columns[c], true), inline_html(row[c]));
            }
            out += "</tr>\n";
        }
        out += "</tbody>\n</table>\n</div>\n";
    }
    void operator()(const Arithmetic& a) {
        out += fmt::format("<pre class=\"arithmetic\">{}</pre>\n", escape_html(clean_lines(a.text)));
    }
    void operator()(const Caution& c) {
        const int n = ++labels;
        out += fmt::format(
            "<aside class=\"caution\" aria-labelledby=\"caution-{0}\">\n<p "
            "id=\"caution-{0}\"><strong>{1}</strong></p>\n",
            n, words(c.title));
        for (const Text& p : c.paragraphs) out += fmt::format("<p>{}</p>\n", inline_html(p));
        out += "</aside>\n";
    }
    void operator()(const Picture& p) { figure(p.drawing, p.caption); }
    /// Drawings wider than the screen scroll in a region of their own, as tables do.
    void figure(const drawing::Drawing& drawing, const std::string& caption) {
        out += "<figure>\n";
        if (!caption.empty()) out += fmt::format("<figcaption>{}</figcaption>\n", words(caption));
        out += fmt::format(
            "<div class=\"scroll\" role=\"region\" aria-label=\"{}\" tabindex=\"0\">\n{}</div>\n</figure>\n",
            words(drawing.title.empty() ? "drawing" : drawing.title), drawing::svg_element(drawing, ++drawings));
    }
    /// Boxes that a reader can tick on the screen; they print empty or ticked.
    void operator()(const Steps& steps) {
        if (steps.items.empty()) return;
        const char* list = steps.numbered ? "ol" : "ul";
        const std::string start = steps.numbered && steps.first != 1 ? fmt::format(" start=\"{}\"", steps.first) : "";
        out += fmt::format("<{} class=\"steps\"{}>\n", list, start);
        for (const Steps::Step& s : steps.items) {
            out += fmt::format("<li><label><input type=\"checkbox\"> {}</label>", inline_html(s.text));
            if (!s.more.empty()) out += fmt::format("\n<p>{}</p>", inline_html(s.more));
            out += "</li>\n";
        }
        out += fmt::format("</{}>\n", list);
    }
    void operator()(const PageBreak&) { out += "<div class=\"page-break\"></div>\n"; }
    void operator()(const LevelChart& chart) {
        figure(level_chart_drawing(chart), chart.title);
        if (!std::exchange(legend_said, true))
            out += fmt::format("<p class=\"legend\">{}</p>\n", words(level_chart_legend));
    }
    void operator()(const WaveChart& chart) { figure(wave_chart_drawing(chart), chart.title); }
    void operator()(const Details& d) {
        out += fmt::format("<details>\n<summary>{}</summary>\n", inline_html(d.summary));
        blocks(d.blocks);
        out += "</details>\n";
    }
    void blocks(const std::vector<Block>& all) {
        for (const Block& block : all) std::visit([this](const auto& b) { (*this)(b); }, block);
    }
};

/// Headings of level 2 that something may lead to, once there are enough to lose the way.
std::string contents(const Document& document) {
    std::string items;
    int count = 0;
    for (const Block& block : document.blocks) {
        const auto* h = std::get_if<Heading>(&block);
        if (!h || h->level != 2 || h->anchor.empty()) continue;
        items += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", words(h->anchor), inline_html(h->text));
        ++count;
    }
    return count < 3 ? "" : fmt::format("<nav aria-label=\"Contents\">\n<ul>\n{}</ul>\n</nav>\n", items);
}

}  // namespace

std::string render_html(const Document& document) {
    HtmlWriter writer;
    writer.blocks(document.blocks);
    const std::string title = words(document.title);
    return fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n"
        "<title>{}</title>\n<style>\n{}</style>\n</head>\n<body>\n"
        "<a class=\"skip\" href=\"#main\">Skip to the report</a>\n"
        "<header>\n<h1>{}</h1>\n</header>\n{}<main id=\"main\" "
        "tabindex=\"-1\">\n{}</main>\n</body>\n</html>\n",
        title, html_style(), title, contents(document), writer.out);
}

}  // namespace voltsill::doc
