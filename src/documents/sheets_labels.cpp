/// Labels to cut out: what it is, of which bench and version, in words and as a QR code.
#include <fmt/format.h>

#include <algorithm>

#include "documents/sheets_pieces.h"
#include "drawing/qr_code.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

constexpr int across = 3, down = 8;
constexpr double width = drawing::page_width / across, height = 84;

struct LabelText {
    std::string what, more;
};

/// A board and a kit for every seat, every supply, and every part with a name of its own.
std::vector<LabelText> labels_of(const Bench& bench, const Sheets& sheets) {
    std::vector<LabelText> out;
    for (int seat = 1; seat <= sheets.seats; ++seat)
        out.push_back({fmt::format("seat {} of {}", seat, sheets.seats), "board and kit"});
    if (sheets.seats > 1) out.push_back({"spares", fmt::format("for {} seats", sheets.seats)});
    for (const Rail& rail : bench.rails) out.push_back({"rail " + rail.name, print(rail.volts.span)});
    for (const WiredPart& part : sheets.wiring().parts)
        if (part.type->kind == PartKind::module || !part.type->channels.empty())
            out.push_back({part.name, part_words(part)});
    return out;
}

drawing::Group label(const Bench& bench, const Sheets& sheets, const LabelText& text, double x, double y) {
    using namespace drawing;
    const double side = height - 12, left = x + side + 10, room = width - side - 16;
    Group group{.title = text.what, .data = {}, .items = {}};
    group.items.push_back(box(x, y, width, height, Tone::none, {Tone::hair, 0.4, Dash::dotted}));
    const std::string said = fmt::format("{}, version {}, {}", bench.title, sheets.version, text.what);
    group.items.push_back(Group{.title = "QR code",
                                .data = {{"code", "qr"}},
                                .items = {box(x + 6, y + 6, side, side, Tone::paper, no_stroke),
                                          qr_code(said, {x + 6, y + 6}, side)}});
    const auto say = [&](double line, const std::string& words, double size, bool bold, bool mono) {
        group.items.push_back(Label{.at = {left, y + line},
                                    .text = fitted(words, room, size, bold, mono),
                                    .size = size,
                                    .bold = bold,
                                    .mono = mono});
    };
    say(22, text.what, 11, true, false);
    say(36, text.more, 8, false, false);
    say(54, bench.title, 8, false, false);
    say(68, sheets.version, 9, false, true);
    return group;
}

}  // namespace

doc::Document label_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Labels: " + bench.title, {}};
    const std::vector<LabelText> labels = labels_of(bench, sheets);
    for (size_t first = 0; first < labels.size(); first += across * down) {
        const size_t count = std::min<size_t>(labels.size() - first, across * down);
        drawing::Drawing page{
            .width = drawing::page_width,
            .height = height * static_cast<double>((count + across - 1) / across),
            .title = fmt::format("Labels {} to {}", first + 1, first + count),
            .description = fmt::format("{} labels to cut out, each with a QR code that names "
                                       "the bench, its version and what it is for.",
                                       count),
            .items = {}};
        for (size_t k = 0; k < count; ++k)
            page.items.push_back(label(bench, sheets, labels[first + k],
                                       width * static_cast<double>(k % across),
                                       height * static_cast<double>(k / across)));
        if (first > 0) out.blocks.push_back(doc::PageBreak{});
        out.blocks.push_back(doc::Picture{std::move(page), ""});
    }
    return out;
}

}  // namespace voltsill
