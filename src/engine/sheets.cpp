#include "engine/sheets.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <sha2.h>

#include <algorithm>

#include "documents/markdown.h"
#include "documents/sheets_teaching.h"
#include "engine/reading.h"

namespace voltsill {
namespace {

/// One version of a bench on its way to sheets.
struct Version {
    std::optional<Bench> bench;
    Problems problems;
    Sheets sheets;
};

/// Wires a bench as given or planned; the judgement is of exactly that wiring.
void wire_up(Version& v, std::string_view bytes, const std::string& file) {
    Sheets& sheets = v.sheets;
    if (v.bench->wiring) {
        sheets.placed.wiring = wired_as_written(*v.bench, bytes, file, v.problems);
        if (has_error(v.problems)) {
            v.bench.reset();
            return;
        }
        sheets.judgement = judge(*v.bench, sheets.placed.wiring);
        sheets.direct = judge(*v.bench, wire_directly(*v.bench));
        return;
    }
    Plan planned = plan(*v.bench);
    sheets.planned = true;
    for (const LinkPlan& link : planned.links)
        if (!link.chosen) sheets.unwired.push_back(link.link);
    sheets.placed.wiring = std::move(planned.wiring);
    sheets.judgement = std::move(planned.judgement);
    sheets.direct = std::move(planned.before);
}

/// Who shall find a fault is not told what it may be.
FaultChart without_causes(FaultChart chart) {
    for (ChartRow& row : chart.rows) {
        row.causes.clear();
        if (!row.keep_off.empty()) row.keep_off = "Something may be wrong that does harm when it is on.";
        for (ChartReading& reading : row.readings) reading.answers.clear();
    }
    return chart;
}

/// The chart, or faults to plant. False: asked to stop.
bool look_into_faults(const Bench& bench, Sheets& sheets, const SheetsOptions& options,
                      const std::function<bool(double, const char*)>& go_on) {
    bool stopped = false;
    const auto part = [&](double from, double to, const char* what) {
        return [&, from, to, what](int done, int all) {
            return !(stopped = stopped || !go_on(from + (to - from) * (all > 0 ? double(done) / all : 0), what));
        };
    };
    Dictionary dictionary(bench, sheets.placed, faults_of(bench, sheets.placed),
                          {.threads = options.threads, .progress = part(0, 0.6, "predicting readings of faults")});
    if (stopped || dictionary.cancelled()) return false;
    const auto telling = part(0.6, 1, "choosing readings");
    if (options.audience == Audience::planted) {
        sheets.planted = planted_faults(
            dictionary, {.seats = options.seats, .seed = options.question_seed, .progress = telling});
        return !stopped;
    }
    sheets.faults = fault_chart(dictionary, {.progress = telling});
    if (options.audience == Audience::faults) sheets.faults = without_causes(std::move(*sheets.faults));
    return !stopped;
}

/// False: asked to stop.
bool fill(Version& v, const SheetsOptions& options, const Progress& progress, double from, double to) {
    const auto go_on = [&](double share, const std::string& what) {
        return !progress || progress(from + share * (to - from), what);
    };
    const Bench& bench = *v.bench;
    Sheets& sheets = v.sheets;
    sheets.seats = options.seats;
    sheets.with_answers = has_answers(options.audience);
    if (!go_on(0.1, "placing")) return false;
    PlacedWiring placed = place(bench, sheets.wiring(), options.place, [&](double done, double all) {
        return go_on(0.1 + 0.4 * (all > 0 ? done / all : 0), "placing");
    });
    if (placed.trouble.empty()) {  // channels of packages may have been exchanged
        sheets.placed = std::move(placed);
        sheets.judgement = judge(bench, sheets.wiring());
    } else {
        sheets.placed.trouble = std::move(placed.trouble);
    }
    if (is_about_faults(options.audience))
        return look_into_faults(bench, sheets, options, [&](double share, const char* what) {
            return go_on(0.5 + 0.45 * share, what);
        });
    if (options.slips && sheets.has_holes()) {
        bool stopped = false;
        const auto slipping = [&](int done, int all) {
            return !(stopped = !go_on(0.5 + 0.3 * done / all, "looking for slips that harm"));
        };
        sheets.slips = slip_report(bench, sheets.wiring(), sheets.placed.placement,
                                   {.only_harm = true, .threads = options.threads, .progress = slipping});
        if (stopped) return false;
    }
    if (!go_on(0.8, "measuring")) return false;
    sheets.levels = link_readings(bench, sheets.wiring());
    if (!go_on(0.83, "making mistakes")) return false;
    if (has_answers(options.audience))
        sheets.wrong = wrong_levels(bench, sheets.placed, sheets.levels);
    if (!go_on(0.9, "measuring")) return false;
    sheets.wires = build_wires(sheets.placed);
    sheets.phases = build_phases(bench, sheets.placed, sheets.wires, sheets.levels);
    sheets.ohms = ohm_checks(bench, sheets.placed);
    sheets.currents = rail_currents(bench, sheets.wiring());
    sheets.order = power_order(bench, sheets.judgement);
    sheets.spares = options.spares;
    sheets.kit = kit_list(bench, sheets.placed, sheets.wires, options.seats, options.spares);
    sheets.exercises = exercises_of(bench, sheets.levels);
    if (has_questions(options.audience)) {
        if (!go_on(0.93, "asking questions")) return false;
        sheets.questions = make_questions(bench, sheets.wiring(), options.seats, options.question_seed);
    }
    if (has_answers(options.audience)) {
        sheets.time = time_plan(work_counts(sheets), options.time_rates, options.time_logs);
        sheets.stock = stock_report(bench, sheets.wiring(), options.seats, options.spares);
    }
    return go_on(0.95, "writing");
}

Version read_version(std::string_view bytes, const std::string& file, const Includer& include) {
    Version v;
    std::string all(bytes);
    const Includer noting = [&](const std::string& path) {
        auto more = include ? include(path) : std::nullopt;
        if (more) all += *more;
        return more;
    };
    BenchReading reading = read_for_job(bytes, file, noting);
    v.bench = std::move(reading.bench);
    v.problems = std::move(reading.problems);
    v.sheets.version = version_of(all);
    if (v.bench) wire_up(v, bytes, file);
    return v;
}

std::string step_words(const Sheets& sheets, const BuildStep& step) {
    if (step.wire == 0) return step.text;
    const auto wire = std::ranges::find(sheets.wires, step.wire, &BuildWire::number);
    return fmt::format("Wire from {} to {}{}", wire->from, wire->to,
                       wire->colour.empty() ? "" : ", " + wire->colour);
}

std::vector<std::string> steps_in_words(const Sheets& sheets) {
    std::vector<std::string> out;
    for (const BuildPhase& phase : sheets.phases)
        for (const BuildStep& step : phase.steps) out.push_back(step_words(sheets, step));
    return out;
}

/// Sheets that read differently, their version aside.
std::vector<std::string> differing(const Version& before, const Version& now, Audience audience) {
    std::vector<std::string> out;
    Sheets alike = before.sheets;
    alike.version = now.sheets.version;
    const auto old = sheets_for(audience, *before.bench, alike);
    for (const NamedDocument& sheet : sheets_for(audience, *now.bench, now.sheets)) {
        const auto was = std::ranges::find(old, sheet.name, &NamedDocument::name);
        if (was == old.end() || doc::render_markdown(was->document) != doc::render_markdown(sheet.document))
            out.push_back(sheet.name);
    }
    return out;
}

ChangeList compared(const Version& before, const Version& now, Audience audience) {
    ChangeList out{.old_version = before.sheets.version};
    out.changes = changes_between({*before.bench, before.sheets.wiring(), before.sheets.wires},
                                  {*now.bench, now.sheets.wiring(), now.sheets.wires});
    out.sheets = differing(before, now, audience);
    const std::vector<std::string> old = steps_in_words(before.sheets);
    for (std::string& step : steps_in_words(now.sheets))
        if (std::ranges::find(old, step) == old.end()) out.steps.push_back(std::move(step));
    return out;
}

}  // namespace

std::string version_of(std::string_view bytes, std::size_t digits) {
    SHA2_CTX context;
    std::uint8_t digest[SHA256_DIGEST_LENGTH];
    SHA256Init(&context);
    SHA256Update(&context, reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
    SHA256Final(digest, &context);
    return fmt::format("{:02x}", fmt::join(digest, "")).substr(0, digits);
}

SheetsResult make_sheets(std::string_view bytes, const std::string& file, const Includer& include,
                         const SheetsOptions& options, const Progress& progress) {
    SheetsResult out;
    if (progress && !progress(0.0, "planning")) {
        out.cancelled = true;
        return out;
    }
    Version now = read_version(bytes, file, include);
    out.problems = now.problems;
    if (!now.bench) return out;
    std::optional<Version> before;
    if (options.since) {
        before = read_version(*options.since, options.since_file, options.since_include);
        out.since_problems = before->problems;
        if (!before->bench) return out;
    }
    out.misused = unknown_boards(*now.bench, options.place.boards);
    if (!out.misused.empty()) {
        out.bench = std::move(now.bench);
        return out;
    }
    const double half = before ? 0.5 : 1.0;
    out.cancelled =
        !fill(now, options, progress, 0.0, half) || (before && !fill(*before, options, progress, half, 1.0));
    if (!out.cancelled) {
        if (before) out.changes = compared(*before, now, options.audience);
        out.documents = sheets_for(options.audience, *now.bench, now.sheets, out.changes);
        out.script = exercise_script(*now.bench, now.sheets.version, now.sheets.exercises);
    }
    out.bench = std::move(now.bench);
    out.sheets = std::move(now.sheets);
    return out;
}

}  // namespace voltsill
