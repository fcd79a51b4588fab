#pragma once
/// What marking prepares once for a bench, and what it keeps of distinct wrong nets.
#include <mutex>
#include <shared_mutex>
#include <unordered_map>

#include "judging/link_readings.h"
#include "placement/join_harm.h"
#include "placement/slips.h"
#include "teaching/build_nets.h"
#include "teaching/learner_build.h"
#include "teaching/marking.h"

namespace voltsill {

/// What a change does, by the judge.
struct WhatHarms {
    Verdict verdict = Verdict::safe;
    std::string part, pin, code, sentence;
};

/// How a link stands by its joins alone.
struct LinkState {
    int right = 0, of = 0;  ///< joins
    bool clean = true;      ///< none of its nets is joined with another, nor its rails with each other
    bool as_wanted() const { return clean && right == of; }
};

/// A build's nets, looked at once for all builds that make them.
struct NetsJudged {
    JointNets nets;  ///< equal units exchanged
    NetsApart apart;
    bool exchanged = false;
    std::vector<int> shorted_with;  ///< by wanted net, of rails and the ground: another whose source is on one node
                                    ///< with its own; -1: none
    std::vector<LinkState> links;  ///< by link of the bench
    std::vector<std::string> failing;  ///< of those that are not as wanted, by the judge
    std::shared_ptr<const WhatHarms> harm;
    mutable std::once_flag named;
    mutable std::vector<Mistake> mistakes;  ///< named by nets, where no wires name them
    mutable std::mutex reading;
    mutable std::unordered_map<std::string, MeterReading> readings;  ///< by point and state
};

/// A reading that the test sheet asks for.
struct WantedReading {
    int part = -1, pin = -1;
    std::vector<Told> told;
    std::string state;  ///< "sender.OUT high"
    LinkReading level;
};

/// What of a link is marked: joints whose nets it runs on, pins that power and enable what it passes.
struct LinkNets {
    std::vector<int> nets;   ///< wanted nets, rails and ground aside
    std::vector<int> held;   ///< joints that have to be on their rail or on ground
};

struct KeyHash {
    std::size_t operator()(const std::vector<int>& key) const {
        std::size_t h = key.size();
        for (const int k : key) h = (h ^ static_cast<std::size_t>(k)) * 0x9E3779B97F4A7C15u, h ^= h >> 29;
        return h;
    }
};

struct PreparedMarking::Inside {
    Inside(Bench bench, PlacedWiring build);

    Bench bench;
    PlacedWiring build;  ///< without holes: its placement has the wires from pin to pin
    bool holes = false;
    BuildReader reader;
    Joints joints;
    SlipNets::Key key;  ///< of the wanted build
    WantedNets wanted;
    Wiring base;
    EqualUnits equal;
    std::unordered_map<SlipNets::Key, Slip, KeyHash> slips;  ///< by the nets they make; the first
    std::vector<LinkNets> links;                             ///< by link of the bench
    std::vector<std::vector<int>> sources;  ///< by wanted net: joints that feed it; empty for signals
    std::vector<std::vector<int>> links_of_net;              ///< by wanted net
    std::vector<WantedReading> readings;

    SlipNets::Key key_of(const Placement& placement) const { return nodes_.with_terminals(placement); }
    std::shared_ptr<const NetsJudged> judged(const SlipNets::Key& key, const Placement& placement);
    /// `wiring()` is asked for only where `key` is new.
    std::shared_ptr<const WhatHarms> harm_of(const SlipNets::Key& key, const std::function<Wiring()>& wiring);

    bool is_held(int net) const { return held_[net]; }  ///< a rail or the ground
    std::string words(int joint) const;
    std::string net_words(int net) const;
    /// Links that run on these wanted nets, in the order of the bench.
    std::vector<std::string> links_on(const std::vector<int>& nets) const;

  private:
    void find_links();
    void find_sources();
    SlipNets nodes_;
    void find_readings();
    /// Which of the links asked for fail goes to `failing`.
    WhatHarms judge_once(const Wiring& changed, const std::vector<std::string>& asked,
                         std::vector<std::string>& failing);

    std::vector<bool> held_;
    std::mutex judges_lock_;
    std::vector<std::unique_ptr<HarmJudge>> judges_;  ///< idle ones: a judge serves one thread at a time
    std::shared_mutex memory_lock_;
    std::unordered_map<SlipNets::Key, std::shared_ptr<const NetsJudged>, KeyHash> judged_;
    std::unordered_map<SlipNets::Key, std::shared_ptr<const WhatHarms>, KeyHash> harms_;
};

/// Names by what the file says of wires; nothing where these do not explain the nets.
std::optional<std::vector<Mistake>> mistakes_by_wires(PreparedMarking::Inside& in, const LearnerBuild& build,
                                                      const SlipNets::Key& key);
/// A single slip of the plan that makes these nets.
std::optional<std::vector<Mistake>> mistake_by_slip(PreparedMarking::Inside& in, const SlipNets::Key& key);
/// What the file says of parts that sit elsewhere, turned or not at all, where it changes the nets.
std::vector<Mistake> mistakes_of_parts(PreparedMarking::Inside& in, const LearnerBuild& build);
/// Names by pins, from the nets alone.
std::vector<Mistake> mistakes_by_nets(PreparedMarking::Inside& in, const NetsJudged& judged);
/// Where a class meets a mistake at these nets.
int gate_of(const PreparedMarking::Inside& in, const std::vector<int>& nets, Verdict harm);

/// Fills in `shorted` and `links` from the nets.
void find_states(const PreparedMarking::Inside& in, NetsJudged& judged);
/// Whether a pin is on the node of a source of its rail, or of the 0 V of a supply.
bool is_on_source(const PreparedMarking::Inside& in, const JointNets& nets, int joint);

std::vector<MarkedReading> marked_readings(PreparedMarking::Inside& in, const Rubric& rubric,
                                           const LearnerBuild& build, const NetsJudged& judged);
/// `judged` null: the file could not be read.
std::vector<CriterionMark> criterion_marks(const PreparedMarking::Inside& in, const Rubric& rubric,
                                           const NetsJudged* judged, const MarkedBuild& marked,
                                           std::span<const HandMark> by_hand);

}  // namespace voltsill
