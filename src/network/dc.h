#pragma once
/// Steady state of a network.
///
/// Modified nodal analysis: sum of currents at every node = 0, solved by Newton with limited
/// junction steps, then gmin stepping, then source stepping when plain Newton fails
/// (C.-W. Ho, A. Ruehli, P. Brennan, "The modified nodal approach to network analysis",
/// IEEE Trans. CAS-22 no. 6, 1975, pp. 504-509, from memory).
///
/// Nodes tied to ground by ideal sources are held; the rest falls into blocks that do not
/// influence each other, so that effort grows with the number of blocks, not with its cube.
#include <span>
#include <string>
#include <vector>

#include "network/netlist.h"

namespace voltsill {

struct DcOptions {
    double volts_tolerance = 1e-9;  ///< last Newton step of every node, V
    double amps_tolerance = 1e-12;  ///< residual of every node, A, plus 1e-9 of its largest current
    double gmin = 1e-12;            ///< conductance from every node to ground, S
    int max_iterations = 120;       ///< per Newton run
    /// Newton begins at the volts given: of use where they are those of nearly the same network. What it finds is
    /// the same within the tolerances, but not to the last bit. Blocks with an amplifier, which may have several
    /// balances, begin at 0 V all the same.
    bool from_given = false;
};

enum class DcStatus { converged, not_converged, oscillates };

struct DcSolution {
    DcStatus status = DcStatus::converged;
    std::vector<double> volts;    ///< by node
    std::vector<Logic> levels;    ///< by stage, after the logic fixed point (or as given)
    std::vector<Logic> readings;  ///< after `settle`: by input, units in order, inputs in order
    int iterations = 0;
    /// Worst node when not converged; names of the units that keep changing when oscillating.
    std::string trouble;
};

/// Which nodes are held at a fixed voltage and which blocks the others form.
class Partition {
  public:
    struct Block {
        std::vector<Node> nodes;
        std::vector<DeviceId> devices;
        std::vector<StageId> stages;
        int branches = 0;  ///< ideal sources among the devices: each adds its current as an unknown
    };
    /// `source_on` empty: all on.
    Partition(const Netlist& netlist, const std::vector<bool>& source_on);
    const std::vector<Block>& blocks() const { return blocks_; }
    int block_of(Node node) const { return block_of_[node]; }  ///< -1: held
    bool held(Node node) const { return block_of_[node] < 0; }
    int local_of(Node node) const { return local_of_[node]; }  ///< position in its block, -1: held
    struct Tie {
        Node node, from;
        DeviceId source;
        bool plus;
    };
    /// v(node) = v(from) +- volts of the source, in the order in which held nodes become known.
    const std::vector<Tie>& ties() const { return ties_; }
    /// Why this netlist cannot be solved whatever its values: an index that leads nowhere, a
    /// table that falls, a ring of ideal sources. Empty if it can.
    const std::string& trouble() const { return trouble_; }
    /// Fills the voltages of all held nodes from the values of the ideal sources.
    void fill_held(const Netlist& netlist, std::span<const double> values, std::span<double> volts) const;

  private:
    void order_ties(const Netlist& netlist, std::span<const DeviceId> ideal);
    std::vector<Block> blocks_;
    std::vector<int> block_of_, local_of_;
    std::vector<Tie> ties_;
    std::string trouble_;
};

/// Solves one block with the stage levels given in `state`. `volts` (by node) holds the held
/// nodes on entry and receives the nodes of the block.
DcStatus solve_block(const Netlist& netlist, const Partition& partition, int block,
                     std::span<const double> values, const State& state, std::span<double> volts,
                     const DcOptions& options = {}, std::string* trouble = nullptr,
                     int* iterations = nullptr);

/// All blocks, stage levels as given (logic units are not evaluated).
DcSolution solve_dc(const Netlist& netlist, std::span<const double> values, const State& state,
                    const DcOptions& options = {});
/// The same with a partition made before, from the same `source_on`.
DcSolution solve_dc(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                    const State& state, const DcOptions& options = {});

/// All blocks with the logic fixed point: levels of stages owned by units follow their inputs,
/// starting from X; other stages keep the level given. Thresholds are read from `values`.
///
/// A stage at X could pull up, pull down or be off. Inputs and supplies are therefore judged by
/// the range of voltage over these choices (see settle.cpp) and read X unless the whole range
/// reads the same; the voltages returned have the stages at X off. Levels only go from X to
/// definite, so the iteration ends; what could settle in two ways (a latch without a set input)
/// stays X. If no choice of levels for the stages left at X is consistent, the status is
/// `oscillates`. A unit below its minimum supply leaves its stages at Z.
///
/// `before`: readings of an earlier solution (DcSolution::readings), which Schmitt inputs hold
/// while their voltage stays between the thresholds; empty: none held.
DcSolution settle(const Netlist& netlist, std::span<const double> values, const State& state,
                  const DcOptions& options = {}, std::span<const Logic> before = {});

/// Current of a device from a node of it, the first unless another is asked for, of a stage out of its pin (A). An
/// ideal source carries what Kirchhoff's law leaves for it, gmin not counted.
double device_current(const Netlist& netlist, std::span<const double> values, const State& state,
                      std::span<const double> volts, DeviceId device, int terminal = 0);
double stage_current(const Netlist& netlist, std::span<const double> values, Logic level,
                     std::span<const double> volts, StageId stage);

/// Current a held node's ideal sources deliver into the network (A): what a rail supplies
/// (positive) or is fed (negative), by Kirchhoff's current law at that node.
double held_current(const Netlist& netlist, const Partition& partition, std::span<const double> values,
                    const State& state, std::span<const double> volts, Node node);

}  // namespace voltsill
