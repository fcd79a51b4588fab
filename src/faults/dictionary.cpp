#include <algorithm>
#include <atomic>
#include <thread>
#include <unordered_map>

#include "faults/dictionary_inside.h"
#include "quantity/hand_meter.h"

namespace voltsill {

std::shared_ptr<DictionaryMemory> dictionary_memory() { return std::make_shared<DictionaryMemory>(); }

Dictionary::Inside::Inside(const Bench& b, const PlacedWiring& placed, std::vector<Fault> list,
                           DictionaryOptions wanted)
    : bench(b),
      build(placed),
      faults(std::move(list)),
      options(std::move(wanted)),
      questions(b, placed),
      memory(options.memory ? options.memory : dictionary_memory()) {
    while (std::ssize(memory->of_thread) < std::max(1, options.threads))
        memory->of_thread.push_back(std::make_unique<ReadingMemory>());
    solved_before = memory->solved();
    questions.know(faults);
    hypotheses.push_back({});
    double sum = 0;
    for (const Fault& fault : faults) sum += fault.weight;
    for (std::size_t f = 0; f < faults.size(); ++f)
        hypotheses.push_back({.first = static_cast<int>(f), .weight = faults[f].weight / sum});
    Pattern& up = pattern({});
    symptoms = std::make_unique<Symptoms>(*up.planned, questions, [this, &up](int fault, int pin, int state) {
        return read_pin(up, fault, pin, state);
    });
    find_worth_asking();
    find_alike();
}

Dictionary::Inside::Pattern& Dictionary::Inside::pattern(const std::vector<std::string>& down) {
    const auto [at, fresh] = patterns.try_emplace(down);
    if (fresh) {
        at->second.planned = std::make_unique<PlannedBuild>(bench, build, down);
        solve(at->second);
        index(at->second);
    }
    return at->second;
}

namespace {

/// Everything of a build that readings depend on: parts, which pins share a net, and what holds it. Nets count in
/// the order of their first pins, so that their numbers and names do not matter.
std::string nets_key(const FaultyBuild& made) {
    std::string key;
    const auto put = [&](const auto& value) { key.append(reinterpret_cast<const char*>(&value), sizeof value); };
    for (const Rail& rail : made.bench.rails)
        put(rail.volts.span.lo), put(rail.volts.span.nominal), put(rail.volts.span.hi);
    std::vector<int> number(made.wiring.nets.size(), -1);
    int next = 0;
    for (const WiredPart& part : made.wiring.parts) {
        put(part.type.get());
        put(part.package);
        put(part.value.value_or(-1.0));
        put(part.tolerance.value_or(-1.0));
        for (const std::string& removed : part.pulls_removed) key += removed + '\n';
        for (const NetId net : part.net_of_pin) {
            if (net >= 0 && number[net] < 0) {
                number[net] = next++;
                key += made.wiring.nets[net].ground ? "0" : made.wiring.nets[net].rail;
                key += '\n';
            }
            put(net < 0 ? -1 : number[net]);
        }
    }
    return key;
}

/// Of each build the first with the same nets of the same parts.
std::vector<std::size_t> alike_nets(const std::vector<FaultyBuild>& made) {
    std::unordered_map<std::string, std::size_t> first;
    std::vector<std::size_t> out;
    for (const FaultyBuild& build : made) out.push_back(first.try_emplace(nets_key(build), out.size()).first->second);
    return out;
}

}  // namespace

void Dictionary::Inside::solve(Pattern& p) {
    p.good = std::make_unique<FaultReadings>(*p.planned, questions.states(), *memory->of_thread[0]);
    p.of_fault.resize(faults.size());
    std::vector<FaultyBuild> made;
    for (const Fault& fault : faults) made.push_back(with_fault(bench, build, fault));
    const std::vector<std::size_t> like = alike_nets(made);
    std::atomic<std::size_t> next = 0, done = 0;
    std::atomic<bool> stopped = false;
    const auto work = [&](const PlannedBuild& planned, ReadingMemory& known, bool tells) {
        for (std::size_t f; !stopped && (f = next++) < faults.size(); ++done) {
            if (tells && options.progress &&
                !options.progress(static_cast<int>(done), static_cast<int>(faults.size()))) {
                stopped = true;
                return;
            }
            if (like[f] == f)
                p.of_fault[f] = std::make_shared<FaultReadings>(planned, made[f], questions.states(), known);
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (int k = 1; k < options.threads; ++k)
            helpers.emplace_back([&, k] {
                const PlannedBuild own(bench, build, p.planned->down);
                work(own, *memory->of_thread[k], false);
            });
        work(*p.planned, *memory->of_thread[0], true);
    }
    cancelled |= stopped;
    for (std::size_t f = 0; f < faults.size(); ++f) p.of_fault[f] = p.of_fault[like[f]];
    for (auto& readings : p.of_fault)  // of those left out nothing is known: they read as planned
        if (!readings)
            readings = std::make_shared<FaultReadings>(*p.planned, FaultyBuild{bench, p.planned->wiring},
                                                       questions.states(), *memory->of_thread[0]);
}

void Dictionary::Inside::index(Pattern& p) {
    p.faults_at.assign(p.planned->pins(), {});
    for (std::size_t f = 0; f < faults.size(); ++f)
        for (const int pin : p.of_fault[f]->moved()) p.faults_at[pin].push_back(static_cast<int>(f));
}

const FaultReadings& Dictionary::Inside::good_for(Pattern& p, int state) {
    if (p.good->states() <= state)
        *p.good = FaultReadings(*p.planned, questions.states(), *memory->of_thread[0]);
    return *p.good;
}

const FaultReadings& Dictionary::Inside::fault_for(Pattern& p, int fault, int state) {
    FaultReadings& known = *p.of_fault[fault];
    if (known.states() <= state && !known.moved().empty())
        known = FaultReadings(*p.planned, with_fault(bench, build, faults[fault]), questions.states(),
                              *memory->of_thread[0]);
    return known;
}

/// Of two faults that reach into each other; nullptr: they do not, and each reads as it does alone.
const FaultReadings* Dictionary::Inside::joint(Pattern& p, int first, int second, int state) {
    const auto &a = p.of_fault[first]->moved(), &b = p.of_fault[second]->moved();
    bool meet = false;
    for (std::size_t i = 0, j = 0; i < a.size() && j < b.size() && !meet;)
        a[i] == b[j] ? meet = true : a[i] < b[j] ? ++i : ++j;
    if (!meet) return nullptr;
    int off = 0;
    for (auto at = patterns.begin(); &at->second != &p; ++at) ++off;
    auto& known = joints[off][{first, second}];
    if (!known || known->states() <= state) {
        const auto made = with_faults(bench, build, faults[first], faults[second]);
        known.emplace(*p.planned, made ? *made : with_fault(bench, build, faults[first]), questions.states(),
                      *memory->of_thread[0]);
    }
    return &*known;
}

MeterReading Dictionary::Inside::read_pin(Pattern& p, int fault, int pin, int state) {
    const FaultReadings& good = good_for(p, state);
    return fault < 0 ? good.at(pin, state) : reading_with(good, fault_for(p, fault, state), pin, state);
}

/// Where only rest was looked at, a pin that reads as planned then is taken to do so in other states; and where only
/// nominal values were, one that reads as planned at them has the window of the plan.
MeterReading Dictionary::Inside::reading_with(const FaultReadings& good, const FaultReadings& fault, int pin,
                                              int state) {
    if (!fault.moves(pin)) return good.at(pin, state);
    constexpr double as_near = hand_meter::volts_floor.si(), as_near_share = hand_meter::volts_share;
    if (fault.tried(state)) {
        const MeterReading with = fault.at(pin, state), without = good.at(pin, state);
        const bool same =
            !with.searched && without.solved && !without.floats &&
            std::abs(with.nominal - without.nominal) <= as_near + as_near_share * std::abs(without.nominal);
        return same ? without : with;
    }
    const MeterReading rest = fault.at(pin, Questions::at_rest), planned = good.at(pin, Questions::at_rest);
    const bool as_planned =
        rest.solved && rest.floats == planned.floats && rest.lo <= planned.hi && rest.hi >= planned.lo;
    return as_planned ? good.at(pin, state) : MeterReading{.solved = false};
}

Dictionary::Dictionary(const Bench& bench, const PlacedWiring& build, std::vector<Fault> faults,
                       DictionaryOptions options)
    : inside_(std::make_unique<Inside>(bench, build, std::move(faults), std::move(options))) {}
Dictionary::~Dictionary() = default;

const std::vector<Fault>& Dictionary::faults() const { return inside_->faults; }
const std::vector<Hypothesis>& Dictionary::hypotheses() const { return inside_->hypotheses; }
bool Dictionary::cancelled() const { return inside_->cancelled; }
int Dictionary::solved() const { return inside_->memory->solved() - inside_->solved_before; }
Questions& Dictionary::questions() { return inside_->questions; }
const Questions& Dictionary::questions() const { return inside_->questions; }
const std::vector<int>& Dictionary::worth_asking() const { return inside_->worth; }
const std::vector<int>& Dictionary::alike() const { return inside_->group; }

std::string Dictionary::words(int hypothesis) const {
    const Hypothesis& h = inside_->hypotheses[hypothesis];
    if (h.first < 0) return "built as planned";
    const std::string first = inside_->faults[h.first].words;
    return h.second < 0 ? first : first + ", and " + inside_->faults[h.second].words;
}

std::string Dictionary::remedy(int hypothesis) const {
    const Hypothesis& h = inside_->hypotheses[hypothesis];
    if (h.first < 0) return {};
    const std::string first = inside_->faults[h.first].remedy;
    return h.second < 0 ? first : first + "; " + inside_->faults[h.second].remedy;
}

FaultJudge& Dictionary::Inside::fault_judge() {
    if (!judge) judge = std::make_unique<FaultJudge>(bench, build);
    return *judge;
}

bool Dictionary::may_harm(int hypothesis) const {
    Inside& in = *inside_;
    const Hypothesis& h = in.hypotheses[hypothesis];
    if (h.first < 0) return false;
    const auto [at, fresh] = in.harmful.try_emplace(hypothesis, true);
    if (!fresh) return at->second;
    if (h.second < 0)
        return at->second = in.fault_judge().harm_of(in.faults[h.first], true).verdict == Verdict::harmful;
    if (may_harm(1 + h.first) || may_harm(1 + h.second)) return true;
    const auto both = with_faults(in.bench, in.build, in.faults[h.first], in.faults[h.second]);
    return in.harmful[hypothesis] = both && in.fault_judge().harm_of(*both, true).verdict == Verdict::harmful;
}

Prediction Dictionary::predict(int question, int hypothesis) const {
    const Hypothesis& h = inside_->hypotheses[hypothesis];
    if (h.second >= 0) return inside_->answer_pair(question, h);
    if (h.first >= 0) {
        const auto& list = inside_->others(question);
        const auto at = std::ranges::lower_bound(list, hypothesis, {}, &std::pair<int, Prediction>::first);
        if (at != list.end() && at->first == hypothesis) return at->second;
    }
    const auto [known, fresh] = inside_->known_good.try_emplace(question);
    if (fresh) known->second = inside_->answer(question, -1);
    return known->second;
}

const std::vector<std::pair<int, Prediction>>& Dictionary::others(int question) const {
    return inside_->others(question);
}

const Dictionary::Answers& Dictionary::answers(int question) const { return inside_->answers(question); }

long long Dictionary::add_pairs(int most) {
    Inside& in = *inside_;
    in.hypotheses.resize(1 + in.faults.size());
    std::vector<int> order(in.faults.size());
    for (std::size_t f = 0; f < order.size(); ++f) order[f] = static_cast<int>(f);
    std::ranges::stable_sort(order, [&](int a, int b) { return in.faults[a].weight > in.faults[b].weight; });
    // As many of the heaviest as make the wanted number of pairs, then the heaviest pairs of these.
    std::vector<Hypothesis> pairs;
    const auto all = static_cast<long long>(order.size()) * (static_cast<long long>(order.size()) - 1) / 2;
    const long long enough = 4LL * std::max(most, 0);
    for (std::size_t j = 1; j < order.size() && std::ssize(pairs) < enough; ++j)
        for (std::size_t i = 0; i < j; ++i) {
            const Fault &a = in.faults[order[i]], &b = in.faults[order[j]];
            const bool same_wire = std::ranges::any_of(
                a.wires, [&](int wire) { return std::ranges::find(b.wires, wire) != b.wires.end(); });
            const bool same_part = a.part >= 0 && a.part == b.part && (a.pin == b.pin || a.pin < 0 || b.pin < 0);
            if (same_wire || same_part || (a.part < 0 && b.part < 0 && !a.rail.empty() && a.rail == b.rail)) continue;
            pairs.push_back({.first = std::min(order[i], order[j]),
                             .second = std::max(order[i], order[j]),
                             .weight = in.hypotheses[1 + order[i]].weight * in.hypotheses[1 + order[j]].weight});
        }
    std::ranges::stable_sort(pairs, [](const Hypothesis& a, const Hypothesis& b) { return a.weight > b.weight; });
    if (std::ssize(pairs) > most) pairs.resize(static_cast<std::size_t>(std::max(most, 0)));
    in.hypotheses.insert(in.hypotheses.end(), pairs.begin(), pairs.end());
    in.group.resize(1 + in.faults.size());
    for (std::size_t h = in.group.size(); h < in.hypotheses.size(); ++h) in.group.push_back(static_cast<int>(h));
    return all - std::ssize(pairs);
}

}  // namespace voltsill
