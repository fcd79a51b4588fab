/// Newton in lanes, written once and included by one file per instruction set (lane_math.h).
#include "network/lane_math.h"

namespace voltsill::batch {
namespace {

/// Two hardware vectors for each variable hide the latency of the elimination.
constexpr int unroll = 2;
constexpr int width = unroll * hardware_lanes;

/// The view of one half of the lanes: arrays by index.
struct View {
    int offset;
    Vector& at(double* array, int index) const { return *(Vector*)(array + index * width + offset); }
    Vector at(const double* array, int index) const {
        return *(const Vector*)(array + index * width + offset);
    }
};

inline void add_pair(const Pair& p, double* matrix, double* right, Vector g, Vector rest, View view) {
    view.at(matrix, p.aa) += g;
    view.at(matrix, p.bb) += g;
    view.at(matrix, p.ab) -= g;
    view.at(matrix, p.ba) -= g;
    view.at(right, p.row_a) -= rest;
    view.at(right, p.row_b) += rest;
}
/// Part of v(a) - v(b) that held nodes contribute.
inline Vector held_part(const Pair& p, const Lanes& lanes, View view) {
    return view.at(lanes.volts, p.a) * (1.0 - lanes.free[p.a]) -
           view.at(lanes.volts, p.b) * (1.0 - lanes.free[p.b]);
}

void stamp_constant(const Tape& tape, const Lanes& lanes) {
    for (int half = 0; half < unroll; ++half) {
        const View view{half * hardware_lanes};
        for (int k = 0; k <= tape.entries; ++k) view.at(lanes.constant, k) = Vector{};
        for (int k = 0; k <= tape.unknowns; ++k) view.at(lanes.current, k) = Vector{};
        for (int k = 0; k < tape.unknowns; ++k) view.at(lanes.constant, tape.diagonal[k]) += lanes.gmin;
        for (int k = 0; k < tape.linears; ++k) {
            const Linear& p = tape.linear[k];
            const Vector g = view.at(lanes.coefficients, p.coefficient);
            const Vector j = view.at(lanes.coefficients, p.coefficient + 1);
            add_pair(p, lanes.constant, lanes.current, g, j + g * held_part(p, lanes, view), view);
        }
        for (int k = 0; k < tape.diodes; ++k)
            view.at(lanes.junction, k) = view.at(lanes.coefficients, tape.diode[k].coefficient + 4);
    }
}

/// Diodes are evaluated no further than two emission voltages beyond the knee or the last
/// evaluation; `moved` records how far that is from the voltage they really have.
__attribute__((noinline)) void stamp_diodes(const Tape& tape, const Lanes& lanes, Vector* moved, bool first) {
    for (int k = 0; k < tape.diodes; ++k) {
        const Diode& p = tape.diode[k];
        for (int half = 0; half < unroll; ++half) {
            const View view{half * hardware_lanes};
            const double* c = lanes.coefficients;
            Vector& last = view.at(lanes.junction, k);
            const Vector real = view.at(lanes.volts, p.a) - view.at(lanes.volts, p.b);
            const Vector limit = larger(last, view.at(c, p.coefficient + 4)) + view.at(c, p.coefficient + 5);
            const Vector u = first ? view.at(c, p.coefficient + 4) : smaller(real, limit);
            moved[half] = larger(moved[half], magnitude(real - u));
            last = u;
            const Vector x = (u - view.at(c, p.coefficient)) * view.at(c, p.coefficient + 2);
            const Vector e = exp_not_positive(smaller(x, Vector{}));
            const Vector i_lin = view.at(c, p.coefficient + 1);
            const Vector g = i_lin * e * view.at(c, p.coefficient + 2);
            const Vector i = i_lin * (e + larger(x, Vector{})) - view.at(c, p.coefficient + 3);
            add_pair(p, lanes.matrix, lanes.next, g, i - g * (u - held_part(p, lanes, view)), view);
        }
    }
}

__attribute__((noinline)) void stamp_curves(const Tape& tape, const Lanes& lanes) {
    for (int k = 0; k < tape.curves; ++k) {
        const Curve& p = tape.curve[k];
        for (int half = 0; half < unroll; ++half) {
            const View view{half * hardware_lanes};
            const Vector u = view.at(lanes.volts, p.a) - view.at(lanes.volts, p.b);
            const Vector x = u * view.at(lanes.coefficients, p.coefficient);
            Vector slope = all(tape.bend[p.first].slope);
            Vector i = tape.bend[p.first].base_or_bend + slope * (x - tape.bend[p.first].at);
            for (int b = p.first + 1; b < p.last; ++b) {
                const Vector beyond = x - tape.bend[b].at;
                i += tape.bend[b].base_or_bend * larger(beyond, Vector{});
                slope += beyond >= 0.0 ? all(tape.bend[b].base_or_bend) : Vector{};
            }
            const Vector amps = view.at(lanes.coefficients, p.coefficient + 1);
            const Vector g = slope * amps * view.at(lanes.coefficients, p.coefficient);
            add_pair(p, lanes.matrix, lanes.next, g, i * amps - g * (u - held_part(p, lanes, view)), view);
        }
    }
}

__attribute__((noinline)) void stamp_fets(const Tape& tape, const Lanes& lanes) {
    for (int k = 0; k < tape.fets; ++k) {
        const Fet& f = tape.fet[k];
        for (int half = 0; half < unroll; ++half) {
            const View view{half * hardware_lanes};
            const Vector d = view.at(lanes.volts, f.d), g = view.at(lanes.volts, f.g),
                         s = view.at(lanes.volts, f.s);
            const Vector vth = view.at(lanes.coefficients, f.coefficient);
            const Vector half_k = view.at(lanes.coefficients, f.coefficient + 1);
            const Vector over_s = larger(f.sign * (g - s) - vth, Vector{});
            const Vector over_d = larger(f.sign * (g - d) - vth, Vector{});
            const Vector i = f.sign * half_k * (over_s + over_d) * (over_s - over_d);
            const Vector gs = 2.0 * half_k * over_s, gd = 2.0 * half_k * over_d;
            const Vector rest =
                i - (gs - gd) * g * lanes.free[f.g] + gs * s * lanes.free[f.s] - gd * d * lanes.free[f.d];
            view.at(lanes.matrix, f.dd) += gd;
            view.at(lanes.matrix, f.dg) += gs - gd;
            view.at(lanes.matrix, f.ds) -= gs;
            view.at(lanes.matrix, f.sd) -= gd;
            view.at(lanes.matrix, f.sg) -= gs - gd;
            view.at(lanes.matrix, f.ss) += gs;
            view.at(lanes.next, f.row_d) -= rest;
            view.at(lanes.next, f.row_s) += rest;
        }
    }
}

__attribute__((noinline)) void factorize(const Tape& tape, const Lanes& lanes) {
    const View low{0}, high{hardware_lanes};
    for (int k = 0; k < tape.eliminations; ++k) {
        const Elimination& e = tape.elimination[k];
        Vector a = low.at(lanes.matrix, e.entry), b = high.at(lanes.matrix, e.entry);
        for (int q = e.first; q < e.last; ++q) {
            const Product& p = tape.product[q];
            a -= low.at(lanes.matrix, p.left) * low.at(lanes.matrix, p.right);
            b -= high.at(lanes.matrix, p.left) * high.at(lanes.matrix, p.right);
        }
        if (e.pivot < 0) {
            low.at(lanes.inverse, -1 - e.pivot) = 1.0 / a;
            high.at(lanes.inverse, -1 - e.pivot) = 1.0 / b;
        } else if (e.pivot != upper) {
            a *= low.at(lanes.inverse, e.pivot);
            b *= high.at(lanes.inverse, e.pivot);
        }
        low.at(lanes.matrix, e.entry) = a;
        high.at(lanes.matrix, e.entry) = b;
    }
}

template <bool scaled>
inline void substitute(const Tape& tape, const Lanes& lanes, const Substitution* rows, double* x) {
    const View low{0}, high{hardware_lanes};
    for (int k = 0; k < tape.unknowns; ++k) {
        const Substitution& s = rows[k];
        Vector a = low.at(x, s.row), b = high.at(x, s.row);
        for (int q = s.first; q < s.last; ++q) {
            const Product& p = tape.product[q];
            a -= low.at(lanes.matrix, p.left) * low.at(x, p.right);
            b -= high.at(lanes.matrix, p.left) * high.at(x, p.right);
        }
        if (scaled) {
            a *= low.at(lanes.inverse, s.row);
            b *= high.at(lanes.inverse, s.row);
        }
        low.at(x, s.row) = a;
        high.at(x, s.row) = b;
    }
}
__attribute__((noinline)) void solve(const Tape& tape, const Lanes& lanes, double* x) {
    substitute<false>(tape, lanes, tape.forward, x);
    substitute<true>(tape, lanes, tape.backward, x);
}

void add_bridge_amps(const Tape& tape, const Lanes& lanes) {
    for (int half = 0; half < unroll; ++half) {
        const View view{half * hardware_lanes};
        const Vector amps = view.at(lanes.bridge_amps, 0);
        for (int k = 0; k < tape.unknowns; ++k)
            view.at(lanes.next, k) += amps * view.at(lanes.bridge_unit, k);
    }
}

__attribute__((noinline)) void add_bridge(const Tape& tape, const Lanes& lanes) {
    for (int k = 0; k < tape.unknowns * width; ++k) lanes.unit[k] = lanes.bridge_unit[k];
    solve(tape, lanes, lanes.unit);
    for (int half = 0; half < unroll; ++half) {
        const View view{half * hardware_lanes};
        Vector of_answer{}, of_unit{};
        for (int k = 0; k < tape.unknowns; ++k) {
            of_answer += view.at(lanes.bridge_unit, k) * view.at(lanes.next, k);
            of_unit += view.at(lanes.bridge_unit, k) * view.at(lanes.unit, k);
        }
        const Vector g = view.at(lanes.bridge, 0);
        const Vector share = g * of_answer / (1.0 + g * of_unit);
        for (int k = 0; k < tape.unknowns; ++k) view.at(lanes.next, k) -= share * view.at(lanes.unit, k);
    }
}

/// Takes the new voltages where a lane is not done, then marks the lanes that are.
bool accept(const Tape& tape, const Lanes& lanes, const Vector* moved) {
    bool everyone = true;
    for (int half = 0; half < unroll; ++half) {
        const View view{half * hardware_lanes};
        Vector& done = view.at(lanes.done, 0);
        Vector step = moved[half];
        for (int k = 0; k < tape.unknowns; ++k) {
            Vector& v = view.at(lanes.volts, k);
            const Vector next = view.at(lanes.next, k);
            const Vector change = magnitude(next - v) - 1e-13 * magnitude(next);
            step = change <= step ? step : change;  // a NaN step stays
            v = done > 0.5 ? v : next;
        }
        done = step <= lanes.volts_tolerance ? all(1.0) : done;
        for (int lane = 0; lane < hardware_lanes; ++lane) everyone = everyone && done[lane] > 0.5;
    }
    return everyone;
}

void newton(const Tape& tape, const Lanes& lanes) {
    stamp_constant(tape, lanes);
    for (int k = 0; k < width; ++k) lanes.done[k] = 0.0;
    for (int iteration = 0; iteration < lanes.max_iterations; ++iteration) {
        Vector moved[unroll] = {};
        for (int k = 0; k < (tape.entries + 1) * width; ++k) lanes.matrix[k] = lanes.constant[k];
        for (int k = 0; k < (tape.unknowns + 1) * width; ++k) lanes.next[k] = lanes.current[k];
        stamp_diodes(tape, lanes, moved, iteration == 0);
        stamp_curves(tape, lanes);
        stamp_fets(tape, lanes);
        factorize(tape, lanes);
        if (lanes.bridge) add_bridge_amps(tape, lanes);
        solve(tape, lanes, lanes.next);
        if (lanes.bridge) add_bridge(tape, lanes);
        if (accept(tape, lanes, moved)) return;
    }
}

}  // namespace
}  // namespace voltsill::batch
