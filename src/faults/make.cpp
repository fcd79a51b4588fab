/// Faults done on a build: first what moves wires and leads, which makes other nets; then what changes parts, nets
/// and supplies.
#include <algorithm>
#include <set>
#include <tuple>

#include "faults/listing.h"
#include "wiring/assumed.h"
#include "wiring/placed_nodes.h"

namespace voltsill {
namespace {

constexpr double rough = 0.05;  ///< spread of what is not meant to be there, and of a supply set wrong
const Provenance by_mistake{Certainty::assumed, "assumed for a fault, no figure given"};

/// A contact, a short circuit or a pull that nobody planned: a resistor that no power burns.
std::shared_ptr<const PartType> unplanned_resistor() {
    static const std::shared_ptr<const PartType> type = [] {
        auto made = std::make_shared<PartType>();
        made->name = "unplanned resistance";
        made->title = "contact, short circuit or pull that is in no plan";
        made->kind = PartKind::resistor;
        for (const char* pin : {"1", "2"}) made->pins.push_back({.name = pin, .role = PinRole::passive});
        made->model = ResistorModel{.tolerance = rough, .power_max = Watts{1e6}};
        made->origin = by_mistake;
        return made;
    }();
    return type;
}

bool opens_pin(const Fault& fault) {
    return fault.kind == FaultKind::pin_open || fault.kind == FaultKind::control_open;
}

class Making {
  public:
    Making(const Bench& bench, const PlacedWiring& build)
        : build_(build), placement_(build.placement), out_{bench, build.wiring} {}

    void run(const std::vector<const Fault*>& faults) {
        bool moved = false;
        for (const Fault* fault : faults) moved |= on_placement(*fault);
        if (moved) out_.wiring = wiring_of(out_.bench, build_.wiring, placement_);
        for (const Fault* fault : faults)  // these look at nodes, so before nets are changed
            if (!fault->wires.empty() && fault->value > 0) wire_contact(*fault);
        for (const Fault* fault : faults) on_wiring(*fault);
    }
    FaultyBuild take() { return std::move(out_); }

  private:
    Wiring& wiring() { return out_.wiring; }
    WiredPart& part(const Fault& fault) { return out_.wiring.parts[fault.part]; }

    /// Wires keep their places in the list: one that is missing has both ends in one hole.
    bool on_placement(const Fault& fault) {
        if (fault.slip && fault.slip->kind != SlipKind::wire_missing) {
            placement_ = with_slip(placement_, *fault.slip);
            return true;
        }
        if (!fault.wires.empty()) {
            LaidWire& wire = placement_.wires[index_of(fault.wires.front())];
            wire.to = wire.from;
            return true;
        }
        if (!opens_pin(fault) || !is_placed(build_) || !placement_.parts[fault.part].on_board()) return false;
        const auto& leads = build_.wiring.parts[fault.part].package->pin_of_number;
        auto& holes = placement_.parts[fault.part].holes;
        for (std::size_t n = 0; n < std::min(leads.size(), holes.size()); ++n)
            if (leads[n] == fault.pin) holes[n].board = -1;
        return true;
    }
    std::size_t index_of(int number) const {
        const auto& wires = build_.placement.wires;
        return static_cast<std::size_t>(std::ranges::find(wires, number, &LaidWire::number) - wires.begin());
    }

    int add_resistance(const std::string& name, double ohms, NetId a, NetId b) {
        const int added = wiring().add_part(name, unplanned_resistor(), std::string(unplanned_purpose));
        WiredPart& resistor = wiring().parts[added];
        resistor.value = ohms;
        resistor.net_of_pin = {a, b};
        return added;
    }

    /// The net at an end of a wire that is cut; a pin alone there gets one.
    NetId net_at(const PlacedNodes& nodes, const WireEnd& end) {
        const int root = nodes.root_of(end);
        if (root == nodes.ground_root()) return wiring().ground();
        for (const Rail& rail : out_.bench.rails)
            if (const NetId net = wiring().rail(rail.name); net != unconnected && nodes.rail_root(rail) == root)
                return net;
        for (const auto& [at, pins] : nodes.pins_by_root()) {
            if (at != root) continue;
            NetId& net = wiring().parts[pins.front().first].net_of_pin[pins.front().second];
            if (net == unconnected) net = wiring().add_net("behind a bad contact");
            return net;
        }
        return unconnected;
    }
    /// Ohms in the 0 V wire of a supply that feeds alone are ohms in its plus: it is one loop. Where more than
    /// the supply lies behind them, its rail is still held against the ground it had, which lies a little off.
    void wire_contact(const Fault& fault) {
        const LaidWire& wire = build_.placement.wires[index_of(fault.wires.front())];
        const PlacedNodes nodes(out_.bench, build_.wiring, placement_);
        const NetId a = net_at(nodes, wire.from), b = net_at(nodes, wire.to);
        for (const Rail& rail : out_.bench.rails) {
            const WireEnd zero{.kind = WireEnd::Kind::ground, .rail = rail.name};
            const int root = nodes.root_of(zero);
            const bool behind = root >= 0 && root != nodes.ground_root() &&
                                (root == nodes.root_of(wire.from) || root == nodes.root_of(wire.to));
            if (!behind) continue;
            const NetId fed = net_at(nodes, {.kind = WireEnd::Kind::supply, .rail = rail.name});
            if (a == unconnected || b == unconnected)
                add_resistance("contact ", fault.value, wiring().rail(rail.name), fed);
            else
                wiring().merge(wiring().rail(rail.name), fed);
        }
        if (a != unconnected && b != unconnected && a != b) add_resistance("contact ", fault.value, a, b);
    }

    void on_wiring(const Fault& fault) {
        switch (fault.kind) {
            case FaultKind::pin_open:
            case FaultKind::control_open:
            case FaultKind::ground_not_common:  // without a placement
                if (fault.pin >= 0) part(fault).net_of_pin[fault.pin] = unconnected;
                break;
            case FaultKind::contact_resistance:
                if (fault.pin >= 0) pin_contact(fault);
                break;
            case FaultKind::near_namesake:
                exchange(fault);
                break;
            case FaultKind::wrong_value:
                part(fault).value = fault.value;
                break;
            case FaultKind::diode_reversed:
                swap_pins(part(fault), "A", "K");
                break;
            case FaultKind::drain_source_swapped:
                swap_pins(part(fault), "D", "S");
                swap_pins(part(fault), "C", "E");
                break;
            case FaultKind::gate_on_wrong_rail:
            case FaultKind::control_wrong_level:
                part(fault).net_of_pin[fault.pin] =
                    fault.rail.empty() ? wiring().ground() : wiring().rail(fault.rail);
                break;
            case FaultKind::supply_off:
                switch_off(fault.rail);
                break;
            case FaultKind::supply_low:
            case FaultKind::supply_high:
                for (Rail& rail : out_.bench.rails)
                    if (rail.name == fault.rail)
                        rail.volts = {Span<Volts>::within(Volts{fault.value}, rough / 2), by_mistake};
                break;
            case FaultKind::output_dead:
                silence(fault);
                break;
            case FaultKind::output_stuck_low:
            case FaultKind::output_stuck_high:
                silence(fault);
                add_resistance("short ", fault.value, part(fault).net_of_pin[fault.pin],
                               end_of_pull(fault, fault.kind == FaultKind::output_stuck_high));
                break;
            case FaultKind::clamp_shorted:
                add_resistance("short ", fault.value, part(fault).net_of_pin[fault.pin],
                               end_of_pull(fault, fault.variant == "up"));
                break;
            case FaultKind::pull_missing:
                if (fault.pin >= 0)
                    part(fault).pulls_removed.push_back(part(fault).type->pins[fault.pin].name);
                else
                    std::ranges::fill(part(fault).net_of_pin, unconnected);
                break;
            case FaultKind::pull_doubled:
                if (fault.pin < 0) {
                    WiredPart second = part(fault);
                    second.name = wiring().fresh_name("second pull ");
                    wiring().parts.push_back(std::move(second));
                    break;
                }
                [[fallthrough]];
            case FaultKind::strong_pull:
                add_resistance("pull ", fault.value, part(fault).net_of_pin[fault.pin],
                               end_of_pull(fault, fault.variant == "up"));
                break;
            case FaultKind::decoupling_missing:
                std::ranges::fill(part(fault).net_of_pin, unconnected);
                break;
            default:  // slips: done on the placement
                break;
        }
    }

    void pin_contact(const Fault& fault) {
        NetId& net = part(fault).net_of_pin[fault.pin];
        const NetId far = net;
        if (far == unconnected) return;
        const NetId near = wiring().add_net("behind a bad contact");
        part(fault).net_of_pin[fault.pin] = near;
        add_resistance("contact ", fault.value, near, far);
    }
    void exchange(const Fault& fault) {
        for (const Namesake& other : namesakes_of(*out_.bench.catalogue, part(fault)))
            if (other.type->name == fault.variant) {
                part(fault) = in_place_of(part(fault), other);
                return;
            }
    }
    static void swap_pins(WiredPart& part, std::string_view a, std::string_view b) {
        const int x = part.type->pin_index(a), y = part.type->pin_index(b);
        if (x >= 0 && y >= 0) std::swap(part.net_of_pin[x], part.net_of_pin[y]);
    }
    /// Its net is no rail any more, but is loaded as one that is down; the rail has a net that nothing is on.
    void switch_off(const std::string& rail) {
        const NetId net = wiring().rail(rail);
        if (net == unconnected) return;
        wiring().nets[net].rail.clear();
        wiring().nets[net].name += " without supply";
        wiring().nets.push_back({.name = "rail " + rail, .rail = rail});
        add_resistance("load ", assumed::dead_rail_load.si(), net, wiring().ground());
    }
    NetId end_of_pull(const Fault& fault, bool up) {
        const WiredPart& at = part(fault);
        if (up) return own_supply(wiring(), fault.part, fault.pin);
        const int ground = at.type->ground_pin();
        return ground < 0 ? wiring().ground() : at.net_of_pin[ground];
    }
    /// A type whose output does nothing; an amplifier's is its channel.
    void silence(const Fault& fault) {
        WiredPart& at = part(fault);
        auto type = std::make_shared<PartType>(*at.type);
        Pin& pin = type->pins[fault.pin];
        pin.role = PinRole::input;
        pin.must_be_tied = false;
        if (std::holds_alternative<AmplifierModel>(type->model))
            std::erase_if(type->channels, [&](const Channel& c) { return c.output == fault.pin; });
        if (at.package) at.package = &type->packages[at.package - at.type->packages.data()];
        at.type = std::move(type);
    }

    const PlacedWiring& build_;
    Placement placement_;
    FaultyBuild out_;
};

using HoleKey = std::tuple<int, int, int>;

/// Holes that a slip puts something into.
std::set<HoleKey> filled_by(const PlacedWiring& build, const Fault& fault) {
    std::set<HoleKey> out;
    if (!fault.slip) return out;
    const auto take = [&](const Hole& h) { out.insert({h.board, h.row, h.column}); };
    const Slip& slip = *fault.slip;
    if (slip.kind == SlipKind::part_one_row_off) {
        const Placement moved = with_slip(build.placement, slip);
        for (const Hole& hole : moved.parts[slip.part].holes) take(hole);
    } else if (slip.to.kind == WireEnd::Kind::hole && slip.to.hole.row > 0)
        take(slip.to.hole);
    return out;
}

/// Both want the same wire, part, pin, rail or hole.
bool exclude(const PlacedWiring& build, const Fault& a, const Fault& b) {
    for (const int wire : a.wires)
        if (std::ranges::find(b.wires, wire) != b.wires.end()) return true;
    if (a.part >= 0 && a.part == b.part && (a.pin == b.pin || a.pin < 0 || b.pin < 0)) return true;
    const bool supplies = a.part < 0 && b.part < 0 && !a.rail.empty();
    if (supplies && a.rail == b.rail) return true;
    const std::set<HoleKey> first = filled_by(build, a);
    return std::ranges::any_of(filled_by(build, b), [&](const HoleKey& hole) { return first.contains(hole); });
}

}  // namespace

FaultyBuild with_fault(const Bench& bench, const PlacedWiring& build, const Fault& fault) {
    Making making(bench, build);
    making.run({&fault});
    return making.take();
}

std::optional<FaultyBuild> with_faults(const Bench& bench, const PlacedWiring& build, const Fault& first,
                                       const Fault& second) {
    if (exclude(build, first, second)) return std::nullopt;
    Making making(bench, build);
    making.run({&first, &second});
    return making.take();
}

}  // namespace voltsill
