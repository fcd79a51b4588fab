#pragma once
/// One candidate, built as a wiring of its crossing alone and judged by the one judge.
#include "planning/assembly.h"

namespace voltsill {

struct Evaluated {
    Candidate candidate;
    Recipe recipe;
    std::vector<std::string>
        uses;  ///< types of the discrete parts it adds, one entry each; its shared package not counted
    bool would_serve = false;     ///< safe or thin, and in stock
    bool leaves_unknown = false;  ///< in stock, and nothing speaks against it but a figure nobody has stated
};

/// The bench reduced to one crossing: its parts, its rails and its link.
Bench bench_of(const Crossing& crossing);

/// A recipe on its crossing alone, through the n-th usable channel of its integrated circuit.
struct CrossingBuild {
    Bench bench;
    Wiring wiring;
    std::vector<std::string> uses;  ///< types of the discrete parts it adds
};
CrossingBuild build_on(const Crossing& crossing, const Recipe& recipe, int channel = 0);

/// The worst finding about the link, or about what the recipe added or moved; null: none.
const Finding* worst_of(const Judgement& judgement, const CrossingBuild& build, const Recipe& recipe);

/// Every circuit tried on a crossing: candidates that were judged, and refusals with their reason.
std::vector<Evaluated> evaluate_all(const Crossing& crossing);

/// The verdicts of `like`, evaluated for a crossing with the same signature, in this crossing's names.
std::vector<Evaluated> renamed(const Crossing& crossing, const Crossing& like,
                               const std::vector<Evaluated>& evaluated);

/// Text that is equal for crossings that cannot be told apart by the planner but for names.
std::string signature(const Crossing& crossing);

/// Smaller is better; what `[wishes]` weighs. Package and channel costs come from packing.
double score_of(const Bench& bench, const Candidate& candidate, const Recipe& recipe);

}  // namespace voltsill
