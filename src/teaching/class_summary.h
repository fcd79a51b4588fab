#pragma once
/// What a class has done: which mistake how often, where, at which gate; and how the marks lie.
///
/// Quartiles by linear interpolation between order statistics: definition 7 of R. J. Hyndman and Y. Fan,
/// "Sample quantiles in statistical packages", The American Statistician 50 (1996) 361-365.
#include "teaching/marking.h"

namespace voltsill {

struct MarkStatistics {
    int count = 0;
    double mean = 0, lowest = 0, lower_quartile = 0, median = 0, upper_quartile = 0, highest = 0;
};
/// Of no values: all 0.
MarkStatistics statistics_of(std::vector<double> values);

struct MistakeCount {
    std::string words;
    MistakeKind kind{};
    int learners = 0;  ///< who made it
    Verdict harm = Verdict::safe;
    std::vector<std::string> links;
    int gate = 0;
};
struct NamedCount {
    std::string name;
    int learners = 0;
};
struct CriterionStatistics {
    std::string id, words;
    double of = 0;
    MarkStatistics points;  ///< of those that are marked
    int open = 0;
};

struct ClassSummary {
    int learners = 0, unreadable = 0, without_mistake = 0, stopped = 0;
    MarkStatistics points;  ///< of readable builds; open points count as none
    double of = 0;
    std::vector<CriterionStatistics> criteria;
    std::vector<MistakeCount> mistakes;  ///< most frequent first
    std::vector<NamedCount> kinds, links, gates, problems;
};
ClassSummary summary_of(std::span<const MarkedBuild> builds, const Rubric& rubric);

struct MarkedClass {
    std::vector<MarkedBuild> builds;
    ClassSummary summary;
    std::string title, rubric_title, rubric_version;  ///< title: of the bench
    bool anonymous = false;
};
MarkedClass class_of(const PreparedMarking& prepared, std::vector<MarkedBuild> builds);

}  // namespace voltsill
