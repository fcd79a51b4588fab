#pragma once
/// What the kernels of the transient work on: plain indices and arrays (batch_tape.h says why).
///
/// Unknowns are node voltages and inductor currents, in elimination order; slots are the unknowns
/// and, behind them, the held nodes. The equations of a lane are
///
///     C y' = b - G y + sum of element currents,     with G, C, b constant along a lane
///
/// so each row gathers what enters it: entries of G and C, and signed elements.
#include "network/batch_tape.h"

namespace voltsill::batch {

/// Current of an element from slot a to slot b, and its conductance; `unit` is its place in the
/// arrays of currents and conductances.
struct Branch {
    int a, b;
    int coefficient;
};
/// A side of a stage, or a table device: current k(t) A T(u). `arm`: its strength in time; -1: always 1.
struct TimedCurve : Branch {
    int first, last;  ///< bends
    int arm;
};
/// Bend of slope rounded within `half_width` of `at`, so that the slope has no step: within, the
/// parabola `round` (x - at + half_width)^2. The first of a curve: where it starts, amps there, slope.
struct RoundBend {
    double at, change, half_width, round;
};
/// A bend that takes most of a curve's slope away: where, on which curve.
struct SharpBend {
    int curve;
    double at;
};
struct SquareLaw {
    int d, g, s, coefficient;
    double sign;  ///< -1: p-channel
};
struct Signed {
    int index;
    double sign;
};
struct Range {
    int first, last;
};
/// An entry of a row: matrix entry and the unknown of its column.
struct Cell {
    int entry, column;
};
struct Row {
    Range conductance, capacitance;  ///< cells
    Range currents;                  ///< signed elements
    Range timed;                     ///< signed arms
};
/// A matrix entry: constant part, capacitance (-1: none), conductances, then elimination.
struct Assembly {
    int entry, capacitance;
    Range conductances;  ///< signed elements
    Range products;
    int pivot;  ///< as in Elimination
};
/// A logic input: crossing is looked for at the end of each step.
struct Watch {
    int pin, ground;  ///< slots
};

struct TransientTape {
    int unknowns, slots;
    int entries, capacitances;   ///< of G, of C
    int currents, conductances;  ///< elements' places
    const Branch* diode;
    int diodes;
    const TimedCurve* curve;
    int curves, arms;
    const RoundBend* bend;
    const SharpBend* sharp;
    int sharps;
    const SquareLaw* fet;
    int fets;
    int others;  ///< devices evaluated lane by lane, behind all elements
    const Row* row;
    const Cell* cell;
    const Signed* part;
    const Assembly* assembly;
    int assemblies;
    const Substitution* forward;
    const Substitution* backward;
    const Product* product;
    const Watch* watch;
    int watches;
    const double* tolerance;  ///< by unknown: largest error of a step, V or A
};

/// Strength of an arm: cubic in the time since `since`, four coefficients.
inline constexpr int arm_numbers = 5;
/// A record of the log: time, length (0: not accepted), then y0, y1, c2, c3 of every unknown:
/// y(t + s h) = y0 (1-s) + s (y1 + (1-s) (c2 + s c3)).
inline constexpr int record_head = 2, record_numbers = 4;
inline int record_size(int unknowns) { return record_head + record_numbers * unknowns; }

struct TransientLanes {
    const double* coefficients;
    double* volts;               ///< slots; unknowns are the state y
    const double* linear;        ///< entries: G
    const double* charge;        ///< capacitances: C
    const double* steady;        ///< unknowns: b
    const double* arms;          ///< arms * arm_numbers: since, k0, k1, k2, k3
    const double* watch_at;      ///< watches: threshold, V
    const double* watch_sign;    ///< watches: +1 waits for a rise, -1 for a fall, 0 does not wait
    double *time, *step, *stop;  ///< s, by lane
    double* fresh;               ///< 1: the step is the first after a kink
    double* growth;              ///< most the next step may grow: 1 after a rejection
    double* active;              ///< 1: the lane runs
    double* attention;           ///< set to what the host has to look at, see below
    double* rejected;            ///< counts steps taken back
    // Scratch
    double* current;      ///< elements
    double* conductance;  ///< elements
    double* by_time;      ///< arms: d(current)/dt
    double* strength;     ///< arms: k, then dk/dt
    double* matrix;       ///< entries
    double* inverse;      ///< unknowns
    double* stage;        ///< 6 * unknowns: the increments U
    double* mixed;        ///< unknowns: sum of c U
    double* trial;        ///< slots
    double* log;          ///< records
    int log_capacity;     ///< records
    double least_step;    ///< s
    /// Evaluates the devices without lane form at `volts`; adds to `current`, and with `slopes`
    /// to `conductance`.
    void (*evaluate)(void* context, const double* volts, double* current, double* conductance, bool slopes);
    void* context;
};
/// Values of `attention`.
inline constexpr double reached_stop = 1.0, crossed = 2.0, step_too_small = 3.0;

struct TransientKernel {
    const char* name;
    int width;
    /// Steps all active lanes until one wants attention or the log is full; returns records written.
    int (*advance)(const TransientTape&, const TransientLanes&);
};
extern const TransientKernel transient_baseline, transient_avx2, transient_avx512;

}  // namespace voltsill::batch
