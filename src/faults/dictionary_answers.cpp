/// What each question would answer under each fault.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "faults/dictionary_inside.h"
#include "faults/supply_dips.h"
#include "quantity/print.h"
#include "signals/simulate.h"

namespace voltsill {
namespace {

/// Ω of two contacts and the leads of a meter (common practice).
constexpr ResistanceWindow contacts{0, 0.2, 1};

/// A, of an output that fights: its part gets hot within seconds (20..50 mA a pair, common practice).
constexpr double hot_amps = 15e-3;

/// Share of a rise time by which another bench's wires differ.
constexpr double other_wires = 0.25;

Prediction chance(double yes) { return {.kind = Prediction::Kind::chance, .yes = yes}; }

Prediction of_reading(const MeterReading& r) {
    return {.lo = r.lo, .nominal = r.nominal, .hi = r.hi, .floats = r.floats, .known = r.solved};
}

Prediction of_window(const ResistanceWindow& w) {
    return {.kind = Prediction::Kind::ohms, .lo = w.lo, .nominal = w.nominal, .hi = w.hi};
}

bool equal(const Prediction& a, const Prediction& b) {
    if (a.known != b.known || a.floats != b.floats) return false;
    if (!a.known) return true;
    if (a.kind == Prediction::Kind::chance) return std::abs(a.yes - b.yes) < 1e-6;
    const double small = a.kind == Prediction::Kind::volts ? 1e-3 : 1e-3 * std::max(a.lo, b.lo);
    return std::abs(a.lo - b.lo) <= small && std::abs(a.hi - b.hi) <= small;
}

/// How long a link's receiver takes from 10 to 90 %; nothing: it never does.
std::optional<double> rise_time(const FaultyBuild& made, const std::string& link, const std::string& point) {
    for (const LinkTrace& trace : simulate_links(made.bench, made.wiring, {.links = {link}}))
        for (const Measured& m : trace.measures)
            if (m.kind == MeasureKind::rise_time && m.point == point) return m.nominal;
    return std::nullopt;
}

/// Kinds that a steady level may not show.
bool shows_in_time(FaultKind kind) {
    return kind == FaultKind::wrong_value || kind == FaultKind::contact_resistance ||
           kind == FaultKind::pull_missing || kind == FaultKind::pull_doubled || kind == FaultKind::strong_pull ||
           kind == FaultKind::near_namesake;
}

}  // namespace

std::string words(const Prediction& p) {
    const auto ohms = [](double r) { return print(Ohms{r}); };
    switch (p.kind) {
        case Prediction::Kind::volts:
            if (!p.known) return "anything";
            if (p.floats) return "nothing definite (it floats)";
            return p.hi - p.lo < 0.02 ? fmt::format("{:.2f} V", p.nominal)
                                      : fmt::format("{:.2f}..{:.2f} V", p.lo, p.hi);
        case Prediction::Kind::ohms:
            if (p.lo >= meter_open.si()) return "open";
            if (p.hi <= contacts.hi) return "under " + ohms(contacts.hi);
            return p.hi >= meter_open.si() ? "more than " + ohms(p.lo) : fmt::format("{}..{}", ohms(p.lo), ohms(p.hi));
        case Prediction::Kind::seconds:
            return p.known ? fmt::format("{}..{}", print(Seconds{p.lo}), print(Seconds{p.hi})) : "anything";
        case Prediction::Kind::chance:
            return p.yes > 0.5 ? "yes" : "no";
    }
    return {};
}

Prediction Dictionary::Inside::volts(Pattern& p, const FaultReadings& good, const FaultReadings* fault,
                                     const ProbePoint& at, int state) {
    if (at.kind == ProbePoint::Kind::ground) return {};
    int pin = at.kind == ProbePoint::Kind::pin ? p.planned->pin(at.part, at.pin) : -1;
    if (at.kind == ProbePoint::Kind::rail) {
        int rail = 0;
        while (bench.rails[rail].name != at.rail) ++rail;
        if (p.planned->pins_of_rail(rail).empty()) {
            const auto& v = bench.rails[rail].volts.span;
            return {.lo = v.lo.si(), .nominal = v.nominal.si(), .hi = v.hi.si()};
        }
        pin = p.planned->pins_of_rail(rail).front();
        if (fault && fault->rail_pin(rail) >= 0)
            pin = fault->rail_pin(rail);
        else
            fault = nullptr;
    }
    return of_reading(fault ? reading_with(good, *fault, pin, state) : good.at(pin, state));
}

Prediction Dictionary::Inside::ohms(Pattern& p, const FaultReadings& good, const FaultReadings* fault,
                                    const Question& q) {
    const auto place = [&](int point) {
        const ProbePoint& at = questions.points()[point];
        const FaultReadings& with = fault ? *fault : good;
        if (at.kind == ProbePoint::Kind::ground) return FaultReadings::ground;
        if (at.kind == ProbePoint::Kind::rail) {
            int rail = 0;
            while (bench.rails[rail].name != at.rail) ++rail;
            return with.rail_pin(rail) >= 0 ? with.rail_pin(rail) : -1 - rail;
        }
        const int pin = p.planned->pin(at.part, at.pin);
        if (with.moves(pin)) return pin;
        const NetId net = p.planned->wiring.parts[at.part].net_of_pin[at.pin];
        if (net >= 0 && p.planned->wiring.nets[net].ground) return FaultReadings::ground;
        for (std::size_t r = 0; r < bench.rails.size(); ++r)
            if (net >= 0 && p.planned->wiring.nets[net].rail == bench.rails[r].name) return -1 - static_cast<int>(r);
        return FaultReadings::elsewhere;
    };
    const int a = place(q.point), b = place(q.against);
    if (fault && a < 0 && b < 0) return ohms(p, good, nullptr, q);
    bool joined = false;
    const ResistanceWindow window = (fault ? *fault : good).ohms(a, b, joined);
    return of_window(joined ? contacts : window);
}

Prediction Dictionary::Inside::seen(const Question& q, int fault) {
    if (fault < 0) return chance(1 - seen_wrongly / 2);
    const Fault& f = faults[fault];
    const bool here = q.wire >= 0 ? std::ranges::find(f.wires, q.wire) != f.wires.end()
                                  : f.part == q.part && f.wires.empty();
    if (!here || !f.seen_by_eye) return chance(1 - seen_wrongly / 2);
    return chance(f.by_print ? 3 * missed_by_eye : missed_by_eye);
}

Prediction Dictionary::Inside::behaves(const Question& q, int fault) {
    Pattern& p = pattern({});
    const auto works = [&](int link) { return symptoms->works(fault, link); };
    const auto moves_way = [&](int link) {
        return fault >= 0 && std::ranges::any_of(symptoms->way(link), [&](int pin) {
                   return p.of_fault[fault]->moves(pin);
               });
    };
    const auto is = [&](FaultKind kind) { return fault >= 0 && faults[fault].kind == kind; };
    const double likely = 1 - 5 * seen_wrongly;
    switch (q.behaviour) {
        case Behaviour::link_works: {
            const auto w = works(q.link);
            return chance(w ? seen_wrongly + (1 - 2 * seen_wrongly) * *w : 0.5);
        }
        case Behaviour::works_when_touched: {
            const bool contact = is(FaultKind::contact_resistance) || is(FaultKind::pin_open);
            if (works(q.link).value_or(0) < 0.9 && symptoms->anything_floats(fault, q.link)) return chance(likely);
            return chance(contact && moves_way(q.link) ? likely - 0.2 : seen_wrongly);
        }
        case Behaviour::analyser_clean: {
            const auto w = works(q.link);
            const bool clean = w && symptoms->clean_on_analyser(fault, q.link);
            return chance(clean ? seen_wrongly + likely * (1 - *w) : seen_wrongly);
        }
        case Behaviour::works_alone: {
            if (symptoms->hears_others(fault, q.link)) return chance(likely);
            const bool shared = is(FaultKind::pull_doubled) || is(FaultKind::strong_pull);
            return chance(shared && moves_way(q.link) ? 0.5 : seen_wrongly);
        }
        case Behaviour::slow_only: {
            if (fault < 0 || !shows_in_time(faults[fault].kind) || !moves_way(q.link)) return chance(seen_wrongly);
            const Link& link = bench.links[q.link];
            if (!link.rate || works(q.link).value_or(1) < 0.5 || link.to.empty()) return chance(seen_wrongly);
            const PinRef& end = link.to.front();
            const auto rise = rise_time(with_fault(bench, build, faults[fault]), link.name,
                                        questions.points()[questions.point(end.part + "." + end.pin)].label);
            return chance(!rise || *rise * link.rate->si() > 0.5 ? likely : seen_wrongly);
        }
        case Behaviour::nothing_works: {
            int clear = 0, dead = 0;
            for (std::size_t l = 0; l < bench.links.size(); ++l)
                if (const auto w = works(static_cast<int>(l))) ++clear, dead += *w < 0.5;
            return chance(clear == 0 ? 0.5 : dead == clear ? 0.9 : 5 * dead >= 4 * clear ? 0.5 : seen_wrongly);
        }
        case Behaviour::runs_hot: {
            const double planned = p.good->amps(q.part);
            const double now = fault < 0 ? planned : std::max(planned, p.of_fault[fault]->amps(q.part));
            const bool turned = is(FaultKind::part_turned) && faults[fault].part == q.part;
            return chance(turned || (now > hot_amps && now > 2 * planned) ? likely : seen_wrongly);
        }
    }
    return {};
}

Prediction Dictionary::Inside::on_scope(const Question& q, int fault) {
    Pattern& p = pattern({});
    const Wiring& wiring = p.planned->wiring;
    if (q.sight == ScopeSight::rise_time) {
        const bool asked = fault < 0 || shows_in_time(faults[fault].kind);
        const auto rise = asked ? rise_time(fault < 0 ? FaultyBuild{bench, wiring} : with_fault(bench, build, faults[fault]),
                                            bench.links[q.link].name, questions.points()[q.point].label)
                                : std::nullopt;
        if (!rise) return {.kind = Prediction::Kind::seconds, .known = false};
        return {.kind = Prediction::Kind::seconds,
                .lo = *rise * (1 - other_wires),
                .nominal = *rise,
                .hi = *rise * (1 + other_wires)};
    }
    if (fault < 0) return chance(seen_wrongly);
    return chance(chance_of_dips(*p.planned, faults[fault], q.part, [&](int pin) { return p.of_fault[fault]->moves(pin); }));
}

Prediction Dictionary::Inside::answer(int question, int fault) {
    const Question q = questions.all()[question];
    switch (q.means) {
        case Means::eye:
            return seen(q, fault);
        case Means::behaviour:
            return behaves(q, fault);
        case Means::scope:
            return on_scope(q, fault);
        case Means::voltmeter:
        case Means::ohmmeter:
            break;
    }
    Pattern& p = pattern(questions.states()[q.state].down);
    const FaultReadings& good = good_for(p, q.state);
    const FaultReadings* with = fault < 0 ? nullptr : &fault_for(p, fault, q.state);
    return q.means == Means::voltmeter ? volts(p, good, with, questions.points()[q.point], q.state)
                                       : ohms(p, good, with, q);
}

/// What both do to a place they reach together is solved; otherwise the one that reaches it speaks.
Prediction Dictionary::Inside::answer_pair(int question, const Hypothesis& pair) {
    const Question q = questions.all()[question];
    const Prediction a = answer(question, pair.first), b = answer(question, pair.second);
    if (a.kind == Prediction::Kind::chance) {
        const bool low_wins = q.means == Means::eye || q.behaviour == Behaviour::link_works;
        return chance(low_wins && q.means != Means::scope ? std::min(a.yes, b.yes) : std::max(a.yes, b.yes));
    }
    if (q.means == Means::voltmeter || q.means == Means::ohmmeter) {
        Pattern& p = pattern(questions.states()[q.state].down);
        if (const FaultReadings* both = joint(p, pair.first, pair.second, q.state)) {
            const FaultReadings& good = good_for(p, q.state);
            return q.means == Means::voltmeter ? volts(p, good, both, questions.points()[q.point], q.state)
                                               : ohms(p, good, both, q);
        }
    }
    const Prediction planned = answer(question, -1);
    return equal(a, planned) ? b : a;
}

std::vector<int> Dictionary::Inside::concerned(const Question& q) {
    Pattern& p = pattern(questions.states()[q.state].down);
    std::set<int> found;
    const auto at_pin = [&](int pin) { found.insert(p.faults_at[pin].begin(), p.faults_at[pin].end()); };
    const auto at_point = [&](int point) {
        if (point < 0) return;
        const ProbePoint& at = questions.points()[point];
        if (at.kind == ProbePoint::Kind::pin) at_pin(p.planned->pin(at.part, at.pin));
        for (std::size_t r = 0; r < bench.rails.size(); ++r)
            if (at.kind == ProbePoint::Kind::rail && bench.rails[r].name == at.rail)
                found.insert(p.faults_rail[r].begin(), p.faults_rail[r].end());
    };
    at_point(q.point);
    at_point(q.against);
    for (std::size_t f = 0; f < faults.size(); ++f) {
        const bool looked_at = q.wire >= 0 ? std::ranges::find(faults[f].wires, q.wire) != faults[f].wires.end()
                                           : faults[f].part == q.part;
        if ((q.means == Means::eye && looked_at) || q.means == Means::behaviour ||
            (q.means == Means::scope && q.sight == ScopeSight::ripple))
            found.insert(static_cast<int>(f));
    }
    return {found.begin(), found.end()};
}

const Dictionary::Inside::Others& Dictionary::Inside::others(int question) {
    const auto [at, fresh] = known_others.try_emplace(question);
    if (!fresh) return at->second;
    const auto [good, unknown] = known_good.try_emplace(question);
    if (unknown) good->second = answer(question, -1);
    Others list;
    for (const int f : concerned(questions.all()[question]))
        if (const Prediction p = answer(question, f); !equal(p, good->second)) list.emplace_back(1 + f, p);
    return known_others[question] = std::move(list);
}

}  // namespace voltsill
