#include "judging/edge_times.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <deque>

#include "quantity/print.h"
#include "quantity/rise.h"
#include "wiring/assumed.h"

namespace voltsill {
namespace {

/// Digits of a factor whose product is printed to three.
constexpr PrintStyle factor{.digits = 4};
/// What moves less is not told anything, V.
constexpr double told = 0.1;

/// A resistor brings next to nothing, a capacitor its value, a gate its own and half of it to either end of the
/// channel, as over time (wiring/timed_charge.cpp). It is printed for a channel that conducts: at the ends of one
/// whose gate rests on a rail and that lets go of the line (two_way_fet.cpp) the figures of the pins stand.
double charge_of(const Inspection& in, const Island& island, const PinSite& site) {
    const WiredPart& part = in.part(site);
    const Pin& pin = in.pin(site);
    if (part.type->kind == PartKind::resistor) return 0.0;
    if (part.type->kind == PartKind::capacitor) return part.value.value_or(0.0);
    const double bare = pin.capacitance.known() ? pin.capacitance.span.hi.si() : assumed::pin_capacitance.si();
    const auto* fet = std::get_if<MosfetModel>(&part.type->model);
    if (!fet || !fet->gate_capacitance.known()) return bare;
    const int g = part.type->pin_index("G");
    const Node gate = island.local(in.circuit.site(site.part, g).node);
    if (gate < 0 || island.partition.held(gate)) return bare;
    return bare + (site.pin == g ? 1.0 : 0.5) * fet->gate_capacitance.span.hi.si();
}

/// Where a signal can come along from one node to another of an island: through whatever conducts, and from a
/// control to what it switches. Rails and ground pass nothing on.
class Ways {
  public:
    explicit Ways(const Island& island) : island_(island), next_(island.net.node_names.size()), before_(next_.size()) {
        for (const Device& d : island.net.devices) add(d);
    }
    /// Nodes on a way from one to the other that does not come back to the first.
    std::vector<bool> between(Node from, Node to) const {
        const std::vector<bool> ahead = reach(next_, from, -1), behind = reach(before_, to, from);
        std::vector<bool> out(next_.size());
        for (std::size_t n = 0; n < out.size(); ++n) out[n] = ahead[n] && behind[n];
        return out;
    }

  private:
    void add(const Device& d) {
        const auto& n = d.nodes;
        switch (d.kind) {
            case DeviceKind::mosfet:
            case DeviceKind::bjt:
                both(n[0], n[2]);
                one(n[1], n[0]), one(n[1], n[2]);
                return;
            case DeviceKind::opto:
                both(n[0], n[1]), both(n[2], n[3]);
                for (const Node control : {n[0], n[1]}) one(control, n[2]), one(control, n[3]);
                return;
            case DeviceKind::amplifier:
                one(n[1], n[0]), one(n[2], n[0]);
                return;
            case DeviceKind::source:
            case DeviceKind::current:
                return;
            default:
                both(n[0], n[1]);
        }
    }
    void one(Node from, Node to) {
        if (from < 0 || to < 0 || island_.partition.held(from) || island_.partition.held(to)) return;
        next_[from].push_back(to);
        before_[to].push_back(from);
    }
    void both(Node a, Node b) { one(a, b), one(b, a); }
    /// Nothing goes on from `last`.
    static std::vector<bool> reach(const std::vector<std::vector<Node>>& along, Node from, Node last) {
        std::vector<bool> met(along.size());
        std::deque<Node> queue{from};
        met[from] = true;
        while (!queue.empty()) {
            const Node n = queue.front();
            queue.pop_front();
            if (n == last) continue;
            for (const Node m : along[n])
                if (!met[m]) met[m] = true, queue.push_back(m);
        }
        return met;
    }

    const Island& island_;
    std::vector<std::vector<Node>> next_, before_;
};

struct Steps {
    Inspection& in;
    const Island& island;
    const Hop& hop;
    Node from, to;
    std::vector<double> vh{}, vl{};

    Node node(int part, const char* pin) const {
        const int k = in.wiring.parts[part].type->pin_index(pin);
        return k < 0 ? -1 : island.local(in.circuit.site(part, k).node);
    }
    bool moves(Node n) const { return n >= 0 && !island.partition.held(n) && std::abs(vh[n] - vl[n]) > told; }

    /// The gate stands still while the drain moves: how long, and how it comes about.
    double plateau(const WiredPart& wired, const MosfetModel& fet, Node d, Node g, Node s, double ohms,
                   std::string& words) const {
        if (!fet.gate_capacitance.known() || !moves(d) || !island.partition.held(s)) return 0.0;
        const double at = vh[s] + (fet.p_channel ? -1 : 1) * fet.vth.span.nominal.si(),
                     drive = std::min(std::abs(vh[g] - at), std::abs(vl[g] - at));
        if ((vh[g] - at) * (vl[g] - at) >= 0 || drive < 1e-3) return 0.0;  // it never switches
        const double farads = 0.5 * fet.gate_capacitance.span.hi.si(), swing = std::abs(vh[d] - vl[d]),
                     seconds = ohms * farads * swing / drive;
        words += fmt::format(", {} * {} * {} / {} = {} while {}.D moves", print(Ohms{ohms}, factor),
                             print(Farads{farads}, factor), say(Volts{swing}), say(Volts{drive}),
                             print(Seconds{seconds}), wired.name);
        return seconds;
    }
    /// `controls`, `outputs`: names of its pins.
    void add(int part, std::initializer_list<const char*> controls, std::initializer_list<const char*> outputs,
             const std::vector<bool>& between, std::vector<WayStep>& out) const {
        const WiredPart& wired = in.wiring.parts[part];
        const auto on_way = [&](const char* pin) {
            const Node n = node(part, pin);
            return n >= 0 && between[n] && moves(n);
        };
        const auto control = std::ranges::find_if(controls, on_way), output = std::ranges::find_if(outputs, on_way);
        if (control == controls.end() || output == outputs.end()) return;
        const Node c = node(part, *control);
        WayStep step{.part = part, .pin = wired.type->pin_index(*output), .wait = hidden_turn_off(*wired.type)};
        if (const double ohms = edge_resistance(in, island, hop, c, island.nominal); ohms < open_ohms) {
            const double farads = charge_at(in, island, c).farads;
            step.edge = rise_time(ohms, farads);
            step.arithmetic = fmt::format("{}.{}: {}", wired.name, *control, rise_arithmetic(ohms, farads));
            if (const auto* fet = std::get_if<MosfetModel>(&wired.type->model))
                step.edge += plateau(wired, *fet, node(part, "D"), c, node(part, "S"), ohms, step.arithmetic);
        }
        if (step.wait > 0)
            step.arithmetic += fmt::format("{}turn-off of {} {}", step.arithmetic.empty() ? "" : "; ", wired.name,
                                           print(Seconds{step.wait}));
        out.push_back(std::move(step));
    }
    std::vector<WayStep> run() {
        std::vector<WayStep> out;
        const std::vector<int> parts = switches(in, island);
        if (parts.empty() || !solve(island, hop.high, island.nominal, vh, in.effort) ||
            !solve(island, hop.low, island.nominal, vl, in.effort))
            return out;
        const std::vector<bool> between = Ways(island).between(from, to);
        for (const int part : parts) {
            const Model& model = in.wiring.parts[part].type->model;
            if (std::holds_alternative<MosfetModel>(model))
                add(part, {"G"}, {"D", "S"}, between, out);
            else if (std::holds_alternative<BjtModel>(model))
                add(part, {"B"}, {"C", "E"}, between, out);
            else
                add(part, {"A", "K"}, {"C", "E"}, between, out);
        }
        return out;
    }
    /// Parts of the island that have a control.
    static std::vector<int> switches(const Inspection& in, const Island& island) {
        std::vector<int> parts;
        for (const int s : island.pins) {
            const int part = in.circuit.pins[s].part;
            const Model& model = in.wiring.parts[part].type->model;
            const bool switches = std::holds_alternative<MosfetModel>(model) ||
                                  std::holds_alternative<BjtModel>(model) || std::holds_alternative<OptoModel>(model);
            if (switches && std::ranges::find(parts, part) == parts.end()) parts.push_back(part);
        }
        return parts;
    }
};

}  // namespace

void LineCharge::add(double more, const std::string& of) {
    farads += more;
    if (more > 0) parts += fmt::format("{}{} {}", parts.empty() ? "" : ", ", print(Farads{more}), of);
}

LineCharge charge_at(const Inspection& in, const Island& island, Node local) {
    LineCharge c;
    c.add(in.bench.wishes.wire_capacitance.si(), "wires");
    for (const int s : island.pins) {
        const PinSite& site = in.circuit.pins[s];
        if (island.local(site.node) == local) c.add(charge_of(in, island, site), in.label(site));
    }
    return c;
}

double edge_resistance(Inspection& in, const Island& island, const Hop& hop, Node node,
                       std::span<const double> values) {
    std::vector<double> vh, vl;
    if (!solve(island, hop.high, values, vh, in.effort) || !solve(island, hop.low, values, vl, in.effort))
        return open_ohms;
    const bool released = std::ranges::all_of(hop.high, [](Logic l) { return l == Logic::Z; });
    double slowest = 0;
    for (const double share : {0.5, 0.7}) {
        std::vector<double> rising(vh.size()), falling(vh.size());
        for (std::size_t n = 0; n < vh.size(); ++n) {
            rising[n] = vl[n] + share * (vh[n] - vl[n]);
            falling[n] = vh[n] + share * (vl[n] - vh[n]);
        }
        slowest = std::max(slowest, resistance_at(island, hop.high, values, rising, node));
        if (!released) slowest = std::max(slowest, resistance_at(island, hop.low, values, falling, node));
    }
    return slowest;
}

std::vector<WayStep> steps_before(Inspection& in, const Scene& scene, const Trace& trace, const Hop& hop) {
    const auto driver = std::ranges::find_if(trace.hops, [&](const Hop& h) {
        return h.driver && h.island == hop.island && h.high == hop.high && h.low == hop.low;
    });
    if (driver == trace.hops.end() || hop.driver) return {};
    const Island& island = scene.islands[hop.island];
    const Node from = island.local(in.circuit.pins[driver->site].node),
               to = island.local(in.circuit.pins[hop.site].node);
    if (from < 0 || to < 0 || from == to) return {};
    return Steps{.in = in, .island = island, .hop = hop, .from = from, .to = to}.run();
}

double hidden_on_way(const Inspection& in, const Scene& scene, const Trace& trace) {
    double seconds = 0;
    for (const int k : trace.islands)
        for (const int part : Steps::switches(in, scene.islands[k]))
            seconds += hidden_turn_off(*in.wiring.parts[part].type);
    return seconds;
}

}  // namespace voltsill
