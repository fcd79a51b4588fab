#pragma once
/// What a fault does, by the judge: nothing here grades a kind, the wiring it makes is judged.
///
///     harm(fault) = findings of judge(build with the fault) that judge(build) does not have
///
/// Verdicts as of slips (placement/slips.h): harmful; unknown: nobody has said what a pin stands, or the
/// network has no solution, so it may harm; unreadable: something does not work; thin; safe: works all the
/// same.
#include <functional>
#include <memory>
#include <span>

#include "faults/fault.h"

namespace voltsill {

struct FaultHarm {
    Verdict verdict = Verdict::safe;
    std::string part, pin, code;  ///< of the worst finding; may be empty
    std::string sentence;         ///< of the judge; empty: nothing changes for the worse
    bool may_harm() const { return verdict == Verdict::harmful || verdict == Verdict::unknown; }
};

/// Judges one fault after the other, the good build once. For one thread; bench and build must outlive it.
class FaultJudge {
  public:
    FaultJudge(const Bench& bench, const PlacedWiring& build);
    ~FaultJudge();

    /// `only_harm`: do not ask what else happens: much faster.
    FaultHarm harm_of(const FaultyBuild& faulty, bool only_harm = false) const;
    FaultHarm harm_of(const Fault& fault, bool only_harm = false) const;
    /// All there is to say of harm, worst first: what saw too much.
    std::vector<Finding> findings_of(const FaultyBuild& faulty) const;

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

struct FaultHarmOptions {
    bool only_harm = false;
    int threads = 1;                                  ///< the result is the same for any number
    std::function<bool(int done, int all)> progress;  ///< false ends early; the rest is left out
};
/// One for each fault, in order. Faults that make the same build are judged once.
std::vector<FaultHarm> judge_faults(const Bench& bench, const PlacedWiring& build, std::span<const Fault> faults,
                                    const FaultHarmOptions& options = {});

/// Equal for builds that differ in names only: nets by pin, supplies, and what is another part or value than
/// in `base`.
std::string content_key(const PlacedWiring& base, const FaultyBuild& faulty);

}  // namespace voltsill
