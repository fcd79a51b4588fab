#pragma once
/// One candidate, built as a wiring of its crossing alone and judged by the one judge.
#include "planning/assembly.h"

namespace voltsill {

struct Evaluated {
    Candidate candidate;
    Recipe recipe;
    bool would_serve = false;   ///< safe or thin
};

/// Every circuit tried on a crossing: candidates that were judged, and refusals with their reason.
std::vector<Evaluated> evaluate_all(const Crossing& crossing);

/// Text that is equal for crossings that cannot be told apart by the planner but for names.
std::string signature(const Crossing& crossing);

/// Smaller is better; what `[wishes]` weighs. Package and channel costs come from packing.
double score_of(const Bench& bench, const Candidate& candidate, const Recipe& recipe);

}  // namespace voltsill
