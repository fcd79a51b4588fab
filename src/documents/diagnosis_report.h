#pragma once
/// A diagnosis for people to read: what the readings come to, what to read next, what is ruled out and why.
///
/// Shares stand as numbers and as bars of squares, so that no colour is needed. Everything that may harm is
/// said before anything that is asked.
#include "documents/document.h"
#include "faults/damage.h"
#include "faults/readings_file.h"
#include "faults/suspect_members.h"

namespace voltsill {

/// What a report says besides the diagnosis.
struct DiagnosisFacts {
    std::string title;    ///< of the bench
    std::string version;  ///< of its bytes
    std::string not_placed;
    int faults = 0;
    long long pairs = 0, pairs_left_out = 0;
    std::vector<GivenReading> given;
    std::vector<std::vector<SuspectMember>> members;  ///< by suspect
    std::optional<Damage> damage;                     ///< if the likeliest fault was powered
};

doc::Document diagnosis_report(const Diagnosis& diagnosis, const DiagnosisFacts& facts);

/// "■■■■■■■□□□": tenths, at least one from 1 % on.
std::string share_bar(double share);
/// "62 %", "under 1 %".
std::string share_words(double share);

/// Depth 1, a question; 2, the reading to take; 3, the cause: each with what comes before it.
doc::Document hint_report(const Diagnosis& diagnosis, const DiagnosisFacts& facts, int depth);

}  // namespace voltsill
