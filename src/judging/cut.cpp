#include "judging/cut.h"

#include <algorithm>

namespace voltsill {
namespace {

constexpr int free_net = -1;  ///< label of what is neither ground (0) nor a rail (1 + its number)

bool is_power(const Pin& pin) { return pin.role == PinRole::supply || pin.role == PinRole::ground; }

void merge_into(std::vector<int>& to, const std::vector<int>& from) {
    for (int k : from)
        if (k >= 0 && std::ranges::find(to, k) == to.end()) to.push_back(k);
}

}  // namespace

/// Pins that are one way or another in one device are a group: a pin with its supply and its ground
/// (stage, diodes, pulls), the pins of a discrete part, both sides and the gate of a pass-gate.
WiringCutter::Coupling WiringCutter::coupling_of(const PartType& type) {
    const size_t n = type.pins.size();
    Coupling c{.groups_of = std::vector<std::vector<std::vector<int>>>(n),
               .behind = std::vector<std::vector<int>>(n),
               .before = std::vector<std::vector<int>>(n),
               .powers = std::vector<char>(n)};
    std::vector<int> powers, all;
    for (size_t k = 0; k < n; ++k) {
        all.push_back(static_cast<int>(k));
        if (is_power(type.pins[k])) powers.push_back(static_cast<int>(k)), c.powers[k] = 1;
    }
    const auto group = [&](std::vector<int> pins) {
        for (int k : pins) c.groups_of[k].push_back(pins);
    };
    const bool modelled_by_channel = !type.channels.empty();
    if (powers.empty() && !modelled_by_channel) {
        group(all);
        return c;
    }
    for (int k : all) {
        if (c.powers[k]) continue;
        std::vector<int> pins{k};
        for (int p : powers)
            if (type.pins[p].role == PinRole::ground || type.pins[p].supply == type.pins[k].supply)
                pins.push_back(p);
        if (const int cathode = type.pin_index(type.pins[k].flyback); cathode >= 0) pins.push_back(cathode);
        group(std::move(pins));
    }
    for (const Channel& channel : type.channels) {
        std::vector<int> inputs, outputs, ends;
        merge_into(inputs, channel.inputs);
        merge_into(inputs, channel.enables);
        merge_into(inputs, {channel.direction});
        merge_into(outputs, {channel.output});
        merge_into(ends, inputs);
        merge_into(ends, outputs);
        const bool joined = channel.logic == ChannelLogic::pass_gate ||
                            channel.logic == ChannelLogic::auto_open_drain ||
                            std::holds_alternative<AmplifierModel>(type.model);
        if (joined) {  // that they are behind each other as well adds nothing to it
            merge_into(ends, powers);
            group(std::move(ends));
        }
        const bool both = channel.logic == ChannelLogic::transceiver ||
                          channel.logic == ChannelLogic::repeater ||
                          channel.logic == ChannelLogic::auto_push_pull;
        if (both) {
            merge_into(inputs, {channel.output});
            merge_into(outputs, {channel.inputs.front()});
        }
        for (int k : inputs) merge_into(c.behind[k], outputs);
        for (int k : outputs) merge_into(c.before[k], inputs);
    }
    return c;
}

WiringCutter::WiringCutter(const Bench& bench, const Wiring& base, std::vector<bool> loose_rails)
    : bench_(bench), base_(base), loose_(std::move(loose_rails)) {
    for (size_t p = 0; p < base.parts.size(); ++p) {
        const PartType* type = base.parts[p].type.get();
        const auto known = couplings_.find(type);
        frame_.coupling_of_part.push_back(
            known != couplings_.end() ? &known->second
                                      : &couplings_.emplace(type, coupling_of(*type)).first->second);
        frame_.first.push_back(static_cast<int>(frame_.part_of_pin.size()));
        frame_.part_of_pin.insert(frame_.part_of_pin.end(), type->pins.size(), static_cast<int>(p));
    }
    for (const Link& link : bench.links) {
        auto& ends = ends_of_link_.emplace_back();
        for (const auto* side : {&link.from, &link.to})
            for (const PinRef& end : *side) {
                const int p = base.part(end.part), k = p < 0 ? -1 : base.parts[p].type->pin_index(end.pin);
                if (k >= 0) ends.push_back(pin(p, k));
            }
    }
    base_size_.assign(base.nets.size(), 0);
    for (size_t n = 0; n < base.nets.size(); ++n)
        base_label_.push_back(held_label(base, static_cast<NetId>(n)));
    for (const WiredPart& part : base.parts)
        for (NetId net : part.net_of_pin)
            if (net >= 0) ++base_size_[net];
}

int WiringCutter::held_label(const Wiring& wiring, NetId net) const {
    if (wiring.nets[net].ground) return 0;
    if (wiring.nets[net].rail.empty()) return free_net;
    for (size_t r = 0; r < bench_.rails.size(); ++r)
        if (bench_.rails[r].name == wiring.nets[net].rail) return static_cast<int>(r) + 1;
    return free_net;
}

bool WiringCutter::is_replaced(const Wiring& changed, std::size_t part) const {
    const WiredPart &now = changed.parts[part], &before = base_.parts[part];
    return now.type != before.type || now.value != before.value || now.tolerance != before.tolerance ||
           now.pulls_removed != before.pulls_removed;
}

WiringCutter::Frame WiringCutter::frame_of(const Wiring& changed) const {
    Frame frame{.first = frame_.first,
                .part_of_pin = frame_.part_of_pin,
                .coupling_of_part = frame_.coupling_of_part,
                .own = {}};
    for (size_t p = 0; p < changed.parts.size(); ++p) {
        const PartType& type = *changed.parts[p].type;
        const bool behind = p >= base_.parts.size();
        if (!behind && base_.parts[p].type.get() == &type) continue;
        frame.own.push_back(std::make_unique<const Coupling>(coupling_of(type)));
        if (behind) frame.first.push_back(0), frame.coupling_of_part.push_back(nullptr);
        frame.coupling_of_part[p] = frame.own.back().get();
        frame.first[p] = static_cast<int>(frame.part_of_pin.size());
        frame.part_of_pin.insert(frame.part_of_pin.end(), type.pins.size(), static_cast<int>(p));
    }
    return frame;
}

/// A pin has moved when its net is another rail, or has other pins than before.
std::vector<char> WiringCutter::moved_pins(const Wiring& changed, const Frame& frame, bool& same) const {
    const auto net_before = [&](size_t p, size_t k) {
        return p < base_.parts.size() && k < base_.parts[p].net_of_pin.size() ? base_.parts[p].net_of_pin[k]
                                                                             : unconnected;
    };
    struct Seen {
        int label = free_net, size = 0;
        NetId base = unconnected;
        bool mixed = false;
    };
    std::vector<Seen> nets(changed.nets.size());
    for (size_t n = 0; n < nets.size(); ++n) nets[n].label = held_label(changed, static_cast<NetId>(n));
    for (size_t p = 0; p < changed.parts.size(); ++p)
        for (size_t k = 0; k < changed.parts[p].net_of_pin.size(); ++k) {
            const NetId net = changed.parts[p].net_of_pin[k], before = net_before(p, k);
            if (net < 0) continue;
            Seen& seen = nets[net];
            if (seen.size++ == 0) seen.base = before;
            seen.mixed |= before != seen.base;
        }
    std::vector<char> moved(frame.part_of_pin.size());
    same = true;
    for (size_t p = 0; p < changed.parts.size(); ++p) {
        const bool replaced = p < base_.parts.size() && is_replaced(changed, p);
        for (size_t k = 0; k < changed.parts[p].net_of_pin.size(); ++k) {
            const NetId net = changed.parts[p].net_of_pin[k], before = net_before(p, k);
            const int label = net < 0 ? free_net : nets[net].label;
            const int old = before < 0 ? free_net : base_label_[before];
            bool differs = replaced || label != old;
            if (!differs && label == free_net) {
                // A net of one pin joins nothing: to be alone on a net or on none is the same.
                const bool alone = net < 0 || nets[net].size == 1;
                const bool was_alone = before < 0 || base_size_[before] == 1;
                differs = alone != was_alone ||
                          (!alone && (nets[net].mixed || nets[net].size != base_size_[before]));
            }
            if (differs) moved[frame.pin(static_cast<int>(p), static_cast<int>(k))] = 1, same = false;
        }
    }
    return moved;
}

/// Pins reached from pins, over nets that nothing holds, devices and channels.
struct Closure {
    const WiringCutter& cutter;
    const Wiring& wiring;
    const WiringCutter::Frame& frame;
    std::vector<char> free;              ///< by net: not held in every scene
    std::vector<int> pins_of, first_of;  ///< pins by net
    std::vector<char> net_done;
    std::vector<char> in;  ///< by pin
    std::vector<int> queue;

    Closure(const WiringCutter& c, const Wiring& w, const WiringCutter::Frame& f)
        : cutter(c), wiring(w), frame(f), free(w.nets.size()), first_of(w.nets.size() + 1), in(f.part_of_pin.size()) {
        for (size_t n = 0; n < w.nets.size(); ++n) {
            const int label = c.held_label(w, static_cast<NetId>(n));
            free[n] = label == free_net || (label > 0 && c.loose_[label - 1]);
        }
        for (const WiredPart& part : w.parts)
            for (NetId net : part.net_of_pin)
                if (net >= 0) ++first_of[net + 1];
        for (size_t n = 0; n < w.nets.size(); ++n) first_of[n + 1] += first_of[n];
        pins_of.resize(first_of.back());
        std::vector<int> at = first_of;
        for (size_t p = 0; p < w.parts.size(); ++p)
            for (size_t k = 0; k < w.parts[p].net_of_pin.size(); ++k)
                if (const NetId net = w.parts[p].net_of_pin[k]; net >= 0)
                    pins_of[at[net]++] = f.pin(static_cast<int>(p), static_cast<int>(k));
        net_done.assign(w.nets.size(), 0);
    }
    NetId net(int pin) const {
        const int part = frame.part_of_pin[pin];
        return wiring.parts[part].net_of_pin[pin - frame.first[part]];
    }
    void add(int pin) {
        if (!in[pin]) in[pin] = 1, queue.push_back(pin);
    }
    /// A neighbour within its part; on a held net nothing gets to it.
    void reach(int pin) {
        const NetId n = net(pin);
        if (n < 0 || free[n]) add(pin);
    }
    void run(bool behind) {
        while (!queue.empty()) {
            const int at = queue.back();
            queue.pop_back();
            if (const NetId n = net(at); n >= 0 && free[n] && !net_done[n]) {
                net_done[n] = 1;
                for (int i = first_of[n]; i < first_of[n + 1]; ++i) add(pins_of[i]);
            }
            const int part = frame.part_of_pin[at], first = frame.first[part];
            const WiringCutter::Coupling& c = *frame.coupling_of_part[part];
            const int k = at - first;
            for (const auto& group : c.groups_of[k])
                for (int other : group) reach(first + other);
            for (int other : behind ? c.behind[k] : c.before[k]) reach(first + other);
            if (c.powers[k])
                for (size_t other = 0; other < c.powers.size(); ++other)
                    reach(first + static_cast<int>(other));
        }
    }
    /// The same pins, to be followed again the other way.
    void again() {
        std::ranges::fill(net_done, 0);
        for (size_t k = 0; k < in.size(); ++k)
            if (in[k]) queue.push_back(static_cast<int>(k));
    }
};

WiringCut WiringCutter::cut(const Wiring& changed, bool whole_links) const {
    const Frame frame = frame_of(changed);
    bool same = true;
    const std::vector<char> moved = moved_pins(changed, frame, same);
    WiringCut out = cut_from(changed, frame, moved, whole_links);
    out.same = same;
    // Where another part sits in a place, the numbers its pins have in the base mean the place.
    for (size_t p = 0; p < base_.parts.size(); ++p)
        if (frame.first[p] != frame_.first[p])
            for (size_t k = 0; k < base_.parts[p].net_of_pin.size(); ++k)
                out.moved[pin(int(p), int(k))] = out.inside[pin(int(p), int(k))] = 1;
    return out;
}

WiringCut WiringCutter::around(const std::vector<int>& pins) const {
    std::vector<char> moved(frame_.part_of_pin.size());
    for (int k : pins) moved[k] = 1;
    return cut_from(base_, frame_, moved, false);
}

WiringCut WiringCutter::cut_from(const Wiring& changed, const Frame& frame, const std::vector<char>& moved,
                                 bool whole_links) const {
    WiringCut out;
    Closure closure(*this, changed, frame);
    for (size_t k = 0; k < moved.size(); ++k)
        if (moved[k]) closure.add(static_cast<int>(k));
    closure.run(true);
    out.moved = closure.in;
    const auto pin_now = [&](int k) {  // of a part that another replaces: its pin of the same name
        const int part = frame_.part_of_pin[k];
        if (frame.first[part] == frame_.first[part]) return k;
        const std::string& name = base_.parts[part].type->pins[k - frame_.first[part]].name;
        const int now = changed.parts[part].type->pin_index(name);
        return now < 0 ? -1 : frame.pin(part, now);
    };
    const auto has_moved = [&](int k) { return pin_now(k) < 0 || out.moved[pin_now(k)]; };
    for (size_t l = 0; l < ends_of_link_.size(); ++l)
        if (std::ranges::any_of(ends_of_link_[l], has_moved)) out.links.push_back(static_cast<int>(l));
    if (whole_links) {
        for (int l : out.links)
            for (int k : ends_of_link_[l])
                if (const int now = pin_now(k); now >= 0) closure.add(now);
        closure.run(true);
    }
    closure.again();
    closure.run(false);
    out.inside = std::move(closure.in);
    out.wiring = build(changed, frame, out.inside, out.part_of);
    return out;
}

bool WiringCutter::reads(const WiringCut& cut, int link) const {
    return std::ranges::any_of(ends_of_link_[link], [&](int k) { return cut.inside[k]; });
}

std::shared_ptr<const PartType> WiringCutter::bare(const std::shared_ptr<const PartType>& type) const {
    return reduced(type, std::vector<bool>(type->channels.size()));
}

std::shared_ptr<const PartType> WiringCutter::reduced(const std::shared_ptr<const PartType>& type,
                                                      const std::vector<bool>& channels) const {
    if (std::ranges::find(channels, false) == channels.end()) return type;
    const auto make = [&] {
        auto fewer = std::make_shared<PartType>(*type);
        fewer->channels.clear();
        for (size_t c = 0; c < channels.size(); ++c)
            if (channels[c]) fewer->channels.push_back(type->channels[c]);
        return fewer;
    };
    if (!couplings_.contains(type.get())) return make();  // of a changed wiring: it may be gone before this is
    auto& made = types_[{type.get(), channels}];
    if (!made) made = make();
    return made;
}

Wiring WiringCutter::build(const Wiring& changed, const Frame& frame, const std::vector<char>& inside,
                           std::vector<int>& part_of) const {
    Wiring cut{.direct = changed.direct};
    std::vector<NetId> net_of(changed.nets.size(), unconnected);
    std::vector<int> label(changed.nets.size());
    const auto take = [&](NetId net) {
        if (net_of[net] < 0) {
            net_of[net] = static_cast<NetId>(cut.nets.size());
            cut.nets.push_back(changed.nets[net]);
        }
        return net_of[net];
    };
    for (size_t n = 0; n < changed.nets.size(); ++n) {
        label[n] = held_label(changed, static_cast<NetId>(n));
        if (label[n] != free_net) take(static_cast<NetId>(n));
    }
    for (size_t p = 0; p < changed.parts.size(); ++p) {
        const WiredPart& part = changed.parts[p];
        const PartType& type = *part.type;
        const Coupling& c = *frame.coupling_of_part[p];
        const auto in = [&](int k) { return k >= 0 && inside[frame.pin(static_cast<int>(p), k)]; };
        bool any = false, all_held = true;
        for (size_t k = 0; k < type.pins.size(); ++k) {
            any |= in(static_cast<int>(k)) != 0;
            all_held &= part.net_of_pin[k] >= 0 && label[part.net_of_pin[k]] != free_net;
        }
        if (!any && type.supplies.empty() && !(type.kind == PartKind::capacitor && all_held)) continue;
        WiredPart copy = part;
        std::vector<bool> channels(type.channels.size());
        const bool matched = std::holds_alternative<PassGateModel>(type.model);  // one die, one reference
        for (size_t i = 0; i < channels.size(); ++i)
            channels[i] = (any && matched) || in(type.channels[i].output) ||
                          std::ranges::any_of(type.channels[i].inputs, in);
        copy.type = any ? reduced(part.type, channels) : bare(part.type);
        for (size_t k = 0; k < type.pins.size(); ++k) {
            NetId& net = copy.net_of_pin[k];
            if (net < 0) continue;
            const bool kept = in(static_cast<int>(k)) || c.powers[k] || (any && label[net] != free_net) ||
                              (!any && type.supplies.empty());
            net = kept ? take(net) : unconnected;
        }
        part_of.push_back(static_cast<int>(p));
        cut.parts.push_back(std::move(copy));
    }
    return cut;
}

}  // namespace voltsill
