/// The coefficients of RODAS4 in a scalar solver written down from the formulas in rodas.h: what they
/// are worth shows in how the error falls when the step is halved (Hairer, Wanner, section IV.7: order
/// 4, dense output of order 3, from memory).
#include "network/rodas.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace voltsill {
namespace {

struct Problem {
    std::function<double(double, double)> f, by_y, by_t;
};
struct Step {
    double y0, y1, c2, c3, error;
    double at(double s) const { return y0 * (1 - s) + s * (y1 + (1 - s) * (c2 + s * c3)); }
};

Step take(const Problem& p, double t, double y, double h) {
    using namespace rodas;
    double u[stages] = {};
    const double j = p.by_y(t, y), ft = p.by_t(t, y);
    for (int i = 0; i < stages; ++i) {
        double yi = y, mixed = 0;
        for (int k = 0; k < i; ++k) yi += a[i][k] * u[k], mixed += c[i][k] * u[k];
        u[i] = (p.f(t + alpha[i] * h, yi) + mixed / h + gamma[i] * h * ft) / (1 / (g * h) - j);
    }
    Step s{y, y, 0, 0, u[5]};
    for (int k = 0; k < 5; ++k) s.y1 += a[5][k] * u[k], s.c2 += d2[k] * u[k], s.c3 += d3[k] * u[k];
    s.y1 += u[5];
    return s;
}

/// y' = -50 (y - cos t) - sin t: y = cos t from 1; stiff enough to want the Jacobian.
const Problem prothero{[](double t, double y) { return -50 * (y - std::cos(t)) - std::sin(t); },
                       [](double, double) { return -50.0; },
                       [](double t, double) { return -50 * std::sin(t) - std::cos(t); }};
/// y' = y^2 cos t: y = 1 / (2 - sin t) from 1/2; nonlinear and with its own time.
const Problem riccati{[](double t, double y) { return y * y * std::cos(t); },
                      [](double t, double y) { return 2 * y * std::cos(t); },
                      [](double t, double y) { return -y * y * std::sin(t); }};
double riccati_exact(double t) { return 1 / (2 - std::sin(t)); }

struct Errors {
    double end = 0, dense = 0;
};
Errors errors(const Problem& p, double y, int steps, const std::function<double(double)>& exact) {
    Errors e;
    const double h = 2.0 / steps;
    for (int k = 0; k < steps; ++k) {
        const Step s = take(p, k * h, y, h);
        for (double share : {0.2, 0.5, 0.8})
            e.dense = std::max(e.dense, std::abs(s.at(share) - exact((k + share) * h)));
        y = s.y1;
    }
    e.end = std::abs(y - exact(2.0));
    return e;
}

TEST(Rodas, ErrorFallsWithTheFourthPowerOfTheStep) {
    // Over five halvings, so that a lucky cancellation at one step does not count.
    const double coarse = errors(riccati, 0.5, 20, riccati_exact).end,
                 fine = errors(riccati, 0.5, 640, riccati_exact).end;
    EXPECT_NEAR(std::log2(coarse / fine) / 5, 4.0, 0.35);
}

TEST(Rodas, DenseOutputFallsWithTheFourthPowerWithinAStep) {
    // Order 3 means a local error of order 4; the end points are better, so that is what is left.
    for (int steps : {20, 40, 80}) {
        const double ratio = errors(riccati, 0.5, steps, riccati_exact).dense /
                             errors(riccati, 0.5, 2 * steps, riccati_exact).dense;
        EXPECT_NEAR(std::log2(ratio), 4.0, 0.4) << steps;
    }
}

TEST(Rodas, StiffEquationIsFollowedWithStepsBeyondItsTimeConstant) {
    const auto exact = [](double t) { return std::cos(t); };
    EXPECT_LT(errors(prothero, 1.0, 20, exact).end, 1e-5);  // h = 5 time constants
    EXPECT_LT(errors(prothero, 1.0, 20, exact).dense, 1e-3);
}

TEST(Rodas, EmbeddedSolutionTellsTheError) {
    // The estimate is of order 3: halving the step divides it by about 16 (local error h^4).
    const double big = take(riccati, 0.3, riccati_exact(0.3), 0.2).error,
                 small = take(riccati, 0.3, riccati_exact(0.3), 0.1).error;
    EXPECT_NEAR(std::log2(std::abs(big / small)), 4.0, 0.5);
}

TEST(Rodas, VeryStiffDecayEndsAtRest) {
    // Stiffly accurate: R(infinity) = 0.
    const Problem fast{[](double, double y) { return -1e12 * y; }, [](double, double) { return -1e12; },
                       [](double, double) { return 0.0; }};
    EXPECT_LT(std::abs(take(fast, 0, 1.0, 1.0).y1), 1e-9);
}

}  // namespace
}  // namespace voltsill
