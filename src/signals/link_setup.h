#pragma once
/// A link made ready to run: what of the bench moves with it, who drives it, what everyone else
/// does meanwhile, and the points that are looked at.
#include "bench/bench.h"
#include "network/transient.h"
#include "signals/link_trace.h"
#include "signals/scope.h"

namespace voltsill {

/// Bits that show a link's worst: a one after a rest at zero, a lone zero among ones, both in turns.
inline constexpr const char* logic_bits = "000101110100";
inline constexpr const char* analog_bits = "001100";

/// A point as the circuit has it.
struct PointSite {
    int site = -1;   ///< index into Circuit::pins
    int probe = -1;  ///< index into the probes
    bool input = false;
};

struct LinkSetup {
    std::string trouble;  ///< why it cannot be run
    Scope scope;
    StageId driver = -1;                         ///< in the scope
    Logic high = Logic::one, low = Logic::zero;  ///< what the driver is told
    State start;
    std::string bits;
    double left_out = 0;                 ///< s, what parts on the way need beyond what is simulated
    std::vector<std::string> sentences;  ///< what is left out, of parts on the way
    bool analog = false;
    std::vector<TracePoint> points;  ///< without waves; the driver first
    std::vector<PointSite> sites;    ///< as many
    std::vector<Node> probes;

    TransientProblem problem(double bit_time) const;
};

/// `from`: the end that drives.
LinkSetup set_up(const Bench& bench, const TimedCircuit& timed, const Partition& partition, const Link& link,
                 const PinRef& from);

/// The ends of a link that can drive it: the first of `from`; on lines that all ends may pull, each.
std::vector<PinRef> drivers_of(const Link& link);

/// Rate of a link as its bench states it, and how many bits that makes: two in a period of a bus clock.
struct BitRate {
    double rate;
    bool assumed;
    int bits_a_cycle;

    double bit_time() const { return 1 / (rate * bits_a_cycle); }
};
BitRate bit_rate(const Link& link);

}  // namespace voltsill
