#include "network/transient_plan.h"

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
        plan_.trouble = dynamics_refusal(net_, dynamics_, partition_);
        if (!plan_.trouble.empty()) return std::move(plan_);
        Numbering numbers = number_unknowns(net_, dynamics_, partition_, start_);
        plan_.unknowns = numbers.unknowns;
        plan_.slot_of = std::move(numbers.slot_of);
        plan_.node_of = std::move(numbers.node_of);
        branch_slot_ = std::move(numbers.branch_slot);
        Pattern pattern(plan_.unknowns);
        for (const auto& group : numbers.groups)
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

    bool skipped(const Device& d) const { return !source_on(start_, d) || ideal_source(d); }

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
            if (linear && !skipped(d) && !inductive(dynamics_, id))
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
                for (const bool strong : {false, true}) {
                    const int table = strong ? side.strong_table : side.table;
                    if (table < 0) continue;
                    const int arm = static_cast<int>(plan_.arms.size());
                    plan_.arms.push_back({id, up, strong});
                    plan_.arms_of_stage[id].push_back(arm);
                    plan_.curves.push_back(curve(side.from, side.to, table,
                                                 coefficient({.stage = id, .up = up, .strong = strong}, 2), arm));
                    flow(arm, plan_.curves.back().a, plan_.curves.back().b, &RowParts::timed);
                    add_branch(plan_.curves.back());
                }
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
