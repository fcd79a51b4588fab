// Links over time as a job: what is refused, what is run, and that nothing is lost when cancelled.
#include <gtest/gtest.h>


#include "judging/traced.h"
#include "sample.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace {

using namespace voltsill;

std::string example(const std::string& name) {
    return voltsill::test::file_text("examples/" + name + ".toml");
}

TraceResult run(const TraceOptions& options, const Progress& progress = {},
                const std::string& bench = "first-bench") {
    return trace(example(bench), "bench.toml", {}, options, progress);
}

TEST(Trace, BenchWithOneLinkNeedsNoName) {
    const TraceResult r = run({});
    ASSERT_TRUE(r.bench);
    EXPECT_TRUE(r.planned);
    ASSERT_EQ(r.traces.size(), 1u);
    EXPECT_EQ(r.traces[0].link, "first signal");
    EXPECT_EQ(r.traces[0].trouble, "");
    EXPECT_GE(r.traces[0].points.size(), 2u);
    EXPECT_EQ(r.traces[0].points.front().role, PointRole::driver);
    EXPECT_FALSE(r.traces[0].points.front().envelope) << "nothing was drawn";
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(r))), "");
}

TEST(Trace, WrongOptionsAreValues) {
    const auto code = [](const TraceOptions& o, const std::string& bench = "first-bench") {
        const TraceResult r = run(o, {}, bench);
        EXPECT_FALSE(r.bench);
        EXPECT_TRUE(r.problems.empty());
        return r.misused.empty() ? std::string() : r.misused.front().code;
    };
    for (const int samples : {0, -1, most_samples + 1}) EXPECT_EQ(code({.samples = samples}), "wrong-option");
    for (const double rate :
         {0.0, -1.0, std::numeric_limits<double>::infinity(), std::numeric_limits<double>::quiet_NaN()})
        EXPECT_EQ(code({.rate = rate}), "wrong-option");
    EXPECT_EQ(code({.samples = 4, .replay = 2}), "wrong-option");
    EXPECT_EQ(code({.threads = 0}), "wrong-option");
    EXPECT_EQ(code({}, "rain-garden"), "no-link") << "many links, none named";
}

TEST(Trace, UnknownLinksSayTheNearestName) {
    const TraceResult r = run({.links = {"tnk echo", "tank echo", "xyzzy"}}, {}, "rain-garden");
    ASSERT_EQ(r.misused.size(), 2u) << "all mistakes in one run";
    EXPECT_EQ(r.misused[0].code, "unknown-link");
    EXPECT_EQ(r.misused[0].nearest, "tank echo");
    EXPECT_NE(r.misused[0].expected.find("tank echo"), std::string::npos);
    EXPECT_EQ(r.misused[1].nearest, "");
}

TEST(Trace, SamplesDependOnSeedAndIndexAlone) {
    const auto volts = [](const TraceOptions& o) { return run(o).traces.at(0); };
    const LinkTrace a = volts({.samples = 110, .seed = 3, .threads = 1}),
                    b = volts({.samples = 110, .seed = 3, .threads = 3});  // each takes 48 at a time
    ASSERT_EQ(a.samples, 110);
    ASSERT_TRUE(a.points.back().envelope && b.points.back().envelope);
    EXPECT_EQ(a.points.back().envelope->hi, b.points.back().envelope->hi) << "on any number of threads";
    EXPECT_EQ(a.worst_sample, b.worst_sample);
    EXPECT_NE(a.points.back().envelope->hi, volts({.samples = 12, .seed = 4}).points.back().envelope->hi);
    ASSERT_TRUE(a.worst_sample);
    const LinkTrace again = volts({.seed = 3, .replay = *a.worst_sample});
    ASSERT_FALSE(again.points.back().worst.volts.empty());
    EXPECT_EQ(again.points.back().worst.volts, a.points.back().worst.volts) << "the worst sample runs alone";
}

TEST(Trace, CancelledRunsKeepWhatTheyHave) {
    int calls = 0;
    const TraceResult r = run({.samples = 100000}, [&](double share, const std::string& what) {
        EXPECT_GE(share, 0);
        EXPECT_LE(share, 1);
        EXPECT_FALSE(what.empty());
        return ++calls < 4;
    });
    ASSERT_TRUE(r.bench);
    ASSERT_EQ(r.traces.size(), 1u);
    EXPECT_TRUE(r.traces[0].cancelled);
    EXPECT_EQ(r.traces[0].asked, 100000);
    EXPECT_LT(r.traces[0].samples, 100000);
    EXPECT_FALSE(r.traces[0].points.empty());
}

TEST(Trace, RefusedBenchesRunNothing) {
    const TraceResult r = trace("[rails]\na = { volts = \"5 A\" }\n", "b.toml", {}, {.all = true});
    EXPECT_FALSE(r.bench);
    EXPECT_TRUE(has_error(r.problems));
    EXPECT_TRUE(r.traces.empty());
    EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(r))), "");
}

}  // namespace
