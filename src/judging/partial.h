#pragma once
/// Judging in part: the checks that can find harm alone, and cuts of a wiring (cut.h) with what the
/// rest of the bench adds to the sums over all of it (currents of a part, currents into a rail).
#include <functional>
#include <map>
#include <optional>
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
class SolutionMemory;

/// `elsewhere`: of a cut. `shares`: receives what each island adds.
HarmFindings judge_harm(const Bench& bench, const Wiring& wiring, const Elsewhere* elsewhere = nullptr,
                        std::vector<Share>* shares = nullptr, SolutionMemory* memory = nullptr);

/// Which findings answer a question.
using Counts = std::function<bool(const Finding&)>;

/// The same for one answer: ends at the first harm that `counts`, else has the first figure that is not
/// known. What needs no network solved is asked first: a short circuit makes absurd networks.
struct AnyHarm {
    std::optional<Finding> first;
    std::string trouble;
};
/// Of a network that hangs together as a whole (a missing ground) it looks at some states and says so.
/// `worst_case` false: of outputs that fight, `first` has the nominal current.
AnyHarm judge_any_harm(const Bench& bench, const Wiring& wiring, const Elsewhere& elsewhere,
                       const Counts& counts, bool worst_case, SolutionMemory& memory);
/// Judges a cut until something counts as unreadable; what else counts, worst first, when nothing does.
std::vector<Finding> judge_until_unreadable(const Bench& bench, const Wiring& wiring,
                                            const Elsewhere& elsewhere, const Counts& counts,
                                            SolutionMemory& memory);

}  // namespace voltsill
