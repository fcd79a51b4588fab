#pragma once
/// Whether a change of wires harms: for a search that asks it thousands of times.
///
///     harm(changed) = findings of judge(changed) that say harm, without those of judge(base)
///
/// judged on the part of the bench that the change can reach (judging/cut.h): the same findings as of
/// the whole. A figure nobody has given is not harmless: such findings are handed back as unknown.
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "judging/finding.h"

namespace voltsill {

struct Harm {
    bool harmful = false;
    bool unknown = false;           ///< not known to be harmful, but nobody has said what a pin stands
    std::vector<Finding> findings;  ///< the new ones, harmful first
    std::string trouble;            ///< the network has no solution: possibly harmful
    bool possible() const { return harmful || unknown || !trouble.empty(); }
};

struct WorseThanBase {
    std::optional<Finding> first;      ///< harm, else a figure not known, else what fails or is thinner
    std::vector<std::string> failing;  ///< of the links asked for: those of which it finds worse than of the base
};

/// What comes of a change when it is judged as a whole.
struct WholeHarm {
    Harm harm;
    std::optional<Finding> failure;  ///< the worst that fails or gets thinner; harm is not looked at
};

/// Changes are wirings of the same parts in the same order, perhaps with others behind them; a part may be of
/// another type or value. Bench and wiring must outlive it.
class HarmJudge {
  public:
    HarmJudge(const Bench& bench, const Wiring& base);
    ~HarmJudge();

    Harm harm_of(const Wiring& changed) const;
    /// Whether there is harm or it is not known: `harm_of(changed).possible()`, sooner.
    bool may_harm(const Wiring& changed) const;

    /// The first harm there is, else the first figure that is not known: sooner than all of them.
    Harm first_harm_of(const Wiring& changed) const;
    /// Of a change that harms nothing: the first thing that fails, else what is thinner than in the base.
    std::optional<Finding> first_failure_of(const Wiring& changed) const;
    /// Where the bench differs too, as by a supply set wrong: nothing can be left out.
    WholeHarm of_whole(const Bench& bench, const Wiring& changed) const;
    /// The first of these two, and which of the links asked for have a worse verdict than in the base.
    WorseThanBase worse_than_base(const Wiring& changed, const std::vector<std::string>& asked) const;
    const Judgement& base() const;

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

/// Joins of two nets of a wiring, each pair judged once: what a search over places asks, since two
/// nets in adjacent rows are one slip of a hand from being joined.
class JoinHarm {
  public:
    JoinHarm(const Bench& bench, const Wiring& wiring) : judge_(bench, wiring), wiring_(wiring) {}

    /// Harmful or not known to be harmless. Two rails, or a rail and ground: harmful.
    bool harmful(NetId a, NetId b);
    Harm of(NetId a, NetId b) const;  ///< with the findings; not kept
    const HarmJudge& judge() const { return judge_; }

  private:
    Wiring joined(NetId a, NetId b) const;
    HarmJudge judge_;
    const Wiring& wiring_;
    std::unordered_map<long long, bool> known_;
};

}  // namespace voltsill
