#include "faults/diagnosis.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "faults/diagnosis_words.h"
#include "faults/next_reading.h"

namespace voltsill {
namespace {

/// Of all pairs of faults together, beside the single ones (common practice, no source).
constexpr double pairs_share = 0.1;

/// Shares less than this are not worth a line.
constexpr double least_share = 1e-3;

class Work {
  public:
    Work(const Dictionary& dictionary, std::span<const Reading> readings, const DiagnosisOptions& options)
        : dictionary_(dictionary),
          readings_(readings),
          options_(options),
          likelihood_(dictionary.questions().bench(), options),
          words_(dictionary, likelihood_, readings),
          log_(dictionary.hypotheses().size()) {}

    Diagnosis run() {
        prior();
        for (std::size_t k = 0; k < readings_.size(); ++k) {
            const std::vector<double> before = normalised();
            take(readings_[k]);
            rule_out(static_cast<int>(k), before);
        }
        out_.share = normalised();
        out_.something_else = something_else_share_;
        find_suspects();
        find_contradictions();
        keep_power_off();
        if (!out_.power_may_harm) cool_down();
        if (out_.something_else < 0.5) out_.next = next(!out_.power_may_harm);
        words_.finish(out_, options_.sure);
        return std::move(out_);
    }

  private:
    int singles() const { return 1 + static_cast<int>(dictionary_.faults().size()); }

    void prior() {
        const auto& all = dictionary_.hypotheses();
        double pairs = 0;
        for (std::size_t h = singles(); h < all.size(); ++h) pairs += all[h].weight;
        const double faulty = 1 - options_.as_planned - options_.something_else;
        const double single = pairs > 0 ? faulty * (1 - pairs_share) : faulty;
        log_[0] = std::log(std::max(options_.as_planned, 1e-300));
        for (std::size_t h = 1; h < all.size(); ++h) {
            const double share = static_cast<int>(h) < singles() ? single * all[h].weight
                                                                 : faulty * pairs_share * all[h].weight / pairs;
            log_[h] = std::log(std::max(share, 1e-300));
        }
        log_something_else_ = std::log(std::max(options_.something_else, 1e-300));
    }

    void take(const Reading& reading) {
        const Question question = dictionary_.questions().all()[reading.question];
        const auto log_of = [&](const Prediction& p) { return std::log(likelihood_.of(reading, question, p)); };
        const double planned = log_of(dictionary_.predict(reading.question, 0));
        for (int h = 0; h < singles(); ++h) log_[h] += planned;
        for (const auto& [h, p] : dictionary_.others(reading.question)) log_[h] += log_of(p) - planned;
        for (std::size_t h = singles(); h < log_.size(); ++h)
            log_[h] += log_of(dictionary_.predict(reading.question, static_cast<int>(h)));
        log_something_else_ += std::log(likelihood_.of_something_else(reading, question));
    }

    std::vector<double> normalised() {
        double top = log_something_else_;
        for (const double l : log_) top = std::max(top, l);
        std::vector<double> share;
        double sum = std::exp(log_something_else_ - top);
        for (const double l : log_) share.push_back(std::exp(l - top)), sum += share.back();
        something_else_share_ = std::exp(log_something_else_ - top) / sum;
        for (double& s : share) s /= sum;
        return share;
    }

    /// A reading rules out what it makes fifty times less likely than what explains it best.
    void rule_out(int k, const std::vector<double>& before) {
        constexpr double clearly = 0.02;
        const Reading& reading = readings_[k];
        const Question question = dictionary_.questions().all()[reading.question];
        std::vector<double> of(before.size());
        const double planned = likelihood_.of(reading, question, dictionary_.predict(reading.question, 0));
        double best = 0;
        for (std::size_t h = 0; h < of.size(); ++h)
            of[h] = static_cast<int>(h) < singles()
                        ? planned
                        : likelihood_.of(reading, question, dictionary_.predict(reading.question, int(h)));
        for (const auto& [h, p] : dictionary_.others(reading.question)) of[h] = likelihood_.of(reading, question, p);
        double most = 0;
        for (std::size_t h = 0; h < of.size(); ++h) best = std::max(best, of[h]), most = std::max(most, before[h]);
        std::vector<int> gone;
        for (std::size_t h = 0; h < of.size(); ++h)
            if (of[h] < clearly * best && before[h] > least_share * most) gone.push_back(static_cast<int>(h));
        std::ranges::stable_sort(gone, [&](int a, int b) { return before[a] > before[b]; });
        words_.ruled_out(out_.ruled_out, k, gone);
    }

    void find_suspects() {
        std::map<int, Suspect> by_group;
        const std::vector<int>& group = dictionary_.alike();
        for (std::size_t h = 0; h < out_.share.size(); ++h) {
            Suspect& suspect = by_group[group[h]];
            suspect.share += out_.share[h];
            if (out_.share[h] > 0) suspect.hypotheses.push_back(static_cast<int>(h));
        }
        for (auto& [leader, suspect] : by_group) {
            if (suspect.share > 1e-12) out_.bits -= suspect.share * std::log2(suspect.share);
            if (suspect.share < least_share) continue;
            std::ranges::stable_sort(suspect.hypotheses,
                                     [&](int a, int b) { return out_.share[a] > out_.share[b]; });
            std::erase_if(suspect.hypotheses, [&](int h) { return out_.share[h] < 1e-6 * suspect.share; });
            words_.describe(suspect);
            out_.suspects.push_back(std::move(suspect));
        }
        std::ranges::stable_sort(out_.suspects, [](const Suspect& a, const Suspect& b) { return a.share > b.share; });
        out_.found = !out_.suspects.empty() && out_.suspects.front().share >= options_.sure;
    }

    /// Two answers to one question that differ by more than the meter; then what the likeliest does not
    /// explain although something else does.
    void find_contradictions() {
        const int count = static_cast<int>(readings_.size());
        for (int k = 0; k < count; ++k)
            if (dictionary_.questions().all()[readings_[k].question].means == Means::voltmeter &&
                likelihood_.beyond(readings_[k]))
                out_.contradictions.push_back({{k}, words_.beyond_supplies(k)});
        for (int a = 0; a < count; ++a)
            for (int b = a + 1; b < count; ++b)
                if (readings_[a].question == readings_[b].question && differ(readings_[a], readings_[b]))
                    out_.contradictions.push_back({{a, b}, words_.two_answers(a, b)});
        if (!out_.contradictions.empty() || count == 0) return;
        const auto fits = [&](int h, int k) {
            return likelihood_.fits(readings_[k], dictionary_.predict(readings_[k].question, h));
        };
        std::vector<int> order(out_.share.size());
        std::iota(order.begin(), order.end(), 0);
        std::ranges::stable_sort(order, [&](int a, int b) { return out_.share[a] > out_.share[b]; });
        constexpr std::size_t looked_at = 20;
        std::vector<int> least(count + 1);
        for (std::size_t i = 0; i < std::min(order.size(), looked_at); ++i) {
            std::vector<int> unexplained;
            for (int k = 0; k < count; ++k)
                if (!fits(order[i], k)) unexplained.push_back(k);
            if (unexplained.size() < least.size()) least = unexplained;
        }
        if (least.empty()) return;
        for (const int k : least) {
            bool alone = fits(0, k);
            for (const auto& [h, p] : dictionary_.others(readings_[k].question))
                alone |= likelihood_.fits(readings_[k], p);
            if (!alone) out_.unexplained.push_back(k);
        }
        if (out_.unexplained.empty()) {
            std::vector<int> all(count);
            std::iota(all.begin(), all.end(), 0);
            out_.contradictions.push_back({all, words_.do_not_fit(least)});
        }
    }
    bool differ(const Reading& a, const Reading& b) const {
        if (a.kind != b.kind) return true;
        if (a.kind != Reading::Kind::value) return false;
        const auto kind = dictionary_.questions().all()[a.question].means == Means::ohmmeter ? Prediction::Kind::ohms
                                                                                             : Prediction::Kind::volts;
        return std::abs(a.value - b.value) > 2 * (likelihood_.error_of(a, kind) + likelihood_.error_of(b, kind));
    }

    /// The likeliest are judged first, since one that harms is enough.
    void keep_power_off() {
        std::vector<int> plausible;
        for (std::size_t h = 1; h < out_.share.size(); ++h)
            if (out_.share[h] > options_.plausible) plausible.push_back(static_cast<int>(h));
        std::ranges::stable_sort(plausible, [&](int a, int b) { return out_.share[a] > out_.share[b]; });
        const auto harm = std::ranges::find_if(plausible, [&](int h) { return dictionary_.may_harm(h); });
        if (harm == plausible.end()) return;
        out_.power_may_harm = true;
        out_.keep_off = words_.keep_off(*harm, out_.share[*harm]);
        out_.hints.keep_off = words_.keep_off_unnamed();
        for (Suspect& suspect : out_.suspects)
            suspect.may_harm = std::ranges::find(suspect.hypotheses, *harm) != suspect.hypotheses.end();
    }

    std::vector<NextReading> next(bool power) const {
        return next_readings(dictionary_, likelihood_, out_.share, readings_, power, options_);
    }
    /// What gets hot stays off as long as looks and ohms tell more (common practice,
    /// no source), whatever harm is known.
    void cool_down() {
        const auto hot = std::ranges::find_if(readings_, [&](const Reading& r) {
            const Question& q = dictionary_.questions().all()[r.question];
            return q.means == Means::behaviour && q.behaviour == Behaviour::runs_hot && r.kind == Reading::Kind::yes;
        });
        if (hot == readings_.end()) return;
        if (out_.something_else < 0.5 && next(false).empty()) return;
        out_.power_may_harm = true;
        out_.keep_off = out_.hints.keep_off = words_.keep_off_hot(dictionary_.questions().all()[hot->question].part);
    }

    const Dictionary& dictionary_;
    std::span<const Reading> readings_;
    const DiagnosisOptions& options_;
    const Likelihood likelihood_;
    DiagnosisWords words_;
    std::vector<double> log_;
    double log_something_else_ = 0, something_else_share_ = 0;
    Diagnosis out_;
};

}  // namespace

Diagnosis diagnose(const Dictionary& dictionary, std::span<const Reading> readings,
                   const DiagnosisOptions& options) {
    return Work(dictionary, readings, options).run();
}

}  // namespace voltsill
