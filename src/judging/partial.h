#pragma once
/// Judging in part: the checks that can find harm alone, and cuts of a wiring (cut.h) with what the
/// rest of the bench adds to the sums over all of it (currents of a part, currents into a rail).
#include <functional>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "judging/finding.h"

namespace voltsill {

/// What one island adds to a sum, with any pin of the island.
struct Share {
    std::pair<int, int> site{-1, -1};  ///< part and pin of the wiring
    int part = -1;                     ///< whose outputs carry it; -1: fed into a rail
    std::string rail;
    double amps = 0;
};

struct Elsewhere {
    std::vector<double> driven_by_part;  ///< A, by part of the cut
    std::map<std::string, double> fed_into_rail;
};

/// Findings that say harm or that a figure is not known, without those of links' levels and timing.
struct HarmFindings {
    std::vector<Finding> findings;
    std::string trouble;
    std::vector<bool> loose_rails;  ///< by rail of the bench: some scene takes it down
};
/// `elsewhere`: of a cut. `shares`: receives what each island adds.
HarmFindings judge_harm(const Bench& bench, const Wiring& wiring, const Elsewhere* elsewhere = nullptr,
                        std::vector<Share>* shares = nullptr);
/// The same question for yes or no: ends at the first harm that `counts`. Empty trouble and false: none.
struct AnyHarm {
    bool harmful = false, unknown = false;
    std::string trouble;
};
AnyHarm judge_any_harm(const Bench& bench, const Wiring& wiring, const Elsewhere& elsewhere,
                       const std::function<bool(const Finding&)>& counts);
/// `judge` of a cut.
Judgement judge_cut(const Bench& bench, const Wiring& wiring, const Elsewhere& elsewhere);

}  // namespace voltsill
