// A capture through the engine: the document against its schema, both goes, cancelling, refusals.
#include <gtest/gtest.h>

#include "engine/capture.h"


#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace voltsill;

std::string first_bench() {
    return test::file_text("examples/first-bench.toml");
}

/// Rows of 1 us: `quiet` of them low, then a square wave of 10 kHz.
std::string table(int quiet, int rows) {
    std::string out = "Time,CH1\n";
    for (int k = 0; k < rows; ++k)
        out += std::to_string(k) + "e-6," + (k >= quiet && k / 50 % 2 ? "3.3" : "0.0") + "\n";
    return out;
}

struct Held {
    CaptureResult result;
    int goes = 0;
};

Held held(const std::string& bytes, const CaptureRequest& request, bool can_rewind = true,
          std::uint64_t stop_after = ~0ull) {
    Held out;
    std::size_t at = 0;
    const CaptureSource source{.next =
                                   [&] {
                                       const auto piece = std::string_view(bytes).substr(at, 5000);
                                       at += piece.size();
                                       return piece;
                                   },
                               .rewind = [&] { return at = 0, can_rewind; }};
    out.result = check_capture(first_bench(), "bench.toml", {}, "trace", source, request,
                               [&](std::uint64_t n, int go) {
                                   out.goes = go;
                                   return n < stop_after;
                               });
    return out;
}

const CaptureRequest mapped{.maps = {"CH1=first signal"}};

TEST(CaptureJob, DocumentsKeepToTheirSchema) {
    const std::string dump =
        "$timescale 1 us $end $var wire 1 ! D0 $end $var real 1 # v $end $enddefinitions $end\n#0 0! r1 "
        "#\n#9 1! r2 #\n#20 x!\n#30\n";
    for (const auto& [bytes, request] : {std::pair{table(0, 3000), mapped},
                                         {dump, CaptureRequest{.maps = {"D0=first signal"}}},
                                         {table(0, 3000), CaptureRequest{.maps = {"nothing"}}},
                                         {std::string("x"), CaptureRequest{}},
                                         {std::string("Time,CH1\n0,\n1,\n2,5\n"), mapped}})
        EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(held(bytes, request).result))), "")
            << bytes.substr(0, 60);
}

TEST(CaptureJob, ReadsAgainOnlyWhenLevelsMoved) {
    EXPECT_EQ(held(table(0, 100000), mapped).goes, 1);
    const Held again = held(table(80000, 150000), mapped);
    EXPECT_EQ(again.goes, 2);
    EXPECT_FALSE(again.result.capture.again);
    EXPECT_EQ(again.result.capture.channels.at(0).pulses().rising, 700u);
    const Held pipe = held(table(80000, 150000), mapped, false);
    EXPECT_EQ(pipe.goes, 1);
    EXPECT_TRUE(pipe.result.capture.again) << "said, where it cannot be helped";
}

TEST(CaptureJob, ACancelledRunKeepsWhatItHas) {
    const CaptureResult r = held(table(0, 100000), mapped, true, 20000).result;
    ASSERT_TRUE(r.bench);
    EXPECT_TRUE(r.capture.cancelled && r.capture.partial);
    EXPECT_GT(r.capture.channels.at(0).pulses().rising, 5u);
    EXPECT_EQ(r.mapped.size(), 1u);
}

TEST(CaptureJob, SaysAllMistakesOfARequestAtOnce) {
    const CaptureResult r =
        held(table(0, 100), {.maps = {"CH2=first signal", "CH1=frist signal", "x"}, .scales = {"CH1=much"}})
            .result;
    EXPECT_FALSE(r.bench);
    EXPECT_EQ(r.problems.size(), 4u);
}

}  // namespace
