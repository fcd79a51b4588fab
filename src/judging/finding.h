#pragma once
/// A finding: one number against one limit, with both sources, in the state where it is worst.
/// A verdict: what the findings of a link (or part, or rail) come to.
#include <optional>
#include <string>
#include <vector>

#include "quantity/dimension.h"
#include "quantity/figure.h"
#include "wiring/wiring.h"

namespace voltsill {

/// In the order in which they win: harmful, unreadable, unknown, thin, safe.
enum class Verdict { safe, thin, unknown, unreadable, harmful };
std::string_view to_word(Verdict verdict);
std::string_view to_sign(Verdict verdict);  ///< one character that needs no colour
inline Verdict worse(Verdict a, Verdict b) { return a > b ? a : b; }

struct Evidence {
    double value = 0;
    Provenance origin;
    std::string what;  ///< "VOH min of gauge.ECHO at 4 mA"
};

struct Finding {
    std::string code;                 ///< stable, kebab-case; table in docs/findings.md
    Verdict verdict = Verdict::safe;  ///< what this finding alone makes of the link
    std::string link;                 ///< empty: belongs to a part or rail
    std::string part, pin;            ///< where; may be empty
    std::string net;
    Dimension dimension = Dimension::voltage;  ///< of value and limit
    std::optional<Evidence> value, limit;
    double margin = 0;        ///< > 0 good; in the finding's dimension
    std::string state;        ///< "usb down, gauge.ECHO high"
    std::string corner;       ///< "usb 5.25 V, R1 low": empty when nothing varies
    bool bound_exact = true;  ///< worst case proven, not only searched
    std::string sentence;     ///< for a learner
    std::string arithmetic;   ///< "5.25 V - 3.6 V = 1.65 V over"
    std::string advice;       ///< what to do or measure
};

/// What a receiver sees for one level of the link: for the level chart.
struct LevelBand {
    std::string point;  ///< pin label
    bool high = false;
    double lo = 0, nominal = 0, hi = 0;
    std::optional<double> threshold;             ///< VIH min or VIL max there
    std::optional<double> limit_max, limit_min;  ///< absolute maximum there
    Certainty certainty = Certainty::unknown;
    bool floats = false;  ///< nothing defines it: the voltages are what leakage may make of it
};

struct LinkJudgement {
    std::string link;
    Verdict verdict = Verdict::safe;
    std::vector<int> findings;                      ///< indices into Judgement::findings, worst first
    std::vector<LevelBand> levels;                  ///< driver first, then every reader
    std::optional<double> high_margin, low_margin;  ///< worst, V
    bool inverted = false;
};

struct StateReading {
    std::string point;  ///< pin label
    std::string net, state;
    double lo = 0, nominal = 0, hi = 0;  ///< volts against ground
    char level = 'X';                    ///< '0' '1' 'X' 'Z'
};

struct Judgement {
    Verdict verdict = Verdict::safe;
    std::vector<Finding> findings;
    std::vector<LinkJudgement> links;
    std::vector<int> shared;  ///< findings of parts and rails, worst first
    int states_solved = 0;
    std::string trouble;  ///< a network that did not converge: which node, which state
};

/// The one function that turns a wiring into findings.
Judgement judge(const Bench& bench, const Wiring& wiring);

/// Expected steady readings at every pin on a net, state by state: each link high, low and
/// released with all rails up, and every rail down alone.
std::vector<StateReading> readings(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
