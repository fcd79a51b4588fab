#pragma once
/// Questions for a class: each learner gets one of every family, drawn by a seed.
///
///     numbers of learner n = SplitMix64 from mixed(seed xor mixed(n)),  one stream for each family
///
/// The same bench, seed and learner give the same question, however many learners there are. What a bench
/// offers no question for is named with the reason.
#include "teaching/question.h"

namespace voltsill {

struct QuestionFamily {
    const char* id;     ///< "noise-margin"
    const char* title;  ///< "Noise margin"
};
const std::vector<QuestionFamily>& question_families();

struct LearnerQuestions {
    int learner = 1;
    std::vector<TestQuestion> questions;
};
struct MissingFamily {
    std::string family, title;
    std::string why;
};
struct QuestionSet {
    std::uint64_t seed = 1;
    std::vector<LearnerQuestions> learners;
    std::vector<TestQuestion> self_test;     ///< of no learner in particular: drawn as learner 0
    std::vector<MissingFamily> missing;  ///< of the first learner who went without
};
inline constexpr int most_learners = 1000;

/// `wiring`: the one that is built. `learners` 1..most_learners.
QuestionSet make_questions(const Bench& bench, const Wiring& wiring, int learners, std::uint64_t seed);

/// RFC 4180, UTF-8, one row a question. With `key` also answers, worked arithmetic and sources.
std::string questions_csv(const QuestionSet& set, bool key);

}  // namespace voltsill
