#include "drawing/rail_map_layout.h"

#include <algorithm>

#include "drawing/text.h"

namespace voltsill::drawing {
namespace {

constexpr double port_step = 11, note_height = 9, row_step = 27, part_gap = 7, band_pad = 8,
                 narrowest_part = 84;

}  // namespace

/// Stations with most lines go right, the others where most of their lines then cross over; a part
/// keeps its side in every band.
void MapLayout::choose_sides() {
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
        stations[k].side = s == side.end() ? right : static_cast<MapSide>(s->second);
    }
}

/// Height of a station's words over its ports: the note stands beside a short title.
bool MapLayout::note_beside(const Station& s) const {
    return text_width(s.title, 8.5, true) + text_width(s.note, 7) + 14 < narrowest_part;
}
double MapLayout::words_height(size_t s) const {
    const Station& station = c.stations[s];
    return map_head + (station.note.empty() || note_beside(station) ? 0 : note_height);
}
double MapLayout::height_of(size_t s) const {
    return words_height(s) + port_step * static_cast<double>(stations[s].ports.size()) + 1;
}

/// Bands from the top: parts stacked on both sides, then lines that stay in the band, then those that
/// cross to a lower one.
void MapLayout::stack() {
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
double MapLayout::rows(int b, bool inside, double y) {
    std::vector<size_t> lines;
    for (size_t l = 0; l < c.lines.size(); ++l) {
        const int from = c.stations[c.lines[l].from].band, to = c.stations[c.lines[l].to].band;
        if (std::min(from, to) == b && (from == to) == inside) lines.push_back(l);
    }
    std::ranges::stable_sort(lines, {}, [&](size_t l) {
        return std::max(ports[port_of(l, true)].y * (c.stations[c.lines[l].from].band == b),
                        ports[port_of(l, false)].y * (c.stations[c.lines[l].to].band == b));
    });
    for (const size_t l : lines) row[l] = y + row_step / 2, y += row_step;
    return y;
}

double MapLayout::row_y(const MapPort& p) const {
    const bool same_side = stations[c.lines[p.line].from].side == stations[c.lines[p.line].to].side;
    return row[p.line] + (same_side ? (p.is_from ? -5 : 5) : 0);
}

void MapLayout::assign_tracks() {
    for (const MapSide side : {left, right}) {
        std::vector<size_t> order;
        for (size_t p = 0; p < ports.size(); ++p)
            if (at(ports[p]).side == side) order.push_back(p);
        std::ranges::stable_sort(order, {}, [&](size_t p) { return std::min(ports[p].y, row_y(ports[p])); });
        std::vector<double> until;
        for (const size_t p : order) {
            const double lo = std::min(ports[p].y, row_y(ports[p])),
                         hi = std::max(ports[p].y, row_y(ports[p]));
            size_t t = 0;
            while (t < until.size() && until[t] + 3 > lo) ++t;
            if (t == until.size()) until.push_back(0);
            until[t] = hi;
            ports[p].track = static_cast<double>(t);
        }
        tracks[side] = static_cast<int>(until.size());
    }
}

bool MapLayout::share_width() {
    const double n = tracks[left] + tracks[right];
    for (double pitch = 6; pitch >= 3.5; pitch -= 0.5) {
        const double channels = n * pitch + 4 * map_edge;
        const double rest = page_width - map_label_width - channels - map_edge;
        if (rest < 2 * narrowest_part + (pitch > 4 ? 130 : 90)) continue;
        const double parts = std::clamp(rest * 0.27, narrowest_part, 110.0), circuit = rest - 2 * parts;
        part_x[left][0] = map_label_width, part_x[left][1] = map_label_width + parts;
        circuit_x[0] = part_x[left][1] + tracks[left] * pitch + 2 * map_edge;
        circuit_x[1] = circuit_x[0] + circuit;
        part_x[right][1] = page_width - map_edge, part_x[right][0] = part_x[right][1] - parts;
        for (MapPort& p : ports)
            p.track = at(p).side == left
                          ? part_x[left][1] + map_edge + (tracks[left] - p.track - 0.5) * pitch
                          : part_x[right][0] - map_edge - (tracks[right] - p.track - 0.5) * pitch;
        return true;
    }
    return false;
}

bool MapLayout::lay() {
    choose_sides();
    stack();
    assign_tracks();
    return share_width();
}

}  // namespace voltsill::drawing
