#pragma once
/// In which order rails come up, from what was judged with some of them down.
///
/// Between two switches the bench is in a scene with the rest of its rails down, and the judge has
/// said what happens there. Of all orders the one is taken whose worst scene is mildest, then whose
/// scenes are mild in sum; off goes in reverse. Rails of one switch, and rails made by a part from
/// another rail, come together. Makers ask for ground, supply, inputs, outputs in that order (frequently
/// asked questions on CMOS logic, power supply sequence, from memory); "the receiver's rail first" is what
/// this search finds for parts that stand it, not a rule put in.
#include <string>
#include <vector>

#include "judging/finding.h"

namespace voltsill {

struct PowerStep {
    std::vector<std::string> rails;   ///< switched on together
    std::string waiting;              ///< "usb up, logic down": until the next step; empty after the last
    Verdict verdict = Verdict::safe;  ///< of waiting there
    bool judged = true;               ///< false: this mixture of rails was not looked at
    std::string sentence;             ///< the worst that was found there; empty: nothing
};

struct PowerOrder {
    std::vector<PowerStep> steps;
    Verdict verdict = Verdict::safe;  ///< of the worst wait
    /// The order that is worst, and what happens in it; empty: all orders are alike.
    std::string worst_order, worst_sentence;
};

PowerOrder power_order(const Bench& bench, const Judgement& judgement);

/// The rail that feeds the maker of a rail; null: a supply of its own.
const Rail* feeder_of(const Bench& bench, const Rail& rail);
/// The switch a rail goes up and down with: its own, or that of the rail feeding its maker.
std::string switch_of(const Bench& bench, const Rail& rail);

}  // namespace voltsill
