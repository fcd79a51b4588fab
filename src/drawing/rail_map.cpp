#include "drawing/rail_map.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "drawing/rail_map_layout.h"
#include "drawing/symbols.h"
#include "quantity/print.h"

namespace voltsill::drawing {
namespace {

struct MapDrawing {
    const MapLayout& at;
    Drawing out;

    static void words(Group& g, Point at, const std::string& text, double width, double size,
                      bool bold = false, Colour colour = Tone::ink, Anchor anchor = Anchor::start) {
        g.items.push_back(Label{.at = at,
                                .text = fitted(text, width, size, bold),
                                .anchor = anchor,
                                .size = size,
                                .bold = bold,
                                .colour = colour});
    }

    void draw_band(size_t b) {
        const Band& band = at.c.bands[b];
        const auto [y0, y1] = at.bands[b];
        Group g{.title = band.rail.empty()
                             ? "parts without a supply"
                             : fmt::format("rail {}, {}", band.rail, fmt::join(band.facts, ", ")),
                .data = {{"rail", band.rail}}};
        g.items.push_back(box(2, y0, page_width - 4, y1 - y0, Tone::wash, {Tone::hair, 0.6}));
        if (!band.rail.empty()) {
            g.items.push_back(box(2, y0, 6, y1 - y0, Colour(Tone::volts, band.volts), {Tone::ink, 0.5}));
            words(g, {13, y0 + 14}, band.rail, map_label_width - 18, 10, true);
        }
        double y = y0 + 26;
        for (const std::string& f : band.facts) {
            words(g, {13, y}, f, map_label_width - 18, 7.5);
            y += 10;
        }
        out.items.push_back(std::move(g));
    }

    static std::string listed(const std::vector<std::string>& names) {
        if (names.size() < 3) return fmt::format("{}", fmt::join(names, ", "));
        return fmt::format("{} … {} ({})", names.front(), names.back(), names.size());
    }

    void draw_station(size_t s) {
        const Station& station = at.c.stations[s];
        const PlacedStation& p = at.stations[s];
        const double x0 = at.part_x[p.side][0], x1 = at.part_x[p.side][1];
        Group g{.title = fmt::format("{}{}", fmt::join(station.parts, ", "),
                                     station.note.empty() ? "" : ", " + station.note),
                .data = {{"part", fmt::format("{}", fmt::join(station.parts, ", "))},
                         {"rail", at.c.bands[station.band].rail}}};
        g.items.push_back(box(x0, p.y0, x1 - x0, p.y1 - p.y0, Tone::paper, {Tone::ink, 0.8}));
        words(g, {x0 + 4, p.y0 + 10}, station.title, x1 - x0 - 8, 8.5, true);
        if (at.note_beside(station))
            words(g, {x1 - 4, p.y0 + 10}, station.note, x1 - x0 - 8, 7, false, Tone::soft, Anchor::end);
        else if (!station.note.empty())
            words(g, {x0 + 4, p.y0 + 19}, station.note, x1 - x0 - 8, 7, false, Tone::soft);
        for (const size_t k : p.ports) {
            const MapPort& port = at.ports[k];
            const MapLine& l = at.c.lines[port.line];
            const bool at_right = p.side == left;
            const auto& pins = port.is_from ? l.from_pins : l.to_pins;
            std::vector<std::string> unlike;
            for (const std::string& pin : pins)
                if (std::ranges::find(unlike, pin) == unlike.end()) unlike.push_back(pin);
            const std::string text = station.parts.size() > 1 ? fmt::format("{} pins", pins.size())
                                     : unlike.size() < 3
                                         ? fmt::format("{}", fmt::join(unlike, ", "))
                                         : fmt::format("{} … {}", unlike.front(), unlike.back());
            words(g, {at_right ? x1 - 4 : x0 + 4, port.y + 2.5}, text, x1 - x0 - 8, 7.5, false, Tone::ink,
                  at_right ? Anchor::end : Anchor::start);
        }
        out.items.push_back(std::move(g));
    }

    static Tone tone_of(Verdict v) {
        switch (v) {
            case Verdict::safe:
                return Tone::safe;
            case Verdict::thin:
                return Tone::thin;
            case Verdict::unknown:
                return Tone::unknown;
            case Verdict::unreadable:
                return Tone::unreadable;
            case Verdict::harmful:
                return Tone::harmful;
        }
        return Tone::unknown;
    }

    void draw_line(size_t k) {
        const MapLine& l = at.c.lines[k];
        const std::string names = fmt::format("{}", fmt::join(l.links, ", "));
        const std::string circuit = l.circuit_words(), verdict = l.verdict_words();
        Group g{.title = fmt::format("{}: {}{}{}", names, circuit,
                                     circuit.empty() || verdict.empty() ? "" : ", ", verdict),
                .data = {{"link", names}}};
        if (l.worst()) g.data.emplace_back("verdict", std::string(to_word(*l.worst())));
        const Stroke stroke{Tone::ink, l.links.size() > 1 ? 1.6 : 0.8};
        for (const bool is_from : {true, false}) {
            const MapPort& p = at.ports[at.port_of(k, is_from)];
            const MapSide side = at.at(p).side;
            const double part = at.part_x[side][side == left ? 1 : 0],
                         inner = at.circuit_x[side == left ? 0 : 1];
            g.items.push_back(polyline(
                {{part, p.y}, {p.track, p.y}, {p.track, at.row_y(p)}, {inner, at.row_y(p)}}, stroke));
            if (!is_from || l.both_ways) g.items.push_back(arrow_head({{part, p.y}, side == left ? 2 : 0}));
            if (is_from && !l.both_ways) g.items.push_back(Circle{{part, p.y}, 1.6, Tone::ink, no_stroke});
        }
        const double y0 = at.row[k] - map_circuit_height / 2, width = at.circuit_x[1] - at.circuit_x[0] - 10;
        g.items.push_back(box(at.circuit_x[0], y0, at.circuit_x[1] - at.circuit_x[0], map_circuit_height,
                              Tone::paper, {Tone::ink, 0.7}));
        const double x = at.circuit_x[0] + 8;
        words(g, {x, at.row[k] - 1.5}, circuit.empty() ? listed(l.links) : circuit, width, 8);
        if (l.worst())
            g.items.push_back(
                box(at.circuit_x[0], y0, 4, map_circuit_height, tone_of(*l.worst()), {Tone::ink, 0.5}));
        words(g, {x, at.row[k] + 8}, verdict, width, 7.5, true);
        const double used = verdict.empty() ? 0 : text_width(verdict, 7.5, true) + 6;
        if (!circuit.empty() && width - used > 20)
            words(g, {x + used, at.row[k] + 8}, listed(l.links), width - used, 7.5);
        out.items.push_back(std::move(g));
    }

    void draw() {
        for (size_t b = 0; b < at.c.bands.size(); ++b) draw_band(b);
        for (size_t l = 0; l < at.c.lines.size(); ++l) draw_line(l);
        for (size_t s = 0; s < at.stations.size(); ++s) draw_station(s);
        out.width = page_width;
        out.height = at.height;
    }
};

std::string described(const MapContents& c) {
    std::vector<std::string> bands;
    for (const Band& b : c.bands)
        if (!b.rail.empty()) bands.push_back(fmt::format("{} ({})", b.rail, print(Volts{b.volts})));
    std::string text = fmt::format("Rails from high to low: {}.", fmt::join(bands, ", "));
    for (const MapLine& l : c.lines)
        text += fmt::format(" {}: {} {} {}{}{}.", fmt::join(l.links, ", "), c.stations[l.from].title,
                            l.both_ways ? "↔" : "→", c.stations[l.to].title,
                            l.circuits.empty() ? "" : ", " + l.circuit_words(),
                            l.verdicts.empty() ? "" : ", " + l.verdict_words());
    return text;
}

/// As fine as the width of a page lets it be.
MapContents contents_for_page(const Bench& bench, const Wiring* wiring, const Judgement* judgement) {
    for (int coarseness = 0;; ++coarseness) {
        MapContents contents = map_contents(bench, wiring, judgement, coarseness);
        if (coarseness == coarsest || MapLayout{.c = contents}.lay()) return contents;
    }
}

Drawing drawn(const MapContents& contents, const std::string& title) {
    MapLayout layout{.c = contents};
    layout.lay();
    MapDrawing map{layout, {}};
    map.draw();
    map.out.title = title;
    map.out.description = described(contents);
    return std::move(map.out);
}

/// Lines from the highest rail down, in `count` runs of about one length.
std::vector<MapContents> shared_out(const MapContents& whole, size_t count) {
    std::vector<size_t> order(whole.lines.size());
    std::iota(order.begin(), order.end(), size_t{0});
    std::ranges::stable_sort(order, {}, [&](size_t l) {
        const auto [high, low] =
            std::minmax(whole.stations[whole.lines[l].from].band, whole.stations[whole.lines[l].to].band);
        return std::pair(high, low);
    });
    std::vector<MapContents> out;
    for (size_t k = 0; k < count; ++k)
        out.push_back(part_of(whole,
                              {order.begin() + static_cast<std::ptrdiff_t>(k * order.size() / count),
                               order.begin() + static_cast<std::ptrdiff_t>((k + 1) * order.size() / count)},
                              k == 0));
    return out;
}

}  // namespace

Drawing rail_map(const Bench& bench, const Wiring* wiring, const Judgement* judgement) {
    return drawn(contents_for_page(bench, wiring, judgement), "Map of rails: " + bench.title);
}

std::vector<Drawing> rail_maps(const Bench& bench, const Wiring* wiring, const Judgement* judgement) {
    const MapContents whole = contents_for_page(bench, wiring, judgement);
    for (size_t count = 1;; ++count) {
        std::vector<Drawing> maps;
        for (const MapContents& share : shared_out(whole, count))
            maps.push_back(drawn(share, count == 1 ? "Map of rails: " + bench.title
                                                   : fmt::format("Map of rails, {} of {}: {}", maps.size() + 1,
                                                                 count, bench.title)));
        const bool fits = std::ranges::all_of(maps, [](const Drawing& d) { return d.height <= page_height; });
        if (fits || count >= whole.lines.size()) return maps;
    }
}

}  // namespace voltsill::drawing
