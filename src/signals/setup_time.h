#pragma once
/// Set-up time a link leaves at its rate, or how much faster its slowest edge is than it has to be: nominal and
/// in a searched worst case. Every varying figure is moved to its end alone, then all of them to the end that
/// cost most, then each to its other end from there. Deterministic; a bound found by signs is searched, not
/// proven.
#include "signals/link_measures.h"

namespace voltsill {

struct SetupTime {
    bool searched = true;           ///< false: three times what the nominal needs would still leave `enough`
    std::string trouble;            ///< why there is none
    double bit_time = 0;            ///< s
    double nominal = 0, worst = 0;  ///< s; a bit that is never read counts as minus one bit time
    std::vector<std::pair<std::string, double>>
        costly;         ///< figures and what each costs alone, s, dearest first
    Provenance origin;  ///< the weakest figure among those that cost anything
};

/// `setup` without trouble.
/// `enough`: share of a bit that nobody asks more than; 1: always search.
SetupTime setup_time(const LinkSetup& setup, double bit_time, double enough = 1.0);

/// s/V that the slowest edge between VIL and VIH is below `allowed` at a point that has both; in place of a bit's
/// time stands `allowed`, and one without an edge counts as twice of it.
SetupTime edge_left(const LinkSetup& setup, double bit_time, std::size_t point, double allowed);

}  // namespace voltsill
