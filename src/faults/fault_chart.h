#pragma once
/// The fault chart of a build: what people say of it, the readings to take first, and what each answer means.
///
/// Symptoms are those of this build, the likeliest first, by how much likelier a fault makes them:
///
///     weight(symptom) = sum over faults of share(fault) * max(0, P(symptom | fault) - P(symptom | as planned))
///
/// The readings of a symptom are those that `diagnose` asks for, best first by information per effort, as long as
/// each comes out as planned: the first that does not tells where to look. Answers that no meter tells apart are
/// one; every number is a prediction of the dictionary.
#include <string>
#include <vector>

#include "faults/diagnosis.h"

namespace voltsill {

/// Faults that no meter tells apart, under the words of the likeliest.
struct ChartCause {
    int hypothesis = -1;
    std::string words;
    double share = 0;  ///< of all faults, after the symptom and the answers so far
};

/// An answer that is not as planned.
struct ChartAnswer {
    Prediction reads;   ///< over the causes listed
    std::string words;  ///< the part of it that the planned answer leaves free, or what a look shows
    double share = 0;
    std::vector<ChartCause> causes;  ///< likeliest first
    int more = 0;                    ///< causes that are not listed
};

struct ChartReading {
    int question = -1;
    Means means{};
    std::string how;     ///< what to do, for whoever holds the meter
    Prediction planned;
    std::string words;  ///< of `planned`
    std::vector<ChartAnswer> answers;  ///< likeliest first
};

struct ChartRow {
    Reading said;                    ///< the symptom as a reading
    std::string symptom;             ///< "tank echo does not work"
    std::string keep_off;            ///< why the power stays off at first; empty: it need not
    std::vector<ChartCause> causes;  ///< likeliest first
    std::vector<ChartReading> readings;  ///< in the order in which to take them
};

struct FaultChart {
    int faults = 0;  ///< thought of
    std::vector<ChartRow> rows;
};

struct FaultChartOptions {
    std::size_t rows = 9, readings = 3, answers = 3, causes = 3;  ///< at most
    std::function<bool(int done, int all)> progress;              ///< of rows; false ends early
};

/// The dictionary gets questions more.
FaultChart fault_chart(Dictionary& dictionary, const FaultChartOptions& options = {});

/// "as the sheet has it", "in 19x", "3.20..3.36 V", "open", "drifts".
std::string answer_words(const Questions& questions, int question, const Prediction& prediction);

/// By what an answer can be told from the planned one: 0.02..0.15 V where 0.06..0.29 V is planned by 0.02..0.06 V
/// alone, since who reads 0.1 V reads what is planned. As it is where nothing is left of it, or no window holds it.
Prediction outside_of(const Prediction& reads, const Prediction& planned);

}  // namespace voltsill
