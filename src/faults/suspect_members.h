#pragma once
/// The faults of a suspect one by one: a group is told apart by nothing but its members.
#include "faults/diagnosis.h"

namespace voltsill {

struct SuspectMember {
    std::vector<Fault> faults;  ///< one, or two at once; none: the build as planned
    std::string words, remedy;
    double share = 0;
};

/// Likeliest first, in the order of `suspect`.
std::vector<SuspectMember> members_of(const Dictionary& dictionary, const Diagnosis& diagnosis,
                                      const Suspect& suspect);

/// Whether the likeliest explanation is the build as planned.
bool is_as_planned(const Suspect& suspect);

}  // namespace voltsill
