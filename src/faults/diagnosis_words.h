#pragma once
/// The sentences of a diagnosis. Used by diagnosis.cpp only.
#include "faults/likelihood.h"

namespace voltsill {

class DiagnosisWords {
  public:
    DiagnosisWords(const Dictionary& dictionary, const Likelihood& likelihood, std::span<const Reading> readings)
        : dictionary_(dictionary), likelihood_(likelihood), readings_(readings) {}

    /// `gone`: likeliest first. The first few get a sentence each, the others one together.
    void ruled_out(std::vector<RuledOut>& out, int reading, const std::vector<int>& gone) const;
    void describe(Suspect& suspect) const;
    std::string two_answers(int a, int b) const;
    std::string do_not_fit(const std::vector<int>& readings) const;
    std::string beyond_supplies(int reading) const;
    std::string keep_off(int hypothesis, double share) const;
    std::string keep_off_unnamed() const;  ///< for who has not asked for the cause
    std::string keep_off_hot(int part) const;
    /// The sentence of the whole, and the hints.
    void finish(Diagnosis& diagnosis, double sure) const;

  private:
    std::string read(int reading) const;  ///< "you read 3.28 V at U1.18, ..."
    std::string answer(const Reading& reading) const;
    std::string seen_wrong() const;
    void sentences(Diagnosis& diagnosis, double sure) const;
    std::string unsure(const Diagnosis& diagnosis) const;
    std::string common_of(const std::vector<int>& hypotheses) const;
    std::string ask(int question) const;

    const Dictionary& dictionary_;
    const Likelihood& likelihood_;
    std::span<const Reading> readings_;
};

}  // namespace voltsill
