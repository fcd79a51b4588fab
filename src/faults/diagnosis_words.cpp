#include "faults/diagnosis_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>
#include <set>

#include "quantity/fixed.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

constexpr std::size_t sentences_a_reading = 3;
constexpr double half = 0.5;          ///< more likely than not
constexpr double worth_naming = 0.4;  ///< of the share of the likeliest, beside which it is told (our choice)

std::string percent(double share) {
    return share > 0.99 ? "over 99 %" : fmt::format("{:.0f} %", 100 * share);
}

std::string capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

}  // namespace

std::string DiagnosisWords::answer(const Reading& reading) const {
    switch (reading.kind) {
        case Reading::Kind::yes:
            return "yes";
        case Reading::Kind::no:
            if (reading.sight >= 0)
                return dictionary_.questions().sight_words(dictionary_.questions().all()[reading.question],
                                                           reading.sight);
            return "no";
        case Reading::Kind::drifts:
            return "nothing that stands still";
        case Reading::Kind::open:
            return "open";
        case Reading::Kind::value:
            break;
    }
    const Question& q = dictionary_.questions().all()[reading.question];
    if (q.means == Means::ohmmeter) return print(Ohms{reading.value});
    if (q.means == Means::scope) return print(Seconds{reading.value});
    return hundredths(reading.value) + " V";
}

std::string DiagnosisWords::read(int reading) const {
    const int question = readings_[reading].question;
    const std::string place = dictionary_.questions().words(question);
    const Means means = dictionary_.questions().all()[question].means;
    if (means == Means::eye || means == Means::behaviour)
        return fmt::format("\"{}: {}\"", place, answer(readings_[reading]));
    return fmt::format("{} ({})", answer(readings_[reading]), place);
}

void DiagnosisWords::ruled_out(std::vector<RuledOut>& out, int reading, const std::vector<int>& gone) const {
    const Reading& r = readings_[reading];
    const Question& q = dictionary_.questions().all()[r.question];
    const std::string place = dictionary_.questions().words(r.question);
    for (std::size_t k = 0; k < std::min(gone.size(), sentences_a_reading); ++k) {
        const std::string predicted = words(dictionary_.predict(r.question, gone[k]));
        const bool looked = q.means == Means::eye || q.means == Means::behaviour ||
                            (q.means == Means::scope && q.sight == ScopeSight::ripple);
        out.push_back({reading, {gone[k]},
                       looked ? fmt::format("{} is ruled out: \"{}\" would be answered {}, you said {}.",
                                            capital(dictionary_.words(gone[k])), place, predicted, answer(r))
                              : fmt::format("{} is ruled out: {} would read {}, you read {}.",
                                            capital(dictionary_.words(gone[k])), place, predicted, answer(r))});
    }
    if (gone.size() <= sentences_a_reading) return;
    RuledOut rest{reading, {gone.begin() + sentences_a_reading, gone.end()}, {}};
    rest.sentence = fmt::format("{} more {} ruled out by the same reading.", rest.hypotheses.size(),
                                rest.hypotheses.size() == 1 ? "is" : "are");
    out.push_back(std::move(rest));
}

/// What all of them are about: a wire, a part, a rail, or a net.
std::string DiagnosisWords::common_of(const std::vector<int>& hypotheses) const {
    const Wiring& wiring = dictionary_.questions().build().wiring;
    const auto& wires = dictionary_.questions().build().placement.wires;
    std::optional<std::set<std::string>> common;
    for (const int h : hypotheses) {
        const Hypothesis& hypothesis = dictionary_.hypotheses()[h];
        if (hypothesis.first < 0) return {};
        const Fault& fault = dictionary_.faults()[hypothesis.first];
        std::set<std::string> about;
        for (const int number : fault.wires) {
            about.insert(fmt::format("wire {}", number));
            for (const LaidWire& wire : wires)
                if (wire.number == number && wire.net >= 0 && wire.net < std::ssize(wiring.nets))
                    about.insert("net " + wiring.nets[wire.net].name);
        }
        if (fault.part >= 0) {
            about.insert(wiring.parts[fault.part].name);
            if (fault.pin >= 0 && wiring.parts[fault.part].net_of_pin[fault.pin] >= 0)
                about.insert("net " + wiring.nets[wiring.parts[fault.part].net_of_pin[fault.pin]].name);
        }
        if (!fault.rail.empty()) about.insert("rail " + fault.rail);
        if (!common) {
            common = about;
            continue;
        }
        std::set<std::string> both;
        std::ranges::set_intersection(*common, about, std::inserter(both, both.end()));
        common = both;
    }
    if (!common || common->empty()) return {};
    const auto best = std::ranges::find_if(*common, [](const std::string& c) { return !c.starts_with("net "); });
    return "all at " + (best == common->end() ? *common->begin() : *best);
}

void DiagnosisWords::describe(Suspect& suspect) const {
    suspect.words = dictionary_.words(suspect.hypotheses.front());
    suspect.remedy = dictionary_.remedy(suspect.hypotheses.front());
    if (suspect.hypotheses.size() > 1) suspect.common = common_of(suspect.hypotheses);
}

std::string DiagnosisWords::two_answers(int a, int b) const {
    return fmt::format("Readings {} and {} contradict each other: {} and {}. Take it again.", a + 1, b + 1, read(a),
                       answer(readings_[b]));
}

std::string DiagnosisWords::beyond_supplies(int reading) const {
    return fmt::format(
        "Reading {}, {}, is far beyond what the supplies of this bench give. Switch off, mind the decimal "
        "point and the range of the meter; if it stays, find what feeds this point before you go on.",
        reading + 1, read(reading));
}

/// What was seen not to be as planned is put right before anything else is read.
std::string DiagnosisWords::seen_wrong() const {
    const Questions& questions = dictionary_.questions();
    for (const Reading& r : readings_) {
        const Question& q = questions.all()[r.question];
        if (q.means != Means::eye || r.kind != Reading::Kind::no) continue;
        return fmt::format("Not as planned is what you saw: with the power off, {}. Then try again what failed; if it "
                           "still fails, begin anew with the readings.", questions.put_right(r.question, r.sight));
    }
    return {};
}

std::string DiagnosisWords::do_not_fit(const std::vector<int>& readings) const {
    std::vector<std::string> said;
    for (const int k : readings) said.push_back(read(k));
    return fmt::format("No single fault of the list explains all readings together; {} {} not fit the rest. Take "
                       "{} again; if {} the same, there are two faults.",
                       fmt::join(said, " and "), said.size() == 1 ? "does" : "do", said.size() == 1 ? "it" : "them",
                       said.size() == 1 ? "it reads" : "they read");
}

std::string DiagnosisWords::keep_off(int hypothesis, double share) const {
    return fmt::format("Leave the power off: {} ({}) could harm something when it is on. Only readings without "
                       "power until that is ruled out.", dictionary_.words(hypothesis), percent(share));
}

std::string DiagnosisWords::keep_off_unnamed() const {
    return "Leave the power off: something may be wrong that does harm when it is on. Only readings without power "
           "until that is ruled out.";
}

std::string DiagnosisWords::keep_off_hot(int part) const {
    return fmt::format("Leave the power off: {} got hot. Only readings without power as long as they tell more.",
                       dictionary_.questions().build().wiring.parts[part].name);
}

std::string DiagnosisWords::ask(int question) const {
    const Question& q = dictionary_.questions().all()[question];
    const auto& points = dictionary_.questions().points();
    switch (q.means) {
        case Means::voltmeter:
            if (q.alone)
                return fmt::format("What should supply {} give when nothing hangs on it?", points[q.point].rail);
            return fmt::format("What should {} read, {}, and what holds it there?", points[q.point].label,
                               words(dictionary_.questions().states()[q.state]));
        case Means::ohmmeter:
            return fmt::format("Should {} and {} be joined, and by what?", points[q.point].label,
                               points[q.against].label);
        case Means::eye:
            if (q.around && q.part < 0)
                return fmt::format("Which wires does {} need, and where does each go?", points[q.point].label);
            if (q.around)
                return fmt::format("Which wires end at {}, and where does each come from?",
                                   dictionary_.questions().build().wiring.parts[q.part].name);
            return q.wire >= 0 ? fmt::format("Where does wire {} start, and where does it end?", q.wire)
                               : "Which part is in which holes, and which way round?";
        case Means::scope:
            return q.sight == ScopeSight::ripple ? "What keeps a supply steady while outputs switch?"
                                                 : "What sets how fast this edge rises?";
        case Means::behaviour:
            return "When does it work, and when not?";
    }
    return {};
}

void DiagnosisWords::finish(Diagnosis& d, double sure) const {
    sentences(d, sure);
    const bool found = d.something_else < 0.5 && !d.suspects.empty() && d.suspects.front().share >= sure;
    if (const std::string first = found ? "" : seen_wrong(); !first.empty()) d.sentence = d.hints.cause = first;
}

void DiagnosisWords::sentences(Diagnosis& d, double sure) const {
    if (!d.next.empty()) {
        d.hints.question = ask(d.next.front().question);
        d.hints.reading = d.next.front().how;
    }
    if (d.something_else >= 0.5) {
        std::vector<std::string> said;
        for (const int k : d.unexplained) said.push_back(read(k));
        d.sentence = said.empty() ? "No known fault explains these readings together."
                                  : fmt::format("No known fault explains {}.", fmt::join(said, " and "));
        d.hints.cause = d.sentence;
        return;
    }
    if (d.suspects.empty()) return;
    const Suspect& first = d.suspects.front();
    std::string named = first.words;
    if (const std::size_t more = first.hypotheses.size() - 1; more > 0)
        named += fmt::format(" (or {} other{} that no meter tells from it{}{})", more, more == 1 ? "" : "s",
                             first.common.empty() ? "" : ", ", first.common);
    const bool planned = first.hypotheses.front() == 0;
    const std::string remedy = first.remedy.empty() ? "" : " " + capital(first.remedy) + ".";
    if (first.share >= sure)
        d.sentence = planned ? "Nothing is wrong that these readings could show."
                             : fmt::format("It is {}, with {}.{}", named, percent(first.share), remedy);
    else if (d.next.empty())
        d.sentence = fmt::format("Most likely {}, with {}; no reading that may be taken tells more.{}", named,
                                 percent(first.share), remedy);
    else
        d.sentence = fmt::format("Not sure yet: {} ({}) is likeliest.", named, percent(first.share));
    if (first.share >= sure || (first.share >= half && d.next.empty()))
        d.hints.cause = planned ? d.sentence : fmt::format("{}.{}", capital(named), remedy);
    else
        d.hints.cause = unsure(d);
}

/// A cause that is not sure is told with its share and those beside it, and what tells them apart.
std::string DiagnosisWords::unsure(const Diagnosis& d) const {
    constexpr std::size_t most_named = 3;
    std::string out;
    for (std::size_t k = 0; k < std::min(most_named, d.suspects.size()); ++k) {
        if (k > 0 && d.suspects[k].share < worth_naming * d.suspects.front().share) break;
        out += fmt::format("{}{} ({})", out.empty() ? "" : "; or ", d.suspects[k].words, percent(d.suspects[k].share));
    }
    out = fmt::format("{}: {}.",
                      d.suspects.front().share >= half ? "Likely, not sure" : "Not sure yet, likeliest first", out);
    return d.next.empty() ? out : fmt::format("{} What tells more: {}", out, d.next.front().how);
}

}  // namespace voltsill
