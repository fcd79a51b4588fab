#pragma once
/// A mistake of wires before it has words.
#include "teaching/marking_inside.h"

namespace voltsill {

struct WireMistake {
    MistakeKind kind{};
    int wire = -1;  ///< of the sheet; -1: extra
    bool at_from = false;
    WireEnd is, far;  ///< where the end is; of an extra wire both
    int drawn = -1;   ///< of the learner's; -1: none
    int other = -1;   ///< of an exchange
    bool other_at_from = false;
    WireEnd other_is;
    int other_drawn = -1;
};

const WireEnd& right_end(const PreparedMarking::Inside& in, int wire, bool at_from);
MistakeKind kind_of_end(const PreparedMarking::Inside& in, const WireEnd& right, const WireEnd& is);
/// Words, remedy and harm of this mistake alone.
Mistake named(PreparedMarking::Inside& in, const WireMistake& mistake);
/// `nets`: wanted ones that it concerns.
void set_harm(const PreparedMarking::Inside& in, Mistake& mistake, const WhatHarms& harm, const std::vector<int>& nets);

}  // namespace voltsill
