// The type system keeps dimensions apart: what must not compile is asked with requires-expressions.
#include "quantity/units.h"

#include <gtest/gtest.h>

#include <concepts>
#include <type_traits>

#include "quantity/figure.h"

namespace voltsill {
namespace {

template <class A, class B>
concept CanAdd = requires(A a, B b) {
    a + b;
};
template <class A, class B>
concept CanCompare = requires(A a, B b) {
    a < b;
};
template <class A, class B>
concept CanMultiply = requires(A a, B b) {
    a* b;
};

static_assert(CanAdd<Volts, Volts>);
static_assert(!CanAdd<Volts, Amps>);
static_assert(!CanAdd<Volts, double>);
static_assert(!CanAdd<Ohms, Siemens>);
static_assert(!CanAdd<Seconds, Hertz>);
static_assert(!CanAdd<Watts, Amps>);
static_assert(!CanAdd<Celsius, Celsius>);
static_assert(!CanCompare<Volts, Amps>);
static_assert(!CanCompare<Volts, double>);
static_assert(CanCompare<Celsius, Celsius>);
static_assert(CanMultiply<Volts, Amps>);
static_assert(!CanMultiply<Volts, Celsius>);
static_assert(!std::is_convertible_v<double, Volts>);
static_assert(!std::is_convertible_v<Volts, double>);
static_assert(!std::is_convertible_v<Volts, Amps>);

template <class A, class B>
using Product = decltype(A{} * B{});
template <class A, class B>
using Quotient = decltype(A{} / B{});

static_assert(std::same_as<Quotient<Volts, Amps>, Ohms>);
static_assert(std::same_as<Quotient<Amps, Volts>, Siemens>);
static_assert(std::same_as<Product<Volts, Amps>, Watts>);
static_assert(std::same_as<Product<Ohms, Farads>, Seconds>);
static_assert(std::same_as<Product<Ohms, Siemens>, double>);
static_assert(std::same_as<Product<Seconds, Hertz>, double>);
static_assert(std::same_as<Quotient<Seconds, Volts>, SecondsPerVolt>);
static_assert(std::same_as<Quotient<Volts, Volts>, double>);

using namespace literals;

TEST(Units, OhmsLawInEveryForm) {
    EXPECT_DOUBLE_EQ((2.2_mA * 4.7_kOhm).si(), 10.34);
    EXPECT_DOUBLE_EQ((5_V / 10_kOhm).si(), 0.5e-3);
    EXPECT_DOUBLE_EQ((3.3_V * 20_mA).si(), 0.066);
    EXPECT_DOUBLE_EQ((10_kOhm * 100_pF).si(), 1e-6);
}

TEST(Span, ToleranceKeepsItsOrderBelowZero) {
    const auto negative = Span<Volts>::within(Volts(-5.0), 0.05);
    EXPECT_DOUBLE_EQ(negative.lo.si(), -5.25);
    EXPECT_DOUBLE_EQ(negative.hi.si(), -4.75);
    EXPECT_TRUE(negative.contains(Volts(-5.1)));
    EXPECT_FALSE(negative.contains(Volts(-5.3)));
}

TEST(Figure, WeakestNamesTheLessCertain) {
    const Provenance printed{Certainty::guaranteed, "table", false};
    const Provenance guess{Certainty::assumed, "nobody", true};
    EXPECT_EQ(weakest(printed, guess), guess);
    EXPECT_EQ(weakest(guess, printed), guess);
    EXPECT_EQ(weakest(printed, printed), printed);
}

}  // namespace
}  // namespace voltsill
