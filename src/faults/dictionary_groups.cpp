/// Which questions tell faults apart, and which faults none does.
#include <algorithm>
#include <climits>
#include <cmath>

#include "faults/dictionary_inside.h"
#include "quantity/hand_meter.h"
#include "wiring/decoupling.h"

namespace voltsill {
namespace {

/// V and share: two windows of a hand meter nearer than this are one.
constexpr double meter_volts = hand_meter::volts_floor.si(), meter_share = hand_meter::volts_share;

struct Window {
    double lo, hi;
};

Window widened(Prediction::Kind kind, const std::pair<double, double>& window) {
    const auto [lo, hi] = window;
    if (kind == Prediction::Kind::volts)
        return {lo - meter_volts - meter_share * std::abs(lo), hi + meter_volts + meter_share * std::abs(hi)};
    const double least = kind == Prediction::Kind::ohms ? 0.1 : 1e-12;
    const double most = kind == Prediction::Kind::ohms ? 1e8 : 1e3;
    const auto decades = [&](double x) { return std::log10(std::clamp(x, least, most)); };
    return {decades(lo) - 0.02, decades(hi) + 0.02};
}

/// The same legs of a part, the same strip: neighbours that a slip may join.
bool are_neighbours(const Questions& questions, int a, int b) {
    const ProbePoint &x = questions.points()[a], &y = questions.points()[b];
    return x.part == y.part && std::abs(x.pin - y.pin) == 1;
}

/// The pin at which a rail is read: to read it as a pin again would tell the same.
bool is_read_as_rail(const Questions& questions, const ProbePoint& at) {
    return std::ranges::any_of(questions.points(), [&](const ProbePoint& p) {
        return p.kind == ProbePoint::Kind::rail && p.part == at.part && p.pin == at.pin;
    });
}

/// Alike within what a hand meter shows: a step of 30 mV, a twentieth of a decade, a fiftieth of a chance.
using Step = std::tuple<bool, bool, bool, std::array<long, 4>, std::array<int, 2>>;
Step step_of(const Prediction& p) {
    const auto step = [&](double x) {
        if (p.kind == Prediction::Kind::volts) return std::lround(x / 0.03);
        if (p.kind == Prediction::Kind::chance) return std::lround(p.yes / 0.02);
        return std::lround(20 * std::log10(std::clamp(x, 1e-12, 1e9)));
    };
    if (!p.known || p.floats) return {p.known, p.floats, false, {}, p.sights};
    const bool gap = p.gap_lo < p.gap_hi;
    const std::array<long, 4> ends{step(p.lo), step(p.hi), gap ? step(p.gap_lo) : 0, gap ? step(p.gap_hi) : 0};
    return {p.known, p.floats, p.may_float, ends, p.sights};
}

}  // namespace

bool told_apart(const Prediction& a, const Prediction& b) {
    if (!a.known || !b.known) return false;
    if (a.kind == Prediction::Kind::chance)
        return std::abs(a.yes - b.yes) > 0.5 || (a.yes < 0.5 && b.yes < 0.5 && a.sights != b.sights);
    if (a.floats || b.floats) return a.floats != b.floats;
    if (a.may_float != b.may_float) return true;
    const auto of_a = windows_of(a), of_b = windows_of(b);
    if (of_a.size() != of_b.size()) return true;
    for (std::size_t k = 0; k < of_a.size(); ++k) {
        const Window x = widened(a.kind, of_a[k]), y = widened(b.kind, of_b[k]);
        const double common = std::min(x.hi, y.hi) - std::max(x.lo, y.lo);
        if (common < 0.5 * (std::max(x.hi, y.hi) - std::min(x.lo, y.lo))) return true;
    }
    return false;
}

const Dictionary::Answers& Dictionary::Inside::answers(int question) {
    const auto [at, fresh] = known_answers.try_emplace(question);
    Answers& out = at->second;
    if (!fresh) return out;
    const Others& list = others(question);
    out.distinct.push_back(known_good.at(question));
    std::map<Step, int> met{{step_of(out.distinct.front()), 0}};
    for (const auto& [h, p] : list) {
        const auto [number, first] = met.try_emplace(step_of(p), static_cast<int>(out.distinct.size()));
        if (first) out.distinct.push_back(p);
        out.of_other.push_back(number->second);
    }
    return out;
}

void Dictionary::Inside::find_worth_asking() {
    Pattern& p = pattern({});
    const Wiring& wiring = p.planned->wiring;
    std::vector<int> asked;
    const auto is_lead = [&](const ProbePoint& at) {
        return at.kind == ProbePoint::Kind::pin && wiring.parts[at.part].net_of_pin[at.pin] >= 0;
    };
    std::map<NetId, int> first_on_net;
    for (int point = 1; point < std::ssize(questions.points()); ++point) {
        const ProbePoint at = questions.points()[point];
        if (at.is_post()) {
            const int end = at.kind == ProbePoint::Kind::plus ? questions.point("rail " + at.rail) : 0;
            asked.push_back(questions.ohms(end, point));
            continue;
        }
        const bool read_as_rail = at.kind == ProbePoint::Kind::pin && is_read_as_rail(questions, at);
        if (!read_as_rail) asked.push_back(questions.volts(point, Questions::at_rest));
        if (at.kind == ProbePoint::Kind::rail && bench.rail(at.rail)->from.empty())
            asked.push_back(questions.supply_alone(point));
        if (at.kind == ProbePoint::Kind::rail)
            for (int other = 0; other < point; ++other) asked.push_back(questions.ohms(other, point));
        if (!is_lead(at)) {
            if (at.kind == ProbePoint::Kind::pin && !read_as_rail) asked.pop_back();
            continue;
        }
        const int pin = p.planned->pin(at.part, at.pin);
        const MeterReading rest = p.good->at(pin, Questions::at_rest);
        for (int s = 2; s < p.good->states(); ++s) {
            const MeterReading r = p.good->at(pin, s);
            bool differs = r.floats != rest.floats || std::abs(r.nominal - rest.nominal) > meter_volts;
            for (std::size_t k = 0; k < p.faults_at[pin].size() && !differs; ++k)
                differs = p.of_fault[p.faults_at[pin][k]]->depends_on(s);
            if (differs) asked.push_back(questions.volts(point, s));
        }
        const NetId net = wiring.parts[at.part].net_of_pin[at.pin];
        int hub = first_on_net.try_emplace(net, point).first->second;
        if (wiring.nets[net].ground) hub = 0;
        for (std::size_t r = 0; r < bench.rails.size(); ++r)
            if (wiring.nets[net].rail == bench.rails[r].name) hub = 1 + static_cast<int>(r);
        if (hub != point && !read_as_rail) asked.push_back(questions.ohms(hub, point));
        if (hub <= std::ssize(bench.rails) || hub == point)  // what it may have been joined to by mistake
            for (int shared = 0; shared <= std::ssize(bench.rails); ++shared)
                if (shared != hub) asked.push_back(questions.ohms(shared, point));
        if (const int next = questions.point_of_pin(at.part, at.pin + 1);
            next >= 0 && is_lead(questions.points()[next]) && are_neighbours(questions, point, next) &&
            wiring.parts[at.part].net_of_pin[at.pin + 1] != net)
            asked.push_back(questions.ohms(point, next));
    }
    for (int point = 0; point <= std::ssize(bench.rails); ++point)
        if (!questions.wires_along(point).empty()) asked.push_back(questions.look_along(point));
    for (const LaidWire& wire : build.placement.wires) asked.push_back(questions.look_at_wire(wire.number));
    for (std::size_t part = 0; part < wiring.parts.size(); ++part) {
        asked.push_back(questions.look_at_part(static_cast<int>(part)));
        if (!questions.wires_around(static_cast<int>(part)).empty())
            asked.push_back(questions.look_around(static_cast<int>(part)));
        if (std::ranges::any_of(wiring.parts,
                                [&](const WiredPart& c) { return is_decoupling_of(c, wiring.parts[part].name); }))
            asked.push_back(questions.ripple(static_cast<int>(part)));
    }
    for (const int question : asked) {
        const Others& list = others(question);
        const Prediction planned = list.empty() ? Prediction{} : known_good.at(question);
        if (std::ranges::any_of(list, [&](const auto& other) { return told_apart(other.second, planned); }))
            worth.push_back(question);
    }
    std::ranges::sort(worth);
    worth.erase(std::unique(worth.begin(), worth.end()), worth.end());
    for (const int question : worth) answers(question);
}

/// Each fault joins the first before it that no meter and no scope tells from it in any question.
void Dictionary::Inside::find_alike() {
    std::vector<std::vector<std::pair<int, const Prediction*>>> told(hypotheses.size());
    for (const int question : worth) {
        const Means means = questions.all()[question].means;
        if (means == Means::eye || means == Means::behaviour) continue;
        for (const auto& [h, p] : others(question)) told[h].emplace_back(question, &p);
    }
    const auto alike = [&](int a, int b) {
        const auto &x = told[a], &y = told[b];
        for (std::size_t i = 0, j = 0; i < x.size() || j < y.size();) {
            const int qx = i < x.size() ? x[i].first : INT_MAX, qy = j < y.size() ? y[j].first : INT_MAX;
            const Prediction& planned = known_good.at(std::min(qx, qy));
            const Prediction& px = qx <= qy ? *x[i++].second : planned;
            const Prediction& py = qy <= qx ? *y[j++].second : planned;
            if (told_apart(px, py)) return false;
        }
        return true;
    };
    std::vector<int> leaders;
    for (int h = 0; h < std::ssize(hypotheses); ++h) {
        const auto leader = std::ranges::find_if(leaders, [&](int l) { return alike(l, h); });
        group.push_back(leader == leaders.end() ? h : *leader);
        if (leader == leaders.end()) leaders.push_back(h);
    }
}

}  // namespace voltsill
