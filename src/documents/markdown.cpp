#include "documents/markdown.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "documents/level_axis.h"
#include "drawing/text.h"
#include "documents/wave_axis.h"

namespace voltsill::doc {
namespace {

/// A fence of backticks longer than any run of them inside (sections 4.5 and 6.1).
std::string fence_for(std::string_view text, std::size_t least) {
    std::size_t longest = 0, run = 0;
    for (const char c : text) {
        run = c == '`' ? run + 1 : 0;
        longest = std::max(longest, run);
    }
    return std::string(std::max(least, longest + 1), '`');
}

std::string code_span(std::string_view text, bool in_table) {
    std::string inside = clean(text);
    if (in_table)
        for (std::size_t at = 0; (at = inside.find('|', at)) != std::string::npos; at += 2)
            inside.insert(at, 1, '\\');
    const std::string fence = fence_for(inside, 1);
    const bool pad = inside.starts_with('`') || inside.ends_with('`') || inside.starts_with(' ');
    return inside.empty() ? "" : fence + (pad ? " " : "") + inside + (pad ? " " : "") + fence;
}

/// Emphasis only holds next to a letter: blanks at the ends stay outside the stars.
std::string bold(std::string_view text) {
    const std::size_t begin = text.find_first_not_of(' ');
    if (begin == std::string_view::npos) return std::string(text);
    const std::size_t end = text.find_last_not_of(' ') + 1;
    return fmt::format("{}**{}**{}", text.substr(0, begin), escape_markdown(text.substr(begin, end - begin)),
                       text.substr(end));
}

/// Signs that start a list, a heading, a rule or a quotation when they come first in a block.
std::string guarded_start(std::string text) {
    if (!text.empty() && std::string_view("#+-=>").find(text[0]) != std::string_view::npos)
        return "\\" + text;
    std::size_t digits = 0;
    while (digits < text.size() && std::isdigit(static_cast<unsigned char>(text[digits]))) ++digits;
    if (digits > 0 && digits < text.size() && (text[digits] == '.' || text[digits] == ')'))
        text.insert(digits, 1, '\\');
    return text;
}

std::string inline_words(const Text& text, bool in_table = false) {
    std::string out;
    for (const Run& run : text) {
        if (run.face == Face::code)
            out += code_span(run.text, in_table);
        else if (run.face == Face::plain)
            out += escape_markdown(run.text);
        else
            out += bold(plain_text(run));
    }
    return out;
}

std::string block_words(const Text& text) {
    const std::string words = inline_words(text);
    const std::size_t begin = words.find_first_not_of(' ');  // four of them would make code
    return begin == std::string::npos ? std::string() : guarded_start(words.substr(begin));
}

/// Puts `prefix` before every line.
std::string quoted(std::string_view text, std::string_view prefix) {
    std::string out;
    for (const std::string_view line : lines_of(text)) out += fmt::format("{}{}\n", prefix, line);
    out.pop_back();
    return out;
}

Table table_of(const LevelChart& chart) {
    Table table{.columns = {{"point"}, {"low"}, {"high"}, {"VIL max"}, {"VIH min"}, {"stands"}, {"supply"}}};
    for (Column& c : table.columns) c.align = c.title == "point" ? Align::left : Align::right;
    const bool grouped = std::ranges::any_of(chart.rows, [](const ChartRow& r) { return !r.group.empty(); });
    if (grouped) table.columns.insert(table.columns.begin(), Column{"wiring"});
    for (const ChartRow& row : chart.rows) {
        std::string low, high;
        const auto shown = [](const std::optional<double>& v) {
            return Text{v ? volts_words(*v) : std::string()};
        };
        for (const ChartBand& band : row.bands) {
            if (!band.any || band.floats) {
                (band.high ? high : low) += band_words(band);
                continue;
            }
            low += volts_words(band.lo);
            high += volts_words(band.hi);
        }
        std::vector<Text> cells{{row.point},
                                {low},
                                {high},
                                shown(row.low_threshold),
                                shown(row.high_threshold),
                                shown(row.limit_max),
                                shown(row.supply)};
        if (grouped) cells.insert(cells.begin(), Text{row.group});
        table.rows.push_back(std::move(cells));
    }
    return table;
}

struct MarkdownWriter {
    std::string out;

    void paragraph(std::string_view text) {
        if (!text.empty()) out += fmt::format("\n{}\n", text);
    }

    void operator()(const Heading& h) {
        paragraph(fmt::format("{} {}", std::string(static_cast<std::size_t>(std::clamp(h.level, 2, 6)), '#'),
                              inline_words(h.text)));
    }
    void operator()(const Paragraph& p) { paragraph(block_words(p.text)); }
    void operator()(const BulletList& list) {
        std::string items;
        for (const Text& item : list.items) items += "- " + block_words(item) + "\n";
        if (!items.empty()) out += "\n" + items;
    }
    void operator()(const Definitions& list) {
        std::string items;
        for (const auto& [term, text] : list.rows)
            items += fmt::format("- {}: {}\n", bold(plain_text(term)), inline_words(text));
        if (!items.empty()) out += "\n" + items;
    }
    void operator()(const Table& table) {
        if (!table.caption.empty()) paragraph(bold(table.caption));
        if (table.columns.empty()) return;
        std::string head = "|", rule = "|", body;
        for (const Column& c : table.columns) {
            head += fmt::format(" {} |", escape_markdown(c.title));
            rule += c.align == Align::left ? " --- |" : c.align == Align::right ? " ---: |" : " :---: |";
        }
        for (const auto& row : table.rows) {
            body += "|";
            for (const Text& cell : row) body += fmt::format(" {} |", inline_words(cell, true));
            body += "\n";
        }
        out += fmt::format("\n{}\n{}\n{}", head, rule, body);
    }
    void operator()(const Arithmetic& a) {
        const std::string text = clean_lines(a.text), fence = fence_for(text, 3);
        out += fmt::format("\n{}\n{}\n{}\n", fence, text, fence);
    }
    void operator()(const Caution& c) {
        std::string text = bold(c.title);
        for (const Text& p : c.paragraphs) text += "\n\n" + block_words(p);
        out += "\n" + quoted(text, "> ") + "\n";
    }
    void operator()(const Picture& p) {
        paragraph(block_words({"Picture: " + words_for(p.drawing)}));
        paragraph(block_words({p.caption}));
    }
    /// Task list items (extension 0.29-gfm of CommonMark, section 5.3).
    void operator()(const Steps& steps) {
        std::string items;
        int number = steps.first;
        for (const Steps::Step& s : steps.items) {
            const std::string lead = steps.numbered ? fmt::format("{}. ", std::max(0, number++)) : "- ";
            items += fmt::format("{}[ ] {}\n", lead, inline_words(s.text));
            if (!s.more.empty())
                items += fmt::format("\n{}{}\n\n", std::string(lead.size(), ' '), block_words(s.more));
        }
        if (!items.empty()) out += "\n" + items;
    }
    void operator()(const PageBreak&) {}
    void operator()(const LevelChart& chart) {
        Table table = table_of(chart);
        table.caption = chart.title;
        (*this)(table);
    }
    void operator()(const WaveChart& chart) {
        for (const Table& table : tables_of(chart)) (*this)(table);
    }
    void operator()(const Details& d) {
        paragraph(bold(plain_text(d.summary)));
        blocks(d.blocks);
    }
    void blocks(const std::vector<Block>& all) {
        for (const Block& block : all) std::visit([this](const auto& b) { (*this)(b); }, block);
    }
};

}  // namespace

std::string escape_markdown(std::string_view text) {
    std::string out;
    for (const char c : clean(text)) {
        if (std::string_view("\\`*_{}[]<>&|~$").find(c) != std::string_view::npos) out += '\\';
        out += c;
    }
    return out;
}

std::string render_markdown(const Document& document) {
    MarkdownWriter writer;
    writer.out = fmt::format("# {}\n", escape_markdown(document.title));
    writer.blocks(document.blocks);
    return writer.out;
}

}  // namespace voltsill::doc
