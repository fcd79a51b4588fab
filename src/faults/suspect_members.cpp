#include "faults/suspect_members.h"

#include <algorithm>

namespace voltsill {

std::vector<SuspectMember> members_of(const Dictionary& dictionary, const Diagnosis& diagnosis,
                                      const Suspect& suspect) {
    std::vector<SuspectMember> out;
    for (const int h : suspect.hypotheses) {
        const Hypothesis& hypothesis = dictionary.hypotheses()[h];
        SuspectMember member{.words = dictionary.words(h),
                             .remedy = dictionary.remedy(h),
                             .share = diagnosis.share[h]};
        for (const int fault : {hypothesis.first, hypothesis.second})
            if (fault >= 0) member.faults.push_back(dictionary.faults()[fault]);
        out.push_back(std::move(member));
    }
    return out;
}

bool is_as_planned(const Suspect& suspect) {
    return std::ranges::find(suspect.hypotheses, 0) != suspect.hypotheses.end();
}

}  // namespace voltsill
