#pragma once
/// Which faults explain what was read, and what to read next.
///
/// Bayes: the share of a hypothesis is its weight times the likelihood of every reading,
///
///     P(h | r1 .. rn)  ~  w(h) * prod_k L(r_k | h),   L = (1 - o) flat(lo - e .. hi + e) + o / span
///
/// flat inside the predicted range widened by the meter's error e and falling outside it as a Gaussian of
/// width e; o is the share of readings that are a slip of the pen or of the probe, so that one of them does
/// not rule the truth out. A prediction that floats accepts any reading and likes one that drifts. "As
/// planned" and "something else" are hypotheses: the latter with a small weight and the likelihood 1 / span.
///
/// The next reading is the one of most bits per effort: the mutual information of its answer and the fault
/// (T. M. Cover, J. A. Thomas, Elements of Information Theory, 1991, section 2.4, from memory),
///
///     I = H(sum_h P(h) L(. | h)) - sum_h P(h) H(L(. | h)) >= 0
///
/// Of what is proposed the best of each means (a look, ohms, volts, a scope) comes before the second of any.
/// Nothing powered is asked while a fault with more than a small share could harm when powered.
#include <map>

#include "faults/dictionary.h"
#include "quantity/hand_meter.h"

namespace voltsill {

struct MeterErrors {
    double volts = hand_meter::volts_floor.si(),
           volts_share = hand_meter::volts_share;  ///< ± V and ± share of the reading
    double ohms = 0.5, ohms_share = 0.02;     ///< leads and contacts included
    double seconds_share = 0.15;              ///< a time read off a screen
};

struct DiagnosisOptions {
    MeterErrors errors;
    /// Of a reading, in units of a look (common practice, no source).
    std::map<Means, double> effort{{Means::eye, 1},
                                   {Means::ohmmeter, 1.5},
                                   {Means::voltmeter, 2},
                                   {Means::scope, 4},
                                   {Means::behaviour, 2}};
    std::vector<Means> means{Means::eye, Means::ohmmeter, Means::voltmeter, Means::scope};  ///< to ask for
    double slip_share = 0.03;      ///< o
    double as_planned = 0.02;      ///< share before any reading of: the build is as planned
    double something_else = 0.01;  ///< share before any reading of: no fault of the list
    double plausible = 0.05;       ///< a harmful fault with more than this share keeps the power off
    double sure = 0.95;            ///< a group with this share is found
    int next = 5;                  ///< readings to propose
};

/// Faults that no meter tells apart, as one.
struct Suspect {
    std::vector<int> hypotheses;  ///< likeliest first
    double share = 0;
    bool may_harm = false;
    std::string words;   ///< of the likeliest
    std::string common;  ///< what they have in common: "all at wire 12", "all at U1"; empty: nothing, or one only
    std::string remedy;
};

struct RuledOut {
    int reading = -1;  ///< index of the readings given
    std::vector<int> hypotheses;
    std::string sentence;  ///< "wire 12 left out is ruled out: U1.18 would read 0.00..0.05 V, you read 3.28 V."
};

struct Contradiction {
    std::vector<int> readings;
    std::string sentence;
};

struct NextReading {
    int question = -1;
    double bits = 0, effort = 1;
    std::string words, how;
    std::vector<std::string> sights;  ///< of a look: what it may show, likeliest first
    std::string why;  ///< what its answers mean: "3.2..3.4 V: not wire 12 ..; about 0 V: wire 12 left out"
};

/// For a learner, one after the other.
struct Hints {
    std::string question, reading, cause;
    std::string keep_off;  ///< why the power stays off, without the cause; empty: it need not
};

struct Diagnosis {
    std::vector<double> share;   ///< by hypothesis of the dictionary
    double something_else = 0;   ///< no fault of the list explains it
    double bits = 0;             ///< entropy over groups: what is still open
    std::vector<Suspect> suspects;  ///< likeliest first, those above a thousandth; with the build as planned
    std::vector<RuledOut> ruled_out;
    std::vector<Contradiction> contradictions;
    std::vector<int> unexplained;  ///< readings that no hypothesis explains, when something else is likeliest
    std::vector<NextReading> next;  ///< best first, of each means one; empty: nothing that may be asked tells more
    bool power_may_harm = false;   ///< a plausible fault could harm when on, or something got hot and looks tell more
    std::string keep_off;          ///< then: what, and what to do
    bool found = false;            ///< the first suspect has the share `sure`
    std::string sentence;
    Hints hints;
};

/// `readings` in the order in which they were taken; their questions are those of the dictionary.
Diagnosis diagnose(const Dictionary& dictionary, std::span<const Reading> readings,
                   const DiagnosisOptions& options = {});

}  // namespace voltsill
