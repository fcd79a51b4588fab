#pragma once
/// Every code a finding can have, what it means, and what it makes of a link.
///
/// The judge gives the codes (src/judging); this table explains them to readers of SARIF and of
/// docs/findings.md. A test holds all three against each other.
#include <span>
#include <string_view>

namespace voltsill {

struct FindingCode {
    std::string_view code;
    std::string_view verdicts;  ///< that it can come to, mildest first: "safe, thin, unreadable"
    std::string_view meaning;
};

/// In the order in which the judge looks: ratings, levels, supplies that are off, edges,
/// analogue, loads, supplies, open pins.
std::span<const FindingCode> finding_codes();

}  // namespace voltsill
