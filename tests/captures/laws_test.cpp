/// What must hold whatever the file: pieces, notations, scale, origin of time, memory.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <atomic>
#include <cmath>
#include <cstdlib>
#include <new>

#include "captures/background.h"
#include "captures/decimal.h"
#include "collected.h"
#include "waves.h"

namespace {
using namespace collected;

std::atomic<std::size_t> allocated = 0, most_allocated = 0;

}  // namespace

void* operator new(std::size_t size) {
    auto* block = static_cast<std::size_t*>(std::malloc(size + 2 * sizeof(std::size_t)));
    if (!block) throw std::bad_alloc();
    block[0] = size;
    allocated += size;
    most_allocated = std::max(most_allocated.load(), allocated.load());
    return block + 2;
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    try {
        return operator new(size);
    } catch (const std::bad_alloc&) {
        return nullptr;
    }
}
void operator delete(void* p) noexcept {
    if (!p) return;
    auto* block = static_cast<std::size_t*>(p) - 2;
    allocated -= block[0];
    std::free(block);
}
void operator delete(void* p, std::size_t) noexcept { operator delete(p); }

namespace {

bool same(const std::vector<double>& a, const std::vector<double>& b) {
    return std::ranges::equal(a, b,
                              [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); });
}

/// Lines that a file of either kind may hold, good and bad.
const std::vector<std::string> csv_lines = {"Time,CH1", "0.001,3.3", "0.002,-1e-3", "0.003,",  "x",   "",
                                            "0.0001,2", "9,9,9",     "\"1\",\"2\"", "1e400,2", "3;4", "5"};
const std::vector<std::string> vcd_words = {
    "#5", "#9", "#7",       "1!",   "0!",   "x!", "b10 \"", "bz \"", "r1.5 #", "$comment a $end",
    "?",  "1?", "$dumpoff", "$end", "b2 !", "#"};

template <class Choices>
std::string drawn(const Choices& choices, const char* end) {
    std::string out;
    for (const std::size_t k :
         *rc::gen::container<std::vector<std::size_t>>(rc::gen::inRange<std::size_t>(0, choices.size())))
        out += choices[k] + end;
    return out;
}

void expect_pieces_alike(const std::string& bytes) {
    const Read whole = read(bytes, bytes.size() + 1),
               pieces = read(bytes, *rc::gen::inRange<std::size_t>(1, 40));
    RC_ASSERT(same(whole.all.seconds, pieces.all.seconds));
    RC_ASSERT(whole.all.values.size() == pieces.all.values.size());
    for (std::size_t k = 0; k < whole.all.values.size(); ++k)
        RC_ASSERT(same(whole.all.values[k], pieces.all.values[k]));
    RC_ASSERT(whole.all.steps == pieces.all.steps);
    RC_ASSERT(whole.all.restarts == pieces.all.restarts);
    for (std::size_t k = 0; k < whole.all.channels.size(); ++k)
        RC_ASSERT(whole.all.of(static_cast<int>(k)) == pieces.all.of(static_cast<int>(k)));
    RC_ASSERT(whole.truncated == pieces.truncated);
    RC_ASSERT(whole.problems.size() == pieces.problems.size());
    for (std::size_t k = 0; k < whole.problems.size(); ++k) {
        RC_ASSERT(whole.problems[k].place == pieces.problems[k].place);
        RC_ASSERT(whole.problems[k].message == pieces.problems[k].message);
    }
}

RC_GTEST_PROP(CaptureLaws, CsvInPiecesIsTheSameFile, ()) {
    expect_pieces_alike("Time,CH1\n0,1\n0.0005,2\n" + drawn(csv_lines, "\n"));
}

RC_GTEST_PROP(CaptureLaws, VcdInPiecesIsTheSameFile, ()) {
    expect_pieces_alike(
        "$timescale 1 ns $end $var wire 1 ! a $end $var reg 2 \" b $end $var real 1 # c $end $enddefinitions "
        "$end\n#1 0!\n" +
        drawn(vcd_words, *rc::gen::element(" ", "\n", "\r\n")));
}

RC_GTEST_PROP(CaptureLaws, AnyBytesAreReadWithoutHarm, ()) {
    const std::string head =
        *rc::gen::element<std::string>("", "$", "0,1\n", "$var wire 1 ! a $end $enddefinitions $end\n#0\n");
    expect_pieces_alike(head + *rc::gen::string<std::string>());
}

/// std::from_chars is the witness: it rounds correctly (ISO C++, 22.13.3).
RC_GTEST_PROP(CaptureLaws, NumbersAreReadToTheLastBit, ()) {
    const double value =
        *rc::gen::oneOf(rc::gen::arbitrary<double>(),
                        rc::gen::map(rc::gen::inRange(-100000, 100000), [](int k) { return k * 1e-4; }));
    RC_PRE(std::isfinite(value));
    const std::string text = *rc::gen::element(fmt::format("{}", value), fmt::format("{:.9f}", value),
                                               fmt::format("{:e}", value), fmt::format("{:.17g}", value)) +
                             "\n";
    double witness = 0, number = 0;
    std::from_chars(text.data(), text.data() + text.size(), witness);
    RC_ASSERT(read_decimal(text.data(), '.', number) == text.data() + text.size() - 1);
    RC_ASSERT(number == witness);
    unsigned fraction = *rc::gen::inRange(0u, 10u);
    for (const std::string& follows : {std::string(), std::string("0.25,17,33\n")})
        for (int again = 0; again < 2; ++again) {
            const std::string all = text + follows;
            RC_ASSERT(read_decimal_alike(all.data(), all.data() + all.size(), '.', fraction, number) ==
                      all.data() + text.size() - 1);
            RC_ASSERT(number == witness);
        }
}

RC_GTEST_PROP(CaptureLaws, AnotherThreadMeasuresTheSame, ()) {
    const std::string bytes =
        "$timescale 1 ns $end $var wire 1 ! a $end $var reg 2 \" b $end $var real 1 # c $end $enddefinitions "
        "$end\n#1 0!\n" +
        drawn(vcd_words, " ");
    Everything direct, behind;
    {
        BackgroundSink background(behind);
        for (SampleSink* sink : {static_cast<SampleSink*>(&direct), static_cast<SampleSink*>(&background)}) {
            CaptureReader reader("file", *sink);
            reader.push(bytes);
            reader.finish();
        }
    }
    RC_ASSERT(direct.steps == behind.steps);
    RC_ASSERT(direct.restarts == behind.restarts);
    RC_ASSERT(direct.end == behind.end);
    for (int k = 0; k < 4; ++k) RC_ASSERT(direct.of(k) == behind.of(k));
}

/// Times of up to 18 digits, with more or less of them than the one before, or letters among them.
RC_GTEST_PROP(CaptureLaws, TimesAreReadToTheLastDigit, ()) {
    auto ticks = *rc::gen::container<std::vector<std::int64_t>>(rc::gen::map(
        rc::gen::pair(rc::gen::inRange<std::int64_t>(0, 1'000'000'000'000'000'000), rc::gen::inRange(0, 18)),
        [](const auto& drawn) {
            return drawn.first / static_cast<std::int64_t>(std::pow(10, drawn.second));
        }));
    std::ranges::sort(ticks);
    std::string bytes = "$timescale 1 ns $end $var wire 1 ! a $end $enddefinitions $end\n#0\n", right = "x@0";
    int bit = 0;
    for (const std::int64_t tick : ticks) {
        bytes += fmt::format("#{}\n{}!\n#{}x1\n", tick, bit, tick);
        right += fmt::format(" {}@{}", bit, tick);
        bit = 1 - bit;
    }
    const Read r = read(bytes);
    RC_ASSERT(r.all.of(0) == right);
    RC_ASSERT(r.has("vcd-time") == !ticks.empty());
}

/// Pieces below what is worth sharing are read by one thread, a large one by two.
RC_GTEST_PROP(CaptureLaws, TwoThreadsReadTheSameRows, ()) {
    const bool timed = *rc::gen::arbitrary<bool>(), whole_numbers = *rc::gen::element(false, false, true);
    const char separator = whole_numbers ? ';' : ',';
    const auto row = [&](std::size_t k) {
        const std::string value =
            whole_numbers ? fmt::format("{}", k % 7) : fmt::format("{:.3f}", 0.3 * (k % 7));
        return timed ? fmt::format("{}{}{}\n", k, separator, value)
                     : fmt::format("{}{}{}\n", value, separator, value);
    };
    std::string bytes = timed ? "Time;CH1\n" : "CH1;CH2\n";
    std::ranges::replace(bytes, ';', separator);
    std::vector<std::size_t> bad =
        *rc::gen::container<std::vector<std::size_t>>(rc::gen::inRange<std::size_t>(300, 60000));
    std::ranges::sort(bad);
    for (std::size_t k = 0, next = 0; k < 60000; ++k) {
        bytes += row(k);
        for (; next < bad.size() && bad[next] == k; ++next)
            bytes += whole_numbers ? "7;1,5\n" : csv_lines[k % csv_lines.size()] + "\n";
    }
    const ReaderOptions options{.sample_interval = timed ? 0 : 1e-3};
    const Read one = read(bytes, 3000, options),
               two = read(bytes, *rc::gen::element<std::size_t>(50'000, 256u << 10, 10'000'000), options);
    RC_ASSERT(one.all.seconds.size() > 50000u);
    RC_ASSERT(same(one.all.seconds, two.all.seconds));
    for (std::size_t k = 0; k < one.all.values.size(); ++k)
        RC_ASSERT(same(one.all.values[k], two.all.values[k]));
    RC_ASSERT(one.all.restarts == two.all.restarts);
    RC_ASSERT(one.problems.size() == two.problems.size());
    for (std::size_t k = 0; k < one.problems.size(); ++k) {
        RC_ASSERT(one.problems[k].place == two.problems[k].place);
        RC_ASSERT(one.problems[k].message == two.problems[k].message);
    }
}

TEST(CaptureLaws, AnotherThreadMeasuresTheSameTable) {
    const std::string bytes = waves::table(waves::trapezoid(0.1, 3.2, 1e-3, 2e-5), 0, 0.03, 1e-6);
    Everything direct, behind;
    BackgroundSink background(behind);
    for (SampleSink* sink : {static_cast<SampleSink*>(&direct), static_cast<SampleSink*>(&background)}) {
        CaptureReader reader("file", *sink);
        reader.push(bytes);
        reader.finish();
    }
    background.finish();
    EXPECT_EQ(direct.seconds.size(), 30000u);
    EXPECT_EQ(direct.seconds, behind.seconds);
    EXPECT_EQ(direct.values, behind.values);
}

TEST(CaptureLaws, NotationsOfOneTableMeasureAlike) {
    const auto wave = waves::trapezoid(0.1, 3.2, 1e-3, 2e-5);
    const auto point = measured(waves::table(wave, -1e-3, 20e-3, 1e-6));
    for (const auto& [separator, comma] : {std::pair{";", false}, {";", true}, {"\t", true}, {"|", false}}) {
        const auto other = measured(waves::table(wave, -1e-3, 20e-3, 1e-6, separator, comma));
        EXPECT_EQ(point.at(0).voltage()->levels->high, other.at(0).voltage()->levels->high)
            << separator << comma;
        EXPECT_EQ(point.at(0).voltage()->rise.sum, other.at(0).voltage()->rise.sum) << separator << comma;
        EXPECT_EQ(point.at(0).pulses().frequency, other.at(0).pulses().frequency) << separator << comma;
    }
}

TEST(CaptureLaws, VoltsScaleLevelsAndNothingElse) {
    const auto wave = waves::trapezoid(0.1, 3.2, 1e-3, 2e-5);
    const auto one = waves::measured(wave, 0, 0.1, 1e-6);
    for (const double factor : {0.5, 1.7, 10.0}) {
        const auto other = waves::measured(wave, 0, 0.1, 1e-6, {.scale = factor});
        EXPECT_NEAR(other.levels->high, factor * one.levels->high, factor * 1e-3);
        EXPECT_NEAR(other.levels->low, factor * one.levels->low, factor * 1e-3);
        EXPECT_NEAR(other.rise.mean(), one.rise.mean(), 1e-9);
        EXPECT_NEAR(*other.pulses.duty, *one.pulses.duty, 1e-6);
    }
}

TEST(CaptureLaws, TheOriginOfTimeChangesNothing) {
    const auto wave = waves::trapezoid(0.1, 3.2, 1e-3, 2e-5);
    const VoltageOptions limits{.limits = {.vil = 0.8, .vih = 2.0}};
    const auto here = waves::measured(wave, 0, 0.05, 1e-6, limits);
    for (const double shift : {-0.025, 3.0, 1000.0}) {
        const auto there =
            waves::measured([&](double t) { return wave(t - shift); }, shift, shift + 0.05, 1e-6, limits);
        EXPECT_NEAR(there.pulses.high.mean(), here.pulses.high.mean(), 1e-9) << shift;
        EXPECT_NEAR(there.between.seconds, here.between.seconds, 1e-8) << shift;
        EXPECT_NEAR(there.levels->high, here.levels->high, 1e-3) << shift;
    }
}

/// 50 MB of rows in pieces: what is held at once stays far below that.
TEST(CaptureLaws, MemoryDoesNotGrowWithTheFile) {
    CaptureMeter meter([](const std::vector<CaptureChannel>& c) {
        return std::optional(std::vector<ChannelOptions>(c.size()));
    });
    CaptureReader reader("file", meter);
    reader.push("Time,CH1,CH2\n");
    std::string piece;
    std::size_t pushed = 0, row = 0;
    const std::size_t before = allocated;
    most_allocated = before;
    while (pushed < 50'000'000) {
        piece.clear();
        for (int k = 0; k < 2000; ++k, ++row)
            piece += fmt::format("{}.{:06},{}.3,0.2\n", row / 1'000'000, row % 1'000'000, row / 500 % 2 * 3);
        reader.push(piece);
        pushed += piece.size();
    }
    reader.finish();
    EXPECT_GT(meter.finish().at(0).voltage()->samples, 2'000'000u);
    EXPECT_LT(most_allocated - before, 8'000'000u);
}

}  // namespace
