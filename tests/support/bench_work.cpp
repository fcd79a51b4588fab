#include "support/bench_work.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "judging/power_off.h"
#include "judging/scene.h"
#include "network/linearized.h"
#include "network/settle.h"
#include "wiring/part_words.h"

namespace voltsill::test {

FaultyTable::FaultyTable(const Bench& bench, const PlacedWiring& build, const Fault& fault, std::mt19937_64& random)
    : bench_(bench), build_(build), fault_(fault), made_(with_fault(bench, build, fault)),
      circuit_(lower(made_.bench, made_.wiring)), random_(random) {
    // Leakage of each input, some nA one way or the other (from memory): where a level falls that nothing defines.
    for (const LogicUnit& unit : circuit_.netlist.units)
        for (const LogicInput& input : unit.inputs) {
                const ParamId amps = circuit_.netlist.add_constant(between(-1e-8, 1e-8));
                circuit_.netlist.add({.kind = DeviceKind::current,
                                      .nodes = {input.pin, ground_node},
                                      .params = {amps},
                                      .name = "leakage"});
            }
    for (const Parameter& p : circuit_.netlist.parameters) values_.push_back(between(p.lo, p.hi));
}

/// Which pin of what is in the part's holes sits at a pin of the part as planned; -1: none.
int FaultyTable::pin_in_place(int part, int pin) const {
    const WiredPart &planned = build_.wiring.parts[part], &made = made_.wiring.parts[part];
    if (planned.type->pins.size() == made.type->pins.size() && !made.package) return pin;
    if (!planned.package || !made.package) return pin;
    const int number = number_of(planned, pin);
    return number > 0 ? pin_of_lead(made, number - 1) : -1;
}

/// At a rail, or one bad contact away from it.
bool FaultyTable::has_supply(const Partition& partition, Node supply) const {
    if (partition.held(supply)) return true;
    for (const Device& d : circuit_.netlist.devices)
        if (d.kind == DeviceKind::resistor && values_[d.params[0]] <= 100)
            for (const int k : {0, 1})
                if (d.nodes[k] == supply && d.nodes[1 - k] != ground_node && partition.held(d.nodes[1 - k]))
                    return true;
    return false;
}

FaultyTable::Volts FaultyTable::at(int part, int pin, const BenchState& state) {
    auto [known, fresh] = solved_.try_emplace(words(state));
    auto& [solution, given] = known->second;
    if (fresh) {
        given.levels.assign(circuit_.stages.size(), Logic::X);
        given.source_on.assign(circuit_.netlist.sources, true);
        const Partition partition(circuit_.netlist, given.source_on);
        for (const PinSite& site : circuit_.pins)
            if (site.analog_source >= 0 && !partition.held(site.supply))
                given.source_on[circuit_.netlist.devices[site.analog_source].index] = false;
        for (std::size_t s = 0; s < circuit_.stages.size(); ++s) {
            const StageSite& stage = circuit_.stages[s];
            if (stage.unit >= 0) continue;
            given.levels[s] = stage.can_release ? Logic::Z : Logic::zero;
            for (const Told& told : state.told) {
                const WiredPart& of = made_.wiring.parts[stage.part];
                if (of.name != told.part || stage.pin != of.type->pin_index(told.pin)) continue;
                given.levels[s] = told.high ? (stage.can_pull_up ? Logic::one : Logic::Z)
                                            : (stage.can_pull_down ? Logic::zero : Logic::Z);
            }
            if (stage.supply > ground_node && !has_supply(partition, stage.supply)) given.levels[s] = Logic::Z;
        }
        const Partition now(circuit_.netlist, given.source_on);
        given.levels = settle_levels(circuit_.netlist, now, values_, given);
        for (bool changed = true; changed;) {  // who has no supply as long as he says nothing says nothing
            changed = false;
            State silent = given;
            for (Logic& level : silent.levels) level = level == Logic::X ? Logic::Z : level;
            const DcSolution quiet = solve_dc(circuit_.netlist, now, values_, silent);
            for (const LogicUnit& unit : circuit_.netlist.units)
                for (const StageId s : unit.outputs)
                    if (given.levels.size() > std::size_t(s) && given.levels[s] == Logic::X &&
                        unit.min_supply != no_param &&
                        quiet.volts[unit.supply] - quiet.volts[unit.ground] < values_[unit.min_supply])
                        given.levels[s] = Logic::Z, changed = true;
        }
        for (Logic& level : given.levels)  // what is not defined falls one way on a real bench
            if (level == Logic::X) level = between(0, 1) < 0.5 ? Logic::zero : Logic::one;
        given.levels.resize(circuit_.stages.size(), Logic::Z);
        solution = solve_dc(circuit_.netlist, now, values_, given);
    }
    if (solution.status == DcStatus::not_converged) return {.solved = false};
    const NetId net = made_.wiring.parts[part].net_of_pin[pin];
    const Node node = net >= 0 ? circuit_.node_of_net[net] : circuit_.site(part, pin).node;
    if (node < 0) return {.floats = true};
    const Partition partition(circuit_.netlist, given.source_on);
    const double ohms = Linearized(circuit_.netlist, partition, values_, given, solution.volts).ohms(node);
    return {.volts = solution.volts[node], .floats = !(ohms < open_ohms)};
}

/// Chips without power conduct somehow between supply and ground: kilohms to megohms (common practice, no source).
bool FaultyTable::through_a_chip(NetId a, NetId b) const {
    return std::ranges::any_of(made_.wiring.parts, [&](const WiredPart& part) {
        bool supply[2] = {}, ground[2] = {};
        for (std::size_t k = 0; k < part.net_of_pin.size(); ++k)
            for (const int end : {0, 1}) {
                if (part.net_of_pin[k] != (end == 0 ? a : b)) continue;
                supply[end] |= part.type->pins[k].role == PinRole::supply;
                ground[end] |= part.type->pins[k].role == PinRole::ground;
            }
        return (supply[0] && ground[1]) || (supply[1] && ground[0]);
    });
}

FaultyTable::Volts FaultyTable::alone(const std::string& rail) {
    if (fault_.kind == FaultKind::supply_off && fault_.rail == rail) return {};
    const auto& v = made_.bench.rail(rail)->volts.span;
    return {.volts = between(v.lo.si(), v.hi.si())};
}

FaultyTable::Volts FaultyTable::at_point(const Questions&, const ProbePoint& point, const BenchState& state) {
    if (point.kind == ProbePoint::Kind::ground) return {};
    if (point.part < 0) return {.solved = false};
    const int pin = pin_in_place(point.part, point.pin);
    return pin < 0 ? Volts{.floats = true} : at(point.part, pin, state);
}

/// From a post of a supply along its lead; nothing: neither end is a post. Beside the lead goes what conducts in the
/// supply and in the parts, kilohms to megohms (common practice, no source).
std::optional<double> FaultyTable::along_lead(const Questions& questions, const ProbePoint& a, const ProbePoint& b) {
    const ProbePoint &post = a.is_post() ? a : b, &other = a.is_post() ? b : a;
    if (!post.is_post()) return std::nullopt;
    const auto is_at_fault = [&](ProbePoint::Kind kind) {
        return std::ranges::any_of(questions.points(), [&](const ProbePoint& p) {
            return p.kind == kind && p.rail == post.rail && std::ranges::count(fault_.wires, p.lead) > 0;
        });
    };
    const bool own = is_at_fault(post.kind);
    double ohms = 0;
    if (post.kind == ProbePoint::Kind::zero) {
        if (own) ohms = fault_.value > 0 ? fault_.value : 1e12;
    } else if (const NetId rail = made_.wiring.rail(post.rail), net = net_at(questions, other);
               own || (rail >= 0 && fault_.kind != FaultKind::supply_off && !is_at_fault(ProbePoint::Kind::zero))) {
        const std::pair<NetId, NetId> pair{rail, net};
        if (rail != net)
            ohms = rail < 0 || net < 0 ? 1e12 : resistances(made_.bench, made_.wiring, {&pair, 1})[0].nominal;
    }
    return ohms > 0 ? 1 / (1 / ohms + 1 / std::pow(10, between(4, 7))) : between(0.1, 0.4);
}

NetId FaultyTable::net_at(const Questions&, const ProbePoint& point) const {
    if (point.kind == ProbePoint::Kind::ground) return made_.wiring.ground();
    if (point.part < 0) return unconnected;
    const int pin = pin_in_place(point.part, point.pin);
    return pin < 0 ? unconnected : made_.wiring.parts[point.part].net_of_pin[pin];
}

Reading FaultyTable::answer(const Questions& questions, int question) {
    const Question q = questions.all()[question];
    Reading out{.question = question};
    const auto say = [&](bool yes) { out.kind = yes ? Reading::Kind::yes : Reading::Kind::no; };
    if (q.means == Means::eye) {
        std::vector<int> there;
        for (const Sight& s : fault_.sights)
            if (s.wire >= 0 ? (q.around ? std::ranges::count(questions.wires_in(q), s.wire) > 0 : s.wire == q.wire)
                            : q.part == fault_.part)
                there.push_back(questions.sight(s.wire, s.wire < 0 ? fault_.part : -1, s.text));
        const bool sees = !there.empty() && between(0, 1) > (fault_.by_print ? 0.3 : 0.1) + (q.around ? 0.05 : 0);
        say(!(sees || between(0, 1) < 0.01));
        if (sees && between(0, 1) < 0.95) out.sight = there[std::size_t(between(0, double(there.size())))];
    } else if (q.means == Means::ohmmeter) {
        const NetId a = net_at(questions, questions.points()[q.point]),
                    b = net_at(questions, questions.points()[q.against]);
        const std::pair<NetId, NetId> pair{a, b};
        const auto lead = along_lead(questions, questions.points()[q.point], questions.points()[q.against]);
        double ohms = lead             ? *lead
                      : a < 0 || b < 0 ? 1e12
                      : a == b         ? between(0.1, 0.4)
                                       : resistances(made_.bench, made_.wiring, {&pair, 1})[0].nominal;
        if (!lead && a != b && through_a_chip(a, b)) ohms = 1 / (1 / ohms + 1 / std::pow(10, between(4, 7)));
        if (ohms >= meter_open.si()) out.kind = Reading::Kind::open;
        out.value = ohms * between(0.99, 1.01) + between(0, 0.3);
    } else if (q.means == Means::voltmeter) {
        const Volts v = q.alone ? alone(questions.points()[q.point].rail)
                                : at_point(questions, questions.points()[q.point], questions.states()[q.state]);
        const bool drifts = v.floats || !v.solved;
        if (drifts && between(0, 1) < 0.6) out.kind = Reading::Kind::drifts;
        out.value = drifts ? between(-0.2, 4) : v.volts * between(0.995, 1.005) + between(-0.01, 0.01);
    } else {  // ripple: a capacitor is no longer right at the pins it was at
        bool gone = false;
        const std::string wanted = "decouples " + build_.wiring.parts[q.part].name + " ";
        const auto net_in_place = [&](int part, std::size_t pin) {
            const int made = pin_in_place(part, static_cast<int>(pin));
            return made < 0 ? unconnected : made_.wiring.parts[part].net_of_pin[made];
        };
        const std::vector<NetId>& of_part = build_.wiring.parts[q.part].net_of_pin;
        for (std::size_t c = 0; c < build_.wiring.parts.size(); ++c) {
            if (!build_.wiring.parts[c].purpose.starts_with(wanted)) continue;
            const std::vector<NetId>& of_capacitor = build_.wiring.parts[c].net_of_pin;
            for (std::size_t k = 0; k < of_capacitor.size(); ++k)
                for (std::size_t j = 0; j < of_part.size(); ++j) {
                    if (of_part[j] < 0 || of_part[j] != of_capacitor[k]) continue;
                    const NetId here = net_in_place(static_cast<int>(c), k);
                    gone |= here < 0 || here != net_in_place(q.part, j);
                }
        }
        say(gone);
    }
    return out;
}

bool FaultyTable::arrives(const PinRef& end, bool wanted, const BenchState& state) {
    const int part = made_.wiring.part(end.part), k = made_.wiring.parts[part].type->pin_index(end.pin);
    const PartType& type = *made_.wiring.parts[part].type;
    double supply = 0;
    for (std::size_t s = 0; s < type.pins.size(); ++s)
        if (type.pins[s].role == PinRole::supply && type.pins[s].supply == type.pins[k].supply)
            supply = at(part, int(s), state).volts;
    const Volts v = at(part, k, state);
    if (v.floats || !v.solved) return between(0, 1) < 0.3;
    const auto limits = thresholds_at(type.pins[k], voltsill::Volts{supply});
    if (!limits) return true;
    const double vil = limits->low.at(voltsill::Volts{supply}).si(),
                 vih = limits->high.at(voltsill::Volts{supply}).si();
    if (v.volts >= vih) return wanted;
    if (v.volts <= vil) return !wanted;
    return between(0, 1) < 0.5;
}

std::vector<Reading> FaultyTable::symptoms(Questions& questions) {
    std::vector<Reading> out;
    std::mt19937_64 none(1);
    const Fault nothing{};
    for (std::size_t l = 0; l < bench_.links.size(); ++l) {
        const Link& link = bench_.links[l];
        const int low = questions.state_of_link(int(l), false), high = questions.state_of_link(int(l), true);
        if (low < 0 || link.kind == LinkKind::load) continue;
        bool works = true, known = true;
        for (const PinRef& end : link.to) {
            const int point = questions.point(end.part + "." + end.pin);
            const int part = build_.wiring.part(end.part);
            if (point < 0 || part < 0) continue;
            // An interface may invert: what arrives as planned counts.
            FaultyTable planned(bench_, build_, nothing, none);
            const bool up = planned.arrives(end, true, questions.states()[high]),
                       down = planned.arrives(end, false, questions.states()[low]);
            known &= up == down;
            works &= arrives(end, up, questions.states()[high]) && arrives(end, !down, questions.states()[low]);
        }
        if (!known) continue;
        const bool said = between(0, 1) < 0.02 ? !works : works;
        out.push_back({.question = questions.behaviour(Behaviour::link_works, int(l)),
                       .kind = said ? Reading::Kind::yes : Reading::Kind::no});
    }
    return out;
}

int draw_fault(const Dictionary& dictionary, std::mt19937_64& random) {
    std::vector<double> weight;
    double sum = 0;
    for (std::size_t f = 0; f < dictionary.faults().size(); ++f) {
        weight.push_back(dictionary.alike()[1 + f] == 0 ? 0 : dictionary.faults()[f].weight);
        sum += weight.back();
    }
    return sum > 0 ? std::discrete_distribution<int>(weight.begin(), weight.end())(random) : -1;
}

namespace {

/// Distinct answers of a question, as a meter tells them.
int outcomes_of(const Dictionary& dictionary, int question) {
    std::vector<Prediction> met{dictionary.predict(question, 0)};
    for (const auto& [h, p] : dictionary.others(question))
        if (std::ranges::all_of(met, [&, &answer = p](const Prediction& m) { return told_apart(answer, m); }))
            met.push_back(p);
    return int(met.size());
}

std::optional<int> pick(const Dictionary& dictionary, const Diagnosis& d, Order order,
                        const std::vector<Reading>& taken, std::mt19937_64& random) {
    if (order == Order::best) return d.next.empty() ? std::nullopt : std::optional(d.next.front().question);
    std::set<int> asked;
    for (const Reading& r : taken) asked.insert(r.question);
    std::vector<std::pair<double, int>> open;
    for (const int q : dictionary.worth_asking()) {
        const Question& asks = dictionary.questions().all()[q];
        const bool powered = !asks.alone && (asks.means == Means::voltmeter || asks.means == Means::scope);
        if (asked.contains(q) || (d.power_may_harm && powered)) continue;
        double other = 0;
        const Prediction planned = dictionary.predict(q, 0);
        for (const auto& [h, p] : dictionary.others(q))
            if (told_apart(p, planned)) other += d.share[h];
        if (other > 0.001) open.emplace_back(std::min(other, 1 - other), q);
    }
    if (open.empty()) return std::nullopt;
    if (order == Order::random)
        return open[std::uniform_int_distribution<std::size_t>(0, open.size() - 1)(random)].second;
    return std::ranges::max_element(open)->second;
}

}  // namespace

Game play(const Bench& bench, const PlacedWiring& build, Dictionary& dictionary, int fault, Order order,
          std::mt19937_64& random, int most_readings) {
    FaultyTable table(bench, build, dictionary.faults()[fault], random);
    std::vector<Reading> readings = table.symptoms(dictionary.questions());
    const DiagnosisOptions options{.next = order == Order::best ? 1 : 0};
    Game game{.truth = dictionary.faults()[fault].id};
    game.silent = std::ranges::all_of(readings, [](const Reading& r) { return r.kind == Reading::Kind::yes; });
    Diagnosis d = diagnose(dictionary, readings, options);
    game.bits_at_start = d.bits;
    while (!d.found && game.readings < most_readings) {
        const auto question = pick(dictionary, d, order, readings, random);
        if (!question) break;
        if (const Question& q = dictionary.questions().all()[*question];
            d.power_may_harm && !q.alone && q.means != Means::eye && q.means != Means::ohmmeter)
            game.asked_harmful = true;
        game.outcomes += outcomes_of(dictionary, *question);
        readings.push_back(table.answer(dictionary.questions(), *question));
        ++game.readings;
        d = diagnose(dictionary, readings, options);
    }
    game.found = d.found;
    if (game.readings > 0) game.outcomes /= game.readings;
    const int group = dictionary.alike()[1 + fault];
    for (std::size_t k = 0; k < std::min<std::size_t>(3, d.suspects.size()); ++k)
        if (dictionary.alike()[d.suspects[k].hypotheses.front()] == group) game.top_three = true, game.first |= k == 0;
    return game;
}

}  // namespace voltsill::test
