// Random networks against solvers of a general library (GSL) on equations written down here anew,
// and laws that hold for every network: Tellegen's theorem, superposition, monotonicity.
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multiroots.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "network/dc.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

struct Draw {
    std::mt19937_64 random;
    int pick(int n) { return static_cast<int>(random() % n); }
    double spread(double x) { return x * std::exp((pick(2001) - 1000) * 2e-3); }
};

struct Branch {
    int a, b;
    double value;
};

/// Resistors between random nodes, each node with a path to ground; currents into some nodes.
struct Linear {
    int nodes;
    std::vector<Branch> resistors, currents;
    Netlist net;

    explicit Linear(Draw& draw) : nodes(1 + draw.pick(30)) {
        for (int k = 1; k <= nodes; ++k) {
            net.add_node("n" + std::to_string(k));
            resistors.push_back({k, draw.pick(k), draw.spread(1e3)});
        }
        for (int k = draw.pick(2 * nodes); k > 0; --k)
            resistors.push_back({draw.pick(nodes + 1), draw.pick(nodes + 1), draw.spread(1e4)});
        for (int k = 1 + draw.pick(4); k > 0; --k)
            currents.push_back({draw.pick(nodes + 1), draw.pick(nodes + 1), draw.spread(1e-3)});
        for (const Branch& r : resistors) net.resistor("R", r.a, r.b, net.add_constant(r.value));
        for (const Branch& i : currents)
            net.add({.kind = DeviceKind::current,
                     .nodes = {i.a, i.b},
                     .params = {net.add_constant(i.value), no_param, no_param, no_param},
                     .name = "I"});
    }
    /// Conductance matrix and LU by GSL.
    std::vector<double> by_gsl() const {
        gsl_matrix* g = gsl_matrix_calloc(nodes, nodes);
        gsl_vector *right = gsl_vector_calloc(nodes), *x = gsl_vector_calloc(nodes);
        const auto add = [&](int i, int j, double y) {
            if (i > 0 && j > 0) gsl_matrix_set(g, i - 1, j - 1, gsl_matrix_get(g, i - 1, j - 1) + y);
        };
        const auto inject = [&](int i, double amps) {
            if (i > 0) gsl_vector_set(right, i - 1, gsl_vector_get(right, i - 1) + amps);
        };
        for (const Branch& r : resistors) {
            add(r.a, r.a, 1 / r.value), add(r.b, r.b, 1 / r.value);
            add(r.a, r.b, -1 / r.value), add(r.b, r.a, -1 / r.value);
        }
        for (const Branch& i : currents) inject(i.a, -i.value), inject(i.b, i.value);
        gsl_permutation* p = gsl_permutation_alloc(nodes);
        int sign = 0;
        gsl_linalg_LU_decomp(g, p, &sign);
        gsl_linalg_LU_solve(g, p, right, x);
        std::vector<double> volts{0.0};
        for (int k = 0; k < nodes; ++k) volts.push_back(gsl_vector_get(x, k));
        gsl_permutation_free(p), gsl_matrix_free(g), gsl_vector_free(right), gsl_vector_free(x);
        return volts;
    }
};

TEST(RandomNetworks, LinearOnesEqualAnIndependentElimination) {
    Draw draw{std::mt19937_64(1)};
    for (unsigned trial = 0; trial < voltsill::made::how_many(300); ++trial) {
        const Linear linear(draw);
        const DcSolution s = solve_dc(linear.net, linear.net.nominal_values(), {});
        ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
        const auto expected = linear.by_gsl();
        for (std::size_t n = 0; n < expected.size(); ++n)
            ASSERT_NEAR(s.volts[n], expected[n], 1e-6 * (1 + std::abs(expected[n])))
                << trial;  // gmin: 1e-12 S
    }
}

TEST(RandomNetworks, SuperpositionHoldsForLinearOnes) {
    Draw draw{std::mt19937_64(2)};
    for (unsigned trial = 0; trial < voltsill::made::how_many(100); ++trial) {
        const Linear linear(draw);
        auto values = linear.net.nominal_values();
        const std::size_t first = linear.resistors.size();
        const DcSolution together = solve_dc(linear.net, values, {});
        std::vector<double> sum(together.volts.size());
        for (std::size_t k = 0; k < linear.currents.size(); ++k) {
            auto one = values;
            for (std::size_t j = 0; j < linear.currents.size(); ++j)
                if (j != k) one[first + j] = 0.0;
            const DcSolution s = solve_dc(linear.net, one, {});
            for (std::size_t n = 0; n < sum.size(); ++n) sum[n] += s.volts[n];
        }
        for (std::size_t n = 0; n < sum.size(); ++n)
            ASSERT_NEAR(sum[n], together.volts[n], 1e-7 * (1 + std::abs(sum[n])));
    }
}

TEST(RandomNetworks, LargeBlocksTakeTheSparsePathAndAgree) {
    // A ladder of 300 equal sections has a closed form: v(k) = E sinh((n - k) t) / sinh(n t), its far
    // end grounded, with 2 cosh t = 2 + r / g.
    const int n = 300;
    Netlist net;
    Node last = net.add_node("in");
    net.source("E", last, ground_node, net.add_constant(5.0));
    const ParamId series = net.add_constant(1.0), shunt = net.add_constant(1e4);
    std::vector<Node> at{last};
    for (int k = 1; k < n; ++k) {
        at.push_back(net.add_node("k"));
        net.resistor("r", last, at.back(), series);
        net.resistor("g", at.back(), ground_node, shunt);
        last = at.back();
    }
    net.resistor("r", last, ground_node, series);
    const double t = std::acosh(1.0 + 0.5e-4);
    const DcSolution s = solve_dc(net, net.nominal_values(), {});
    ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
    for (int k = 0; k < n; k += 17)
        EXPECT_NEAR(s.volts[at[k]], 5.0 * std::sinh((n - k) * t) / std::sinh(n * t), 1e-7);
}

/// Resistors, diodes and n-channel FETs on a 5 V rail (node 1); residuals by the printed laws.
struct Nonlinear {
    static constexpr double emission = 0.035;
    int nodes;
    std::vector<Branch> resistors, diodes;
    struct Fet {
        int d, g, s;
        double vth, k;
    };
    std::vector<Fet> fets;
    Netlist net;

    explicit Nonlinear(Draw& draw, bool with_fets = true) : nodes(2 + draw.pick(6)) {
        for (int k = 1; k <= nodes; ++k) net.add_node("n" + std::to_string(k));
        for (int k = 2; k <= nodes; ++k) {
            resistors.push_back({k, draw.pick(k), draw.spread(2e3)});
            resistors.push_back({k, draw.pick(2), draw.spread(2e4)});
            diodes.push_back({k, draw.pick(nodes + 1), 0.5 + 0.02 * draw.pick(10)});
            if (with_fets && draw.pick(2))
                fets.push_back(
                    {k, draw.pick(nodes + 1), draw.pick(k), 0.8 + 0.1 * draw.pick(10), draw.spread(2e-3)});
        }
        net.source("E", 1, ground_node, net.add_constant(5.0));
        for (const Branch& r : resistors) net.resistor("R", r.a, r.b, net.add_constant(r.value));
        for (const Branch& d : diodes) net.diode("D", d.a, d.b, net.add_constant(d.value));
        for (const Fet& f : fets)
            net.mosfet("Q", f.d, f.g, f.s, net.add_constant(f.vth), net.add_constant(f.k));
    }
    void residual(const double* v, double* out) const {
        std::vector<double> sum(nodes + 1);
        const auto flow = [&](int a, int b, double i) { sum[a] += i, sum[b] -= i; };
        for (const Branch& r : resistors) flow(r.a, r.b, (v[r.a] - v[r.b]) / r.value);
        for (const Branch& d : diodes) {
            const double is = 1e-3 / std::expm1(d.value / emission), knee = emission * std::log(0.5 / is);
            const double u = v[d.a] - v[d.b];
            flow(d.a, d.b,
                 u < knee ? is * std::exp(u / emission) - is : 0.5 * (1 + (u - knee) / emission) - is);
        }
        for (const Fet& f : fets) {
            const bool turned = v[f.d] < v[f.s];
            const int high = turned ? f.s : f.d, low = turned ? f.d : f.s;
            const double over = v[f.g] - v[low] - f.vth, vds = v[high] - v[low];
            const double i = over <= 0     ? 0
                             : vds >= over ? f.k / 2 * over * over
                                           : f.k * (over * vds - vds * vds / 2);
            flow(high, low, i);
        }
        for (int k = 2; k <= nodes; ++k) out[k - 2] = sum[k];
    }
};

int gsl_residual(const gsl_vector* x, void* data, gsl_vector* f) {
    const auto& n = *static_cast<const Nonlinear*>(data);
    std::vector<double> v{0.0, 5.0}, out(n.nodes - 1);
    for (int k = 0; k + 1 < n.nodes; ++k) v.push_back(gsl_vector_get(x, k));
    n.residual(v.data(), out.data());
    for (int k = 0; k + 1 < n.nodes; ++k) gsl_vector_set(f, k, 1e3 * out[k]);
    return GSL_SUCCESS;
}

TEST(RandomNetworks, NonlinearOnesEqualPowellsHybridOfGsl) {
    // The hybrid method starts near our answer, so that it must find a root there by its own means.
    Draw draw{std::mt19937_64(3)};
    int compared = 0;
    for (unsigned trial = 0; trial < voltsill::made::how_many(200); ++trial) {
        Nonlinear n(draw);
        const DcSolution s = solve_dc(n.net, n.net.nominal_values(), {});
        ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
        const std::size_t size = n.nodes - 1;
        gsl_multiroot_function f{gsl_residual, size, &n};
        gsl_vector* start = gsl_vector_alloc(size);
        for (std::size_t k = 0; k < size; ++k)
            gsl_vector_set(start, k, s.volts[k + 2] + 1e-3 * (draw.pick(101) - 50));
        gsl_multiroot_fsolver* solver = gsl_multiroot_fsolver_alloc(gsl_multiroot_fsolver_hybrids, size);
        gsl_multiroot_fsolver_set(solver, &f, start);
        int status = GSL_CONTINUE;
        for (int k = 0; k < 500 && status == GSL_CONTINUE; ++k) {
            if (gsl_multiroot_fsolver_iterate(solver)) break;
            status = gsl_multiroot_test_residual(solver->f, 1e-10);  // scaled: 1e-13 A
        }
        if (status == GSL_SUCCESS) {
            ++compared;
            for (std::size_t k = 0; k < size; ++k)
                ASSERT_NEAR(s.volts[k + 2], gsl_vector_get(solver->x, k), 2e-6) << trial;
        }
        gsl_multiroot_fsolver_free(solver);
        gsl_vector_free(start);
    }
    EXPECT_GT(compared, static_cast<int>(voltsill::made::how_many(150)));
}

TEST(RandomNetworks, TellegenPowersSumToZero) {
    Draw draw{std::mt19937_64(4)};
    for (unsigned trial = 0; trial < voltsill::made::how_many(300); ++trial) {
        const Nonlinear n(draw);
        const auto values = n.net.nominal_values();
        const DcSolution s = solve_dc(n.net, values, {});
        ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
        double sum = 0.0, scale = 0.0;
        for (DeviceId d = 0; d < static_cast<DeviceId>(n.net.devices.size()); ++d) {
            const Device& device =
                n.net.devices[d];  // a FET's current runs from drain to source, its third node
            const Node to = device.nodes[device.kind == DeviceKind::mosfet ? 2 : 1];
            const double watts =
                (s.volts[device.nodes[0]] - s.volts[to]) * device_current(n.net, values, {}, s.volts, d);
            sum += watts;
            scale += std::abs(watts);
        }
        EXPECT_NEAR(sum, 0.0, 1e-8 * scale + 1e-10);
        // What the rail delivers is what its source carries, in the other direction.
        const Partition partition(n.net, {});
        EXPECT_NEAR(held_current(n.net, partition, values, {}, s.volts, 1),
                    -device_current(n.net, values, {}, s.volts, 0), 1e-15);
    }
}

TEST(RandomNetworks, NodesNeverFallWhenASourceRises) {
    // Resistors and diodes only: such networks are monotone in every source.
    Draw draw{std::mt19937_64(5)};
    for (unsigned trial = 0; trial < voltsill::made::how_many(200); ++trial) {
        const Nonlinear n(draw, false);
        auto values = n.net.nominal_values();
        std::vector<double> before(n.net.node_names.size(), -1e9);
        for (double volts = -2.0; volts <= 6.0; volts += 0.5) {
            values[0] = volts;
            const DcSolution s = solve_dc(n.net, values, {});
            ASSERT_EQ(s.status, DcStatus::converged) << s.trouble;
            for (std::size_t k = 0; k < before.size(); ++k) ASSERT_GE(s.volts[k], before[k] - 1e-9);
            before = s.volts;
        }
    }
}

}  // namespace
}  // namespace voltsill
