/// trace: links over time, with a bar while it runs; Ctrl-C ends it with what there is.
#include "cli/trace.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <set>

#include "cli/build_options.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/reports.h"
#include "judging/traced.h"
#include "quantity/parse.h"

namespace voltsill::cli {
namespace {

/// "tank echo" is "tank-echo"; names that come to the same are numbered.
std::vector<std::string> file_names(const std::vector<LinkTrace>& traces) {
    std::vector<std::string> names;
    std::set<std::string> taken;
    for (const LinkTrace& trace : traces) {
        std::string name;
        for (const char c : trace.link) {
            const bool letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'),
                       capital = c >= 'A' && c <= 'Z';
            if (letter || capital)
                name += static_cast<char>(capital ? c - 'A' + 'a' : c);
            else if (!name.empty() && name.back() != '-')
                name += '-';
        }
        while (name.ends_with('-')) name.pop_back();
        if (name.empty()) name = "link";
        std::string unique = name;
        for (int k = 2; !taken.insert(unique).second; ++k) unique = fmt::format("{}-{}", name, k);
        names.push_back(std::move(unique));
    }
    return names;
}

Verdict worst_of(const std::vector<LinkTrace>& traces) {
    Verdict worst = Verdict::safe;
    for (const LinkTrace& trace : traces) worst = worse(worst, verdict_of(trace));
    return worst;
}

/// One line for everything worse than thin.
std::string wrong_only(const std::vector<LinkTrace>& traces) {
    const Verdict worst = worst_of(traces);
    std::string out = fmt::format("{} {} - links: {}", to_sign(worst), to_word(worst), traces.size());
    for (const LinkTrace& trace : traces) {
        if (verdict_of(trace) > Verdict::thin) out += fmt::format("\n{}: {}", trace.link, sentence_of(trace));
        if (trace.cancelled)
            out +=
                fmt::format("\n{}: cancelled after {} of {} samples", trace.link, trace.samples, trace.asked);
    }
    return out;
}

bool write_all(const TraceCommand& o, const TraceResult& result, const doc::Document& document) {
    Files files{{"trace.html", doc::render_html(document)},
                {"trace.md", doc::render_markdown(document)},
                {"trace.json", to_json(result)}};
    const std::vector<std::string> names = file_names(result.traces);
    for (std::size_t k = 0; k < names.size(); ++k) {
        if (result.traces[k].points.empty()) continue;
        files.emplace_back(names[k] + ".svg", trace_svg(result.traces[k]));
        files.emplace_back(names[k] + ".csv", trace_csv(result.traces[k]));
    }
    return o.svg || o.csv ? write_files(files, o) : write_report(files, o);
}

void print_result(const TraceCommand& o, const TraceResult& result, const doc::Document& document) {
    if (o.svg || o.csv) {
        Options plain = o;
        plain.form = o.svg ? Form::html : Form::terminal;  // for --ascii: references in SVG
        print_out(o.svg ? trace_svg(result.traces.front()) : trace_csv(result.traces.front()), plain);
    } else if (o.form == Form::json) {
        print_out(to_json(result), o);
    } else if (o.quiet && o.form == Form::terminal) {
        print_out(wrong_only(result.traces), o);
    } else {
        print_out(shown(document, o), o);
    }
}

/// Complains and is false when what was typed is no rate.
bool read_rate(TraceCommand& o) {
    if (o.rate.empty()) return true;
    const auto span = parse<Hertz>(o.rate);
    if (span && span->lo == span->hi) {
        o.what.rate = span->nominal.si();
        return true;
    }
    give_up(wrong_use, span ? fmt::format("--rate \"{}\": one rate is needed, not a range", o.rate)
                  : fmt::format("--rate \"{}\": {}; expected {}", o.rate, span.error().message,
                                span.error().expected),
             o);
    return false;
}

}  // namespace

void add_trace_options(CLI::App& app, TraceCommand& o) {
    app.add_option("LINK", o.what.links, "names of links; a bench with one link needs none");
    CLI::Option* all = app.add_flag("--all", o.what.all, "every link");
    app.get_option("LINK")->excludes(all);
    CLI::Option* samples = app.add_option_function<int>(
        "--samples", [&o](const int& n) { o.what.samples = n; },
        "draw that many samples from the tolerances of all figures");
    samples->type_name("N");
    app.add_option("--seed", o.what.seed, "of the samples; the same seed gives the same samples")
        ->type_name("N");
    app.add_option_function<std::uint64_t>(
           "--replay", [&o](const std::uint64_t& n) { o.what.replay = n; },
           "run the sample of that index alone, beside the nominal")
        ->type_name("INDEX")
        ->excludes(samples);
    app.add_option("--rate", o.rate, "bits a second, in place of the bench's: \"1 MHz\"")->type_name("RATE");
    add_jobs_option(app, o.what.threads);
    app.add_flag("--svg", o.svg, "print the drawing of one link as SVG");
    app.add_flag("--csv", o.csv, "print the waves of one link as CSV");
    app.footer(
        "Writes with --out: trace.html, trace.md, trace.json, and an SVG and a CSV file a link.\n"
        "Ctrl-C ends a run with the samples it has; the exit code is then 130.\nExamples:\n"
        "  voltsill trace examples/rain-garden.toml \"tank echo\"\n"
        "  voltsill trace examples/rain-garden.toml --all --samples 256 --out build/traces\n"
        "  voltsill trace examples/rain-garden.toml \"tank echo\" --replay 17 --seed 1\n"
        "  voltsill trace examples/rain-garden.toml \"tank echo\" --rate \"1 MHz\" --svg > echo.svg");
}

int run_trace(TraceCommand o) {
    if (!read_rate(o)) return wrong_use;
    if ((o.svg || o.csv) && (o.what.all || o.what.links.size() > 1)) {
        return give_up(wrong_use, "--svg and --csv print one link; name one, or use --out DIR for a file each", o);
    }
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes) return refused;
    const Interruptible asked;
    ProgressBar bar(o);
    const TraceResult result =
        trace(*bytes, o.bench, include_beside(o.bench), o.what, [&](double share, const std::string& what) {
            bar.show(share, what);
            return !Interruptible::asked();
        });
    bar.clear();
    const bool interrupted_run = Interruptible::asked();
    if (show_problems(result.problems, o) != 0) return refused;
    if (show_problems(result.misused, o) != 0) return wrong_use;
    const doc::Document document = trace_report(*result.bench, result.traces);
    if ((o.svg || o.csv) && (result.traces.empty() || result.traces.front().points.empty()))
        complain(result.traces.empty() ? "nothing was run" : result.traces.front().trouble, o);
    else
        print_result(o, result, document);
    if (!o.out.empty() && !write_all(o, result, document)) return wrong_use;
    if (interrupted_run) {
        complain("cancelled; what is shown is partial", o);
        return interrupted;
    }
    return exit_code(result.problems, worst_of(result.traces));
}

}  // namespace voltsill::cli
