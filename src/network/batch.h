#pragma once
/// Many steady states of one network at once, one per SIMD lane: fault dictionaries, corners, samples.
///
/// All lanes share the shape: node order, pattern and elimination tape of the sparse LU are made
/// once. A case differs from the base by values, stage levels, switches and at most one bridge
/// between two nodes. Newton is accepted lane by lane; the bridge enters by Sherman-Morrison,
///
///     (J + g e e')^-1 b = y - z g e'y / (1 + g e'z),   J y = b,  J z = e = unit(a) - unit(b)
///
/// (J. Sherman, W. Morrison, Ann. Math. Statist. 21, 1950, pp. 124-127, from memory). Cases that do
/// not converge in lanes, and networks with devices that have no lane form (bipolar, optocoupler,
/// amplifier, ideal source between free nodes), are solved by `solve_dc`; answers agree within 1 uV
/// (1e-9 of what is beyond 1 kV).
///
///     BatchSolver solver(netlist, {});
///     BatchResult result;
///     solver.solve(netlist.nominal_values(), cases, result);   // result.volts[case * nodes + node]
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "network/dc.h"

namespace voltsill {

enum class InstructionSet { baseline, avx2, avx512 };
/// "baseline", "AVX2", "AVX-512": as the kernel itself was compiled.
const char* to_string(InstructionSet set);
bool runs_here(InstructionSet set);  ///< by the processor this program runs on
InstructionSet best_instruction_set();

struct ValueChange {
    ParamId parameter = no_param;
    double value = 0.0;  ///< SI; an open is a huge resistance, or a tiny strength, K or reference current
};

struct BatchCase {
    std::span<const ValueChange> changes;  ///< on top of the base values
    const State* state = nullptr;          ///< levels and switches; its `source_on` is not looked at
    Node bridge[2] = {-1, -1};             ///< both >= 0: joined by `bridge_ohms`
    double bridge_ohms = 0.1;
};

struct BatchResult {
    std::vector<double> volts;  ///< by case, then node
    std::vector<DcStatus> status;
    int one_by_one = 0;  ///< cases that went through `solve_dc`
};

class BatchSolver {
  public:
    /// `set`: for tests and benchmarks; must run here.
    BatchSolver(const Netlist& netlist, const std::vector<bool>& source_on,
                std::optional<InstructionSet> set = std::nullopt);
    BatchSolver(BatchSolver&&) noexcept;
    ~BatchSolver();
    InstructionSet instruction_set() const { return set_; }
    int lanes() const;      ///< cases in one call of the kernel
    bool in_lanes() const;  ///< false: every case goes through `solve_dc`

    void solve(std::span<const double> values, std::span<const BatchCase> cases, BatchResult& result) const;

  private:
    struct Plan;
    const Netlist* netlist_;
    std::vector<bool> source_on_;
    InstructionSet set_;
    std::unique_ptr<Plan> plan_;
};

}  // namespace voltsill
