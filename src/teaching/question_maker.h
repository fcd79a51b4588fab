#pragma once
/// What families of questions draw from: the bench with other rail tolerances, its crossings, and interface
/// circuits on one crossing, each judged once and kept.
///
///     variation v, rail k: nominal ± tolerances[(v + 2 k) mod 5],   tolerances 1 % to 5 %
///
/// Five variations, so that many learners share what was judged. No tolerance is above 5 %: what supplies of
/// this kind promise (common practice), and within what parts for 5 V, 3.3 V and 1.8 V are made for.
#include <expected>
#include <map>
#include <memory>

#include "judging/link_readings.h"
#include "placement/random.h"
#include "planning/evaluate.h"
#include "teaching/question.h"

namespace voltsill {

inline constexpr int rail_variations = 5;
inline constexpr double rail_tolerances[] = {0.01, 0.02, 0.03, 0.04, 0.05};

template <class T>
const T& one_of(Random& random, const std::vector<T>& items) {
    return items[static_cast<std::size_t>(random.below(static_cast<int>(items.size())))];
}
/// Fisher and Yates, from the end (D. E. Knuth, TAOCP 2, 3.4.2, algorithm P, from memory).
template <class T>
void shuffle(Random& random, std::vector<T>& items) {
    for (std::size_t k = items.size(); k > 1; --k)
        std::swap(items[k - 1], items[static_cast<std::size_t>(random.below(static_cast<int>(k)))]);
}

/// A bench with other tolerances, and its crossings.
struct VariedBench {
    int variation = 0;  ///< by which its builds are kept
    Bench bench;
    std::vector<Crossing> crossings;
};

/// An interface circuit on one crossing, judged.
struct JudgedBuild {
    CasePtr solved;
    std::optional<Finding> worst;  ///< about the link or what was added
    Verdict verdict() const { return worst ? worst->verdict : Verdict::safe; }
    const LinkJudgement& link() const { return solved->judgement.links[0]; }
};

class QuestionMaker {
  public:
    /// Both must outlive this. `wiring`: the one that is built; its parts are asked about first.
    QuestionMaker(const Bench& bench, const Wiring& wiring) : bench_(bench), wiring_(wiring) {}

    const Bench& bench() const { return bench_; }
    const Wiring& wiring() const { return wiring_; }
    const VariedBench& varied(int variation);
    /// The same with every rail from a supply of its own, so that each can be off while the others stay on.
    const VariedBench& varied_apart(int variation);
    /// Kept by variation, link, rails of the ends, title of the recipe and channel.
    const JudgedBuild& judged(const VariedBench& varied, const Crossing& crossing, const Recipe& recipe,
                              int channel = 0);
    /// The whole wiring with other tolerances, and its readings along links.
    struct Read {
        CasePtr solved;
        std::vector<LinkReading> readings;
    };
    const Read& read(int variation);

  private:
    const Bench& bench_;
    const Wiring& wiring_;
    const VariedBench& made(int variation, bool apart);

    std::map<int, std::unique_ptr<VariedBench>> varied_;
    std::map<std::string, JudgedBuild> judged_;
    std::map<int, Read> read_;
};

/// A question, or one sentence why there is none.
using Drawn = std::expected<TestQuestion, std::string>;
Drawn draw_noise_margin(QuestionMaker& maker, Random& random);
Drawn draw_divider_pair(QuestionMaker& maker, Random& random);
Drawn draw_divider_level(QuestionMaker& maker, Random& random);
Drawn draw_pull_up(QuestionMaker& maker, Random& random);
Drawn draw_channel_pin(QuestionMaker& maker, Random& random);
Drawn draw_reading(QuestionMaker& maker, Random& random);
Drawn draw_letters(QuestionMaker& maker, Random& random);
Drawn draw_rail_off(QuestionMaker& maker, Random& random);

// What families share.

/// Room to every limit of an option that is right, and how far one that is wrong is out; those in between are
/// not offered.
inline constexpr double clear_room = 0.05, clearly_wrong = 0.1;  // V

/// Crossings of one-way links from an output that pushes both ways to inputs on one other rail.
std::vector<const Crossing*> pushed_crossings(const VariedBench& varied);
/// Buffers of the catalogue that stand on the receiver's rail of a crossing, whatever the drawer holds.
/// `function` empty: all.
std::vector<Recipe> buffer_recipes(const Crossing& crossing, std::string_view function = {});
Recipe direct_recipe();
Recipe divider_recipe(const Crossing& crossing, double upper, double lower);
/// The rail a pin's levels follow in this wiring; null: none.
const Rail* rail_of(const QuestionCase& solved, const WiredPart& part, const Pin& pin);
/// How near a finding comes to its limit, V; none where it is no voltage.
std::optional<double> distance_of(const Finding& finding);
/// Least room of a build that works: margins and headroom below the absolute maximum at its receivers, V.
double room_of(const JudgedBuild& build);
/// What the judge says, with the arithmetic.
std::string said(const Finding& finding);
std::string source_of(const Provenance& origin);
/// Adds a source that is not there yet.
void cite(TestQuestion& question, const Provenance& origin);
/// "Rail usb: 5 V ± 4 %."
std::string rail_sentence(const Rail& rail);
/// Volts to the millivolt, as given in questions: "2.936 V"; and the number that stands there.
std::string in_millivolts(double volts);
double to_millivolts(double volts);
/// Shuffles, gives letters and the distance; false unless exactly one is right and no two read alike.
bool settle_options(TestQuestion& question, Random& random);
/// The distance to the nearest wrong way; false when one lies within twice the tolerance.
bool settle_number(TestQuestion& question);

}  // namespace voltsill
