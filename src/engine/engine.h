#pragma once
/// One call per job: the bytes of a bench file in, values out; and every result as JSON,
/// SARIF or a JUnit report.
///
/// The three jobs are one path with different wirings (design idea: everything is a wiring,
/// and a wiring is judged):
///
///     bytes -> read_bench -> Bench -> wiring -> judge or readings -> result -> to_json
///
/// JSON is UTF-8 after RFC 8259, described by `result_schema()` (JSON Schema draft 2020-12) and
/// kept in docs/result.schema.json. Every document opens with its "format"; the number at its end
/// rises when a reader would have to change. Numbers are SI (degrees Celsius for temperatures)
/// and finite: a number that is not becomes null. Bytes that are no UTF-8 become U+FFFD.
///
///     const CheckResult result = check(bytes, "bench.toml", include);
///     std::string out = to_json(result);
///     return exit_code(result.problems, result.judgement.verdict);
#include <expected>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bench/bench.h"
#include "judging/finding.h"
#include "parts/model.h"
#include "parts/pin_traits.h"
#include "planning/plan.h"
#include "records/problem.h"
#include "signals/simulate.h"
#include "wiring/wiring.h"

namespace voltsill {

/// `bench` is empty when the input was refused; the rest is then empty as well.
struct CheckResult {
    std::optional<Bench> bench;
    Problems problems;
    Wiring wiring;
    Judgement judgement;
    bool given_wiring = false;  ///< judged as [wiring] has it; else link ends joined directly
};
CheckResult check(std::string_view bytes, const std::string& file, const Includer& include);

struct PlanResult {
    std::optional<Bench> bench;
    Problems problems;
    Plan plan;
};
PlanResult make_plan(std::string_view bytes, const std::string& file, const Includer& include);

/// Steady readings of the given wiring if there is one, else of the plan.
struct ReadingsResult {
    std::optional<Bench> bench;
    Problems problems;
    Wiring wiring;
    std::vector<StateReading> readings;
    bool planned = false;
};
ReadingsResult predict(std::string_view bytes, const std::string& file, const Includer& include);

/// Which links to run over time, and how. Samples are drawn from the tolerances of all figures.
struct TraceOptions {
    std::vector<std::string> links;  ///< names, in any order
    bool all = false;                ///< every link, in place of names
    std::optional<int> samples;      ///< 1..most_samples; nothing: every figure at its nominal
    std::uint64_t seed = 1;
    std::optional<std::uint64_t> replay;  ///< index of one sample to run again, in place of `samples`
    std::optional<double> rate;           ///< bits a second, in place of what the bench states
    int threads = 1;                      ///< the result is the same for any number
};
inline constexpr int most_samples = 1'000'000;

/// Traces of links of the given wiring if there is one, else of the plan. A bench with one link
/// needs no name.
struct TraceResult {
    std::optional<Bench> bench;
    Problems problems;  ///< of the bench file
    Problems misused;   ///< of the options: "unknown-link", "no-link", "wrong-option"
    Wiring wiring;
    bool planned = false;
    std::vector<LinkTrace> traces;
};
TraceResult trace(std::string_view bytes, const std::string& file, const Includer& include,
                  const TraceOptions& options, const Progress& progress = {});

/// The same in steps, for those who want to see something soon: nominal first, then with 64 samples, each time four
/// times as many up to `options.samples`. Of one seed a step holds the samples of the step before it. `step` returns
/// false to stop.
using TraceStep = std::function<bool(const TraceResult& result, int samples, bool last)>;
inline constexpr int first_step = 64, step_growth = 4;
void trace_in_steps(std::string_view bytes, const std::string& file, const Includer& include,
                    const TraceOptions& options, const TraceStep& step, const Progress& progress = {});

/// The bench file with `wiring` as its [wiring] and the pull-ups taken off that it leaves out;
/// `check` of it judges that wiring. `relocate` gives the path of an include as seen from where
/// the new file will lie.
using Relocate = std::function<std::string(const std::string&)>;
std::expected<std::string, Problems> wired_bench(std::string_view bytes, const std::string& file,
                                                 const Wiring& wiring, const Relocate& relocate = {});

/// JSON documents, indented by two spaces, with a line feed at the end.
std::string to_json(const CheckResult& result);                        ///< "voltsill-check-1"
std::string to_json(const PlanResult& result);                         ///< "voltsill-plan-1"
std::string to_json(const ReadingsResult& result);                     ///< "voltsill-readings-1"
std::string to_json(const TraceResult& result);                        ///< "voltsill-trace-1"
/// "voltsill-trace-step-1": the trace and the waves of each of its links as SVG elements.
std::string trace_step_to_json(const TraceResult& result, int samples, bool last);
std::string to_json(const PartType& type);                             ///< "voltsill-part-1"
std::string to_json(const Problems& problems);                         ///< "voltsill-problems-1"
/// "voltsill-parts-1"; `near` where a search found neither.
std::string parts_to_json(const std::vector<const PartType*>& types, const std::vector<PinTrait>& traits = {},
                          const std::vector<std::string>& near = {});
std::string to_json(const PinTrait& trait);                            ///< "voltsill-pin-trait-1"

/// Static analysis results interchange format, SARIF 2.1.0 (OASIS Standard, 27 March 2020):
/// one run; problems and findings as results that point into the bench file.
std::string to_sarif(const CheckResult& result, std::string_view tool_version);

/// JUnit XML report as build servers read it (common practice, no standard): one testcase per
/// link and one for parts and rails. Refused input is an error of one testcase.
std::string to_junit(const CheckResult& result);

/// JSON Schema, draft 2020-12, of every document `to_json` writes.
std::string result_schema();

/// 0 nothing worse than thin, 1 something worse, 3 input refused.
int exit_code(const Problems& problems, Verdict verdict);

}  // namespace voltsill
