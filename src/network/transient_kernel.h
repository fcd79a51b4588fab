#pragma once
/// RODAS4 in lanes, written once and included by one file per instruction set (lane_math.h). Each
/// lane has its own time, step and next stop; a step that a lane does not accept changes nothing
/// in it. Device code stays out of line: inlined into one another the loops run out of registers.
#include "network/lane_math.h"
#include "network/rodas.h"
#include "network/transient_tape.h"

namespace voltsill::batch {
namespace {

/// Three hardware vectors for each variable hide the latency of the elimination (measured: fewer and
/// more are slower on AVX-512 and on the baseline, the same on AVX2).
constexpr int unroll = 3;
constexpr int width = unroll * hardware_lanes;

/// As many hardware vectors as one variable takes.
struct Wide {
    Vector v[unroll];
};
template <class F>
inline Wide by_part(F&& f) {
    Wide out;
    for (int k = 0; k < unroll; ++k) out.v[k] = f(k);
    return out;
}
inline Wide operator+(Wide a, Wide b) {
    return by_part([&](int k) { return a.v[k] + b.v[k]; });
}
inline Wide operator-(Wide a, Wide b) {
    return by_part([&](int k) { return a.v[k] - b.v[k]; });
}
inline Wide operator*(Wide a, Wide b) {
    return by_part([&](int k) { return a.v[k] * b.v[k]; });
}
inline Wide operator/(Wide a, Wide b) {
    return by_part([&](int k) { return a.v[k] / b.v[k]; });
}
inline Wide operator*(double x, Wide a) {
    return by_part([&](int k) { return x * a.v[k]; });
}
inline Wide each(double x) {
    return by_part([&](int) { return all(x); });
}
inline Wide larger(Wide a, Wide b) {
    return by_part([&](int k) { return larger(a.v[k], b.v[k]); });
}
inline Wide smaller(Wide a, Wide b) {
    return by_part([&](int k) { return smaller(a.v[k], b.v[k]); });
}
inline Wide magnitude(Wide a) {
    return by_part([&](int k) { return magnitude(a.v[k]); });
}
/// Where a <= b take x, else y; a NaN takes y.
inline Wide where_at_most(Wide a, Wide b, Wide x, Wide y) {
    return by_part([&](int k) { return a.v[k] <= b.v[k] ? x.v[k] : y.v[k]; });
}
inline Wide at(const double* array, int index) {
    const Vector* p = (const Vector*)(array + index * width);
    return by_part([&](int k) { return p[k]; });
}
inline void put(double* array, int index, Wide x) {
    Vector* p = (Vector*)(array + index * width);
    for (int k = 0; k < unroll; ++k) p[k] = x.v[k];
}
inline Wide sum_of(const Signed* part, Range range, const double* array, Wide sum) {
    for (int q = range.first; q < range.last; ++q) sum = sum + part[q].sign * at(array, part[q].index);
    return sum;
}

/// Elements are numbered diodes, curves, FETs, others; a FET has two conductances.
template <bool slopes>
__attribute__((noinline)) void diodes(const TransientTape& tape, const TransientLanes& lanes,
                                      const double* volts) {
    for (int k = 0; k < tape.diodes; ++k) {
        const Branch& p = tape.diode[k];
        const double* c = lanes.coefficients + p.coefficient * width;
        const Wide per_emission = at(c, 2), i_lin = at(c, 1);
        const Wide x = (at(volts, p.a) - at(volts, p.b) - at(c, 0)) * per_emission;
        const Wide below = smaller(x, each(0.0));
        const Wide e = by_part([&](int part) { return exp_not_positive(below.v[part]); });
        put(lanes.current, k, i_lin * (e + larger(x, each(0.0))) - at(c, 3));
        if (slopes) put(lanes.conductance, k, i_lin * e * per_emission);
    }
}

/// Strength of every arm `ahead` of the lane's time, and with `slopes` how fast it changes.
template <bool slopes>
inline void strengths(const TransientTape& tape, const TransientLanes& lanes, Wide moment) {
    for (int k = 0; k < tape.arms; ++k) {
        const double* p = lanes.arms + k * arm_numbers * width;
        const Wide s = moment - at(p, 0), k1 = at(p, 2), k2 = at(p, 3), k3 = at(p, 4);
        put(lanes.strength, k, at(p, 1) + s * (k1 + s * (k2 + s * k3)));
        if (slopes) put(lanes.strength, tape.arms + k, k1 + s * (2.0 * k2 + 3.0 * (s * k3)));
    }
}

template <bool slopes>
__attribute__((noinline)) void curves(const TransientTape& tape, const TransientLanes& lanes,
                                      const double* volts, Wide moment) {
    strengths<slopes>(tape, lanes, moment);
    for (int k = 0; k < tape.curves; ++k) {
        const TimedCurve& p = tape.curve[k];
        const Wide scale = at(lanes.coefficients, p.coefficient),
                   amps = at(lanes.coefficients, p.coefficient + 1);
        const Wide x = (at(volts, p.a) - at(volts, p.b)) * scale;
        const RoundBend& start = tape.bend[p.first];
        Wide slope = each(start.half_width);
        Wide i = each(start.change) + slope * (x - each(start.at));
        for (int b = p.first + 1; b < p.last; ++b) {
            const RoundBend& bend = tape.bend[b];
            const Wide beyond = x - each(bend.at - bend.half_width);
            const Wide within = smaller(larger(beyond, each(0.0)), each(2 * bend.half_width));
            const double round = bend.round;
            i = i + round * (within * within) +
                bend.change * larger(beyond - each(2 * bend.half_width), each(0.0));
            if (slopes) slope = slope + (2 * round) * within;
        }
        const Wide strength = p.arm < 0 ? amps : amps * at(lanes.strength, p.arm);
        put(lanes.current, tape.diodes + k, i * strength);
        if (slopes) {
            put(lanes.conductance, tape.diodes + k, slope * strength * scale);
            if (p.arm >= 0) put(lanes.by_time, p.arm, i * amps * at(lanes.strength, tape.arms + p.arm));
        }
    }
}

/// Signed overdrive at the source and at the drain.
struct Overdrive {
    Wide source, drain;
};
inline Overdrive overdrive(const SquareLaw& f, const TransientLanes& lanes, const double* volts) {
    const Wide g = at(volts, f.g), vth = at(lanes.coefficients, f.coefficient);
    return {f.sign * (g - at(volts, f.s)) - vth, f.sign * (g - at(volts, f.d)) - vth};
}

template <bool slopes>
__attribute__((noinline)) void fets(const TransientTape& tape, const TransientLanes& lanes,
                                    const double* volts) {
    const int base = tape.diodes + tape.curves;
    for (int k = 0; k < tape.fets; ++k) {
        const SquareLaw& f = tape.fet[k];
        const Wide half_k = at(lanes.coefficients, f.coefficient + 1);
        const Overdrive over = overdrive(f, lanes, volts);
        const Wide s = larger(over.source, each(0.0)), d = larger(over.drain, each(0.0));
        put(lanes.current, base + k, f.sign * (half_k * ((s + d) * (s - d))));
        if (slopes) {
            put(lanes.conductance, base + 2 * k, 2.0 * (half_k * s));
            put(lanes.conductance, base + 2 * k + 1, 2.0 * (half_k * d));
        }
    }
}

template <bool slopes>
inline void elements(const TransientTape& tape, const TransientLanes& lanes, const double* volts,
                     Wide moment) {
    diodes<slopes>(tape, lanes, volts);
    curves<slopes>(tape, lanes, volts, moment);
    fets<slopes>(tape, lanes, volts);
    if (tape.others > 0) lanes.evaluate(lanes.context, volts, lanes.current, lanes.conductance, slopes);
}

/// C/(g h) - J, eliminated as it is assembled.
__attribute__((noinline)) void factorize(const TransientTape& tape, const TransientLanes& lanes,
                                         Wide per_gh) {
    for (int k = 0; k < tape.assemblies; ++k) {
        const Assembly& e = tape.assembly[k];
        Wide x = at(lanes.linear, e.entry);
        if (e.capacitance >= 0) x = x + per_gh * at(lanes.charge, e.capacitance);
        x = sum_of(tape.part, e.conductances, lanes.conductance, x);
        for (int q = e.products.first; q < e.products.last; ++q) {
            const Product& p = tape.product[q];
            x = x - at(lanes.matrix, p.left) * at(lanes.matrix, p.right);
        }
        if (e.pivot < 0)
            put(lanes.inverse, -1 - e.pivot, each(1.0) / x);
        else if (e.pivot != upper)
            x = x * at(lanes.inverse, e.pivot);
        put(lanes.matrix, e.entry, x);
    }
}

/// Solves for the increment of one stage at the voltages `volts`.
template <bool first>
__attribute__((noinline)) void solve_stage(const TransientTape& tape, const TransientLanes& lanes,
                                           const double* volts, Wide per_h, Wide gamma_h, bool by_time,
                                           double* increment) {
    for (int k = 0; k < tape.unknowns; ++k) {
        const Row& row = tape.row[k];
        // Sums of their own, so that their latencies overlap.
        Wide x = sum_of(tape.part, row.currents, lanes.current, at(lanes.steady, k));
        Wide through = each(0.0);
        for (int q = row.conductance.first; q < row.conductance.last; ++q)
            through = through + at(lanes.linear, tape.cell[q].entry) * at(volts, tape.cell[q].column);
        x = x - through;
        if (by_time && row.timed.first < row.timed.last)
            x = x + gamma_h * sum_of(tape.part, row.timed, lanes.by_time, each(0.0));
        if (!first) {
            Wide charge = each(0.0);
            for (int q = row.capacitance.first; q < row.capacitance.last; ++q)
                charge = charge + at(lanes.charge, tape.cell[q].entry) * at(lanes.mixed, tape.cell[q].column);
            x = x + per_h * charge;
        }
        const Substitution& s = tape.forward[k];
        for (int q = s.first; q < s.last; ++q)
            x = x - at(lanes.matrix, tape.product[q].left) * at(increment, tape.product[q].right);
        put(increment, k, x);
    }
    for (int k = 0; k < tape.unknowns; ++k) {
        const Substitution& s = tape.backward[k];
        Wide x = at(increment, s.row);
        for (int q = s.first; q < s.last; ++q)
            x = x - at(lanes.matrix, tape.product[q].left) * at(increment, tape.product[q].right);
        put(increment, s.row, x * at(lanes.inverse, s.row));
    }
}

/// y + sum a U into `trial`, sum c U into `mixed`, for stage `i` (0-based).
template <int i>
__attribute__((noinline)) void combine(const TransientTape& tape, const TransientLanes& lanes) {
    const int n = tape.unknowns;
    for (int k = 0; k < n; ++k) {
        Wide y = at(lanes.volts, k), m = each(0.0);
        for (int j = 0; j < i; ++j) {
            const Wide u = at(lanes.stage, j * n + k);
            y = y + rodas::a[i][j] * u;
            m = m + rodas::c[i][j] * u;
        }
        put(lanes.trial, k, y);
        put(lanes.mixed, k, m);
    }
}

template <int i>
inline void stage(const TransientTape& tape, const TransientLanes& lanes, Wide t, Wide h, Wide per_h) {
    if (i > 0) combine<i>(tape, lanes);
    const double* volts = i > 0 ? lanes.trial : lanes.volts;
    if (i > 0) elements<false>(tape, lanes, volts, t + rodas::alpha[i] * h);
    solve_stage<i == 0>(tape, lanes, volts, per_h, rodas::gamma[i] * h, rodas::gamma[i] != 0.0,
                        lanes.stage + i * tape.unknowns * width);
}

/// What a kink leaves of a fast lag dies away within the first step, unseen by the error at its end; the
/// dense output would swing through. So that step also counts a share of how far it bends, down to a share
/// of the time to the next stop: a jump is over before that.
constexpr double fresh_share = 0.025, fresh_floor = 1e-4;
/// New voltages into `trial`, dense output into the record; returns the error in units of what is allowed.
__attribute__((noinline)) Wide finish(const TransientTape& tape, const TransientLanes& lanes, double* record,
                                      Wide h, Wide left) {
    const int n = tape.unknowns;
    const Wide fresh = where_at_most(h, fresh_floor * left, each(0.0), at(lanes.fresh, 0));
    Wide error = each(0.0);
    for (int k = 0; k < n; ++k) {
        const Wide last = at(lanes.stage, 5 * n + k);
        const Wide y1 = at(lanes.trial, k) + last;
        Wide c2 = each(0.0), c3 = each(0.0);
        for (int j = 0; j < 5; ++j) {
            const Wide u = at(lanes.stage, j * n + k);
            c2 = c2 + rodas::d2[j] * u;
            c3 = c3 + rodas::d3[j] * u;
        }
        double* to = record + (record_head + record_numbers * k) * width;
        put(to, 0, at(lanes.volts, k));
        put(to, 1, y1);
        put(to, 2, c2);
        put(to, 3, c3);
        put(lanes.trial, k, y1);
        const Wide bulge = fresh * (magnitude(c2) + magnitude(c3));
        const Wide relative = (1.0 / tape.tolerance[k]) * larger(magnitude(last), fresh_share * bulge);
        error = where_at_most(relative, error, error, relative);  // a NaN stays
    }
    return error;
}

/// A FET that enters or leaves conduction or saturation, or a curve that turns sharply, hides its error
/// from the estimate: the Jacobian of the step's start does not know. So a voltage may come only nine
/// tenths nearer to such a point, and go past it by little: for a FET by the overdrive at which it carries
/// what a pull-up brings (its third coefficient), for a bend by 0.1 V. Returns what is allowed as a
/// multiple of the change there was, least over all.
constexpr double past_a_bend = 0.1, share_of_distance = 0.9;
inline Wide room_for(Wide before, Wide after, Wide free_change) {
    return larger(free_change, share_of_distance * magnitude(before)) /
           (magnitude(after - before) + each(1e-9));
}
__attribute__((noinline)) Wide room(const TransientTape& tape, const TransientLanes& lanes) {
    Wide least = each(1e9);
    for (int k = 0; k < tape.fets; ++k) {
        const Wide free_change = at(lanes.coefficients, tape.fet[k].coefficient + 2);
        const Overdrive before = overdrive(tape.fet[k], lanes, lanes.volts),
                        after = overdrive(tape.fet[k], lanes, lanes.trial);
        const auto look = [&](Wide a, Wide b) {  // off throughout: free
            least =
                where_at_most(larger(a, b), each(0.0), least, smaller(least, room_for(a, b, free_change)));
        };
        look(before.source, after.source);
        look(before.drain, after.drain);
    }
    for (int k = 0; k < tape.sharps; ++k) {
        const TimedCurve& p = tape.curve[tape.sharp[k].curve];
        const Wide scale = at(lanes.coefficients, p.coefficient), bend = each(tape.sharp[k].at);
        const Wide a = (at(lanes.volts, p.a) - at(lanes.volts, p.b)) * scale - bend,
                   b = (at(lanes.trial, p.a) - at(lanes.trial, p.b)) * scale - bend;
        least = where_at_most(each(0.0), a * b, least,
                              smaller(least, room_for(a, b, each(past_a_bend))));  // not met: free
    }
    return least;
}

/// Takes the step where it is good, sets the next one; true if a lane wants attention.
__attribute__((noinline)) bool accept(const TransientTape& tape, const TransientLanes& lanes, double* record,
                                      Wide t, Wide h, Wide left, Wide error, Wide most) {
    const Wide one = each(1.0), none = each(0.0);
    const Wide active = at(lanes.active, 0);
    const Wide good =
        where_at_most(larger(where_at_most(error, one, none, one), where_at_most(one, most, none, one)), none,
                      active, none);
    const Wide bounded = where_at_most(error, each(1e8), larger(error, each(1e-6)), each(1e8));
    const Wide by_error = 0.9 * by_part([&](int k) { return inverse_fourth_root(bounded.v[k]); });
    Wide factor = larger(smaller(smaller(by_error, 0.9 * most), at(lanes.growth, 0)), each(0.2));
    factor = where_at_most(one, good, factor, smaller(factor, each(0.8)));
    const Wide next = where_at_most(one, active, h * factor, h);
    const Wide landed = where_at_most(left, h, one, none);  // h == left
    const Wide now = where_at_most(one, good, where_at_most(one, landed, at(lanes.stop, 0), t + h), t);
    put(record, 0, t);
    put(record, 1, where_at_most(one, good, h, none));
    put(lanes.time, 0, now);
    put(lanes.step, 0, next);
    put(lanes.growth, 0, where_at_most(one, good, each(6.0), one));
    put(lanes.fresh, 0, where_at_most(one, good, none, at(lanes.fresh, 0)));
    put(lanes.rejected, 0, at(lanes.rejected, 0) + active - good);
    for (int k = 0; k < tape.unknowns; ++k)
        put(lanes.volts, k, where_at_most(one, good, at(lanes.trial, k), at(lanes.volts, k)));

    Wide attention = where_at_most(one, smaller(good, landed), each(reached_stop), none);
    for (int k = 0; k < tape.watches; ++k) {
        const Wide sign = at(lanes.watch_sign, k);
        const Wide over = sign * (at(lanes.trial, tape.watch[k].pin) - at(lanes.trial, tape.watch[k].ground) -
                                  at(lanes.watch_at, k));
        const Wide met = where_at_most(over, none, none, good);
        attention = where_at_most(one, met, each(crossed), attention);
    }
    const Wide small = where_at_most(next, each(lanes.least_step), active - good, none);
    attention = where_at_most(one, small, each(step_too_small), attention);
    put(lanes.attention, 0, attention);
    bool any = false;
    for (int lane = 0; lane < width; ++lane) any = any || lanes.attention[lane] > 0.0;
    return any;
}

bool step(const TransientTape& tape, const TransientLanes& lanes, double* record) {
    const Wide t = at(lanes.time, 0), left = at(lanes.stop, 0) - t;
    // Land on the stop; rather two equal steps than one and a sliver.
    Wide h = at(lanes.step, 0);
    h = where_at_most(left, 1.05 * h, left, where_at_most(left, 2.0 * h, 0.5 * left, h));
    const Wide per_h = each(1.0) / h;
    elements<true>(tape, lanes, lanes.volts, t);
    factorize(tape, lanes, (1.0 / rodas::g) * per_h);
    stage<0>(tape, lanes, t, h, per_h);
    stage<1>(tape, lanes, t, h, per_h);
    stage<2>(tape, lanes, t, h, per_h);
    stage<3>(tape, lanes, t, h, per_h);
    stage<4>(tape, lanes, t, h, per_h);
    stage<5>(tape, lanes, t, h, per_h);
    const Wide error = finish(tape, lanes, record, h, left);
    return accept(tape, lanes, record, t, h, left, error, room(tape, lanes));
}

int advance(const TransientTape& tape, const TransientLanes& lanes) {
    int records = 0;
    while (records < lanes.log_capacity) {
        double* record = lanes.log + static_cast<long>(records) * record_size(tape.unknowns) * width;
        ++records;
        if (step(tape, lanes, record)) break;
    }
    return records;
}

}  // namespace
}  // namespace voltsill::batch
