#pragma once
/// Placement: holes for every lead and wire of a wiring, short, with few crossings and, above all,
/// such that a single slip of a hand harms nothing.
///
///     minimise  w_h harm + w_l length + w_x crossings
///
/// over places of parts, rows of nets and columns of ends. `harm` counts the single slips (slips.h) that
/// the judge calls harmful. An anytime search: it ends at `seconds` of work counted in moves, not by a
/// clock, and is the same for a seed on every machine.
#include <cstdint>
#include <functional>

#include "wiring/placement.h"

namespace voltsill {

struct PlaceOptions {
    std::vector<std::string> boards;  ///< kinds to use, the last repeated as needed; empty: as the bench says
    std::uint64_t seed = 1;
    double effort = 1;  ///< 1: a good answer for a demo bench in under a second; larger: better and slower
};

struct PlacementQuality {
    int near_harm = 0;  ///< ends beside a net whose join would harm: what the search makes few (slips.h counts)
    double metres = 0;
    int crossings = 0;
    double cost = 0;
};

struct PlacedWiring {
    Wiring wiring;  ///< as given: which channel carries which signal is the plan's choice, and stands in its lists
    Placement placement;
    PlacementQuality quality;
    std::vector<std::string> notes;  ///< parts that sit on adapters
    std::string trouble;  ///< why there is no placement; empty: there is one
};

/// Names in `wanted` that are no kind of board on this bench, as misuse with the nearest right name.
Problems unknown_boards(const Bench& bench, const std::vector<std::string>& wanted);

/// `progress(done, all)` may return false to stop at the best so far.
PlacedWiring place(const Bench& bench, const Wiring& wiring, const PlaceOptions& options = {},
                   const std::function<bool(double, double)>& progress = {});

}  // namespace voltsill
