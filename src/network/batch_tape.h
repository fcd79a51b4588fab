#pragma once
/// What the lane kernels work on: plain indices and arrays, so that code compiled for one
/// instruction set shares no function with the rest of the program.
///
/// A slot is a place for a voltage: unknowns first, in elimination order, then held nodes. A row
/// or matrix entry that does not exist (held node) leads to a spare place behind the last one.
/// Every lane array is [index][lane], aligned to 64 bytes.

namespace voltsill::batch {

struct Pair {            ///< where a current from slot a to slot b enters
    int a, b;            ///< slots
    int row_a, row_b;    ///< balances
    int aa, ab, ba, bb;  ///< matrix entries
    int coefficient;     ///< first of its coefficients
};
/// i = g u + j                                                        coefficients g, j
using Linear = Pair;
/// junction, see devices.h                coefficients v_lin, i_lin, 1/emission, i_s, knee, 2 emission
using Diode = Pair;
struct Curve : Pair {  ///< i = A T(u / S)                        coefficients 1/S, A
    int first, last;   ///< points of the table in Tape::at
};
struct Fet {  ///< square law                            coefficients |Vth|, K/2
    int d, g, s, row_d, row_s;
    int dd, dg, ds, sd, sg, ss;
    int coefficient;
    double sign;  ///< -1: p-channel
};
/// T(x) = base + slope (x - at_first) + sum bend_k max(0, x - at_k) over the inner points.
struct Bend {
    double at, base_or_bend, slope;
};
/// One entry of L or U: entry -= sum left * right; then, in L, times the inverse pivot of its column.
struct Elimination {
    int entry, first, last;  ///< pairs
    int pivot;               ///< L: column; diagonal: -1 - row; U: `upper`
};
inline constexpr int upper = 1 << 30;
struct Product {
    int left, right;
};
struct Substitution {      ///< one row: x[row] -= sum entry * x[column]
    int row, first, last;  ///< pairs (left: entry, right: column)
};

struct Tape {
    int unknowns, slots, entries;
    const Linear* linear;
    int linears;
    const Diode* diode;
    int diodes;
    const Curve* curve;
    int curves;
    const Bend* bend;
    const Fet* fet;
    int fets;
    const int* diagonal;  ///< entry of each unknown
    const Elimination* elimination;
    int eliminations;
    const Substitution* forward;  ///< `unknowns` of them, in order
    const Substitution* backward;
    const Product* product;
};

struct Lanes {
    const double* coefficients;
    double* volts;              ///< slots; held ones given, unknowns receive the answer
    double* constant;           ///< entries + 1: linear part of the matrix
    double* matrix;             ///< entries + 1
    double* current;            ///< unknowns + 1: linear part of the right side
    double* next;               ///< unknowns + 1
    double* unit;               ///< unknowns + 1: solution for the bridge
    double* inverse;            ///< unknowns: inverse pivots
    double* junction;           ///< diodes: voltage of the last evaluation
    const double* free;         ///< slots: 1 unknown, 0 held (one number per slot, not per lane)
    const double* bridge;       ///< siemens by lane; nullptr: no lane has a bridge
    const double* bridge_amps;  ///< amps along bridge_unit that the held end of a bridge adds, by lane
    const double* bridge_unit;  ///< unknowns + 1: +1, -1 or 0 by lane
    double* done;               ///< by lane: 1 if converged
    double gmin, volts_tolerance;
    int max_iterations;
};

struct Kernel {
    const char* name;
    int width;  ///< lanes of one call
    void (*newton)(const Tape&, const Lanes&);
};
extern const Kernel baseline_kernel, avx2_kernel, avx512_kernel;

}  // namespace voltsill::batch
