#include "network/transient_plan.h"

#include <fmt/format.h>

#include <map>

#include "network/block_equations.h"

namespace voltsill::batch {
namespace {

/// A bend is rounded this far to both sides, or over a quarter of the shorter segment beside it: the
/// curve departs from its table by at most an eighth of that times the change of slope.
constexpr double round_volts = 0.05;
/// Share of the slope that a bend takes away (or adds) to count as sharp.
constexpr double sharp_share = 0.6;

class Maker {
  public:
    Maker(const Netlist& netlist, const Dynamics& dynamics, const Partition& partition, const State& start)
        : net_(netlist), dynamics_(dynamics), partition_(partition), start_(start) {}

    TransientPlan make(double volts_tolerance, double amps_tolerance) {
        plan_.trouble = refusal();
        if (!plan_.trouble.empty()) return std::move(plan_);
        number_unknowns();
        Pattern pattern(plan_.unknowns);
        for (const auto& group : groups_)
            for (int a : group)
                for (int b : group)
                    if (a < plan_.unknowns && b < plan_.unknowns) pattern.add(a, b);
        pattern.fill_in();
        pattern_ = &pattern;
        plan_.entries = pattern.count();
        rows_.resize(plan_.unknowns);
        cells_of_entry_.resize(plan_.entries);
        add_linear();
        add_elements();
        add_charges();
        add_watches();
        write(pattern);
        for (int k = 0; k < plan_.unknowns; ++k)
            plan_.tolerance.push_back(plan_.node_of[k] < 0 ? amps_tolerance : volts_tolerance);
        return std::move(plan_);
    }

  private:
    struct RowParts {
        std::vector<Signed> currents, timed;
        std::map<int, int> charge;     ///< column -> entry of C
        std::vector<int> conductance;  ///< columns
    };

    std::string refusal() const {
        if (!partition_.trouble().empty()) return partition_.trouble();
        for (const Partition::Block& block : partition_.blocks())
            if (block.branches > 0)
                return fmt::format("an ideal source lies between nodes that nothing holds, at {}",
                                   net_.node_names[block.nodes.front()]);
        const auto node = [&](Node n) { return n >= 0 && n < static_cast<Node>(net_.node_names.size()); };
        const auto param = [&](ParamId p) {
            return p >= 0 && p < static_cast<ParamId>(net_.parameters.size());
        };
        for (const Capacitor& c : dynamics_.capacitors)
            if (!node(c.a) || !node(c.b) || !param(c.farads)) return c.name + ": no such node or parameter";
        for (const Inductor& l : dynamics_.inductors)
            if (l.resistor < 0 || l.resistor >= static_cast<DeviceId>(net_.devices.size()) ||
                net_.devices[l.resistor].kind != DeviceKind::resistor || !param(l.henries))
                return "an inductance without its resistor";
        for (const StrengthCurve& c : dynamics_.curves)
            if (c.up.size() < 2 || c.up.size() != c.down.size()) return "a switching curve needs two points";
        for (const Switching& s : dynamics_.stages)
            for (int curve : {s.rise_curve, s.fall_curve})
                if (curve >= static_cast<int>(dynamics_.curves.size())) return "no such switching curve";
        for (const Accelerator& a : dynamics_.accelerators)
            if (!node(a.pin) || !node(a.ground) || !param(a.lasts) || a.stage < 0 ||
                a.stage >= static_cast<StageId>(net_.stages.size()))
                return a.name + ": no such node, stage or parameter";
        return {};
    }

    bool inductive(DeviceId id) const {
        for (const Inductor& l : dynamics_.inductors)
            if (l.resistor == id) return true;
        return false;
    }
    bool skipped(const Device& d) const { return !source_on(start_, d) || ideal_source(d); }

    void number_unknowns() {
        const int nodes = static_cast<int>(net_.node_names.size());
        std::vector<int> number(nodes, -1);
        std::vector<Node> node_of;
        for (Node n = 0; n < nodes; ++n) {
            if (partition_.held(n)) continue;
            number[n] = static_cast<int>(node_of.size());
            node_of.push_back(n);
        }
        const int free_nodes = static_cast<int>(node_of.size());
        const int unknowns = free_nodes + static_cast<int>(dynamics_.inductors.size());
        const auto tie = [&](std::initializer_list<Node> ends, int branch = -1) {
            std::vector<int> group;
            for (Node n : ends)
                if (number[n] >= 0) group.push_back(number[n]);
            if (branch >= 0) group.push_back(branch);
            groups_.push_back(std::move(group));
        };
        for (DeviceId id = 0; id < static_cast<DeviceId>(net_.devices.size()); ++id) {
            const Device& d = net_.devices[id];
            if (skipped(d) || inductive(id)) continue;
            std::vector<int> group;
            for (int k = 0; k < shape_of(d.kind).terminals; ++k)
                if (number[d.nodes[k]] >= 0) group.push_back(number[d.nodes[k]]);
            groups_.push_back(std::move(group));
        }
        for (const Stage& s : net_.stages) {
            tie({s.supply, s.pin});
            tie({s.pin, s.ground});
        }
        for (const Capacitor& c : dynamics_.capacitors) tie({c.a, c.b});
        for (std::size_t k = 0; k < dynamics_.inductors.size(); ++k) {
            const Device& d = net_.devices[dynamics_.inductors[k].resistor];
            tie({d.nodes[0]}, free_nodes + static_cast<int>(k));
            tie({d.nodes[1]}, free_nodes + static_cast<int>(k));
        }
        const std::vector<int> order = elimination_order(unknowns, groups_);
        std::vector<int> place(unknowns);
        plan_.unknowns = unknowns;
        plan_.slot_of.assign(nodes, -1);
        branch_slot_.resize(dynamics_.inductors.size());
        for (int slot = 0; slot < unknowns; ++slot) {
            const int k = order[slot];
            place[k] = slot;
            if (k < free_nodes) {
                plan_.node_of.push_back(node_of[k]);
                plan_.slot_of[node_of[k]] = slot;
            } else {
                plan_.node_of.push_back(-1);
                branch_slot_[k - free_nodes] = slot;
            }
        }
        for (Node n = 0; n < nodes; ++n)
            if (partition_.held(n)) {
                plan_.slot_of[n] = static_cast<int>(plan_.node_of.size());
                plan_.node_of.push_back(n);
            }
        for (auto& group : groups_)
            for (int& k : group) k = place[k];
    }

    int row(int slot) const { return slot < plan_.unknowns ? slot : -1; }
    int entry(int r, int c) const {
        return r >= 0 && r < plan_.unknowns && c >= 0 && c < plan_.unknowns ? pattern_->at(r, c) : -1;
    }
    /// An entry of G: its row gathers it.
    int linear_entry(int r, int c) {
        const int e = entry(r, c);
        if (e < 0) return -1;
        auto& columns = rows_[r].conductance;
        if (std::ranges::find(columns, c) == columns.end()) columns.push_back(c);
        return e;
    }
    Stamp stamp(int id, Node from, Node to) {
        const int a = plan_.slot_of[from], b = plan_.slot_of[to];
        return {id,
                linear_entry(a, a),
                linear_entry(a, b),
                linear_entry(b, a),
                linear_entry(b, b),
                a,
                b,
                row(a),
                row(b)};
    }
    void add_linear() {
        for (int k = 0; k < plan_.unknowns; ++k)
            if (plan_.node_of[k] >= 0) linear_entry(k, k);  // gmin
        for (DeviceId id = 0; id < static_cast<DeviceId>(net_.devices.size()); ++id) {
            const Device& d = net_.devices[id];
            const bool linear = d.kind == DeviceKind::resistor || d.kind == DeviceKind::source ||
                                d.kind == DeviceKind::current || d.kind == DeviceKind::switch_;
            if (linear && !skipped(d) && !inductive(id))
                plan_.linear.push_back(stamp(id, d.nodes[0], d.nodes[1]));
        }
        for (std::size_t k = 0; k < dynamics_.inductors.size(); ++k) {
            const Device& d = net_.devices[dynamics_.inductors[k].resistor];
            const int a = plan_.slot_of[d.nodes[0]], b = plan_.slot_of[d.nodes[1]], own = branch_slot_[k];
            plan_.inductors.push_back({static_cast<int>(k), a, b, row(a), row(b), own, linear_entry(a, own),
                                       linear_entry(own, a), linear_entry(b, own), linear_entry(own, b),
                                       linear_entry(own, own), charge_entry(own, own)});
        }
    }

    int coefficient(Written w, int count) {
        w.coefficient = plan_.coefficients;
        w.count = count;
        plan_.coefficients += count;
        plan_.written.push_back(w);
        return w.coefficient;
    }
    /// Current `index` flows from slot a to slot b.
    void flow(int index, int a, int b, std::vector<Signed> RowParts::*list = &RowParts::currents) {
        if (row(a) >= 0) (rows_[a].*list).push_back({index, -1.0});
        if (row(b) >= 0) (rows_[b].*list).push_back({index, 1.0});
    }
    /// Conductance `index`: d(current from a to b) / d(v(plus) - v(minus)).
    void slope(int index, int a, int b, int plus, int minus, double sign = 1.0) {
        const auto add = [&](int r, int c, double s) {
            if (const int e = entry(r, c); e >= 0) cells_of_entry_[e].push_back({index, s});
        };
        add(a, plus, sign);
        add(a, minus, -sign);
        add(b, plus, -sign);
        add(b, minus, sign);
    }
    TimedCurve curve(Node from, Node to, int table, int coefficient_place, int arm) {
        const Table& t = net_.tables[table];
        const int first = static_cast<int>(plan_.bends.size());
        double slope_before = (t.amps[1] - t.amps[0]) / (t.volts[1] - t.volts[0]);
        plan_.bends.push_back({t.volts[0], t.amps[0], slope_before, 0.0});
        for (std::size_t k = 1; k + 1 < t.volts.size(); ++k) {
            const double left = t.volts[k] - t.volts[k - 1], right = t.volts[k + 1] - t.volts[k];
            const double next = (t.amps[k + 1] - t.amps[k]) / right;
            const double width = std::min(round_volts, 0.25 * std::min(left, right)),
                         change = next - slope_before;
            plan_.bends.push_back({t.volts[k], change, width, change / (4.0 * width)});
            if (std::abs(change) > sharp_share * std::max(slope_before, next))
                plan_.sharp_bends.push_back({static_cast<int>(plan_.curves.size()), t.volts[k]});
            slope_before = next;
        }
        return {{plan_.slot_of[from], plan_.slot_of[to], coefficient_place},
                first,
                static_cast<int>(plan_.bends.size()),
                arm};
    }

    void add_elements() {
        add_diodes();
        add_curves();
        add_fets();
        add_others();
    }
    template <class F>
    void for_devices(DeviceKind kind, F&& use) {
        for (DeviceId id = 0; id < static_cast<DeviceId>(net_.devices.size()); ++id)
            if (net_.devices[id].kind == kind) use(id, net_.devices[id]);
    }
    void add_branch(const Branch& b) {
        flow(plan_.currents, b.a, b.b);
        slope(plan_.conductances, b.a, b.b, b.a, b.b);
        ++plan_.currents;
        ++plan_.conductances;
    }
    void add_diodes() {
        for_devices(DeviceKind::diode, [&](DeviceId id, const Device& d) {
            plan_.diodes.push_back(
                {plan_.slot_of[d.nodes[0]], plan_.slot_of[d.nodes[1]], coefficient({.device = id}, 4)});
            add_branch(plan_.diodes.back());
        });
    }
    void add_curves() {
        for_devices(DeviceKind::table, [&](DeviceId id, const Device& d) {
            plan_.curves.push_back(
                curve(d.nodes[0], d.nodes[1], d.table, coefficient({.device = id}, 2), -1));
            add_branch(plan_.curves.back());
        });
        plan_.arms_of_stage.resize(net_.stages.size());
        for (StageId id = 0; id < static_cast<StageId>(net_.stages.size()); ++id)
            for (const bool up : {true, false}) {
                const StageArm side = conducting_arm(net_.stages[id], up ? Logic::one : Logic::zero);
                if (side.table < 0) continue;
                const int arm = static_cast<int>(plan_.arms.size());
                plan_.arms.push_back({id, up});
                plan_.arms_of_stage[id].push_back(arm);
                plan_.curves.push_back(
                    curve(side.from, side.to, side.table, coefficient({.stage = id, .up = up}, 2), arm));
                flow(arm, plan_.curves.back().a, plan_.curves.back().b, &RowParts::timed);
                add_branch(plan_.curves.back());
            }
    }
    void add_fets() {
        for_devices(DeviceKind::mosfet, [&](DeviceId id, const Device& device) {
            const int d = plan_.slot_of[device.nodes[0]], g = plan_.slot_of[device.nodes[1]],
                      s = plan_.slot_of[device.nodes[2]];
            plan_.fets.push_back(
                {d, g, s, coefficient({.device = id}, 3), device.reversed_polarity ? -1.0 : 1.0});
            flow(plan_.currents++, d, s);
            slope(plan_.conductances++, d, s, g, s);        // at the source: rises with v(g) - v(s)
            slope(plan_.conductances++, d, s, g, d, -1.0);  // at the drain: falls with v(g) - v(d)
        });
    }
    void add_others() {
        for (DeviceKind kind : {DeviceKind::bjt, DeviceKind::opto, DeviceKind::amplifier})
            for_devices(kind, [&](DeviceId id, const Device& d) {
                const DeviceShape& shape = shape_of(d.kind);
                Other other{id, coefficient({.device = id}, 5), plan_.currents, plan_.conductances, {}};
                for (int k = 0; k < shape.terminals; ++k) other.slots[k] = plan_.slot_of[d.nodes[k]];
                for (int j = 0; j < shape.flows; ++j) {
                    const int from = other.slots[shape.flow[j][0]], to = other.slots[shape.flow[j][1]];
                    flow(plan_.currents++, from, to);
                    for (int k = 0; k < shape.controls; ++k)
                        slope(plan_.conductances++, from, to, other.slots[shape.control[k][0]],
                              other.slots[shape.control[k][1]]);
                }
                plan_.others.push_back(other);
            });
    }

    int charge_entry(int r, int c) {
        if (r < 0 || r >= plan_.unknowns || c < 0 || c >= plan_.unknowns) return -1;
        const auto [at, fresh] = rows_[r].charge.try_emplace(c, plan_.capacitances);
        if (fresh) ++plan_.capacitances;
        return at->second;
    }
    void add_charges() {
        for (std::size_t k = 0; k < dynamics_.capacitors.size(); ++k) {
            const Capacitor& cap = dynamics_.capacitors[k];
            const int a = plan_.slot_of[cap.a], b = plan_.slot_of[cap.b];
            if (a == b) continue;
            plan_.capacitors.push_back({static_cast<int>(k), charge_entry(a, a), charge_entry(a, b),
                                        charge_entry(b, a), charge_entry(b, b), a, b, row(a), row(b)});
        }
    }
    void add_watches() {
        for (std::size_t u = 0; u < net_.units.size(); ++u)
            for (std::size_t i = 0; i < net_.units[u].inputs.size(); ++i) {
                const LogicInput& input = net_.units[u].inputs[i];
                WatchSite site{.unit = static_cast<int>(u),
                               .input = static_cast<int>(i),
                               .vil = input.vil,
                               .vih = input.vih};
                if (u < dynamics_.units.size() && i < dynamics_.units[u].inputs.size())
                    site.point = dynamics_.units[u].inputs[i];
                plan_.watches.push_back({plan_.slot_of[input.pin], plan_.slot_of[net_.units[u].ground]});
                plan_.watch_sites.push_back(site);
            }
        for (std::size_t k = 0; k < dynamics_.accelerators.size(); ++k) {
            const Accelerator& a = dynamics_.accelerators[k];
            plan_.watches.push_back({plan_.slot_of[a.pin], plan_.slot_of[a.ground]});
            plan_.watch_sites.push_back({.accelerator = static_cast<int>(k), .point = a.point});
        }
    }

    Range parts(const std::vector<Signed>& list) {
        const int first = static_cast<int>(plan_.parts.size());
        plan_.parts.insert(plan_.parts.end(), list.begin(), list.end());
        return {first, static_cast<int>(plan_.parts.size())};
    }
    void write(const Pattern& pattern) {
        plan_.lu = elimination_tape(pattern);
        std::vector<int> charge_of_entry(plan_.entries, -1);
        const auto cells = [&] { return static_cast<int>(plan_.cells.size()); };
        for (int r = 0; r < plan_.unknowns; ++r) {
            Row out{};
            out.conductance.first = cells();
            for (int c : rows_[r].conductance) plan_.cells.push_back({pattern.at(r, c), c});
            out.conductance.last = out.capacitance.first = cells();
            for (const auto& [c, e] : rows_[r].charge) {
                plan_.cells.push_back({e, c});
                charge_of_entry[pattern.at(r, c)] = e;
            }
            out.capacitance.last = cells();
            out.currents = parts(rows_[r].currents);
            out.timed = parts(rows_[r].timed);
            plan_.rows.push_back(out);
        }
        for (const Elimination& e : plan_.lu.elimination)
            plan_.assemblies.push_back({e.entry,
                                        charge_of_entry[e.entry],
                                        parts(cells_of_entry_[e.entry]),
                                        {e.first, e.last},
                                        e.pivot});
    }

    const Netlist& net_;
    const Dynamics& dynamics_;
    const Partition& partition_;
    const State& start_;
    const Pattern* pattern_ = nullptr;
    std::vector<std::vector<int>> groups_;
    std::vector<int> branch_slot_;
    std::vector<RowParts> rows_;
    std::vector<std::vector<Signed>> cells_of_entry_;
    TransientPlan plan_;
};

}  // namespace

TransientTape TransientPlan::tape() const {
    const auto size = [](const auto& v) { return static_cast<int>(v.size()); };
    return {.unknowns = unknowns,
            .slots = size(node_of),
            .entries = entries,
            .capacitances = capacitances,
            .currents = currents,
            .conductances = conductances,
            .diode = diodes.data(),
            .diodes = size(diodes),
            .curve = curves.data(),
            .curves = size(curves),
            .arms = size(arms),
            .bend = bends.data(),
            .sharp = sharp_bends.data(),
            .sharps = size(sharp_bends),
            .fet = fets.data(),
            .fets = size(fets),
            .others = size(others),
            .row = rows.data(),
            .cell = cells.data(),
            .part = parts.data(),
            .assembly = assemblies.data(),
            .assemblies = size(assemblies),
            .forward = lu.forward.data(),
            .backward = lu.backward.data(),
            .product = lu.products.data(),
            .watch = watches.data(),
            .watches = size(watches),
            .tolerance = tolerance.data()};
}

TransientPlan make_transient_plan(const Netlist& netlist, const Dynamics& dynamics,
                                  const Partition& partition, const State& start, double volts_tolerance,
                                  double amps_tolerance) {
    return Maker(netlist, dynamics, partition, start).make(volts_tolerance, amps_tolerance);
}

}  // namespace voltsill::batch
