#include "faults/fault_readings.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "wiring/part_words.h"

namespace voltsill {
namespace {

std::vector<bool> loose_rails(const Bench& bench, const std::vector<std::string>& down) {
    std::vector<bool> loose;
    for (const Rail& rail : bench.rails) loose.push_back(std::ranges::find(down, rail.name) != down.end());
    return loose;
}

bool rails_are_those_of(const Bench& a, const Bench& b) {
    return std::ranges::equal(a.rails, b.rails, [](const Rail& x, const Rail& y) {
        return x.name == y.name && x.volts.span.lo == y.volts.span.lo && x.volts.span.hi == y.volts.span.hi &&
               x.volts.span.nominal == y.volts.span.nominal;
    });
}

/// Every pin, as if all of it had changed.
WiringCut whole(const PlannedBuild& planned, const Wiring& wiring) {
    WiringCut cut{.wiring = wiring};
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) cut.part_of.push_back(static_cast<int>(p));
    cut.moved.assign(planned.pins(), 1);
    cut.inside = cut.moved;
    return cut;
}

/// The pin of a part in the place of another that sits where `pin` of the other sat; -1: nothing does.
int pin_in_place(const WiredPart& planned, const WiredPart& made, int pin) {
    if (planned.type == made.type || planned.type->pins.size() == made.type->pins.size()) {
        if (!planned.package || !made.package || planned.package == made.package) return pin;
    }
    const int number = planned.package ? number_of(planned, pin) : pin + 1;
    return number > 0 ? pin_of_lead(made, number - 1) : -1;
}

/// What a large network is read within, whose tolerances nobody searched: V and share (common practice).
constexpr double unsearched_volts = 0.15, unsearched_share = 0.08;

constexpr double open_window = 1e12;
constexpr DeviceId no_device = -1;

/// Nodes of supply and ground of each part, once where several of its pins are on them.
std::vector<std::pair<Node, Node>> silent_parts(const Circuit& circuit) {
    std::vector<std::pair<Node, Node>> out;
    const auto& parts = circuit.wiring->parts;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        std::set<Node> supplies, grounds;
        for (std::size_t k = 0; k < parts[p].type->pins.size(); ++k) {
            const PinRole role = parts[p].type->pins[k].role;
            if (role != PinRole::supply && role != PinRole::ground) continue;
            if (const Node node = circuit.site(static_cast<int>(p), static_cast<int>(k)).node; node >= 0)
                (role == PinRole::supply ? supplies : grounds).insert(node);
        }
        for (const Node supply : supplies)
            for (const Node ground : grounds)
                if (supply != ground) out.emplace_back(supply, ground);
    }
    return out;
}

}  // namespace

PlannedBuild::PlannedBuild(const Bench& b, const PlacedWiring& placed, std::vector<std::string> off)
    : bench(b),
      build(placed),
      wiring(placed.trouble.empty() && !placed.placement.boards.empty()
                 ? wiring_of(b, placed.wiring, placed.placement)
                 : placed.wiring),
      down(std::move(off)),
      cutter(bench, wiring, loose_rails(bench, down)) {
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        first_of_part_.push_back(pins());
        part_of_pin_.insert(part_of_pin_.end(), wiring.parts[p].net_of_pin.size(), static_cast<int>(p));
    }
}

int PlannedBuild::pin_of(const Told& told) const {
    const int part = wiring.part(told.part);
    const int index = part < 0 ? -1 : wiring.parts[part].type->pin_index(told.pin);
    return index < 0 ? -1 : pin(part, index);
}

OhmBounds::OhmBounds(const Circuit& circuit) : unclear_(circuit.netlist.node_names.size()) {
    const Netlist& net = circuit.netlist;
    std::vector<std::pair<Node, Edge>> away;
    for (DeviceId id = 0; id < std::ssize(net.devices); ++id) {
        const Device& d = net.devices[id];
        if (d.kind == DeviceKind::resistor && !(d.name.starts_with("rail ") && d.name.ends_with(" at rest"))) {
            const Parameter& ohms = net.parameters[d.params[0]];
            if (d.nodes[0] == d.nodes[1]) continue;
            for (const int k : {0, 1}) away.push_back({d.nodes[k], {d.nodes[1 - k], id, ohms.lo, ohms.hi}});
        } else if (d.kind == DeviceKind::amplifier || d.kind == DeviceKind::table ||
                   d.kind == DeviceKind::switch_ || d.kind == DeviceKind::current) {
            for (const Node node : d.nodes)
                if (node >= 0) unclear_[node] = true;
        }
    }
    DeviceId part = no_device;
    for (const auto& [supply, ground] : silent_parts(circuit)) {
        --part;
        for (const auto& [from, to] : {std::pair(supply, ground), {ground, supply}})
            away.push_back({from, {to, part, silent_part.si(), std::numeric_limits<double>::infinity()}});
    }
    unclear_[ground_node] = true;  // what hangs on ground and rails is not all in a cut
    for (const RailSite& rail : circuit.rails) unclear_[rail.node] = true;
    std::ranges::stable_sort(away, {}, &std::pair<Node, Edge>::first);
    for (Node node = 0; node <= std::ssize(unclear_); ++node)
        first_.push_back(static_cast<int>(
            std::ranges::lower_bound(away, node, {}, &std::pair<Node, Edge>::first) - away.begin()));
    for (const auto& [node, edge] : away) edges_.push_back(edge);
}

std::span<const OhmBounds::Edge> OhmBounds::at(Node node) const {
    return std::span(edges_).subspan(first_[node], first_[node + 1] - first_[node]);
}

/// From a node to everything else but through the resistor by which it was reached; all beyond a few is at `to`.
double OhmBounds::least(Node node, Node to, DeviceId by, int further) const {
    double siemens = 0;
    for (const Edge& e : at(node)) {
        if (e.by == by) continue;
        const bool ends = e.to == to || unclear_[e.to] || further == 0;
        siemens += 1 / (e.lo + (ends ? 0.0 : least(e.to, to, e.by, further - 1)));
    }
    return siemens > 1 / open_window ? 1 / siemens : open_window;
}

/// Through resistors side by side, or the best of chains: whatever else is on their nodes only conducts more.
double OhmBounds::most(Node node, Node to, DeviceId by, int further) const {
    double across = 0, best = open_window;
    for (const Edge& e : at(node)) {
        if (e.by == by) continue;
        if (e.to == to)
            across += 1 / e.hi;
        else if (further > 0)
            best = std::min(best, e.hi + most(e.to, to, e.by, further - 1));
    }
    return across > 0 ? std::min(best, 1 / across) : best;
}

ResistanceWindow OhmBounds::between(Node a, Node b) const {
    const auto from = [&](Node node, Node to) {
        if (node == -1) return open_window;
        return node < 0 || unclear_[node] ? 0.0 : least(node, to, no_device, furthest - 1);
    };
    ResistanceWindow out{.lo = std::max(from(a, b), from(b, a)), .hi = open_window};
    if (a >= 0 && b >= 0)
        out.hi =
            at(a).size() <= at(b).size() ? most(a, b, no_device, furthest - 1) : most(b, a, no_device, furthest - 1);
    const bool bounded = out.hi < open_window;
    out.nominal = out.open() ? open_window
                  : bounded  ? (out.lo + out.hi) / 2
                             : std::sqrt(std::max(out.lo, 1.0) * out.hi);
    return out;
}

FaultReadings::FaultReadings(const PlannedBuild& planned, const FaultyBuild& made,
                             std::span<const BenchState> states, ReadingMemory& memory) {
    const bool cuttable = rails_are_those_of(planned.bench, made.bench);
    read(planned, made.bench, made.wiring,
         cuttable ? planned.cutter.cut(made.wiring, false) : whole(planned, made.wiring), states, memory);
}

FaultReadings::FaultReadings(const PlannedBuild& planned, std::span<const BenchState> states,
                             ReadingMemory& memory) {
    read(planned, planned.bench, planned.wiring, whole(planned, planned.wiring), states, memory);
}

void FaultReadings::read(const PlannedBuild& planned, const Bench& bench, const Wiring& made,
                         const WiringCut& cut, std::span<const BenchState> states, ReadingMemory& memory) {
    column_of_state_.assign(states.size(), 0);
    if (cut.same) return;
    SettledLevels levels(bench, cut.wiring, planned.down, &memory);
    levels.range_up_to(most_unknowns);
    std::vector<std::pair<int, int>> pin_of_slot;
    find_slots(planned, made, cut, levels.circuit(), pin_of_slot);
    find_rails(planned.bench, levels.circuit());
    bounds_ = OhmBounds(levels.circuit());
    const bool large = levels.largest() > most_unknowns;
    std::map<int, double> amps;
    const auto read_column = [&](const std::vector<Told>& told) {
        levels.tell(told);
        auto& column = column_.emplace_back();
        for (const auto& [part, pin] : pin_of_slot) {
            column.push_back(part < 0 ? MeterReading{.floats = true} : levels.at(part, pin));
            MeterReading& r = column.back();
            if (const double spread = unsearched_volts + unsearched_share * std::abs(r.nominal);
                large && !r.floats && r.lo == r.hi && r.nominal != 0)
                r.lo -= spread, r.hi += spread, r.searched = false;
        }
        const std::vector<double> of_part = levels.output_amps();
        for (std::size_t p = 0; p < of_part.size(); ++p)
            if (of_part[p] > 0) amps[cut.part_of[p]] = std::max(amps[cut.part_of[p]], of_part[p]);
    };
    read_column({});
    const bool at_rest_only = large && levels.undefined() > most_undefined;
    std::map<std::vector<std::pair<int, bool>>, int> known{{{}, 0}};
    for (std::size_t s = 0; s < states.size(); ++s) {
        const BenchState& state = states[s];
        if (!state.powered || state.down != planned.down) {
            column_of_state_[s] = -1;
            continue;
        }
        std::vector<Told> told;
        std::vector<std::pair<int, bool>> key;
        for (const Told& t : state.told)
            if (const int pin = planned.pin_of(t); pin >= 0 && cut.inside[pin])
                told.push_back(t), key.emplace_back(pin, t.high);
        std::ranges::sort(key);
        const auto [at, fresh] = known.try_emplace(key, static_cast<int>(column_.size()));
        if (fresh && at_rest_only) at->second = -1;
        if (fresh && !at_rest_only) read_column(told);
        column_of_state_[s] = at->second;
    }
    amps_.assign(amps.begin(), amps.end());
}

void FaultReadings::find_slots(const PlannedBuild& planned, const Wiring& made, const WiringCut& cut,
                               const Circuit& circuit, std::vector<std::pair<int, int>>& pin_of_slot) {
    std::vector<int> here(made.parts.size(), -1);
    for (std::size_t p = 0; p < cut.part_of.size(); ++p) here[cut.part_of[p]] = static_cast<int>(p);
    std::map<NetId, int> slot_of_net;
    std::vector<int> orphans;  // holes whose pin the part in them does not have
    for (int pin = 0; pin < planned.pins(); ++pin) {
        if (!cut.moved[pin]) continue;
        const int part = planned.part_of(pin), at = here[part];
        const int k =
            at < 0 ? -1 : pin_in_place(planned.wiring.parts[part], cut.wiring.parts[at], planned.index_of(pin));
        moved_.push_back(pin);
        if (k < 0) {
            slot_.push_back(-1);
            orphans.push_back(static_cast<int>(slot_.size()) - 1);
            continue;
        }
        const NetId net = cut.wiring.parts[at].net_of_pin[k];
        const auto known = net < 0 ? slot_of_net.end() : slot_of_net.find(net);
        if (known != slot_of_net.end()) {
            slot_.push_back(known->second);
            continue;
        }
        if (net >= 0) slot_of_net[net] = static_cast<int>(pin_of_slot.size());
        slot_.push_back(static_cast<int>(pin_of_slot.size()));
        pin_of_slot.emplace_back(at, k);
        node_of_slot_.push_back(circuit.site(at, k).node);
    }
    for (const int orphan : orphans) {  // the row is still there: what else is in it
        const auto net_of = [&](int pin) {
            return planned.wiring.parts[planned.part_of(pin)].net_of_pin[planned.index_of(pin)];
        };
        for (std::size_t other = 0; other < moved_.size() && slot_[orphan] < 0; ++other)
            if (slot_[other] >= 0 && net_of(moved_[other]) >= 0 && net_of(moved_[other]) == net_of(moved_[orphan]))
                slot_[orphan] = slot_[other];
        if (slot_[orphan] >= 0) continue;
        slot_[orphan] = static_cast<int>(pin_of_slot.size());
        pin_of_slot.emplace_back(-1, -1);
        node_of_slot_.push_back(-1);
    }
}

void FaultReadings::find_rails(const Bench& bench, const Circuit& circuit) {
    for (const Rail& rail : bench.rails) {
        Node node = -1;
        for (const RailSite& site : circuit.rails)
            if (site.name == rail.name) node = site.node;
        node_of_rail_.push_back(node);
    }
}

int FaultReadings::slot_of(int pin) const {
    const auto at = std::ranges::lower_bound(moved_, pin);
    return at != moved_.end() && *at == pin ? slot_[at - moved_.begin()] : -1;
}

MeterReading FaultReadings::at(int pin, int state) const {
    const int column = state < states() ? column_of_state_[state] : -1;
    if (column < 0) return {.solved = false};
    return column_[column][slot_of(pin)];
}

bool FaultReadings::depends_on(int state) const { return state < states() && column_of_state_[state] != 0; }

Node FaultReadings::node_of(int place) const {
    constexpr Node not_here = -2;
    if (place == ground) return ground_node;
    if (place == elsewhere) return not_here;
    if (place < 0) return node_of_rail_[-1 - place];
    return node_of_slot_[slot_of(place)];
}

ResistanceWindow FaultReadings::ohms(int a, int b, bool& joined) const {
    const Node from = node_of(a), to = node_of(b);
    joined = from >= 0 && from == to;
    return joined ? ResistanceWindow{} : bounds_.between(from, to);
}

double FaultReadings::amps(int part) const {
    const auto at = std::ranges::lower_bound(amps_, part, {}, &std::pair<int, double>::first);
    return at != amps_.end() && at->first == part ? at->second : 0;
}

}  // namespace voltsill
