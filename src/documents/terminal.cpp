#include "documents/terminal.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include "documents/terminal_blocks.h"
#include "drawing/text.h"

namespace voltsill::doc {
namespace {

struct Page {
    TerminalStyle style;
    std::vector<Line> lines;
    bool legend_said = false;

    void blank() {
        if (!lines.empty() && !lines.back().empty()) lines.emplace_back();
    }
    void put(std::vector<Line> more) { std::ranges::move(more, std::back_inserter(lines)); }

    /// Wrapped behind `lead`; later lines stand `more` columns further in than the text.
    void hanging(std::string_view lead, const Line& text, int more = 0) {
        const Line first = glyphs_of(lead, style);
        const int indent = width_of(first) + more;
        bool leading = true;
        for (const Line& part : wrap(text, style.width - indent)) {
            Line line = leading ? first : padded({}, indent, Align::left);
            std::ranges::copy(part, std::back_inserter(line));
            lines.push_back(std::move(line));
            leading = false;
        }
    }

    void underlined(const Text& text, std::string_view with) {
        Text bold = text;
        for (Run& run : bold)
            if (run.face == Face::plain) run.face = Face::strong;
        std::vector<Line> wrapped = wrap(glyphs_of(bold, style), style.width);
        int longest = 0;
        for (const Line& line : wrapped) longest = std::max(longest, width_of(line));
        put(std::move(wrapped));
        if (!with.empty())
            lines.emplace_back(static_cast<std::size_t>(longest), Glyph{std::string(with), 1, "", false});
    }

    void operator()(const Heading& h) {
        const std::string_view sign = h.level > 2 ? "" : style.unicode ? "─" : "-";
        underlined(h.text, sign);
    }
    void operator()(const Paragraph& p) { put(wrap(glyphs_of(p.text, style), style.width)); }
    void operator()(const BulletList& list) {
        for (const Text& item : list.items) hanging("  - ", glyphs_of(item, style));
    }
    void operator()(const Definitions& list) {
        for (const auto& [term, text] : list.rows) {
            Line line = glyphs_of(term, style);
            std::ranges::move(glyphs_of(": ", style), std::back_inserter(line));
            std::ranges::move(glyphs_of(text, style), std::back_inserter(line));
            hanging("  ", line, 2);
        }
    }
    void operator()(const Table& table) { put(table_lines(table, style.width, style)); }
    void operator()(const Arithmetic& a) {
        const std::string text = clean_lines(a.text);
        for (const std::string_view line : lines_of(text)) hanging("    ", glyphs_of(line, style));
    }
    void operator()(const Caution& c) {
        hanging("! ", glyphs_of(c.title, style, "1"));
        for (const Text& p : c.paragraphs) hanging("! ", glyphs_of(p, style));
    }
    void operator()(const Picture& p) {
        hanging("", glyphs_of("[Picture: " + words_for(p.drawing) + "]", style));
        if (!p.caption.empty()) hanging("", glyphs_of(p.caption, style));
    }
    void operator()(const Steps& steps) {
        const std::string last = std::to_string(steps.first + static_cast<int>(steps.items.size()) - 1);
        int number = steps.first;
        for (const Steps::Step& s : steps.items) {
            std::string lead = "  ";
            if (steps.numbered) {
                const std::string shown = std::to_string(number++);
                lead += std::string(last.size() - std::min(last.size(), shown.size()), ' ') + shown + ". ";
            }
            lead += "☐ ";
            hanging(lead, glyphs_of(s.text, style));
            if (s.more.empty()) continue;
            const auto indent = static_cast<std::size_t>(width_of(glyphs_of(lead, style)));
            hanging(std::string(indent, ' '), glyphs_of(s.more, style));
        }
    }
    void operator()(const PageBreak&) {}
    void operator()(const LevelChart& chart) {
        put(chart_lines(chart, style.width, style));
        if (!std::exchange(legend_said, true)) put(chart_legend(style.width, style));
    }
    void operator()(const WaveChart& chart) { put(wave_lines(chart, style.width, style)); }
    void operator()(const Details& d) {
        hanging(style.details ? "" : "+ ", glyphs_of(d.summary, style));
        if (style.details) blocks(d.blocks);
    }

    void blocks(const std::vector<Block>& all) {
        for (const Block& block : all) {
            if (std::holds_alternative<PageBreak>(block)) continue;
            blank();
            std::visit([this](const auto& b) { (*this)(b); }, block);
        }
    }
};

}  // namespace

std::string render_terminal(const Document& document, const TerminalStyle& style) {
    Page page{.style = style, .lines = {}};
    page.style.width = std::clamp(style.width, 40, 200);
    page.underlined({document.title}, style.unicode ? "═" : "=");
    page.blocks(document.blocks);
    std::string out;
    for (const Line& line : page.lines) out += to_bytes(line) + "\n";
    return out;
}

}  // namespace voltsill::doc
