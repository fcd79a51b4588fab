#pragma once
/// Places for the map of rails: stations left and right in their bands, a row for every line's circuit
/// between them, and tracks for the upright runs in the two channels on its sides.
#include "drawing/drawing.h"
#include "drawing/rail_map_lines.h"

namespace voltsill::drawing {

inline constexpr double map_label_width = 84, map_edge = 6, map_head = 15, map_circuit_height = 22;

enum MapSide { left, right };

/// One end of a line at a station.
struct MapPort {
    size_t line = 0;
    bool is_from = false;
    double y = 0;
    double track = 0;  ///< x of its upright run
};

struct PlacedStation {
    double y0 = 0, y1 = 0;
    MapSide side = left;
    std::vector<size_t> ports;
};

struct MapLayout {
    const MapContents& c;
    std::vector<PlacedStation> stations;
    std::vector<MapPort> ports;
    std::vector<double> row;  ///< by line: middle of its circuit
    std::vector<std::pair<double, double>> bands;
    int tracks[2] = {0, 0};
    double part_x[2][2] = {}, circuit_x[2] = {};
    double height = 0;

    /// False when the channels do not leave enough width for parts and circuits.
    bool lay();

    size_t port_of(size_t line, bool is_from) const { return 2 * line + (is_from ? 0 : 1); }
    const PlacedStation& at(const MapPort& p) const {
        return stations[p.is_from ? c.lines[p.line].from : c.lines[p.line].to];
    }
    /// Where the line of a port comes to its circuit.
    double row_y(const MapPort& p) const;
    /// The note of a station stands beside a short title, else under it.
    bool note_beside(const Station& station) const;

  private:
    void choose_sides();
    double words_height(size_t s) const;
    double height_of(size_t s) const;
    void stack();
    double rows(int band, bool inside, double y);
    void assign_tracks();
    bool share_width();
};

}  // namespace voltsill::drawing
