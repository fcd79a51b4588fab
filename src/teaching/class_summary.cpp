#include "teaching/class_summary.h"

#include <algorithm>
#include <map>
#include <set>

#include "signals/statistics.h"

namespace voltsill {
namespace {

struct Tally {
    std::map<std::string, int> count;
    void add(const std::set<std::string>& names) {
        for (const std::string& name : names) ++count[name];
    }
    std::vector<NamedCount> sorted() const {
        std::vector<NamedCount> out;
        for (const auto& [name, learners] : count) out.push_back({name, learners});
        std::ranges::stable_sort(out, std::greater{}, &NamedCount::learners);
        return out;
    }
};

std::string gate_words(int gate) {
    switch (gate) {
        case 1:
            return "gate 1: power off, continuity";
        case 3:
            return "gate 3: static levels";
        default:
            return "no gate: by eye only";
    }
}

}  // namespace

MarkStatistics statistics_of(std::vector<double> values) {
    if (values.empty()) return {};
    MarkStatistics out{.count = static_cast<int>(values.size())};
    for (const double v : values) out.mean += v / static_cast<double>(values.size());
    std::ranges::sort(values);
    out.lowest = values.front(), out.highest = values.back();
    out.lower_quartile = *quantile(values, 0.25);
    out.median = *quantile(values, 0.5);
    out.upper_quartile = *quantile(values, 0.75);
    return out;
}

ClassSummary summary_of(std::span<const MarkedBuild> builds, const Rubric& rubric) {
    ClassSummary out{.learners = static_cast<int>(builds.size()), .of = rubric.total()};
    std::vector<double> points;
    std::vector<std::vector<double>> by_criterion(rubric.criteria.size());
    for (const Criterion& c : rubric.criteria) out.criteria.push_back({.id = c.id, .words = c.words, .of = c.points});
    std::map<std::string, MistakeCount> mistakes;
    Tally kinds, links, gates, problems;
    for (const MarkedBuild& build : builds) {
        std::set<std::string> of_kind, of_link, of_gate, of_problem;
        for (const Problem& p : build.problems) of_problem.insert(p.code);
        problems.add(of_problem);
        if (!build.readable) {
            ++out.unreadable;
            continue;
        }
        points.push_back(build.points);
        out.without_mistake += build.as_planned;
        out.stopped += !build.stop.empty();
        for (std::size_t k = 0; k < build.criteria.size() && k < by_criterion.size(); ++k) {
            if (build.criteria[k].open)
                ++out.criteria[k].open;
            else
                by_criterion[k].push_back(build.criteria[k].points);
        }
        std::set<std::string> met;
        for (const Mistake& m : build.mistakes) {
            of_kind.emplace(to_word(m.kind));
            of_gate.insert(gate_words(m.gate));
            of_link.insert(m.links.begin(), m.links.end());
            if (!met.insert(m.words).second) continue;
            MistakeCount& count = mistakes[m.words];
            if (count.learners++ == 0) {
                count.words = m.words, count.kind = m.kind, count.links = m.links, count.gate = m.gate;
                count.harm = m.harm;
            }
        }
        kinds.add(of_kind), links.add(of_link), gates.add(of_gate);
    }
    out.points = statistics_of(std::move(points));
    for (std::size_t k = 0; k < by_criterion.size(); ++k) out.criteria[k].points = statistics_of(by_criterion[k]);
    for (auto& [words, count] : mistakes) out.mistakes.push_back(std::move(count));
    std::ranges::stable_sort(out.mistakes, std::greater{}, &MistakeCount::learners);
    out.kinds = kinds.sorted(), out.links = links.sorted(), out.gates = gates.sorted();
    out.problems = problems.sorted();
    return out;
}

MarkedClass class_of(const PreparedMarking& prepared, std::vector<MarkedBuild> builds) {
    MarkedClass out{.title = prepared.bench().title,
                    .rubric_title = prepared.rubric().title,
                    .rubric_version = prepared.rubric().version};
    out.summary = summary_of(builds, prepared.rubric());
    out.builds = std::move(builds);
    return out;
}

}  // namespace voltsill
