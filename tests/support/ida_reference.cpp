#include "support/ida_reference.h"

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace voltsill::testing {
namespace {

struct Resistor {
    int a, b;
    double siemens;
};
struct Junction {
    int a, b;
    double v_lin, i_lin, emission, i_s;
};
struct Mosfet {
    int d, g, s;
    double vth, half_k;
};
struct Ramp {
    double begin, duration, from, to;
};
struct Side {
    int a, b;
    const Table* table;
    double strength, initial;
    std::vector<Ramp> ramps;
    double k(double t) const {
        double now = initial;
        for (const Ramp& r : ramps) {
            if (t < r.begin) break;
            now = t >= r.begin + r.duration ? r.to : r.from + (r.to - r.from) * (t - r.begin) / r.duration;
        }
        return now;
    }
};
struct Coil {
    int a, b, row;
    double ohms, henries;
};

/// Current and slope of a table whose bends are rounded by a parabola over 50 mV to both sides, or
/// over a quarter of the shorter neighbouring segment.
void curve(const Table& t, double x, double& i, double& g) {
    const auto slope = [&](std::size_t k) {
        return (t.amps[k + 1] - t.amps[k]) / (t.volts[k + 1] - t.volts[k]);
    };
    g = slope(0);
    i = t.amps[0] + g * (x - t.volts[0]);
    for (std::size_t k = 1; k + 1 < t.volts.size(); ++k) {
        const double w =
            std::min(0.05, 0.25 * std::min(t.volts[k] - t.volts[k - 1], t.volts[k + 1] - t.volts[k]));
        const double change = slope(k) - slope(k - 1), u = x - t.volts[k];
        if (u >= w) {
            i += change * u;
            g += change;
        } else if (u > -w) {
            i += change * (u + w) * (u + w) / (4 * w);
            g += change * (u + w) / (2 * w);
        }
    }
}

}  // namespace

struct IdaReference::State {
    TransientProblem problem;
    std::vector<double> breakpoints;
    int unknowns = 0;
    std::vector<int> row;  ///< by node; -1: held
    std::vector<int> coil_row;
    // One sample
    std::vector<double> held;
    std::vector<Resistor> resistors;
    std::vector<Junction> junctions;
    std::vector<Mosfet> fets;
    std::vector<Side> sides;
    std::vector<Coil> coils;
    Eigen::MatrixXd charge, charge_inverse;
    std::vector<double> strength;
    // SUNDIALS
    SUNContext context = nullptr;
    void* ida = nullptr;
    N_Vector y = nullptr, yp = nullptr;
    SUNMatrix matrix = nullptr;
    SUNLinearSolver solver = nullptr;

    double volt(const double* v, int node) const { return row[node] < 0 ? held[node] : v[row[node]]; }

    /// f(t, y), all currents into the nodes.
    void currents(double t, const double* v, double* f) {
        std::fill_n(f, unknowns, 0.0);
        const auto flow = [&](int a, int b, double i) {
            if (row[a] >= 0) f[row[a]] -= i;
            if (row[b] >= 0) f[row[b]] += i;
        };
        for (int n = 0; n < static_cast<int>(row.size()); ++n)
            if (row[n] >= 0) f[row[n]] -= 1e-12 * v[row[n]];
        for (const Resistor& r : resistors) flow(r.a, r.b, (volt(v, r.a) - volt(v, r.b)) * r.siemens);
        for (const Junction& d : junctions) {
            const double x = (volt(v, d.a) - volt(v, d.b) - d.v_lin) / d.emission;
            flow(d.a, d.b, d.i_lin * (x < 0 ? std::exp(x) : 1.0 + x) - d.i_s);
        }
        for (const Mosfet& m : fets) {
            const double g = volt(v, m.g), s = std::max(0.0, g - volt(v, m.s) - m.vth),
                         d = std::max(0.0, g - volt(v, m.d) - m.vth);
            flow(m.d, m.s, m.half_k * (s * s - d * d));
        }
        for (const Side& side : sides) {
            double i, g;
            curve(*side.table, volt(v, side.a) - volt(v, side.b), i, g);
            flow(side.a, side.b, i * side.strength * side.k(t));
        }
        for (const Coil& c : coils) {
            flow(c.a, c.b, v[c.row]);
            f[c.row] = volt(v, c.a) - volt(v, c.b) - c.ohms * v[c.row];
        }
    }

    static int residual(realtype t, N_Vector y, N_Vector yp, N_Vector r, void* self) {
        State& s = *static_cast<State*>(self);
        const double *v = N_VGetArrayPointer(y), *d = N_VGetArrayPointer(yp);
        double* out = N_VGetArrayPointer(r);
        s.currents(t, v, out);
        for (int i = 0; i < s.unknowns; ++i) {
            double charge = 0;
            for (int j = 0; j < s.unknowns; ++j) charge += s.charge(i, j) * d[j];
            out[i] = charge - out[i];
        }
        return 0;
    }

    static int jacobian(realtype t, realtype cj, N_Vector y, N_Vector, N_Vector, SUNMatrix j, void* self,
                        N_Vector, N_Vector, N_Vector) {
        State& s = *static_cast<State*>(self);
        const double* v = N_VGetArrayPointer(y);
        SUNMatZero(j);
        const auto add = [&](int r, int c, double x) {
            if (r >= 0 && c >= 0) SM_ELEMENT_D(j, r, c) += x;
        };
        const auto slope = [&](int a, int b, int plus, int minus, double g) {
            add(s.row[a], s.row[plus], g);
            add(s.row[a], s.row[minus], -g);
            add(s.row[b], s.row[plus], -g);
            add(s.row[b], s.row[minus], g);
        };
        for (int r = 0; r < s.unknowns; ++r)
            for (int c = 0; c < s.unknowns; ++c) SM_ELEMENT_D(j, r, c) = cj * s.charge(r, c);
        for (int n = 0; n < static_cast<int>(s.row.size()); ++n) add(s.row[n], s.row[n], 1e-12);
        for (const Resistor& r : s.resistors) slope(r.a, r.b, r.a, r.b, r.siemens);
        for (const Junction& d : s.junctions) {
            const double x = (s.volt(v, d.a) - s.volt(v, d.b) - d.v_lin) / d.emission;
            slope(d.a, d.b, d.a, d.b, d.i_lin / d.emission * (x < 0 ? std::exp(x) : 1.0));
        }
        for (const Mosfet& m : s.fets) {
            const double g = s.volt(v, m.g);
            slope(m.d, m.s, m.g, m.s, 2 * m.half_k * std::max(0.0, g - s.volt(v, m.s) - m.vth));
            slope(m.d, m.s, m.g, m.d, -2 * m.half_k * std::max(0.0, g - s.volt(v, m.d) - m.vth));
        }
        for (const Side& side : s.sides) {
            double i, g;
            curve(*side.table, s.volt(v, side.a) - s.volt(v, side.b), i, g);
            slope(side.a, side.b, side.a, side.b, g * side.strength * side.k(t));
        }
        for (const Coil& c : s.coils) {
            add(s.row[c.a], c.row, 1.0);
            add(s.row[c.b], c.row, -1.0);
            add(c.row, s.row[c.a], -1.0);
            add(c.row, s.row[c.b], 1.0);
            add(c.row, c.row, c.ohms);
        }
        return 0;
    }

    void load(const std::vector<double>& values) {
        const Netlist& net = *problem.netlist;
        const auto at = [&](ParamId p, double otherwise = 1.0) {
            return p == no_param ? otherwise : values[p];
        };
        held.assign(row.size(), 0.0);
        resistors.clear(), junctions.clear(), fets.clear(), sides.clear(), coils.clear();
        std::size_t coil = 0;
        for (std::size_t id = 0; id < net.devices.size(); ++id) {
            const Device& d = net.devices[id];
            const auto inductor = std::ranges::find(problem.dynamics->inductors, static_cast<DeviceId>(id),
                                                    &Inductor::resistor);
            if (inductor != problem.dynamics->inductors.end())
                coils.push_back(
                    {d.nodes[0], d.nodes[1], coil_row[coil++], at(d.params[0]), at(inductor->henries)});
            else if (d.kind == DeviceKind::resistor)
                resistors.push_back({d.nodes[0], d.nodes[1], 1 / at(d.params[0])});
            else if (d.kind == DeviceKind::source)
                held[d.nodes[0]] = at(d.params[0]);
            else if (d.kind == DeviceKind::mosfet)
                fets.push_back({d.nodes[0], d.nodes[1], d.nodes[2], at(d.params[0]), 0.5 * at(d.params[1])});
            else if (d.kind == DeviceKind::diode) {
                const double vf = at(d.params[0]), ir = at(d.params[1]), e = at(d.params[2]);
                const double scale = ir / (1 - std::exp(-vf / e)), limit = std::max(0.5, ir);
                junctions.push_back({d.nodes[0], d.nodes[1], vf + e * std::log(limit / scale), limit, e,
                                     scale * std::exp(-vf / e)});
            }
        }
        for (std::size_t id = 0; id < net.stages.size(); ++id) load_stage(static_cast<StageId>(id), values);
        charge = Eigen::MatrixXd::Zero(unknowns, unknowns);
        for (const Capacitor& c : problem.dynamics->capacitors) {
            const int a = row[c.a], b = row[c.b];
            const double farads = at(c.farads);
            if (a >= 0) charge(a, a) += farads;
            if (b >= 0) charge(b, b) += farads;
            if (a >= 0 && b >= 0) charge(a, b) -= farads, charge(b, a) -= farads;
        }
        for (const Coil& c : coils) charge(c.row, c.row) = c.henries;
        charge_inverse = charge.inverse();
    }
    void load_stage(StageId id, const std::vector<double>& values) {
        const Netlist& net = *problem.netlist;
        const Stage& s = net.stages[id];
        const Switching& how = problem.dynamics->stages[id];
        for (const bool up : {true, false}) {
            const int table = up ? s.up_table : s.down_table;
            if (table < 0) continue;
            const Logic on = up ? Logic::one : Logic::zero;
            const ParamId strength_of = up ? s.up_strength : s.down_strength;
            Side side{up ? s.supply : s.pin,
                      up ? s.pin : s.ground,
                      &net.tables[table],
                      strength_of == no_param ? 1.0 : values[strength_of],
                      problem.start.levels[id] == on ? 1.0 : 0.0,
                      {}};
            double now = side.initial;
            for (const Drive& drive : problem.drives) {
                if (drive.stage != id) continue;
                const double to = drive.level == on ? 1.0 : 0.0;
                if (to != now)
                    side.ramps.push_back(
                        {drive.at, values[drive.level == Logic::one ? how.rise : how.fall], now, to});
                now = to;
            }
            sides.push_back(std::move(side));
        }
    }

    ~State() {
        SUNLinSolFree(solver);
        SUNMatDestroy(matrix);
        N_VDestroy(y);
        N_VDestroy(yp);
        if (ida) IDAFree(&ida);
        SUNContext_Free(&context);
    }
};

IdaReference::IdaReference(const TransientProblem& problem) : state_(std::make_unique<State>()) {
    State& s = *state_;
    s.problem = problem;
    const Netlist& net = *problem.netlist;
    std::vector<bool> held(net.node_names.size());
    held[ground_node] = true;
    for (const Device& d : net.devices)
        if (d.kind == DeviceKind::source) held[d.nodes[0]] = true;
    for (bool h : held) s.row.push_back(h ? -1 : s.unknowns++);
    for (std::size_t k = 0; k < problem.dynamics->inductors.size(); ++k) s.coil_row.push_back(s.unknowns++);
    for (const Drive& d : problem.drives) {
        const Switching& how = problem.dynamics->stages[d.stage];
        const double time = net.nominal_values()[d.level == Logic::one ? how.rise : how.fall];
        s.breakpoints.push_back(d.at);
        s.breakpoints.push_back(d.at + time);
    }
    std::ranges::sort(s.breakpoints);
    SUNContext_Create(nullptr, &s.context);
    s.y = N_VNew_Serial(s.unknowns, s.context);
    s.yp = N_VNew_Serial(s.unknowns, s.context);
    s.matrix = SUNDenseMatrix(s.unknowns, s.unknowns, s.context);
    s.solver = SUNLinSol_Dense(s.y, s.matrix, s.context);
    s.ida = IDACreate(s.context);
    N_VConst(0.0, s.y);
    N_VConst(0.0, s.yp);
    IDAInit(s.ida, &State::residual, 0.0, s.y, s.yp);
    IDASStolerances(s.ida, 1e-6, 1e-6);
    IDASetUserData(s.ida, &s);
    IDASetLinearSolver(s.ida, s.solver, s.matrix);
    IDASetJacFn(s.ida, &State::jacobian);
    IDASetMaxNumSteps(s.ida, 1'000'000);
}
IdaReference::~IdaReference() = default;

const std::vector<double>& IdaReference::breakpoints() const { return state_->breakpoints; }

long IdaReference::run(const std::vector<double>& values, const std::vector<double>& volts,
                       const Settings& settings, const std::vector<double>& times,
                       const std::function<void(std::size_t, const std::vector<double>&)>& visit) {
    State& s = *state_;
    s.load(values);
    double *y = N_VGetArrayPointer(s.y), *yp = N_VGetArrayPointer(s.yp);
    for (std::size_t n = 0; n < s.row.size(); ++n)
        if (s.row[n] >= 0) y[s.row[n]] = volts[n];
    for (const Coil& c : s.coils) y[c.row] = (volts[c.a] - volts[c.b]) / c.ohms;
    IDASStolerances(s.ida, settings.relative, settings.absolute);
    IDASetMaxOrd(s.ida, settings.order);
    std::vector<double> ends = s.breakpoints, f(s.unknowns), probed(s.problem.probes.size());
    ends.push_back(s.problem.end);
    double t = 0;
    long steps = 0;
    std::size_t next = 0;
    for (const double end : ends) {
        if (!(end > t)) continue;
        s.currents(t + 1e-9 * (end - t), y, f.data());
        for (int i = 0; i < s.unknowns; ++i) {
            yp[i] = 0;
            for (int j = 0; j < s.unknowns; ++j) yp[i] += s.charge_inverse(i, j) * f[j];
        }
        if (IDAReInit(s.ida, t, s.y, s.yp) < 0) return -1;
        IDASetStopTime(s.ida, end);
        while (t < end) {
            const bool sample = visit && next < times.size() && times[next] <= end;
            const double target = sample ? times[next] : end;
            realtype reached = t;
            // Without a visitor no output is interpolated: IDA steps to the stop.
            const int flag = IDASolve(s.ida, target, &reached, s.y, s.yp, IDA_NORMAL);
            if (flag < 0) return -1;
            t = reached;
            if (sample && reached >= target) {
                for (std::size_t k = 0; k < probed.size(); ++k) probed[k] = s.volt(y, s.problem.probes[k]);
                visit(next++, probed);
            }
            if (flag == IDA_TSTOP_RETURN) t = end;
        }
        long now = 0;
        IDAGetNumSteps(s.ida, &now);
        steps += now;
    }
    return steps;
}

std::vector<double> moments(const TransientProblem& problem, const std::vector<double>& breakpoints, int even,
                            double first_step) {
    std::vector<double> times;
    for (int k = 1; k <= even; ++k) times.push_back(problem.end * k / even);
    for (const double b : breakpoints)
        for (double step = problem.end * first_step; step < problem.end * 1e-2; step *= 2)
            if (b + step < problem.end) times.push_back(b + step);
    std::ranges::sort(times);
    return times;
}

}  // namespace voltsill::testing
