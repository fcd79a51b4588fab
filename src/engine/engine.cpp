#include "engine/engine.h"

#include <utility>

#include "engine/reading.h"

namespace voltsill {
namespace {

/// Results keep the law "no bench when something is wrong with the input" for wirings too.
template <class Result>
Result refused(Result result) {
    Result out;
    out.problems = std::move(result.problems);
    return out;
}

template <class Result>
Result read(std::string_view bytes, const std::string& file, const Includer& include) {
    BenchReading reading = read_for_job(bytes, file, include);
    Result result;
    result.bench = std::move(reading.bench);
    result.problems = std::move(reading.problems);
    return result;
}

}  // namespace

CheckResult check(std::string_view bytes, const std::string& file, const Includer& include) {
    CheckResult result = read<CheckResult>(bytes, file, include);
    if (!result.bench) return result;
    result.given_wiring = result.bench->wiring.has_value();
    result.wiring = result.given_wiring ? wired_as_written(*result.bench, bytes, file, result.problems)
                                        : wire_directly(*result.bench);
    if (has_error(result.problems)) return refused(std::move(result));
    result.judgement = judge(*result.bench, result.wiring);
    return result;
}

PlanResult make_plan(std::string_view bytes, const std::string& file, const Includer& include) {
    PlanResult result = read<PlanResult>(bytes, file, include);
    if (result.bench) result.plan = plan(*result.bench);
    return result;
}

ReadingsResult predict(std::string_view bytes, const std::string& file, const Includer& include) {
    ReadingsResult result = read<ReadingsResult>(bytes, file, include);
    if (!result.bench) return result;
    result.planned = !result.bench->wiring;
    result.wiring =
        result.planned ? plan(*result.bench).wiring : wired_as_written(*result.bench, bytes, file, result.problems);
    if (has_error(result.problems)) return refused(std::move(result));
    result.readings = readings(*result.bench, result.wiring);
    return result;
}

int exit_code(const Problems& problems, Verdict verdict) {
    if (has_error(problems)) return 3;
    return verdict > Verdict::thin ? 1 : 0;
}

}  // namespace voltsill
