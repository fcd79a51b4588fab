#include "judging/spread.h"

#include <algorithm>
#include <cmath>

namespace voltsill {
namespace {

LevelSet outputs_of(const LogicUnit& unit, const std::vector<LevelSet>& inputs, size_t output) {
    LevelSet set = 0;
    for (size_t row = 0; row < unit.rows.size() / unit.outputs.size(); ++row) {
        bool possible = true;
        for (size_t i = 0; i < inputs.size(); ++i)
            possible &= (inputs[i] & (((row >> i) & 1u) ? can_one | can_x : can_zero | can_x)) != 0;
        if (possible) set |= bit(unit.rows[row * unit.outputs.size() + output]);
    }
    return set;
}

struct Spreading {
    const Circuit& circuit;
    Scene& scene;
    Effort& effort;
    std::vector<const Island*> pieces = scene.pieces();
    std::vector<std::vector<LevelSet>> seen{
        pieces.size()};  ///< what the stages of a piece could show when last looked at
    std::vector<LevelSet> read = std::vector<LevelSet>(circuit.pins.size());  ///< by pin, so far
    std::vector<std::vector<int>> sites_of_inputs{circuit.netlist.units.size()};
    std::vector<bool> dead = std::vector<bool>(circuit.netlist.units.size());
    bool stuck = false;  ///< nothing changes any more: what has not been read may be anything

    bool wanted(const PinSite& site) const { return site.input_of_unit >= 0 && scene.works(site.supply); }

    /// A part with two supplies lets go of both sides when either is missing (SCES584B).
    void prepare(size_t u) {
        const LogicUnit& unit = circuit.netlist.units[u];
        const auto works = [&](Node supply) { return scene.works(supply); };
        dead[u] = !works(unit.supply) || !std::ranges::all_of(unit.outputs, works, [&](StageId s) {
            return circuit.stages[s].supply;
        }) || !std::ranges::all_of(sites_of_inputs[u], [&](int s) {
            return works(circuit.pins[s].supply);
        });
        if (dead[u])
            for (StageId s : unit.outputs) scene.reach[s] = can_z;
    }

    /// Pins by unit input, and what held pins read.
    void prepare() {
        for (size_t u = 0; u < circuit.netlist.units.size(); ++u) {
            for (const LogicInput& in : circuit.netlist.units[u].inputs) {
                int found = -1;
                for (int s : circuit.site_of[circuit.units[u].part])
                    if (circuit.pins[s].node == in.pin && circuit.pins[s].input_of_unit >= 0) found = s;
                sites_of_inputs[u].push_back(found);
                if (scene.island_of_node[in.pin] >= 0) continue;
                const PinSite& site = circuit.pins[found];
                read[found] = bit(
                    read_level(circuit.pin(site), Volts{scene.held[in.pin]}, Volts{scene.held[site.supply]}));
            }
            prepare(u);
        }
    }

    /// A pin on a rail that is down lies in no branch; nor does one whose network was never solved.
    LevelSet reading(int s) const { return read[s] == 0 && stuck ? can_x : read[s]; }

    void look_at(const Island& island) {
        const bool complete =
            std::ranges::none_of(island.stage_of, [&](StageId s) { return scene.reach[s] == 0; });
        for (const Combination& c : combinations(circuit, scene, island)) {
            std::vector<double> volts;
            const bool solved = solve(island, c.levels, island.nominal, volts, effort);
            const bool driven = std::ranges::any_of(c.levels, [](Logic l) { return l != Logic::Z; });
            for (int s : island.pins) {
                const PinSite& site = circuit.pins[s];
                if (!wanted(site)) continue;
                const Node n = island.local(site.node);
                // Where nothing drives, the leakage of two diodes puts a pin anywhere between its supply and ground.
                const bool floats = solved && (!driven || std::abs(volts[n]) < 1e-3) &&
                                    resistance_at(island, c.levels, island.nominal, volts, n) >= open_ohms;
                if (floats && !complete) continue;  // its driver is not known yet
                read[s] |=
                    !solved || floats
                        ? can_x
                        : bit(read_level(circuit.pin(site), Volts{volts[n]}, Volts{scene.held[site.supply]}));
            }
        }
    }

    void look() {
        for (size_t i = 0; i < pieces.size(); ++i) {
            if (std::ranges::none_of(pieces[i]->pins, [&](int s) { return wanted(circuit.pins[s]); }))
                continue;
            std::vector<LevelSet> sets{can_x};  // differs from nothing seen yet, even without stages
            for (StageId s : pieces[i]->stage_of) sets.push_back(scene.reach[s]);
            if (sets == seen[i]) continue;
            seen[i] = std::move(sets);
            look_at(*pieces[i]);
        }
    }

    bool drive() {
        bool changed = false;
        for (size_t u = 0; u < circuit.netlist.units.size(); ++u) {
            const LogicUnit& unit = circuit.netlist.units[u];
            if (dead[u]) continue;
            std::vector<LevelSet> inputs;
            for (int s : sites_of_inputs[u]) inputs.push_back(reading(s));
            for (size_t k = 0; k < unit.outputs.size(); ++k) {
                LevelSet& reach = scene.reach[unit.outputs[k]];
                const LevelSet grown = reach | outputs_of(unit, inputs, k);
                changed |= grown != reach;
                reach = grown;
            }
        }
        return changed;
    }

    void run() {
        prepare();
        for (;;) {
            look();
            if (drive()) continue;
            if (stuck) return;
            stuck = true;
        }
    }
};

}  // namespace

void spread_levels(const Circuit& circuit, Scene& scene, Effort& effort) {
    if (!circuit.netlist.units.empty()) Spreading{.circuit = circuit, .scene = scene, .effort = effort}.run();
}

}  // namespace voltsill
