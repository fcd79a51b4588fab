#include "faults/symptoms.h"

#include <algorithm>
#include <cmath>

#include "judging/scene.h"

namespace voltsill {
namespace {

/// V: what an analyser takes for a one, and what for a zero (common practice).
constexpr double analyser_one = 1.65, analyser_zero = 1.4;
/// V: a level that another link moves by more hears it.
constexpr double heard = 0.3;
/// Share of its range by which an analogue level may be off.
constexpr double analog_share = 0.05;

const Pin& pin_at(const PlannedBuild& planned, int pin) {
    return planned.wiring.parts[planned.part_of(pin)].type->pins[planned.index_of(pin)];
}

/// The pin that powers another; -1: none.
int supply_of(const PlannedBuild& planned, int pin) {
    const int part = planned.part_of(pin);
    const PartType& type = *planned.wiring.parts[part].type;
    for (std::size_t k = 0; k < type.pins.size(); ++k)
        if (type.pins[k].role == PinRole::supply && type.pins[k].supply == pin_at(planned, pin).supply)
            return planned.pin(part, static_cast<int>(k));
    return -1;
}

bool differs(const MeterReading& a, const MeterReading& b, double volts) {
    return a.floats != b.floats || std::abs(a.nominal - b.nominal) > volts;
}

}  // namespace

Symptoms::Symptoms(const PlannedBuild& planned, const Questions& questions, ReadPin reading)
    : planned_(planned), questions_(questions), reading_(std::move(reading)) {
    links_.resize(planned.bench.links.size());
    for (std::size_t l = 0; l < links_.size(); ++l) lay(static_cast<int>(l));
}

void Symptoms::lay(int index) {
    const Link& link = planned_.bench.links[index];
    Way& way = links_[index];
    way.analog = link.kind == LinkKind::analog;
    way.low = way.analog ? Questions::at_rest : questions_.state_of_link(index, false);
    way.high = way.analog ? Questions::at_rest : questions_.state_of_link(index, true);
    if (way.low < 0) return;
    for (int pin = 0; pin < planned_.pins(); ++pin)
        if (differs(reading_(-1, pin, way.high), reading_(-1, pin, way.low), heard)) way.way.push_back(pin);
    way.clear = true;
    for (const PinRef& end : link.to) {
        Receiver receiver{.pin = planned_.pin_of({end.part, end.pin})};
        if (receiver.pin < 0) continue;
        receiver.supply = supply_of(planned_, receiver.pin);
        const Pin& pin = pin_at(planned_, receiver.pin);
        if (!way.analog && !pin.load) {
            const Volts supply{receiver.supply < 0 ? 0.0 : reading_(-1, receiver.supply, way.high).nominal};
            const Logic high = read_level(pin, Volts{reading_(-1, receiver.pin, way.high).nominal}, supply);
            const Logic low = read_level(pin, Volts{reading_(-1, receiver.pin, way.low).nominal}, supply);
            way.clear &= (high == Logic::one && low == Logic::zero) || (high == Logic::zero && low == Logic::one);
            receiver.high_reads = high == Logic::one;
        }
        way.receivers.push_back(receiver);
    }
    way.clear &= !way.receivers.empty();
}

/// 1: surely read as it should be; between the limits of the input as far as the level has got.
double Symptoms::arrives(int fault, const Way& link, const Receiver& receiver, bool high) const {
    const int state = high ? link.high : link.low;
    const MeterReading now = reading_(fault, receiver.pin, state), planned = reading_(-1, receiver.pin, state);
    if (!now.solved) return 0.3;  // a large network without its ground or supply
    if (now.floats && !planned.floats) return 0.2;
    const Pin& pin = pin_at(planned_, receiver.pin);
    double supply = 0;
    if (receiver.supply >= 0) {
        const MeterReading power = reading_(fault, receiver.supply, state);
        const double wanted = reading_(-1, receiver.supply, state).nominal;
        if (power.floats || power.nominal < 0.75 * wanted) return 0;
        supply = power.nominal;
    }
    if (link.analog || pin.load) {
        const double allowed = analog_share * std::max({std::abs(planned.hi - planned.lo), supply, 1.0});
        const double off = std::max(std::abs(now.lo - planned.lo), std::abs(now.hi - planned.hi));
        return std::clamp(2 - off / allowed, 0.0, 1.0);
    }
    const auto limits = thresholds_at(pin, Volts{supply});
    if (!limits) return 0.5;
    const double vil = limits->low.at(Volts{supply}).si(), vih = limits->high.at(Volts{supply}).si();
    const auto up = [&](double volts) { return std::clamp((volts - vil) / std::max(vih - vil, 0.01), 0.0, 1.0); };
    const double read = now.gap_lo < now.gap_hi ? (up((now.lo + now.gap_lo) / 2) + up((now.gap_hi + now.hi) / 2)) / 2
                                                : up(now.nominal);
    return receiver.high_reads == high ? read : 1 - read;
}

std::optional<double> Symptoms::works(int fault, int index) const {
    const Way& link = links_[index];
    if (!link.clear) return std::nullopt;
    double all = 1;
    const auto either = [&](int pin, int state) {
        const MeterReading r = reading_(fault, pin, state);
        return r.solved && r.gap_lo < r.gap_hi;
    };
    for (const Receiver& receiver : link.receivers) {
        for (const bool high : {false, true}) all *= arrives(fault, link, receiver, high);
        // A level that nothing defines does not follow its driver.
        if (either(receiver.pin, link.low) && either(receiver.pin, link.high)) all *= seen_wrongly;
    }
    return all;
}

bool Symptoms::anything_floats(int fault, int index) const {
    const Way& link = links_[index];
    if (link.low < 0) return false;
    const auto fresh = [&](int pin, int state) {
        return reading_(fault, pin, state).floats && !reading_(-1, pin, state).floats;
    };
    std::vector<int> pins = link.way;
    for (const Receiver& receiver : link.receivers) pins.push_back(receiver.pin);
    return std::ranges::any_of(pins, [&](int pin) {
        const PinRole role = pin_at(planned_, pin).role;
        const bool listens = role == PinRole::input || role == PinRole::io || role == PinRole::open_drain_io ||
                             role == PinRole::analog_input;
        return listens && (fresh(pin, link.low) || fresh(pin, link.high));
    });
}

bool Symptoms::clean_on_analyser(int fault, int index) const {
    const Way& link = links_[index];
    if (!link.clear || link.analog) return false;
    return std::ranges::all_of(link.receivers, [&](const Receiver& receiver) {
        const MeterReading high = reading_(fault, receiver.pin, receiver.high_reads ? link.high : link.low);
        const MeterReading low = reading_(fault, receiver.pin, receiver.high_reads ? link.low : link.high);
        return !high.floats && !low.floats && high.nominal >= analyser_one && low.nominal <= analyser_zero;
    });
}

bool Symptoms::hears_others(int fault, int index) const {
    const Way& link = links_[index];
    for (const Receiver& receiver : link.receivers) {
        const MeterReading rest = reading_(fault, receiver.pin, Questions::at_rest);
        for (std::size_t other = 0; other < links_.size(); ++other) {
            if (static_cast<int>(other) == index || links_[other].low < 0 || links_[other].analog) continue;
            if (std::ranges::find(links_[other].way, receiver.pin) != links_[other].way.end()) continue;
            for (const int state : {links_[other].low, links_[other].high})
                if (const MeterReading r = reading_(fault, receiver.pin, state); r.solved && differs(r, rest, heard))
                    return true;
        }
    }
    return false;
}

}  // namespace voltsill
