#include "faults/next_reading.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace voltsill {
namespace {

double entropy_term(double p) { return p > 0 ? -p * std::log2(p) : 0; }

/// An answer that can come out, with the share of what predicts it.
struct Outcome {
    Prediction prediction;
    double share = 0;
    int likeliest = -1;
    double likeliest_share = -1;
    void add(int hypothesis, double more) {
        share += more;
        if (more > likeliest_share) likeliest = hypothesis, likeliest_share = more;
    }
};

/// Pairs of faults beyond the heaviest few tell nothing new about a single question.
constexpr int most_pairs = 200;

std::vector<Outcome> outcomes_of(const Dictionary& dictionary, int question, const std::vector<double>& share,
                                 const std::vector<int>& pairs) {
    const Dictionary::Answers& answers = dictionary.answers(question);
    std::vector<Outcome> out;
    for (const Prediction& p : answers.distinct) out.push_back({.prediction = p});
    const int singles = 1 + static_cast<int>(dictionary.faults().size());
    const auto& others = dictionary.others(question);
    std::size_t next = 0;
    for (int h = 0; h < singles; ++h) {
        const bool other = next < others.size() && others[next].first == h;
        out[other ? answers.of_other[next++] : 0].add(h, share[h]);
    }
    for (const int h : pairs) {
        out.push_back({.prediction = dictionary.predict(question, h)});
        out.back().add(h, share[h]);
    }
    std::erase_if(out, [](const Outcome& o) { return o.share < 1e-9; });
    return out;
}

double bits_of(const std::vector<Outcome>& outcomes, const Likelihood& likelihood) {
    if (outcomes.size() < 2) return 0;
    const Prediction::Kind kind = outcomes.front().prediction.kind;
    std::vector<double> edges;
    std::vector<int> sights;
    for (const Outcome& o : outcomes)
        for (const int sight : o.prediction.sights)
            if (sight >= 0) sights.push_back(sight);
    std::ranges::sort(sights);
    sights.erase(std::unique(sights.begin(), sights.end()), sights.end());
    if (kind != Prediction::Kind::chance) {
        const auto [bottom, top] = likelihood.scale(kind);
        edges = {bottom, top};
        for (const Outcome& o : outcomes) {
            for (const auto& [lo, hi] : likelihood.ends(o.prediction)) edges.push_back(lo), edges.push_back(hi);
        }
        std::ranges::sort(edges);
        edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
    }
    std::vector<double> mixture;
    double inside = 0, sum = 0;
    for (const Outcome& o : outcomes) {
        const std::vector<double> chances = sights.empty() ? likelihood.chances(o.prediction, edges)
                                                           : likelihood.chances_of_sights(o.prediction, sights);
        mixture.resize(chances.size());
        double own = 0;
        for (std::size_t k = 0; k < chances.size(); ++k)
            mixture[k] += o.share * chances[k], own += entropy_term(chances[k]);
        inside += o.share * own, sum += o.share;
    }
    if (sum <= 0) return 0;
    double whole = 0;
    for (const double m : mixture) whole += entropy_term(m / sum);
    return std::max(0.0, whole - inside / sum);
}

std::vector<int> heaviest_pairs(const Dictionary& dictionary, const std::vector<double>& share) {
    std::vector<int> pairs;
    for (std::size_t h = 1 + dictionary.faults().size(); h < dictionary.hypotheses().size(); ++h)
        if (share[h] > 1e-4) pairs.push_back(static_cast<int>(h));
    std::ranges::stable_sort(pairs, [&](int a, int b) { return share[a] > share[b]; });
    if (std::ssize(pairs) > most_pairs) pairs.resize(most_pairs);
    return pairs;
}

std::string answer_of(const Questions& questions, int question, const Prediction& p) {
    if (p.sights[0] < 0) return questions.all()[question].means == Means::eye ? "as planned" : words(p);
    return questions.sight_words(questions.all()[question], p.sights[0]);
}

std::vector<std::string> sights_of(const Questions& questions, int question, const std::vector<Outcome>& outcomes) {
    constexpr std::size_t most = 12;
    std::vector<std::string> out;
    for (const Outcome& o : outcomes)
        for (const int sight : o.prediction.sights)
            if (out.size() < most && sight >= 0) {
                std::string seen = questions.sight_words(questions.all()[question], sight);
                if (std::ranges::find(out, seen) == out.end()) out.push_back(std::move(seen));
            }
    return out;
}

std::string why(const Dictionary& dictionary, int question, const std::vector<Outcome>& outcomes) {
    std::vector<std::string> said;
    std::set<std::string> met;
    const bool looked = dictionary.questions().all()[question].means == Means::eye;
    const std::string planned = answer_of(dictionary.questions(), question, dictionary.predict(question, 0));
    for (const Outcome& o : outcomes) {
        const std::string answer = answer_of(dictionary.questions(), question, o.prediction);
        if (said.size() == 3 || !met.insert(answer).second || o.likeliest < 0) continue;
        said.push_back(fmt::format("{}{}: {}", answer, answer == planned && !looked ? ", as planned" : "",
                                   dictionary.words(o.likeliest)));
    }
    if (!met.contains(planned)) said.push_back(fmt::format("as planned it is {}", planned));
    return fmt::format("{}", fmt::join(said, "; "));
}

/// A look at several things takes as long as a look, and a tenth of it more for each wire (common practice, no source).
double effort_of(const Questions& questions, const Question& q, const DiagnosisOptions& options) {
    const auto found = options.effort.find(q.means);
    const double effort = found == options.effort.end() ? 1 : found->second;
    return q.around ? effort * (1 + 0.1 * static_cast<double>(questions.wires_in(q).size())) : effort;
}

double worth(const NextReading& next) { return next.bits / next.effort; }

/// The best `size` of all, but the best of each means before the second of any: a list of voltmeter readings alone
/// would hide the look that tells as much in a tenth of the time.
class Shortlist {
  public:
    explicit Shortlist(std::size_t size) : size_(size) {}

    /// Something of this means that is worth `most` could stand on the list.
    bool has_room(Means means, double most) const {
        if (best_.size() < size_ || most > worth(best_.back())) return true;
        const auto found = of_means_.find(means);
        return size_ > 1 && (found == of_means_.end() || most > worth(found->second));
    }
    void add(Means means, const NextReading& next) {
        const auto found = of_means_.try_emplace(means, next).first;
        if (worth(next) > worth(found->second)) found->second = next;
        insert(best_, next);
        if (best_.size() > size_) best_.pop_back();
    }
    /// Best first.
    std::vector<NextReading> chosen() const {
        std::vector<NextReading> out;
        for (const auto& [means, next] : of_means_) insert(out, next);
        if (out.size() > size_) out.resize(size_);
        std::set<int> chosen;
        for (const NextReading& next : out) chosen.insert(next.question);
        for (const NextReading& next : best_)
            if (out.size() < size_ && chosen.insert(next.question).second) insert(out, next);
        return out;
    }

  private:
    static void insert(std::vector<NextReading>& to, const NextReading& next) {
        to.insert(std::ranges::upper_bound(to, worth(next), std::ranges::greater{}, worth), next);
    }
    std::size_t size_;
    std::vector<NextReading> best_;           ///< of all, best first
    std::map<Means, NextReading> of_means_;   ///< the best of each
};

}  // namespace

double expected_bits(const Dictionary& dictionary, const Likelihood& likelihood, int question,
                     const std::vector<double>& share) {
    return bits_of(outcomes_of(dictionary, question, share, heaviest_pairs(dictionary, share)), likelihood);
}

std::vector<NextReading> next_readings(const Dictionary& dictionary, const Likelihood& likelihood,
                                       const std::vector<double>& share, std::span<const Reading> taken,
                                       bool power, const DiagnosisOptions& options) {
    /// A reading of less is not worth the walk to the bench.
    constexpr double least_bits = 0.02;
    if (options.next <= 0) return {};
    const auto& questions = dictionary.questions().all();
    std::set<int> asked;
    for (const Reading& reading : taken) asked.insert(reading.question);
    // What was seen not to be as planned is put right; another look that meets it as well tells nothing of the rest.
    const auto seen_wrong = [&](int question) {
        return std::ranges::any_of(taken, [&](const Reading& r) {
            const Question& look = questions[r.question];
            const bool one = look.means == Means::eye && r.kind == Reading::Kind::no && !look.around;
            return one && dictionary.questions().sees(questions[question], look.wire, look.wire < 0 ? look.part : -1);
        });
    };
    struct Candidate {
        int question;
        double effort, most;  ///< most: no answer can tell more per effort
    };
    std::vector<Candidate> candidates;
    std::vector<double> of_answer;
    for (const int q : dictionary.worth_asking()) {
        if (asked.contains(q) || seen_wrong(q) || (!power && needs_power(questions[q]))) continue;
        if (std::ranges::find(options.means, questions[q].means) == options.means.end()) continue;
        const Dictionary::Answers& answers = dictionary.answers(q);
        const auto& others = dictionary.others(q);
        of_answer.assign(answers.distinct.size(), 0.0);
        double moved = 0, largest = 0;
        for (std::size_t k = 0; k < others.size(); ++k) {
            if (answers.of_other[k] == 0) continue;
            of_answer[answers.of_other[k]] += share[others[k].first], moved += share[others[k].first];
        }
        for (std::size_t k = 1; k < of_answer.size(); ++k) largest += entropy_term(of_answer[k]);
        const double cost = effort_of(dictionary.questions(), questions[q], options);
        candidates.push_back({q, cost, (largest + entropy_term(std::clamp(1 - moved, 0.0, 1.0))) / cost});
    }
    std::ranges::stable_sort(candidates, [](const Candidate& a, const Candidate& b) { return a.most > b.most; });
    const std::vector<int> pairs = heaviest_pairs(dictionary, share);
    Shortlist list(static_cast<std::size_t>(options.next));
    for (const Candidate& c : candidates) {
        const Means means = questions[c.question].means;
        if (pairs.empty() && (c.most * c.effort < least_bits || !list.has_room(means, c.most))) continue;
        const double bits = bits_of(outcomes_of(dictionary, c.question, share, pairs), likelihood);
        if (bits >= least_bits) list.add(means, {.question = c.question, .bits = bits, .effort = c.effort});
    }
    std::vector<NextReading> best = list.chosen();
    for (NextReading& next : best) {
        next.words = dictionary.questions().words(next.question);
        next.how = dictionary.questions().how(next.question);
        std::vector<Outcome> outcomes = outcomes_of(dictionary, next.question, share, pairs);
        std::ranges::stable_sort(outcomes, [](const Outcome& a, const Outcome& b) { return a.share > b.share; });
        next.sights = sights_of(dictionary.questions(), next.question, outcomes);
        next.why = why(dictionary, next.question, outcomes);
    }
    return best;
}

}  // namespace voltsill
