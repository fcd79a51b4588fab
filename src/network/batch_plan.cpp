#include "network/batch_plan.h"

#include <algorithm>
#include <set>

#include "network/block_equations.h"

namespace voltsill::batch {
namespace {

/// Matrix pattern: entry numbers by row and column, growing with fill-in.
class Pattern {
  public:
    explicit Pattern(int size) : entry_(static_cast<std::size_t>(size) * size, -1), size_(size) {}
    int at(int row, int column) const { return entry_[static_cast<std::size_t>(row) * size_ + column]; }
    void add(int row, int column) {
        int& e = entry_[static_cast<std::size_t>(row) * size_ + column];
        if (e < 0) e = count_++;
    }
    int count() const { return count_; }
    int size() const { return size_; }

  private:
    std::vector<int> entry_;
    int size_, count_ = 0;
};

/// Minimum degree on the symmetric pattern: the next unknown is the one with fewest neighbours
/// left, its neighbours become a clique.
std::vector<Node> elimination_order(const Netlist& netlist, const Partition& partition,
                                    const std::vector<std::vector<Node>>& groups) {
    const int nodes = static_cast<int>(netlist.node_names.size());
    std::vector<std::set<Node>> neighbours(nodes);
    for (const auto& group : groups)
        for (Node a : group)
            for (Node b : group)
                if (a != b && !partition.held(a) && !partition.held(b)) neighbours[a].insert(b);
    std::vector<Node> left, order;
    for (Node n = 0; n < nodes; ++n)
        if (!partition.held(n)) left.push_back(n);
    while (!left.empty()) {
        const auto next = std::min_element(left.begin(), left.end(), [&](Node a, Node b) {
            return neighbours[a].size() < neighbours[b].size();
        });
        const Node pivot = *next;
        left.erase(next);
        order.push_back(pivot);
        for (Node a : neighbours[pivot]) {
            neighbours[a].erase(pivot);
            for (Node b : neighbours[pivot])
                if (a != b) neighbours[a].insert(b);
        }
    }
    return order;
}

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
        place(elimination_order(netlist_, partition_, groups));
        Pattern pattern(plan_.unknowns);
        for (int k = 0; k < plan_.unknowns; ++k) pattern.add(k, k);
        for (const auto& group : groups)
            for (Node a : group)
                for (Node b : group)
                    if (!partition_.held(a) && !partition_.held(b))
                        pattern.add(plan_.slot_of[a], plan_.slot_of[b]);
        fill_in(pattern);
        plan_.entries = pattern.count();
        plan_.users.resize(netlist_.parameters.size());
        plan_.moves_held.resize(netlist_.parameters.size());
        add_devices(pattern);
        add_stages(pattern);
        write_tape(pattern);
        return std::move(plan_);
    }

  private:
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
    static void fill_in(Pattern& pattern) {
        for (int k = 0; k < pattern.size(); ++k)
            for (int i = k + 1; i < pattern.size(); ++i)
                for (int j = k + 1; j < pattern.size() && pattern.at(i, k) >= 0; ++j)
                    if (pattern.at(k, j) >= 0) pattern.add(i, j);
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
                const int c = element({.what = Element::What::stage, .id = id, .up = up, .count = 2},
                                      std::array{arm.strength});
                plan_.curves.push_back(curve(pattern, arm.from, arm.to, arm.table, c));
            }
        }
    }
    void write_tape(const Pattern& pattern) {
        const int n = plan_.unknowns;
        for (int i = 0; i < n; ++i) {
            plan_.diagonal.push_back(pattern.at(i, i));
            for (int j = 0; j < n; ++j) {
                if (pattern.at(i, j) < 0) continue;
                const int first = static_cast<int>(plan_.products.size());
                for (int k = 0; k < std::min(i, j); ++k)
                    if (pattern.at(i, k) >= 0 && pattern.at(k, j) >= 0)
                        plan_.products.push_back({pattern.at(i, k), pattern.at(k, j)});
                plan_.elimination.push_back({pattern.at(i, j), first, static_cast<int>(plan_.products.size()),
                                             j < i    ? j
                                             : j == i ? -1 - i
                                                      : upper});
            }
        }
        const auto substitution = [&](int i, int from, int to) {
            const int first = static_cast<int>(plan_.products.size());
            for (int j = from; j < to; ++j)
                if (pattern.at(i, j) >= 0) plan_.products.push_back({pattern.at(i, j), j});
            return Substitution{i, first, static_cast<int>(plan_.products.size())};
        };
        for (int i = 0; i < n; ++i) plan_.forward.push_back(substitution(i, 0, i));
        for (int i = n - 1; i >= 0; --i) plan_.backward.push_back(substitution(i, i + 1, n));
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
            .diagonal = diagonal.data(),
            .elimination = elimination.data(),
            .eliminations = size(elimination),
            .forward = forward.data(),
            .backward = backward.data(),
            .product = products.data()};
}

std::optional<Plan> make_plan(const Netlist& netlist, const Partition& partition,
                              const std::vector<bool>& source_on) {
    return PlanMaker(netlist, partition, source_on).make();
}

}  // namespace voltsill::batch
