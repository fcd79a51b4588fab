#pragma once
/// Forward differentiation: a value and its derivatives by N variables.
///
///     (u + u' e)(w + w' e) = uw + (u w' + u' w) e,    e^2 = 0
///
/// A device law is written once, as a current; run on `Dual` it also yields the entries of the
/// Jacobian (by control voltages) or of a sensitivity (by a parameter). Textbook method:
/// A. Griewank, A. Walther, "Evaluating Derivatives", 2nd ed., SIAM 2008, ch. 3 (from memory).
/// `S` is the scalar: double, or a vector of lanes.
#include <cmath>

namespace voltsill {

template <int N, class S = double>
struct Dual {
    S value{};
    S d[N]{};

    Dual() = default;
    Dual(const S& constant) : value(constant) {}  // NOLINT: constants mix freely with variables
    static Dual variable(const S& v, int which, const S& seed) {
        Dual x(v);
        x.d[which] = seed;
        return x;
    }
    /// f(value) and f'(value) given: the chain rule.
    Dual chain(const S& f, const S& slope) const {
        Dual y(f);
        for (int k = 0; k < N; ++k) y.d[k] = slope * d[k];
        return y;
    }
    friend Dual operator+(const Dual& a, const Dual& b) {
        Dual y(a.value + b.value);
        for (int k = 0; k < N; ++k) y.d[k] = a.d[k] + b.d[k];
        return y;
    }
    friend Dual operator-(const Dual& a, const Dual& b) {
        Dual y(a.value - b.value);
        for (int k = 0; k < N; ++k) y.d[k] = a.d[k] - b.d[k];
        return y;
    }
    friend Dual operator*(const Dual& a, const Dual& b) {
        Dual y(a.value * b.value);
        for (int k = 0; k < N; ++k) y.d[k] = a.d[k] * b.value + a.value * b.d[k];
        return y;
    }
    friend Dual operator/(const Dual& a, const Dual& b) {
        Dual y(a.value / b.value);
        for (int k = 0; k < N; ++k) y.d[k] = (a.d[k] - y.value * b.d[k]) / b.value;
        return y;
    }
    friend Dual operator+(const Dual& a, const S& b) { return a.chain(a.value + b, S{} + 1.0); }
    friend Dual operator-(const Dual& a, const S& b) { return a.chain(a.value - b, S{} + 1.0); }
    friend Dual operator*(const Dual& a, const S& b) { return a.chain(a.value * b, b); }
    friend Dual operator*(const S& b, const Dual& a) { return a.chain(a.value * b, b); }
    Dual operator-() const { return chain(-value, S{} - 1.0); }
};

/// exp(x) up to 0, its tangent 1 + x above: never overflows, derivative continuous.
inline double exp_then_line(double x) { return x <= 0.0 ? std::exp(x) : 1.0 + x; }
inline double positive_part(double x) { return x > 0.0 ? x : 0.0; }

template <int N>
Dual<N> exp_then_line(const Dual<N>& x) {
    const double y = exp_then_line(x.value);
    return x.chain(y, x.value <= 0.0 ? y : 1.0);
}
template <int N>
Dual<N> positive_part(const Dual<N>& x) {
    return x.value > 0.0 ? x : Dual<N>(0.0);
}
template <int N>
Dual<N> exp(const Dual<N>& x) {
    const double y = std::exp(x.value);
    return x.chain(y, y);
}
template <int N>
Dual<N> expm1(const Dual<N>& x) {
    return x.chain(std::expm1(x.value), std::exp(x.value));
}
template <int N>
Dual<N> log(const Dual<N>& x) {
    return x.chain(std::log(x.value), 1.0 / x.value);
}
template <int N>
Dual<N> tanh(const Dual<N>& x) {
    const double y = std::tanh(x.value);
    return x.chain(y, 1.0 - y * y);
}
inline double value_of(double x) { return x; }
template <int N>
double value_of(const Dual<N>& x) {
    return x.value;
}

}  // namespace voltsill
