// Printed forms, and the law that what is printed can be read back.
#include "quantity/print.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "quantity/parse.h"

namespace voltsill {
namespace {

TEST(Print, EngineeringNotation) {
    EXPECT_EQ(print(Ohms(4700)), "4.7 kΩ");
    EXPECT_EQ(print(Ohms(999.6)), "1 kΩ");  // the carry of rounding changes the prefix
    EXPECT_EQ(print(Ohms(2.2e6)), "2.2 MΩ");
    EXPECT_EQ(print(Volts(3.3)), "3.3 V");
    EXPECT_EQ(print(Volts(3.3), {.keep_zeros = true}), "3.30 V");
    EXPECT_EQ(print(Volts(0.0)), "0 V");
    EXPECT_EQ(print(Volts(-0.0)), "0 V");
    EXPECT_EQ(print(Volts(-0.25)), "-250 mV");
    EXPECT_EQ(print(Volts(3.14159), {.digits = 5}), "3.1416 V");
    EXPECT_EQ(print(Volts(1234.0)), "1.23 kV");
    EXPECT_EQ(print(Farads(100e-9)), "100 nF");
    EXPECT_EQ(print(Farads(1000e-6)), "1000 \u00B5F");
    EXPECT_EQ(print(Seconds(7200.0)), "7200 s");
    EXPECT_EQ(print(SecondsPerVolt(10e-9)), "10 ns/V");
    EXPECT_EQ(print(Hertz(115200.0), {.digits = 4}), "115.2 kHz");
    EXPECT_EQ(print(Celsius(-12.5)), "-12.5 °C");
    EXPECT_EQ(print(Celsius(0.5)), "0.5 °C");
    EXPECT_EQ(print(Volts(1e-20)), "1e-20 V");
    EXPECT_EQ(print(Volts(std::numeric_limits<double>::quiet_NaN())), "undefined");
    EXPECT_EQ(print_percent(0.03), "3 %");
    EXPECT_EQ(print_percent(0.0025), "0.25 %");
    EXPECT_EQ(print_percent(0.0), "0 %");
}

TEST(Print, Spans) {
    const auto volts = [](double lo, double nominal, double hi) {
        return print(Span<Volts>{Volts(lo), Volts(nominal), Volts(hi)});
    };
    EXPECT_EQ(print(Span<Volts>::within(Volts(3.3), 0.03)), "3.3 V ± 3 %");
    EXPECT_EQ(print(Span<Volts>::within(Volts(-5), 0.05)), "-5 V ± 5 %");
    EXPECT_EQ(print(Span<Volts>::between(Volts(3.2), Volts(3.4))), "3.2..3.4 V");
    EXPECT_EQ(volts(5, 5, 5), "5 V");
    EXPECT_EQ(volts(0, 5, 10), "0..10 V");
    EXPECT_EQ(volts(-0.5, 3.25, 7), "-0.5..7 V");
    EXPECT_EQ(volts(4.6, 5, 5.25), "4.6..5..5.25 V");
    EXPECT_EQ(volts(0.9, 1.05, 1.2), "0.9..1.2 V");
    EXPECT_EQ(volts(0.01, 2.505, 5), "0.01..5 V");
    EXPECT_EQ(volts(0.001, 2.5005, 5), "1 mV..5 V");
    EXPECT_EQ(volts(3.3001, 3.30015, 3.3002), "3.3001..3.3002 V");  // more digits than asked, to differ
    EXPECT_EQ(print(Span<Ohms>::between(Ohms(1), Ohms(10e6))), "1 Ω..10 MΩ");
    EXPECT_EQ(print(Span<Celsius>{{0}, {20}, {40}}), "0..40 °C");
    EXPECT_EQ(print(Span<Celsius>{{24}, {25}, {26}}), "24..26 °C");
}

TEST(Print, AsciiFallback) {
    const PrintStyle ascii{.ascii = true};
    EXPECT_EQ(print(Ohms(4700), ascii), "4.7 kOhm");
    EXPECT_EQ(print(Farads(4.7e-6), ascii), "4.7 uF");
    EXPECT_EQ(print(Celsius(25), ascii), "25 degC");
    EXPECT_EQ(print(Span<Volts>::within(Volts(3.3), 0.03), ascii), "3.3 V +- 3 %");
    EXPECT_EQ(print_exact(Ohms(4700), true), "4.7 kOhm");
}

/// Any finite double of the dimension: sign, and a size across `decades` powers of ten.
double any_number(bool may_be_negative, int decades) {
    const int exponent = *rc::gen::inRange(-decades, decades + 1);
    const double mantissa = 1.0 + 9.0 * *rc::gen::inRange(0, 1'000'000'000) / 1e9;
    const double sign = may_be_negative && *rc::gen::arbitrary<bool>() ? -1.0 : 1.0;
    return sign * mantissa * std::pow(10.0, exponent);
}

template <class Q>
void check_round_trips(int decades) {
    const Q q{any_number(info(DimensionOf<Q>::value).may_be_negative, decades)};
    const bool ascii = *rc::gen::arbitrary<bool>();
    const int digits = *rc::gen::inRange(1, 18);
    const auto printed =
        print(q, {.digits = digits, .keep_zeros = *rc::gen::arbitrary<bool>(), .ascii = ascii});
    const auto back = parse<Q>(printed);
    RC_ASSERT(back.has_value());
    const double size = std::abs(number_of(q));
    const double half_step = 0.5 * std::pow(10.0, 1 - digits) * size;
    RC_ASSERT(std::abs(number_of(back->nominal) - number_of(q)) <= half_step + 1e-15 * size);
    RC_ASSERT(back->lo == back->hi);

    const auto exact = parse<Q>(print_exact(q, ascii));
    RC_ASSERT(exact.has_value());
    RC_ASSERT(exact->nominal == q);
}

RC_GTEST_PROP(PrintLaw, ParseUndoesPrint, ()) {
    switch (*rc::gen::inRange(0, 10)) {
        case 0:
            return check_round_trips<Volts>(30);
        case 1:
            return check_round_trips<Amps>(30);
        case 2:
            return check_round_trips<Ohms>(300);
        case 3:
            return check_round_trips<Siemens>(20);
        case 4:
            return check_round_trips<Farads>(20);
        case 5:
            return check_round_trips<Seconds>(20);
        case 6:
            return check_round_trips<Hertz>(20);
        case 7:
            return check_round_trips<Watts>(20);
        case 8:
            return check_round_trips<SecondsPerVolt>(20);
        default:
            return check_round_trips<Celsius>(1);
    }
}

RC_GTEST_PROP(PrintLaw, ParseUndoesPrintOfSpans, ()) {
    double ends[] = {any_number(true, 4), any_number(true, 4), any_number(true, 4)};
    std::ranges::sort(ends);
    const Span<Volts> span{Volts(ends[0]), Volts(ends[1]), Volts(ends[2])};
    const bool ascii = *rc::gen::arbitrary<bool>();
    const auto exact = parse<Volts>(print_exact(span, ascii));
    RC_ASSERT(exact.has_value());
    RC_ASSERT(*exact == span);

    const auto back = parse<Volts>(print(span, {.ascii = ascii}));
    RC_ASSERT(back.has_value());
    const auto near = [](Volts a, Volts b) { return std::abs((a - b).si()) <= 5.001e-3 * std::abs(b.si()); };
    RC_ASSERT(near(back->lo, span.lo));
    RC_ASSERT(near(back->hi, span.hi));
}

RC_GTEST_PROP(PrintLaw, TolerancesSurvive, ()) {
    const double nominal = *rc::gen::inRange(1, 1000) / 10.0;
    const double percent = *rc::gen::inRange(1, 250) / 10.0;
    const auto span = Span<Volts>::within(Volts(nominal), percent / 100.0);
    const std::string text = print(span);
    RC_ASSERT(text.find("±") != std::string::npos);
    const auto back = parse<Volts>(text);
    RC_ASSERT(back.has_value());
    RC_ASSERT(std::abs((back->lo - span.lo).si()) <= 1e-9 * nominal);
    RC_ASSERT(std::abs((back->hi - span.hi).si()) <= 1e-9 * nominal);
}

}  // namespace
}  // namespace voltsill
