#pragma once
/// The dictionary: what every question would answer under every fault.
///
///     answer(question, fault) = reading of the wiring that the fault makes
///
/// Only what a fault can reach is solved anew (judging/cut.h); everywhere else the good build's answer
/// holds and no entry is kept. Networks that were met before are not solved again, whether in another
/// fault or in a build before an edit: entries are a function of content, so `DictionaryMemory` may be
/// handed from one dictionary to the next.
///
/// Volts come from judging/settled_levels.h with the range over tolerances. Ohms between points of one
/// net are those of contacts; between nets they are bounded by Rayleigh's monotonicity law (shorting
/// everything beyond a net leaves its own conductances, cutting everything leaves those across; P. G. Doyle,
/// J. L. Snell, Random Walks and Electric Networks, 1984, section 2.2, from memory):
///
///     1 / min(sum of conductances at a, at b)  <=  R  <=  1 / sum of conductances from a to b
#include <array>
#include <functional>
#include <memory>
#include <span>

#include "faults/fault.h"
#include "faults/observation.h"

namespace voltsill {

/// What a question would answer.
struct Prediction {
    enum class Kind {
        volts,
        ohms,
        seconds,
        chance,  ///< of yes
    } kind = Kind::volts;
    double lo = 0, nominal = 0, hi = 0;  ///< V, Ω, s
    double gap_lo = 0, gap_hi = 0;       ///< volts lie outside of this, on either side alike; equal: no gap
    bool floats = false;                 ///< nothing defines it: any reading, most likely one that drifts
    bool may_float = false;              ///< it floats, or lies in its windows: nobody knows which
    bool known = true;                   ///< false: it could not be computed; anything may be read
    double yes = 0;                      ///< chance
    std::array<int, 2> sights{-1, -1};   ///< of a look: what it shows where it is not as planned; -1: nothing
};
/// "3.20..3.36 V", "0.00..0.03 V or 3.20..3.36 V", "drifts", "open", "yes".
std::string words(const Prediction& prediction);

/// What was solved before. For one dictionary at a time.
struct DictionaryMemory;
std::shared_ptr<DictionaryMemory> dictionary_memory();

/// Whether a meter with this error (± V, and ± share of the value) tells two answers apart: their windows,
/// widened by it, have less than half of their union in common (ohms on a scale of decades).
bool told_apart(const Prediction& a, const Prediction& b);

struct DictionaryOptions {
    int threads = 1;                                  ///< the result is the same for any number
    std::function<bool(int done, int all)> progress;  ///< faults; false ends early: the rest is left out
    std::shared_ptr<DictionaryMemory> memory;
};

/// A fault, or two at once.
struct Hypothesis {
    int first = -1, second = -1;  ///< indices of `faults`; -1 and -1: the build as planned
    double weight = 0;
};

/// The windows a reading may lie in, one or two, each as likely.
inline std::vector<std::pair<double, double>> windows_of(const Prediction& p) {
    if (p.gap_lo >= p.gap_hi) return {{p.lo, p.hi}};
    return {{p.lo, p.gap_lo}, {p.gap_hi, p.hi}};
}

class Dictionary {
  public:
    /// Bench and build must outlive it.
    Dictionary(const Bench& bench, const PlacedWiring& build, std::vector<Fault> faults,
               DictionaryOptions options = {});
    ~Dictionary();

    const std::vector<Fault>& faults() const;
    /// Hypothesis 0 is the build as planned; those after it are the faults in order, then pairs.
    const std::vector<Hypothesis>& hypotheses() const;
    std::string words(int hypothesis) const;
    std::string remedy(int hypothesis) const;
    /// The judge finds harm, or cannot exclude it, when a build with this is powered.
    bool may_harm(int hypothesis) const;
    bool cancelled() const;
    int solved() const;  ///< networks that were not in memory

    Questions& questions();
    const Questions& questions() const;

    Prediction predict(int question, int hypothesis) const;
    /// Single faults that answer otherwise than the build as planned, by hypothesis.
    const std::vector<std::pair<int, Prediction>>& others(int question) const;
    /// Answers to a question that are one for a meter, the first that of the build as planned; and of each of
    /// `others` which it is.
    struct Answers {
        std::vector<Prediction> distinct;
        std::vector<int> of_other;
    };
    const Answers& answers(int question) const;
    /// Questions whose answers differ between faults: what is worth asking.
    const std::vector<int>& worth_asking() const;

    /// Pairs of the heaviest faults as hypotheses, at most `most` of them. Pairs that share nothing are
    /// put together from their parts; the others are solved. Returns how many pairs were left out.
    long long add_pairs(int most);

    /// Groups of hypotheses that no meter and no scope tells apart, by hypothesis: the number of the first
    /// of its group.
    const std::vector<int>& alike() const;

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace voltsill
