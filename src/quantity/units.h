#pragma once
/// Strong types for the electrical quantities of a bench.
///
/// A quantity is one double in SI units with the exponents of volt, ampere and second in
/// its type, so that `Volts / Amps` is `Ohms` and adding volts to amps does not compile.
/// Units of SI after ISO 80000-6 (electromagnetism). Temperature is kept apart as degrees
/// Celsius, because a bench states ambient ranges and never multiplies by a temperature.
///
///     Volts drop = 2.2_mA * 4.7_kOhm;      // 10.34 V
///     double si  = drop.si();              // plain double, for solver kernels only
#include <compare>

namespace voltsill {

template <int V, int A, int S>
class Quantity {
  public:
    constexpr Quantity() = default;
    /// `si` in the coherent SI unit of the dimension (V, A, ohm, F, s, Hz, W ...).
    constexpr explicit Quantity(double si) : si_(si) {}
    constexpr double si() const { return si_; }

    constexpr auto operator<=>(const Quantity&) const = default;
    constexpr Quantity operator-() const { return Quantity(-si_); }
    constexpr Quantity operator+(Quantity other) const { return Quantity(si_ + other.si_); }
    constexpr Quantity operator-(Quantity other) const { return Quantity(si_ - other.si_); }
    constexpr Quantity& operator+=(Quantity other) {
        si_ += other.si_;
        return *this;
    }
    constexpr Quantity& operator-=(Quantity other) {
        si_ -= other.si_;
        return *this;
    }
    constexpr Quantity operator*(double k) const { return Quantity(si_ * k); }
    constexpr Quantity operator/(double k) const { return Quantity(si_ / k); }
    constexpr double operator/(Quantity other) const { return si_ / other.si_; }
    friend constexpr Quantity operator*(double k, Quantity q) { return q * k; }

  private:
    double si_ = 0.0;
};

template <int V1, int A1, int S1, int V2, int A2, int S2>
constexpr auto operator*(Quantity<V1, A1, S1> a, Quantity<V2, A2, S2> b) {
    constexpr bool scalar = V1 + V2 == 0 && A1 + A2 == 0 && S1 + S2 == 0;
    if constexpr (scalar)
        return a.si() * b.si();
    else
        return Quantity<V1 + V2, A1 + A2, S1 + S2>(a.si() * b.si());
}

template <int V1, int A1, int S1, int V2, int A2, int S2>
requires(V1 != V2 || A1 != A2 || S1 != S2) constexpr auto operator/(Quantity<V1, A1, S1> a,
                                                                    Quantity<V2, A2, S2> b) {
    return Quantity<V1 - V2, A1 - A2, S1 - S2>(a.si() / b.si());
}

using Volts = Quantity<1, 0, 0>;
using Amps = Quantity<0, 1, 0>;
using Ohms = Quantity<1, -1, 0>;
using Siemens = Quantity<-1, 1, 0>;
using Farads = Quantity<-1, 1, 1>;
using Henries = Quantity<1, -1, 1>;
using Seconds = Quantity<0, 0, 1>;
using Hertz = Quantity<0, 0, -1>;
using Watts = Quantity<1, 1, 0>;
using SecondsPerVolt = Quantity<-1, 0, 1>;  ///< transition limits, printed in ns/V
struct Celsius {
    double degrees = 0.0;
    constexpr auto operator<=>(const Celsius&) const = default;
};

namespace literals {
constexpr Volts operator""_V(long double x) { return Volts(static_cast<double>(x)); }
constexpr Volts operator""_V(unsigned long long x) { return Volts(static_cast<double>(x)); }
constexpr Amps operator""_A(long double x) { return Amps(static_cast<double>(x)); }
constexpr Amps operator""_mA(long double x) { return Amps(static_cast<double>(x) * 1e-3); }
constexpr Amps operator""_mA(unsigned long long x) { return Amps(static_cast<double>(x) * 1e-3); }
constexpr Amps operator""_uA(long double x) { return Amps(static_cast<double>(x) * 1e-6); }
constexpr Amps operator""_uA(unsigned long long x) { return Amps(static_cast<double>(x) * 1e-6); }
constexpr Ohms operator""_Ohm(long double x) { return Ohms(static_cast<double>(x)); }
constexpr Ohms operator""_Ohm(unsigned long long x) { return Ohms(static_cast<double>(x)); }
constexpr Ohms operator""_kOhm(long double x) { return Ohms(static_cast<double>(x) * 1e3); }
constexpr Ohms operator""_kOhm(unsigned long long x) { return Ohms(static_cast<double>(x) * 1e3); }
constexpr Farads operator""_pF(long double x) { return Farads(static_cast<double>(x) * 1e-12); }
constexpr Farads operator""_pF(unsigned long long x) { return Farads(static_cast<double>(x) * 1e-12); }
constexpr Farads operator""_nF(unsigned long long x) { return Farads(static_cast<double>(x) * 1e-9); }
constexpr Seconds operator""_ns(long double x) { return Seconds(static_cast<double>(x) * 1e-9); }
constexpr Seconds operator""_ns(unsigned long long x) { return Seconds(static_cast<double>(x) * 1e-9); }
constexpr Hertz operator""_Hz(unsigned long long x) { return Hertz(static_cast<double>(x)); }
constexpr Hertz operator""_kHz(unsigned long long x) { return Hertz(static_cast<double>(x) * 1e3); }
}  // namespace literals

}  // namespace voltsill
