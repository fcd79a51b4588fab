#include <algorithm>

#include "drawing/rail_map_lines.h"

namespace voltsill::drawing {

MapContents part_of(const MapContents& whole, const std::vector<size_t>& lines, bool rest) {
    std::vector<bool> has_line(whole.stations.size()), shown(whole.stations.size());
    for (const MapLine& l : whole.lines) has_line[l.from] = has_line[l.to] = true;
    for (size_t s = 0; s < shown.size(); ++s) shown[s] = rest && !has_line[s];
    for (const size_t l : lines) shown[whole.lines[l].from] = shown[whole.lines[l].to] = true;
    MapContents out;
    std::vector<int> band_at(whole.bands.size(), -1), station_at(whole.stations.size(), -1);
    for (size_t b = 0; b < whole.bands.size(); ++b) {
        const auto in_band = [&](const Station& s) {
            return s.band == static_cast<int>(b) && shown[static_cast<size_t>(&s - whole.stations.data())];
        };
        if (!rest && std::ranges::none_of(whole.stations, in_band)) continue;
        band_at[b] = static_cast<int>(out.bands.size());
        out.bands.push_back(whole.bands[b]);
    }
    for (size_t s = 0; s < shown.size(); ++s) {
        if (!shown[s]) continue;
        station_at[s] = static_cast<int>(out.stations.size());
        out.stations.push_back(whole.stations[s]);
        out.stations.back().band = band_at[whole.stations[s].band];
    }
    for (const size_t l : lines) {
        out.lines.push_back(whole.lines[l]);
        out.lines.back().from = station_at[whole.lines[l].from];
        out.lines.back().to = station_at[whole.lines[l].to];
    }
    return out;
}

}  // namespace voltsill::drawing
