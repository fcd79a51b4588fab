#include "drawing/rail_map.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "drawing/rail_map_lines.h"
#include "drawing/symbols.h"
#include "quantity/print.h"

namespace voltsill::drawing {
namespace {

constexpr double label_width = 84, edge = 6, port_step = 11, head = 15, note_height = 9, row_step = 27,
                 circuit_height = 22, part_gap = 7, band_pad = 8, narrowest_part = 84;

enum Side { left, right };

/// One end of a line at a station.
struct Port {
    size_t line = 0;
    bool is_from = false;
    double y = 0;
    double track = 0;  ///< x of its upright run
};

struct Placed {
    double y0 = 0, y1 = 0;
    Side side = left;
    std::vector<size_t> ports;
};

struct Map {
    const MapContents& c;
    std::vector<Placed> stations;
    std::vector<Port> ports;
    std::vector<double> row;  ///< by line: middle of its circuit
    std::vector<std::pair<double, double>> bands;
    int tracks[2] = {0, 0};
    double part_x[2][2], circuit_x[2], pitch = 6;
    double height = 0;
    Drawing out;

    size_t port_of(size_t line, bool is_from) const { return 2 * line + (is_from ? 0 : 1); }
    const Placed& at(const Port& p) const { return stations[p.is_from ? c.lines[p.line].from : c.lines[p.line].to]; }

    /// Stations with most lines go right, the others where most of their lines then cross over; a part
    /// keeps its side in every band.
    void choose_sides() {
        std::map<std::string, int> degree, side;
        for (const MapLine& l : c.lines) ++degree[c.stations[l.from].title], ++degree[c.stations[l.to].title];
        std::vector<std::string> order;
        for (const auto& [name, d] : degree) order.push_back(name);
        std::ranges::stable_sort(order, std::greater{}, [&](const std::string& n) { return degree[n]; });
        for (const std::string& name : order) {
            int over[2] = {0, 0};  // lines to stations on that side
            for (const MapLine& l : c.lines) {
                const std::string &a = c.stations[l.from].title, &b = c.stations[l.to].title;
                if (a == b || (a != name && b != name)) continue;
                if (const auto s = side.find(a == name ? b : a); s != side.end()) ++over[s->second];
            }
            side[name] = over[left] >= over[right] ? right : left;
        }
        stations.resize(c.stations.size());
        for (size_t k = 0; k < stations.size(); ++k) {
            const auto s = side.find(c.stations[k].title);
            stations[k].side = s == side.end() ? right : static_cast<Side>(s->second);
        }
    }

    /// Height of a station's words over its ports: the note stands beside a short title.
    bool note_beside(const Station& s) const {
        return text_width(s.title, 8.5, true) + text_width(s.note, 7) + 14 < narrowest_part;
    }
    double words_height(size_t s) const {
        const Station& station = c.stations[s];
        return head + (station.note.empty() || note_beside(station) ? 0 : note_height);
    }
    double height_of(size_t s) const {
        return words_height(s) + port_step * static_cast<double>(stations[s].ports.size()) + 1;
    }

    /// Bands from the top: parts stacked on both sides, then lines that stay in the band, then those that
    /// cross to a lower one.
    void stack() {
        for (size_t l = 0; l < c.lines.size(); ++l)
            for (const bool from : {true, false}) {
                ports.push_back({.line = l, .is_from = from});
                stations[from ? c.lines[l].from : c.lines[l].to].ports.push_back(ports.size() - 1);
            }
        row.assign(c.lines.size(), 0);
        double y = 2;
        for (int b = 0; b < std::ssize(c.bands); ++b) {
            const double top = y;
            double used[2] = {top + band_pad, top + band_pad};
            for (size_t s = 0; s < stations.size(); ++s) {
                if (c.stations[s].band != b) continue;
                double& from = used[stations[s].side];
                stations[s].y0 = from;
                stations[s].y1 = from + height_of(s);
                double port_y = from + words_height(s) + port_step / 2 - 1;
                for (const size_t p : stations[s].ports) ports[p].y = port_y, port_y += port_step;
                from = stations[s].y1 + part_gap;
            }
            const double facts = top + 18 + 10 * static_cast<double>(c.bands[b].facts.size()) + 6;
            y = std::max({used[left], used[right], facts});
            y = rows(b, true, y);
            bands.emplace_back(top, y);
            y = rows(b, false, y + 4) + 4;
        }
        height = y;
    }

    /// Rows of the lines whose upper end is in band b, in the order of their upper ports.
    double rows(int b, bool inside, double y) {
        std::vector<size_t> lines;
        for (size_t l = 0; l < c.lines.size(); ++l) {
            const int from = c.stations[c.lines[l].from].band, to = c.stations[c.lines[l].to].band;
            if (std::min(from, to) == b && (from == to) == inside) lines.push_back(l);
        }
        std::ranges::stable_sort(lines, {}, [&](size_t l) { return std::max(ports[port_of(l, true)].y * (c.stations[c.lines[l].from].band == b), ports[port_of(l, false)].y * (c.stations[c.lines[l].to].band == b)); });
        for (const size_t l : lines) row[l] = y + row_step / 2, y += row_step;
        return y;
    }

    double row_y(const Port& p) const {
        const bool same_side = stations[c.lines[p.line].from].side == stations[c.lines[p.line].to].side;
        return row[p.line] + (same_side ? (p.is_from ? -5 : 5) : 0);
    }

    void assign_tracks() {
        for (const Side side : {left, right}) {
            std::vector<size_t> order;
            for (size_t p = 0; p < ports.size(); ++p)
                if (at(ports[p]).side == side) order.push_back(p);
            std::ranges::stable_sort(order, {}, [&](size_t p) { return std::min(ports[p].y, row_y(ports[p])); });
            std::vector<double> until;
            for (const size_t p : order) {
                const double lo = std::min(ports[p].y, row_y(ports[p])), hi = std::max(ports[p].y, row_y(ports[p]));
                size_t t = 0;
                while (t < until.size() && until[t] + 3 > lo) ++t;
                if (t == until.size()) until.push_back(0);
                until[t] = hi;
                ports[p].track = static_cast<double>(t);
            }
            tracks[side] = static_cast<int>(until.size());
        }
    }

    /// False when the channels do not leave enough for parts and circuits.
    bool share_width() {
        const double n = tracks[left] + tracks[right];
        for (pitch = 6; pitch >= 3.5; pitch -= 0.5) {
            const double channels = n * pitch + 4 * edge;
            const double rest = page_width - label_width - channels - edge;
            if (rest < 2 * narrowest_part + (pitch > 4 ? 130 : 90)) continue;
            const double parts = std::clamp(rest * 0.27, narrowest_part, 110.0), circuit = rest - 2 * parts;
            part_x[left][0] = label_width, part_x[left][1] = label_width + parts;
            circuit_x[0] = part_x[left][1] + tracks[left] * pitch + 2 * edge;
            circuit_x[1] = circuit_x[0] + circuit;
            part_x[right][1] = page_width - edge, part_x[right][0] = part_x[right][1] - parts;
            for (Port& p : ports)
                p.track = at(p).side == left ? part_x[left][1] + edge + (tracks[left] - p.track - 0.5) * pitch
                                             : part_x[right][0] - edge - (tracks[right] - p.track - 0.5) * pitch;
            return true;
        }
        return false;
    }

    static void words(Group& g, Point at, const std::string& text, double width, double size, bool bold = false,
                      Colour colour = Tone::ink, Anchor anchor = Anchor::start) {
        g.items.push_back(Label{.at = at, .text = fitted(text, width, size, bold), .anchor = anchor, .size = size, .bold = bold, .colour = colour});
    }

    void draw_band(size_t b) {
        const Band& band = c.bands[b];
        const auto [y0, y1] = bands[b];
        Group g{.title = band.rail.empty() ? "parts without a supply" : fmt::format("rail {}, {}", band.rail, fmt::join(band.facts, ", ")),
                .data = {{"rail", band.rail}}};
        g.items.push_back(box(2, y0, page_width - 4, y1 - y0, Tone::wash, {Tone::hair, 0.6}));
        if (!band.rail.empty()) {
            g.items.push_back(box(2, y0, 6, y1 - y0, Colour(Tone::volts, band.volts), {Tone::ink, 0.5}));
            words(g, {13, y0 + 14}, band.rail, label_width - 18, 10, true);
        }
        double y = y0 + 26;
        for (const std::string& f : band.facts) {
            words(g, {13, y}, f, label_width - 18, 7.5);
            y += 10;
        }
        out.items.push_back(std::move(g));
    }

    static std::string listed(const std::vector<std::string>& names) {
        if (names.size() < 3) return fmt::format("{}", fmt::join(names, ", "));
        return fmt::format("{} … {} ({})", names.front(), names.back(), names.size());
    }

    void draw_station(size_t s) {
        const Station& station = c.stations[s];
        const Placed& p = stations[s];
        const double x0 = part_x[p.side][0], x1 = part_x[p.side][1];
        Group g{.title = fmt::format("{}{}", fmt::join(station.parts, ", "), station.note.empty() ? "" : ", " + station.note),
                .data = {{"part", fmt::format("{}", fmt::join(station.parts, ", "))}, {"rail", c.bands[station.band].rail}}};
        g.items.push_back(box(x0, p.y0, x1 - x0, p.y1 - p.y0, Tone::paper, {Tone::ink, 0.8}));
        words(g, {x0 + 4, p.y0 + 10}, station.title, x1 - x0 - 8, 8.5, true);
        if (note_beside(station))
            words(g, {x1 - 4, p.y0 + 10}, station.note, x1 - x0 - 8, 7, false, Tone::soft, Anchor::end);
        else if (!station.note.empty())
            words(g, {x0 + 4, p.y0 + 19}, station.note, x1 - x0 - 8, 7, false, Tone::soft);
        for (const size_t k : p.ports) {
            const Port& port = ports[k];
            const MapLine& l = c.lines[port.line];
            const bool at_right = p.side == left;
            const auto& pins = port.is_from ? l.from_pins : l.to_pins;
            std::vector<std::string> unlike;
            for (const std::string& pin : pins)
                if (std::ranges::find(unlike, pin) == unlike.end()) unlike.push_back(pin);
            const std::string text = station.parts.size() > 1 ? fmt::format("{} pins", pins.size())
                                     : unlike.size() < 3      ? fmt::format("{}", fmt::join(unlike, ", "))
                                                              : fmt::format("{} … {}", unlike.front(), unlike.back());
            words(g, {at_right ? x1 - 4 : x0 + 4, port.y + 2.5}, text, x1 - x0 - 8, 7.5, false, Tone::ink, at_right ? Anchor::end : Anchor::start);
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
        const MapLine& l = c.lines[k];
        const std::string names = fmt::format("{}", fmt::join(l.links, ", "));
        Group g{.title = fmt::format("{}: {}{}", names, l.circuit.empty() ? "link" : l.circuit, l.verdict ? fmt::format(", {}", to_word(*l.verdict)) : ""),
                .data = {{"link", names}}};
        if (l.verdict) g.data.emplace_back("verdict", std::string(to_word(*l.verdict)));
        const Stroke stroke{Tone::ink, l.links.size() > 1 ? 1.6 : 0.8};
        for (const bool is_from : {true, false}) {
            const Port& p = ports[port_of(k, is_from)];
            const Side side = at(p).side;
            const double part = part_x[side][side == left ? 1 : 0], circuit = circuit_x[side == left ? 0 : 1];
            g.items.push_back(polyline({{part, p.y}, {p.track, p.y}, {p.track, row_y(p)}, {circuit, row_y(p)}}, stroke));
            if (!is_from || l.both_ways) g.items.push_back(arrow_head({{part, p.y}, side == left ? 2 : 0}));
            if (is_from && !l.both_ways) g.items.push_back(Circle{{part, p.y}, 1.6, Tone::ink, no_stroke});
        }
        const double y0 = row[k] - circuit_height / 2, width = circuit_x[1] - circuit_x[0] - 10;
        g.items.push_back(box(circuit_x[0], y0, circuit_x[1] - circuit_x[0], circuit_height, Tone::paper, {Tone::ink, 0.7}));
        std::string first = l.circuit.empty() ? listed(l.links) : l.circuit, second = l.circuit.empty() ? "" : listed(l.links);
        if (l.verdict) {
            g.items.push_back(box(circuit_x[0], y0, 4, circuit_height, tone_of(*l.verdict), {Tone::ink, 0.5}));
            const std::string verdict = fmt::format("{} {}", to_sign(*l.verdict), to_word(*l.verdict));
            words(g, {circuit_x[0] + 8, row[k] + 8}, verdict, width, 7.5, true);
            words(g, {circuit_x[0] + 14 + text_width(verdict, 7.5, true), row[k] + 8}, second, width - 8 - text_width(verdict, 7.5, true), 7.5);
        } else {
            words(g, {circuit_x[0] + 8, row[k] + 8}, second, width, 7.5);
        }
        words(g, {circuit_x[0] + 8, row[k] - 1.5}, first, width, 8);
        out.items.push_back(std::move(g));
    }

    bool lay() {
        choose_sides();
        stack();
        assign_tracks();
        return share_width();
    }
    void draw() {
        for (size_t b = 0; b < c.bands.size(); ++b) draw_band(b);
        for (size_t l = 0; l < c.lines.size(); ++l) draw_line(l);
        for (size_t s = 0; s < stations.size(); ++s) draw_station(s);
        out.width = page_width;
        out.height = height;
    }
};

std::string described(const MapContents& c) {
    std::vector<std::string> bands;
    for (const Band& b : c.bands)
        if (!b.rail.empty()) bands.push_back(fmt::format("{} ({})", b.rail, print(Volts{b.volts})));
    std::string text = fmt::format("Rails from high to low: {}.", fmt::join(bands, ", "));
    for (const MapLine& l : c.lines)
        text += fmt::format(" {}: {} {} {}{}{}.", fmt::join(l.links, ", "), c.stations[l.from].title,
                            l.both_ways ? "↔" : "→", c.stations[l.to].title, l.circuit.empty() ? "" : ", " + l.circuit,
                            l.verdict ? fmt::format(", {}", to_word(*l.verdict)) : "");
    return text;
}

}  // namespace

Drawing rail_map(const Bench& bench, const Wiring* wiring, const Judgement* judgement) {
    for (int coarseness = 0;; ++coarseness) {
        const MapContents contents = map_contents(bench, wiring, judgement, coarseness);
        Map map{.c = contents};
        if (!map.lay() && coarseness < coarsest) continue;
        map.draw();
        map.out.title = "Map of rails: " + bench.title;
        map.out.description = described(contents);
        return std::move(map.out);
    }
}

}  // namespace voltsill::drawing
