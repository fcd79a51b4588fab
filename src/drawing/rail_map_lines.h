#pragma once
/// What the map of rails shows, before it is drawn: stations (a part in the band of a rail) and
/// lines between them, each for one link or several that run alike.
#include <map>
#include <optional>

#include "bench/bench.h"
#include "judging/finding.h"
#include "wiring/wiring.h"

namespace voltsill::drawing {

struct Station {
    std::vector<std::string> parts;  ///< one, or several of a type that are summed up
    std::string title;
    int band = 0;  ///< index into bands; rails by voltage, highest first
    std::string note;
};

struct MapLine {
    int from = -1, to = -1;  ///< stations
    bool both_ways = false;
    std::vector<std::string> from_pins, to_pins, links;
    std::vector<std::string> circuits;  ///< unlike ones: "HCT 541 U1"; empty: no wiring was given
    std::map<Verdict, int> verdicts;    ///< how many links of each; empty: not judged

    std::string circuit_words() const;
    std::string verdict_words() const;  ///< "✗ harmful", "✗ 2 harmful, ✓ 3 safe"
    std::optional<Verdict> worst() const;
};

struct Band {
    std::string rail;  ///< empty: parts without a supply
    double volts = 0;
    std::vector<std::string> facts;  ///< "4.75..5.25 V", "from a supply", "2 A at most"
};

struct MapContents {
    std::vector<Band> bands;
    std::vector<Station> stations;
    std::vector<MapLine> lines;
};

/// How much is put together: 0 links of like ends and circuit, 1 all links between two parts, 2 parts
/// of one type too, 3 all parts of a band.
inline constexpr int coarsest = 3;
MapContents map_contents(const Bench& bench, const Wiring* wiring, const Judgement* judgement,
                         int coarseness);

/// Some lines, by index, with the stations and bands they need; `rest`: also the stations no line of
/// `whole` ends at.
MapContents part_of(const MapContents& whole, const std::vector<size_t>& lines, bool rest);

/// What stands between two pins of a link, in a few words: "divider 2.2 kΩ over 3.3 kΩ".
std::string circuit_words(const Bench& bench, const Wiring& wiring, const Link& link, const PinRef& from,
                          const PinRef& to);

}  // namespace voltsill::drawing
