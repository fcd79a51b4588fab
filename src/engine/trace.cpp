/// The job "links over time": options checked, a wiring found, the links run.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "engine/engine.h"
#include "engine/reading.h"

namespace voltsill {
namespace {

std::vector<std::string> link_names(const Bench& bench) {
    std::vector<std::string> names;
    for (const Link& link : bench.links) names.push_back(link.name);
    return names;
}

std::string listed(const std::vector<std::string>& names) {
    constexpr std::size_t shown = 12;
    if (names.size() <= shown) return fmt::format("{}", fmt::join(names, ", "));
    return fmt::format("{} and {} more", fmt::join(names.begin(), names.begin() + shown, ", "),
                       names.size() - shown);
}

Problem wrong(const char* code, const std::string& file, std::string message, std::string expected) {
    return {.code = code,
            .place = {.file = file},
            .message = std::move(message),
            .expected = std::move(expected)};
}

/// Numbers that no bench can make right.
void check_numbers(const TraceOptions& o, const std::string& file, Problems& out) {
    if (o.samples && (*o.samples < 1 || *o.samples > most_samples))
        out.push_back(wrong("wrong-option", file, fmt::format("{} samples cannot be run", *o.samples),
                            fmt::format("1 to {}", most_samples)));
    if (o.samples && o.replay)
        out.push_back(wrong("wrong-option", file,
                            "a replay runs one sample; a number of samples contradicts it",
                            "either samples or the index of one to run again"));
    if (o.rate && !(*o.rate > 0 && std::isfinite(*o.rate)))
        out.push_back(wrong("wrong-option", file, fmt::format("a rate of {} Hz has no bits", *o.rate),
                            "a rate above 0 such as \"1 MHz\""));
    if (o.threads < 1)
        out.push_back(
            wrong("wrong-option", file, fmt::format("{} threads cannot work", o.threads), "1 or more"));
}

/// Names of the links to run; problems for those that are not there.
std::vector<std::string> chosen(const TraceOptions& o, const Bench& bench, const std::string& file,
                                Problems& out) {
    const std::vector<std::string> names = link_names(bench);
    if (names.empty()) {
        out.push_back(wrong("no-link", file, "the bench has no link to run", "[[links]] in the bench file"));
        return {};
    }
    if (o.all || (o.links.empty() && names.size() == 1)) return names;
    if (o.links.empty())
        out.push_back(
            wrong("no-link", file, "no link was named", "all of them, or one or more of " + listed(names)));
    for (const std::string& name : o.links) {
        if (std::ranges::find(names, name) != names.end()) continue;
        Problem problem = wrong("unknown-link", file, fmt::format("the bench has no link \"{}\"", name),
                                "one of " + listed(names));
        problem.nearest = nearest_name(name, names);
        out.push_back(std::move(problem));
    }
    return o.links;
}

/// What a trace starts from: links chosen, wiring given or planned. No bench: there is nothing to run.
TraceResult started(std::string_view bytes, const std::string& file, const Includer& include,
                    const TraceOptions& options, SimulateOptions& run) {
    TraceResult result;
    BenchReading reading = read_for_job(bytes, file, include);
    result.problems = std::move(reading.problems);
    check_numbers(options, file, result.misused);
    if (!reading.bench) return result;
    run = {.links = chosen(options, *reading.bench, file, result.misused),
           .samples = options.samples.value_or(0),
           .seed = options.seed,
           .replay = options.replay,
           .rate = options.rate,
           .threads = options.threads};
    if (!result.misused.empty()) return result;
    const bool planned = !reading.bench->wiring;
    Wiring wiring =
        planned ? plan(*reading.bench).wiring : wired_as_written(*reading.bench, bytes, file, result.problems);
    if (has_error(result.problems)) return result;
    result.planned = planned;
    result.wiring = std::move(wiring);
    result.bench = std::move(reading.bench);
    return result;
}

}  // namespace

TraceResult trace(std::string_view bytes, const std::string& file, const Includer& include,
                  const TraceOptions& options, const Progress& progress) {
    SimulateOptions run;
    TraceResult result = started(bytes, file, include, options, run);
    if (result.bench) result.traces = simulate_links(*result.bench, result.wiring, run, progress);
    return result;
}

void trace_in_steps(std::string_view bytes, const std::string& file, const Includer& include,
                    const TraceOptions& options, const TraceStep& step, const Progress& progress) {
    SimulateOptions run;
    TraceResult result = started(bytes, file, include, options, run);
    const int wanted = run.samples;
    if (!result.bench) {
        step(result, 0, true);
        return;
    }
    bool stopped = false;
    const auto noting = [&](double share, const std::string& what) {
        return !(stopped = progress && !progress(share, what));
    };
    for (int samples = 0;; samples = samples == 0 ? first_step : samples * step_growth) {
        run.samples = std::min(samples, wanted);
        result.traces = simulate_links(*result.bench, result.wiring, run, noting);
        const bool last = run.samples == wanted;
        if (stopped || !step(result, run.samples, last) || last) return;
    }
}

}  // namespace voltsill
