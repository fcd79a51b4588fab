#include "network/batch_plan.h"


#include "network/block_equations.h"

namespace voltsill::batch {
namespace {

class PlanMaker {
  public:
    PlanMaker(const Netlist& netlist, const Partition& partition, const std::vector<bool>& source_on)
        : netlist_(netlist), partition_(partition), on_{.source_on = source_on} {}

    std::optional<Plan> make() {
        if (!partition_.trouble().empty()) return std::nullopt;
        for (const Partition::Block& block : partition_.blocks())
            if (block.branches > 0) return std::nullopt;
        std::vector<std::vector<Node>> groups;
        for (const Device& d : netlist_.devices) {
            if (!source_on(on_, d) || ideal_source(d)) continue;
            if (d.kind == DeviceKind::bjt || d.kind == DeviceKind::opto || d.kind == DeviceKind::amplifier)
                return std::nullopt;
            groups.emplace_back(d.nodes.begin(), d.nodes.begin() + shape_of(d.kind).terminals);
        }
        for (const Stage& s : netlist_.stages) {
            groups.push_back({s.supply, s.pin});
            groups.push_back({s.pin, s.ground});
        }
        place(order_of_nodes(groups));
        Pattern pattern(plan_.unknowns);
        for (const auto& group : groups)
            for (Node a : group)
                for (Node b : group)
                    if (!partition_.held(a) && !partition_.held(b))
                        pattern.add(plan_.slot_of[a], plan_.slot_of[b]);
        pattern.fill_in();
        plan_.entries = pattern.count();
        plan_.users.resize(netlist_.parameters.size());
        plan_.moves_held.resize(netlist_.parameters.size());
        add_devices(pattern);
        add_stages(pattern);
        plan_.lu = elimination_tape(pattern);
        return std::move(plan_);
    }

  private:
    /// Free nodes in elimination order.
    std::vector<Node> order_of_nodes(std::vector<std::vector<Node>> groups) const {
        std::vector<Node> free_nodes;
        std::vector<int> number(netlist_.node_names.size(), -1);
        for (Node n = 0; n < static_cast<Node>(number.size()); ++n) {
            if (partition_.held(n)) continue;
            number[n] = static_cast<int>(free_nodes.size());
            free_nodes.push_back(n);
        }
        for (auto& group : groups)
            for (Node& n : group) n = number[n];
        std::vector<Node> order = elimination_order(static_cast<int>(free_nodes.size()), groups);
        for (Node& n : order) n = free_nodes[n];
        return order;
    }
    void place(const std::vector<Node>& order) {
        plan_.unknowns = static_cast<int>(order.size());
        plan_.node_of = order;
        for (Node n = 0; n < static_cast<Node>(netlist_.node_names.size()); ++n)
            if (partition_.held(n)) plan_.node_of.push_back(n);
        plan_.slot_of.resize(plan_.node_of.size());
        for (int slot = 0; slot < static_cast<int>(plan_.node_of.size()); ++slot) {
            plan_.slot_of[plan_.node_of[slot]] = slot;
            plan_.free.push_back(slot < plan_.unknowns ? 1.0 : 0.0);
        }
    }
    bool is_free(int slot) const { return slot < plan_.unknowns; }
    int row(int slot) const { return is_free(slot) ? slot : plan_.unknowns; }
    int entry(const Pattern& pattern, int r, int c) const {
        return is_free(r) && is_free(c) ? pattern.at(r, c) : plan_.entries;
    }
    Pair pair(const Pattern& pattern, Node from, Node to, int coefficient) const {
        const int a = plan_.slot_of[from], b = plan_.slot_of[to];
        return {a,
                b,
                row(a),
                row(b),
                entry(pattern, a, a),
                entry(pattern, a, b),
                entry(pattern, b, a),
                entry(pattern, b, b),
                coefficient};
    }
    int element(Element e, std::span<const ParamId> params) {
        e.coefficient = plan_.coefficients;
        plan_.coefficients += e.count;
        for (ParamId p : params)
            if (p != no_param) plan_.users[p].push_back(static_cast<int>(plan_.elements.size()));
        if (e.what == Element::What::stage || netlist_.devices[e.id].kind == DeviceKind::switch_)
            plan_.follow_state.push_back(static_cast<int>(plan_.elements.size()));
        plan_.elements.push_back(e);
        return e.coefficient;
    }
    Curve curve(const Pattern& pattern, Node from, Node to, int table, int coefficient) {
        const Table& t = netlist_.tables[table];
        const int first = static_cast<int>(plan_.bends.size());
        double slope = (t.amps[1] - t.amps[0]) / (t.volts[1] - t.volts[0]);
        plan_.bends.push_back({t.volts[0], t.amps[0], slope});
        for (std::size_t k = 1; k + 1 < t.volts.size(); ++k) {
            const double next = (t.amps[k + 1] - t.amps[k]) / (t.volts[k + 1] - t.volts[k]);
            plan_.bends.push_back({t.volts[k], next - slope, 0.0});
            slope = next;
        }
        return {pair(pattern, from, to, coefficient), first, static_cast<int>(plan_.bends.size())};
    }
    void add_devices(const Pattern& pattern) {
        for (DeviceId id = 0; id < static_cast<DeviceId>(netlist_.devices.size()); ++id) {
            const Device& d = netlist_.devices[id];
            if (!source_on(on_, d)) continue;
            if (ideal_source(d)) {
                plan_.moves_held[d.params[0]] = true;
                continue;
            }
            Element e{.what = Element::What::device, .id = id, .count = d.kind == DeviceKind::diode ? 6 : 2};
            const int c = element(e, d.params);
            if (d.kind == DeviceKind::diode)
                plan_.diodes.push_back(pair(pattern, d.nodes[0], d.nodes[1], c));
            else if (d.kind == DeviceKind::table)
                plan_.curves.push_back(curve(pattern, d.nodes[0], d.nodes[1], d.table, c));
            else if (d.kind == DeviceKind::mosfet)
                plan_.fets.push_back(fet(pattern, d, c));
            else
                plan_.linear.push_back(pair(pattern, d.nodes[0], d.nodes[1], c));
        }
    }
    Fet fet(const Pattern& pattern, const Device& device, int coefficient) const {
        const int d = plan_.slot_of[device.nodes[0]], g = plan_.slot_of[device.nodes[1]],
                  s = plan_.slot_of[device.nodes[2]];
        return {d,
                g,
                s,
                row(d),
                row(s),
                entry(pattern, d, d),
                entry(pattern, d, g),
                entry(pattern, d, s),
                entry(pattern, s, d),
                entry(pattern, s, g),
                entry(pattern, s, s),
                coefficient,
                device.reversed_polarity ? -1.0 : 1.0};
    }
    void add_stages(const Pattern& pattern) {
        for (StageId id = 0; id < static_cast<StageId>(netlist_.stages.size()); ++id) {
            const Stage& s = netlist_.stages[id];
            for (const bool up : {true, false}) {
                const StageArm arm = conducting_arm(s, up ? Logic::one : Logic::zero);
                if (arm.table < 0) continue;
                for (const bool strong : {false, true}) {
                    const int table = strong ? arm.strong_table : arm.table;
                    if (table < 0) continue;
                    const int c =
                        element({.what = Element::What::stage, .id = id, .up = up, .strong = strong, .count = 2},
                                std::array{arm.strength});
                    plan_.curves.push_back(curve(pattern, arm.from, arm.to, table, c));
                }
            }
        }
    }
    const Netlist& netlist_;
    const Partition& partition_;
    State on_;
    Plan plan_;
};

}  // namespace

Tape Plan::tape() const {
    const auto size = [](const auto& v) { return static_cast<int>(v.size()); };
    return {.unknowns = unknowns,
            .slots = size(node_of),
            .entries = entries,
            .linear = linear.data(),
            .linears = size(linear),
            .diode = diodes.data(),
            .diodes = size(diodes),
            .curve = curves.data(),
            .curves = size(curves),
            .bend = bends.data(),
            .fet = fets.data(),
            .fets = size(fets),
            .diagonal = lu.diagonal.data(),
            .elimination = lu.elimination.data(),
            .eliminations = size(lu.elimination),
            .forward = lu.forward.data(),
            .backward = lu.backward.data(),
            .product = lu.products.data()};
}

std::optional<Plan> make_plan(const Netlist& netlist, const Partition& partition,
                              const std::vector<bool>& source_on) {
    return PlanMaker(netlist, partition, source_on).make();
}

}  // namespace voltsill::batch
