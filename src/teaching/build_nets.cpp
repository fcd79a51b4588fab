#include "teaching/build_nets.h"

#include <algorithm>
#include <map>

namespace voltsill {

Joints::Joints(const Bench& bench, const Wiring& wiring) : rails_(static_cast<int>(bench.rails.size())) {
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        first_.push_back(pins_);
        pins_ += static_cast<int>(wiring.parts[p].net_of_pin.size());
        part_of_.resize(pins_, static_cast<int>(p));
    }
    for (const Rail& rail : bench.rails) {
        plus_.push_back(rail.from.empty() ? terminal(terminals_) : -1);
        terminals_ += rail.from.empty() ? 2 : 0;
    }
}

JointNets Joints::of(const SlipNets::Key& key) const {
    JointNets out(count());
    const auto held = [&](int label) { return label == -2 ? ground() : rail(-3 - label); };
    for (int j = 0; j < pins_; ++j) out[j] = key[j] >= 0 ? key[j] : key[j] == -1 ? j : held(key[j]);
    out[ground()] = ground();
    for (int r = 0; r < rails_; ++r) {
        const int label = key[pins_ + r];  // -1: wired to nothing, 0: the wrong way round
        out[rail(r)] = label <= -2 ? held(label) : rail(r);
    }
    for (int t = 0; t < terminals_; ++t) {
        const int label = key[pins_ + rails_ + t], own = terminal(t);
        out[own] = label >= 0 ? label : label == -1 ? own : held(label);
        if (label >= 0 && key[label] == -1) out[label] = label;  // a pin alone with a terminal
    }
    return out;
}

Wiring Joints::wiring(const Bench& bench, const Wiring& names, const JointNets& nets) const {
    Wiring made;
    made.direct = names.direct;
    made.parts = names.parts;
    std::map<int, NetId> id;
    made.nets.push_back({.name = "ground", .ground = true});
    id[nets[ground()]] = 0;
    for (int r = 0; r < rails_; ++r) {
        const std::string& name = bench.rails[r].name;
        const int plus = plus_of(r);
        const bool held = plus < 0 || nets[plus + 1] == nets[ground()];
        const bool own =
            !held || id.emplace(nets[plus < 0 ? rail(r) : plus], static_cast<NetId>(made.nets.size())).second;
        made.nets.push_back({.name = "rail " + name, .rail = own ? name : ""});
    }
    std::map<int, int> size;
    for (int j = 0; j < pins_; ++j) ++size[nets[j]];
    for (int j = 0; j < pins_; ++j) {
        NetId& net = made.parts[part_of(j)].net_of_pin[pin_of(j)];
        const NetId planned = net;
        const auto known = id.find(nets[j]);
        if (known != id.end())
            net = known->second;
        else if (size[nets[j]] < 2)
            net = unconnected;
        else
            id[nets[j]] = net = made.add_net(planned < 0 ? "" : names.nets[planned].name);
    }
    return made;
}

WantedNets::WantedNets(const JointNets& nets) : net(nets.size()) {
    std::map<int, int> number;
    for (std::size_t j = 0; j < nets.size(); ++j) {
        net[j] = number.emplace(nets[j], static_cast<int>(number.size())).first->second;
        if (net[j] == static_cast<int>(joints.size())) joints.emplace_back();
        joints[net[j]].push_back(static_cast<int>(j));
    }
}

NetsApart apart(const WantedNets& wanted, const JointNets& made) {
    const int n = static_cast<int>(made.size());
    std::vector<int> pairs(n);
    for (int j = 0; j < n; ++j) pairs[j] = made[j] * n + wanted.net[j];
    std::ranges::sort(pairs);
    int distinct = 0, made_nets = 0;
    for (int j = 0; j < n; ++j) {
        distinct += j == 0 || pairs[j] != pairs[j - 1];
        made_nets += j == 0 || pairs[j] / n != pairs[j - 1] / n;
    }
    return {distinct - static_cast<int>(wanted.joints.size()), distinct - made_nets};
}

namespace {

/// A channel with the pins that serve it alone, and what it shares with others of its package.
struct ChannelUnit {
    int part = -1;
    std::vector<int> pins;    ///< inputs, output, own enables, own direction
    std::vector<int> shared;  ///< of enables and direction; -1: own
};

class EqualUnitsFinder {
  public:
    EqualUnitsFinder(const Bench& bench, const Wiring& wiring, const Joints& joints)
        : wiring_(wiring), joints_(joints), named_(joints.count(), false) {
        for (const Link& link : bench.links)
            for (const auto* ends : {&link.from, &link.to})
                for (const PinRef& end : *ends)
                    if (const int p = wiring.part(end.part); p >= 0)
                        if (const int k = wiring.parts[p].type->pin_index(end.pin); k >= 0)
                            named_[joints.pin(p, k)] = true;
    }

    EqualUnits run() {
        for (std::size_t p = 0; p < wiring_.parts.size(); ++p) {
            const int part = static_cast<int>(p);
            if (!wiring_.parts[p].added) continue;
            channels(part);
            if (wiring_.parts[p].type->kind == PartKind::resistor || wiring_.parts[p].type->kind == PartKind::capacitor)
                exchange(part, {0, 1}, part, {1, 0});
            for (int q = 0; q < part; ++q)
                if (wiring_.parts[q].added && equal_parts(q, part)) exchange(q, all_pins(q), part, all_pins(part));
        }
        across_packages();
        return std::move(out_);
    }

  private:
    void exchange(int p, const std::vector<int>& a, int q, const std::vector<int>& b) {
        std::vector<int> x, y;
        for (std::size_t k = 0; k < a.size(); ++k) {
            if (p == q && a[k] == b[k]) continue;
            x.push_back(joints_.pin(p, a[k])), y.push_back(joints_.pin(q, b[k]));
            if (named_[x.back()] || named_[y.back()]) return;
        }
        if (p == q && a.size() == 2 && x.size() == 2 && x[0] == y[1]) x.pop_back(), y.pop_back();  // one exchange
        out_.exchanges.emplace_back(std::move(x), std::move(y));
    }

    std::vector<int> all_pins(int part) const {
        std::vector<int> pins(wiring_.parts[part].net_of_pin.size());
        for (std::size_t k = 0; k < pins.size(); ++k) pins[k] = static_cast<int>(k);
        return pins;
    }
    bool equal_parts(int p, int q) const {
        const WiredPart &a = wiring_.parts[p], &b = wiring_.parts[q];
        return a.type == b.type && a.package == b.package && a.value == b.value && a.tolerance == b.tolerance &&
               a.pulls_removed == b.pulls_removed;
    }
    bool alike(const PartType& type, int p, int q) const {
        const Pin &x = type.pins[p], &y = type.pins[q];
        return x.role == y.role && x.supply == y.supply && x.pulls.size() == y.pulls.size() && x.schmitt == y.schmitt;
    }

    ChannelUnit unit(int part, const Channel& c) const {
        ChannelUnit out{.part = part, .pins = c.inputs};
        out.pins.push_back(c.output);
        std::vector<int> controls = c.enables;
        controls.push_back(c.direction);
        for (const int pin : controls) {
            if (pin < 0) continue;
            const auto serves = std::ranges::count_if(wiring_.parts[part].type->channels, [&](const Channel& o) {
                return o.direction == pin || std::ranges::find(o.enables, pin) != o.enables.end();
            });
            out.shared.push_back(serves > 1 ? pin : -1);
            if (serves == 1) out.pins.push_back(pin);
        }
        return out;
    }
    bool equal_channels(const PartType& type, const Channel& a, const Channel& b) const {
        if (a.logic != b.logic || a.inputs.size() != b.inputs.size() || a.enable_high != b.enable_high ||
            a.output < 0 || b.output < 0 || !alike(type, a.output, b.output))
            return false;
        for (std::size_t k = 0; k < a.inputs.size(); ++k)
            if (!alike(type, a.inputs[k], b.inputs[k])) return false;
        return true;
    }
    void channels(int part) {
        const PartType& type = *wiring_.parts[part].type;
        for (std::size_t i = 0; i < type.channels.size(); ++i) {
            const Channel& c = type.channels[i];
            const bool gate = c.logic == ChannelLogic::and_ || c.logic == ChannelLogic::nand ||
                              c.logic == ChannelLogic::or_ || c.logic == ChannelLogic::nor ||
                              c.logic == ChannelLogic::xor_;
            for (std::size_t k = 1; gate && k < c.inputs.size(); ++k)
                exchange(part, {c.inputs[0], c.inputs[k]}, part, {c.inputs[k], c.inputs[0]});
            for (std::size_t j = 0; j < i; ++j) {
                const ChannelUnit a = unit(part, type.channels[j]), b = unit(part, c);
                if (equal_channels(type, type.channels[j], c) && a.shared == b.shared && a.pins.size() == b.pins.size())
                    exchange(part, a.pins, part, b.pins);
            }
        }
    }
    /// Channels of two packages on the same supplies, grounds and shared controls.
    void across_packages() {
        for (std::size_t q = 0; q < wiring_.parts.size(); ++q)
            for (std::size_t p = 0; p < q; ++p) {
                const WiredPart &a = wiring_.parts[p], &b = wiring_.parts[q];
                if (!a.added || !b.added || a.type->channels.empty() ||
                    !equal_parts(static_cast<int>(p), static_cast<int>(q)))
                    continue;
                std::vector<bool> own(a.net_of_pin.size(), false);
                for (const Channel& c : a.type->channels)
                    for (const int pin : unit(static_cast<int>(p), c).pins) own[pin] = true;
                bool same = true;
                for (std::size_t k = 0; k < own.size(); ++k) same &= own[k] || a.net_of_pin[k] == b.net_of_pin[k];
                if (!same) continue;
                for (const Channel& c : a.type->channels)
                    for (const Channel& d : b.type->channels) {
                        const ChannelUnit x = unit(static_cast<int>(p), c), y = unit(static_cast<int>(q), d);
                        if (equal_channels(*a.type, c, d) && x.shared == y.shared && x.pins.size() == y.pins.size())
                            exchange(x.part, x.pins, y.part, y.pins);
                    }
            }
    }

    const Wiring& wiring_;
    const Joints& joints_;
    std::vector<bool> named_;  ///< ends of links keep their place
    EqualUnits out_;
};

}  // namespace

EqualUnits equal_units(const Bench& bench, const Wiring& wiring, const Joints& joints) {
    return EqualUnitsFinder(bench, wiring, joints).run();
}

bool exchange_equals(const WantedNets& wanted, const EqualUnits& units, JointNets& made) {
    int left = apart(wanted, made).both();
    bool some = false;
    for (bool closer = true; closer && left > 0;) {
        closer = false;
        for (const auto& [a, b] : units.exchanges) {
            const auto swap = [&] {
                for (std::size_t k = 0; k < a.size(); ++k) std::swap(made[a[k]], made[b[k]]);
            };
            swap();
            const int now = apart(wanted, made).both();
            if (now < left) {
                left = now;
                closer = some = true;
                if (left == 0) return true;
            } else {
                swap();
            }
        }
    }
    return some;
}

}  // namespace voltsill
