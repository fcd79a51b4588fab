#include "faults/fault_chart.h"

#include <algorithm>
#include <map>

#include "judging/power_off.h"

namespace voltsill {
namespace {

/// Rarer than this among all faults a symptom is not worth a row.
constexpr double rarest_symptom = 0.002;

/// An answer with less than this share of what is not as planned is left to the diagnosis.
constexpr double rarest_answer = 0.03;

/// Readings of which the first that tells something on paper is taken.
constexpr int offered = 8;

struct Symptom {
    Reading said;
    double weight = 0;
    Behaviour what{};
};

/// How many rows of a kind there are at most: links fail in one way and in many places.
std::size_t most_of(Behaviour what) { return what == Behaviour::link_works ? 5 : 1; }

double weight_of(const Dictionary& dictionary, int question, bool yes) {
    const auto chance = [&](const Prediction& p) { return !p.known ? 0.0 : yes ? p.yes : 1 - p.yes; };
    const double planned = chance(dictionary.predict(question, 0));
    double sum = 0;
    for (const auto& [h, p] : dictionary.others(question))
        sum += dictionary.hypotheses()[h].weight * std::max(0.0, chance(p) - planned);
    return sum;
}

/// The link that a slow edge harms first: of those that a resistor pulls up the fastest, else the fastest of all.
/// To follow the edges of every link under every fault would take minutes, and one row is all that is printed.
int hastiest_link(const Bench& bench) {
    const auto haste = [](const Link& link) {
        const bool pulled = link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way;
        return std::pair(link.rate.has_value() && pulled, link.rate ? link.rate->si() : 0.0);
    };
    const auto most = std::ranges::max_element(bench.links, {}, haste);
    return most == bench.links.end() || !most->rate ? -1 : static_cast<int>(most - bench.links.begin());
}

std::vector<Symptom> symptoms_of(Dictionary& dictionary) {
    Questions& questions = dictionary.questions();
    std::vector<Symptom> out;
    const auto consider = [&](Behaviour what, int of) {
        const bool yes = what != Behaviour::link_works;
        const int question = questions.behaviour(what, of);
        out.push_back({{.question = question, .kind = yes ? Reading::Kind::yes : Reading::Kind::no},
                       weight_of(dictionary, question, yes), what});
    };
    consider(Behaviour::nothing_works, -1);
    for (std::size_t l = 0; l < questions.bench().links.size(); ++l)
        for (const Behaviour what : {Behaviour::link_works, Behaviour::works_when_touched, Behaviour::analyser_clean,
                                     Behaviour::works_alone})
            consider(what, static_cast<int>(l));
    if (const int link = hastiest_link(questions.bench()); link >= 0) consider(Behaviour::slow_only, link);
    for (std::size_t p = 0; p < questions.build().wiring.parts.size(); ++p)
        consider(Behaviour::runs_hot, static_cast<int>(p));
    std::erase_if(out, [](const Symptom& s) { return s.weight < rarest_symptom; });
    std::ranges::stable_sort(out, std::ranges::greater{}, &Symptom::weight);
    return out;
}

/// What a meter shows where nothing is wrong.
Reading as_planned(int question, const Prediction& planned) {
    Reading out{.question = question, .value = planned.nominal};
    if (planned.kind == Prediction::Kind::chance)
        out.kind = planned.yes >= 0.5 ? Reading::Kind::yes : Reading::Kind::no;
    if (planned.kind == Prediction::Kind::ohms && planned.lo >= meter_open.si()) out.kind = Reading::Kind::open;
    if (planned.floats) out.kind = Reading::Kind::drifts;
    return out;
}

void widen(Prediction& to, const Prediction& by) {
    to.lo = std::min(to.lo, by.lo), to.hi = std::max(to.hi, by.hi);
}

/// One row on its way.
class RowMaker {
  public:
    RowMaker(const Dictionary& dictionary, const FaultChartOptions& options)
        : dictionary_(dictionary), options_(options) {}

    ChartRow row(const Symptom& symptom) const {
        ChartRow out{.said = symptom.said, .symptom = words_of(symptom)};
        std::vector<Reading> taken{symptom.said};
        DiagnosisOptions how{.next = offered};
        if (symptom.what == Behaviour::runs_hot) {
            how.means = {Means::eye, Means::ohmmeter};
            out.keep_off = "What gets hot is switched off at once, and stays off until it is found.";
        }
        while (out.readings.size() < options_.readings) {
            const Diagnosis d = diagnose(dictionary_, taken, how);
            if (out.readings.empty()) {
                if (d.power_may_harm && out.keep_off.empty()) out.keep_off = d.keep_off;
                out.causes = causes(d, hypotheses_but_planned());
            }
            const auto reading = first_telling(d);
            if (!reading) break;
            taken.push_back(as_planned(reading->question, reading->planned));
            out.readings.push_back(*reading);
        }
        return out;
    }

  private:
    std::string words_of(const Symptom& symptom) const {
        const Questions& questions = dictionary_.questions();
        if (symptom.what == Behaviour::link_works)
            return questions.bench().links[questions.all()[symptom.said.question].link].name + " does not work";
        return questions.words(symptom.said.question);
    }

    std::vector<int> hypotheses_but_planned() const {
        std::vector<int> out;
        for (int h = 1; h <= std::ssize(dictionary_.faults()); ++h) out.push_back(h);
        return out;
    }

    /// By group of those that no meter tells apart, likeliest first; all of them.
    std::vector<ChartCause> grouped(const Diagnosis& d, const std::vector<int>& hypotheses) const {
        std::map<int, ChartCause> groups;
        std::map<int, double> best;
        for (const int h : hypotheses) {
            ChartCause& cause = groups[dictionary_.alike()[h]];
            cause.share += d.share[h];
            double& most = best.try_emplace(dictionary_.alike()[h], -1.0).first->second;
            if (d.share[h] > most) most = d.share[h], cause.hypothesis = h;
        }
        std::vector<ChartCause> out;
        for (auto& [group, cause] : groups) out.push_back(std::move(cause));
        std::ranges::stable_sort(out, std::ranges::greater{}, &ChartCause::share);
        return out;
    }

    std::vector<ChartCause> causes(const Diagnosis& d, const std::vector<int>& hypotheses) const {
        std::vector<ChartCause> out = grouped(d, hypotheses);
        if (out.size() > options_.causes) out.resize(options_.causes);
        for (ChartCause& cause : out) cause.words = dictionary_.words(cause.hypothesis);
        return out;
    }

    /// Faults by the answer they give, those a meter takes for the planned one left out.
    std::vector<ChartAnswer> answers(const Diagnosis& d, int question) const {
        const Dictionary::Answers& all = dictionary_.answers(question);
        const auto& others = dictionary_.others(question);
        struct Cluster {
            const Prediction* like;
            double share = 0;
            std::vector<int> hypotheses;
        };
        std::vector<Cluster> by_answer(all.distinct.size());
        for (std::size_t k = 0; k < others.size(); ++k) {
            Cluster& cluster = by_answer[all.of_other[k]];
            cluster.share += d.share[others[k].first];
            cluster.hypotheses.push_back(others[k].first);
        }
        for (std::size_t a = 0; a < by_answer.size(); ++a) by_answer[a].like = &all.distinct[a];
        std::ranges::stable_sort(by_answer, std::ranges::greater{}, &Cluster::share);
        std::vector<Cluster> told;
        double sum = 0;
        for (Cluster& cluster : by_answer) {
            if (!cluster.like->known || !told_apart(*cluster.like, all.distinct.front())) continue;
            sum += cluster.share;
            const auto same =
                std::ranges::find_if(told, [&](const Cluster& c) { return !told_apart(*c.like, *cluster.like); });
            if (same == told.end()) {
                told.push_back(std::move(cluster));
                continue;
            }
            same->share += cluster.share;
            same->hypotheses.insert(same->hypotheses.end(), cluster.hypotheses.begin(), cluster.hypotheses.end());
        }
        std::ranges::stable_sort(told, std::ranges::greater{}, &Cluster::share);
        std::erase_if(told, [&](const Cluster& c) { return c.share <= rarest_answer * sum || c.share <= 0; });
        if (told.size() > options_.answers) told.resize(options_.answers);
        std::vector<ChartAnswer> out;
        for (const Cluster& cluster : told) out.push_back(answer(d, question, cluster.hypotheses, cluster.share));
        return out;
    }

    ChartAnswer answer(const Diagnosis& d, int question, const std::vector<int>& hypotheses, double share) const {
        ChartAnswer out{.share = share, .causes = causes(d, hypotheses)};
        out.more = static_cast<int>(grouped(d, hypotheses).size() - out.causes.size());
        out.reads = dictionary_.predict(question, out.causes.front().hypothesis);
        for (const ChartCause& cause : out.causes) widen(out.reads, dictionary_.predict(question, cause.hypothesis));
        out.words = answer_words(dictionary_.questions(), question,
                                 outside_of(out.reads, dictionary_.predict(question, 0)));
        return out;
    }

    std::optional<ChartReading> first_telling(const Diagnosis& d) const {
        for (const NextReading& next : d.next) {
            ChartReading out{.question = next.question,
                             .means = dictionary_.questions().all()[next.question].means,
                             .how = next.how,
                             .planned = dictionary_.predict(next.question, 0),
                             .words = answer_words(dictionary_.questions(), next.question,
                                                   dictionary_.predict(next.question, 0)),
                             .answers = answers(d, next.question)};
            if (out.planned.known && !out.answers.empty()) return out;
        }
        return std::nullopt;
    }

    const Dictionary& dictionary_;
    const FaultChartOptions& options_;
};

}  // namespace

FaultChart fault_chart(Dictionary& dictionary, const FaultChartOptions& options) {
    FaultChart out{.faults = static_cast<int>(dictionary.faults().size())};
    const RowMaker maker(dictionary, options);
    std::map<Behaviour, std::size_t> rows_of;
    for (const Symptom& symptom : symptoms_of(dictionary)) {
        if (out.rows.size() >= options.rows) break;
        if (rows_of[symptom.what] >= most_of(symptom.what)) continue;
        if (options.progress && !options.progress(static_cast<int>(out.rows.size()), static_cast<int>(options.rows)))
            break;
        ChartRow row = maker.row(symptom);
        if (row.readings.empty()) continue;
        ++rows_of[symptom.what];
        out.rows.push_back(std::move(row));
    }
    return out;
}

std::string answer_words(const Questions& questions, int question, const Prediction& prediction) {
    const Question& q = questions.all()[question];
    if (q.means != Means::eye) return prediction.floats ? "drifts" : words(prediction);
    if (prediction.yes > 0.5) return "as the sheet has it";
    std::string seen;
    for (const int sight : prediction.sights)
        if (sight >= 0) seen += (seen.empty() ? "" : " or ") + questions.sight_words(q, sight);
    return seen.empty() ? "not as the sheet has it" : seen;
}

Prediction outside_of(const Prediction& reads, const Prediction& planned) {
    const bool windows = reads.known && !reads.floats && !reads.may_float && planned.known && !planned.floats &&
                         !planned.may_float && planned.gap_lo >= planned.gap_hi;
    if (!windows || reads.kind == Prediction::Kind::chance) return reads;
    std::vector<std::pair<double, double>> left;
    for (const auto& [lo, hi] : windows_of(reads)) {
        if (lo < planned.lo) left.emplace_back(lo, std::min(hi, planned.lo));
        if (hi > planned.hi) left.emplace_back(std::max(lo, planned.hi), hi);
    }
    if (left.empty() || left.size() > (reads.kind == Prediction::Kind::volts ? 2 : 1)) return reads;
    Prediction out = reads;
    out.lo = left.front().first, out.hi = left.back().second;
    out.gap_lo = out.gap_hi = 0;
    if (left.size() == 2) out.gap_lo = left[0].second, out.gap_hi = left[1].first;
    if (out.nominal < out.lo || out.nominal > out.hi) out.nominal = (out.lo + out.hi) / 2;
    return out;
}

}  // namespace voltsill
