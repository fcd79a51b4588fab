#pragma once
/// A question whose answer is computed from this bench, and the wirings that were judged to find it.
///
/// Two kinds:
///   numeric   a number; right within `tolerance`, which holds the rounding of the worked answer and none of
///             the wrong ways that are known (the nominal rail in place of the worst one, resistors swapped)
///   choice    options, each of them judged as a wiring or read at a point; exactly one is right, and
///             `distance` says how far the nearest number stands from the limit that decides
///
/// Nothing here is a voltage of its own making: every number comes from judge() or readings() of a bench
/// that is varied (rails, values, parts) and judged again.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "judging/finding.h"
#include "quantity/dimension.h"

namespace voltsill {

/// A wiring that was judged for a question, with its bench.
struct QuestionCase {
    Bench bench;
    Wiring wiring;
    Judgement judgement;
};
using CasePtr = std::shared_ptr<const QuestionCase>;

struct QuestionOption {
    std::string letter;  ///< "A"
    std::string text;
    bool right = false;
    std::string why;                 ///< for the key: what the judge says
    std::optional<double> distance;  ///< of the number that decides from its limit, V; none: no path at all
    CasePtr solved;                  ///< the wiring of this option; null: a window of the question's wiring
    double lo = 0, hi = 0;           ///< V, of a window
};

/// A result that somebody gets who goes wrong in a known way.
struct WrongPath {
    std::string how;
    double value = 0;  ///< SI
};

struct NumericAnswer {
    Dimension dimension = Dimension::voltage;
    double value = 0, tolerance = 0;  ///< SI
    std::string unit;                 ///< in which it is asked: "V", "kΩ"
    double unit_size = 1;             ///< SI of one unit
    int decimals = 2;                 ///< asked for
    std::vector<WrongPath> wrong;
};

/// A number as the question gives it, SI, by the letter it has in the key's arithmetic.
struct GivenFigure {
    std::string symbol;
    double value = 0;
};

struct TestQuestion {
    std::string family;  ///< "noise-margin"
    std::string title;   ///< "Noise margin"
    std::string link, point;
    std::vector<std::string> given;  ///< sentences
    std::string text;
    std::vector<QuestionOption> options;   ///< of a choice, in order of their letters
    std::optional<NumericAnswer> numeric;  ///< of the other kind
    std::vector<GivenFigure> figures;      ///< behind the given sentences
    std::string arithmetic;                ///< the worked answer
    std::vector<std::string> sources;
    double distance = 0;  ///< V (numeric: in its dimension): to the nearest wrong option or wrong way
    CasePtr solved;       ///< what was judged; of a choice among wirings: that of the right option
};

/// "0.87 V" as the key prints the answer of a numeric question.
std::string answer_words(const NumericAnswer& answer);
/// The letter of the right option; empty: none.
std::string right_letter(const TestQuestion& question);

}  // namespace voltsill
