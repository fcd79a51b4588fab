/// What each question would answer under each fault.
#include <algorithm>
#include <cmath>

#include "faults/dictionary_inside.h"
#include "faults/supply_dips.h"
#include "signals/simulate.h"

namespace voltsill {
namespace {

/// A, of an output that fights: its part gets hot within seconds (20..50 mA a pair, common practice).
constexpr double hot_amps = 15e-3;

/// Share of a rise time by which another bench's wires differ.
constexpr double other_wires = 0.25;

Prediction chance(double yes) { return {.kind = Prediction::Kind::chance, .yes = yes}; }

Prediction of_reading(const MeterReading& r) {
    return {.lo = r.lo, .nominal = r.nominal, .hi = r.hi, .gap_lo = r.gap_lo, .gap_hi = r.gap_hi,
            .floats = r.floats && !r.may_hold, .may_float = r.may_hold, .known = r.solved};
}

bool equal(const Prediction& a, const Prediction& b) {
    if (a.known != b.known || a.floats != b.floats || a.may_float != b.may_float) return false;
    if (!a.known) return true;
    if (a.kind == Prediction::Kind::chance) return std::abs(a.yes - b.yes) < 1e-6 && a.sights == b.sights;
    const double small = a.kind == Prediction::Kind::volts ? 1e-3 : 1e-3 * std::max(a.lo, b.lo);
    const auto near = [&](double x, double y) { return std::abs(x - y) <= small; };
    return near(a.lo, b.lo) && near(a.hi, b.hi) && near(a.gap_lo, b.gap_lo) && near(a.gap_hi, b.gap_hi);
}

/// How long a link's receiver takes from 10 to 90 %; nothing: it never does. Where the fault leaves the rails as they
/// are, what it cannot reach is left away.
std::optional<double> rise_time(const WiringCutter& cutter, const FaultyBuild& made, int link,
                                const std::string& point) {
    const WiringCut cut = cutter.cut(made.wiring, true);
    const bool whole = cut.same || std::ranges::find(cut.links, link) == cut.links.end();
    const Wiring& wiring = whole ? made.wiring : cut.wiring;
    for (const LinkTrace& trace : simulate_links(made.bench, wiring, {.links = {made.bench.links[link].name}}))
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

/// What the judge finds of a part that turns more into heat than it stands.
bool tells_of_heat(const Finding& f) {
    constexpr std::string_view codes[] = {"contention",    "output-overload", "dissipation",     "current-rating",
                                          "part-overload", "supply-reversed", "supply-too-high"};
    return f.verdict == Verdict::harmful && std::ranges::find(codes, f.code) != std::end(codes);
}

}  // namespace

bool Dictionary::Inside::overloads(Pattern& p, int fault, int part) {
    const WiredPart& of = build.wiring.parts[part];
    const auto moved = [&](std::size_t k) {
        return p.of_fault[fault]->moves(p.planned->pin(part, static_cast<int>(k)));
    };
    bool any = false;
    for (std::size_t k = 0; k < of.type->pins.size(); ++k) any |= moved(k);
    if (!any) return false;
    const auto [known, fresh] = overloaded.try_emplace(fault);
    if (fresh)
        for (const Finding& f : fault_judge().findings_of(with_fault(bench, build, faults[fault])))
            if (tells_of_heat(f)) known->second.insert(f.part);
    return known->second.contains(of.name);
}

Prediction Dictionary::Inside::volts(Pattern& p, const FaultReadings& good, const FaultReadings* fault,
                                     const ProbePoint& at, int state) {
    if (at.kind == ProbePoint::Kind::ground) return {};
    if (at.part < 0) {  // a rail that nothing is on
        const auto& v = bench.rail(at.rail)->volts.span;
        return {.lo = v.lo.si(), .nominal = v.nominal.si(), .hi = v.hi.si()};
    }
    const int pin = p.planned->pin(at.part, at.pin);
    return of_reading(fault ? reading_with(good, *fault, pin, state) : good.at(pin, state));
}

bool Dictionary::Inside::concerns(const Question& look, const Fault& fault) const {
    return std::ranges::any_of(fault.sights, [&](const Sight& s) { return questions.sees(look, s.wire, fault.part); });
}

Prediction Dictionary::Inside::seen(const Question& q, int fault) const {
    if (fault < 0 || !concerns(q, faults[fault])) return chance(1 - seen_wrongly / 2);
    const Fault& f = faults[fault];
    Prediction out = chance(missed(q.around, f.by_print));
    std::size_t shown = 0;
    for (const Sight& s : f.sights)
        if (questions.sees(q, s.wire, f.part) && shown < out.sights.size())
            out.sights[shown++] = questions.sight(s.wire, s.wire < 0 ? f.part : -1, s.text);
    return out;
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
            const auto rise = rise_time(p.planned->cutter, with_fault(bench, build, faults[fault]), q.link,
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
            const bool hot =
                turned || (now > hot_amps && now > 2 * planned) || (fault >= 0 && overloads(p, fault, q.part));
            return chance(hot ? likely : seen_wrongly);
        }
    }
    return {};
}

Prediction Dictionary::Inside::on_scope(const Question& q, int fault) {
    Pattern& p = pattern({});
    const Wiring& wiring = p.planned->wiring;
    if (q.sight == ScopeSight::rise_time) {
        const bool asked = fault < 0 || shows_in_time(faults[fault].kind);
        const auto rise =
            asked ? rise_time(p.planned->cutter,
                              fault < 0 ? FaultyBuild{bench, wiring} : with_fault(bench, build, faults[fault]), q.link,
                              questions.points()[q.point].label)
                  : std::nullopt;
        if (!rise) return {.kind = Prediction::Kind::seconds, .known = false};
        return {.kind = Prediction::Kind::seconds,
                .lo = *rise * (1 - other_wires),
                .nominal = *rise,
                .hi = *rise * (1 + other_wires)};
    }
    if (fault < 0) return chance(seen_wrongly);
    return chance(
        chance_of_dips(*p.planned, faults[fault], q.part, [&](int pin) { return p.of_fault[fault]->moves(pin); }));
}

/// Of a supply that nothing is joined to.
Prediction Dictionary::Inside::of_supply(const std::string& rail, int fault) const {
    if (fault >= 0 && faults[fault].rail == rail && faults[fault].kind == FaultKind::supply_off) return {};
    const bool off_value =
        fault >= 0 && faults[fault].rail == rail &&
        (faults[fault].kind == FaultKind::supply_low || faults[fault].kind == FaultKind::supply_high);
    const auto v = off_value ? with_fault(bench, build, faults[fault]).bench.rail(rail)->volts.span
                             : bench.rail(rail)->volts.span;
    return {.lo = v.lo.si(), .nominal = v.nominal.si(), .hi = v.hi.si()};
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
    if (q.alone) return of_supply(questions.points()[q.point].rail, fault);
    Pattern& p = pattern(questions.states()[q.state].down);
    const FaultReadings& good = good_for(p, q.state);
    const FaultReadings* with = fault < 0 ? nullptr : &fault_for(p, fault, q.state);
    return q.means == Means::voltmeter ? volts(p, good, with, questions.points()[q.point], q.state)
                                       : ohms(p, good, with, q, {.first = fault});
}

/// What both do to a place they reach together is solved; otherwise the one that reaches it speaks.
Prediction Dictionary::Inside::answer_pair(int question, const Hypothesis& pair) {
    const Question q = questions.all()[question];
    const Prediction a = answer(question, pair.first), b = answer(question, pair.second);
    if (q.alone) return equal(a, answer(question, -1)) ? b : a;
    if (a.kind == Prediction::Kind::chance) {
        const bool low_wins = q.means == Means::eye || q.behaviour == Behaviour::link_works;
        if (q.means != Means::eye)
            return chance(low_wins && q.means != Means::scope ? std::min(a.yes, b.yes) : std::max(a.yes, b.yes));
        Prediction both = chance(std::min(a.yes, b.yes));
        both.sights = {a.sights[0] >= 0 ? a.sights[0] : b.sights[0],
                       a.sights[0] >= 0 && b.sights[0] >= 0 ? b.sights[0] : -1};
        return both;
    }
    if (q.means == Means::voltmeter || q.means == Means::ohmmeter) {
        Pattern& p = pattern(questions.states()[q.state].down);
        if (const FaultReadings* both = joint(p, pair.first, pair.second, q.state)) {
            const FaultReadings& good = good_for(p, q.state);
            return q.means == Means::voltmeter ? volts(p, good, both, questions.points()[q.point], q.state)
                                               : ohms(p, good, both, q, pair);
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
        if (at.part >= 0) at_pin(p.planned->pin(at.part, at.pin));
        for (std::size_t f = 0; f < faults.size(); ++f)
            if (concerns_lead(faults[f], at)) found.insert(static_cast<int>(f));
    };
    if (q.alone) {
        for (std::size_t f = 0; f < faults.size(); ++f)
            if (faults[f].part < 0 && faults[f].rail == questions.points()[q.point].rail)
                found.insert(static_cast<int>(f));
        return {found.begin(), found.end()};
    }
    at_point(q.point);
    at_point(q.against);
    for (std::size_t f = 0; f < faults.size(); ++f) {
        if ((q.means == Means::eye && concerns(q, faults[f])) || q.means == Means::behaviour ||
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
