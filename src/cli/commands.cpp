/// check, plan and readings: read, call the engine once, show.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "cli/files.h"
#include "cli/options.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/reports.h"

namespace voltsill::cli {
namespace {

/// The verdict, then a line for everything worse than thin. A sentence that several states share
/// stands once.
std::string wrong_only(const Judgement& j) {
    std::map<Verdict, int> count;
    for (const LinkJudgement& link : j.links) ++count[link.verdict];
    std::string words;
    for (auto at = count.rbegin(); at != count.rend(); ++at)
        words += fmt::format("{}{} {} {}", words.empty() ? "" : ", ", at->second, to_sign(at->first),
                             to_word(at->first));
    std::vector<std::string> lines = {fmt::format("{} {} - links: {}", to_sign(j.verdict), to_word(j.verdict),
                                                  words.empty() ? "none" : words)};
    for (const Finding& f : j.findings) {
        if (f.verdict <= Verdict::thin) continue;
        const std::string& at = !f.link.empty() ? f.link : !f.part.empty() ? f.part : f.net;
        std::string line = fmt::format("{}: {}", at, f.sentence.empty() ? f.arithmetic : f.sentence);
        if (std::ranges::find(lines, line) == lines.end()) lines.push_back(std::move(line));
    }
    if (!j.trouble.empty()) lines.push_back(j.trouble);
    return fmt::format("{}", fmt::join(lines, "\n"));
}

}  // namespace

int run_check(const Options& o) {
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes) return refused;
    CheckResult result = check(*bytes, o.bench, include_beside(o.bench));
    const bool for_programs = o.form == Form::sarif || o.form == Form::junit;
    if (!for_programs && show_problems(result.problems, o) != 0) return refused;
    Files files;
    if (for_programs) {
        result.problems = with_nearest_files(std::move(result.problems));
        const bool sarif = o.form == Form::sarif;
        files.emplace_back(sarif ? "check.sarif" : "check.xml",
                           sarif ? to_sarif(result, VOLTSILL_VERSION) : to_junit(result));
        print_out(files.front().second, o);
    }
    if (result.bench) {
        const doc::Document document = check_report(*result.bench, result.judgement, &result.wiring);
        if (o.form == Form::json)
            print_out(to_json(result), o);
        else if (o.quiet && o.form == Form::terminal)
            print_out(wrong_only(result.judgement), o);
        else if (!for_programs)
            print_out(shown(document, o, !o.quiet), o);
        if (!o.out.empty())
            files.insert(files.end(), {{"check.html", doc::render_html(document)},
                                       {"check.md", doc::render_markdown(document)},
                                       {"check.json", to_json(result)}});
    }
    if (!o.out.empty() && !write_report(files, o)) return wrong_use;
    return exit_code(result.problems, result.judgement.verdict);
}

int run_plan(const Options& o) {
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes) return refused;
    const PlanResult result = make_plan(*bytes, o.bench, include_beside(o.bench));
    if (show_problems(result.problems, o) != 0) return refused;
    const doc::Document document = plan_report(*result.bench, result.plan);
    if (o.form == Form::json)
        print_out(to_json(result), o);
    else if (o.quiet && o.form == Form::terminal)
        print_out(wrong_only(result.plan.judgement), o);
    else
        print_out(shown(document, o, !o.quiet), o);
    if (!o.out.empty()) {
        const auto wired = wired_bench(*bytes, o.bench, result.plan.wiring, [&](const std::string& path) {
            return seen_from(o.out, o.bench, path);
        });
        if (!wired) return show_problems(wired.error(), o);
        if (!write_report({{"report.html", doc::render_html(document)},
                           {"report.md", doc::render_markdown(document)},
                           {"plan.json", to_json(result)},
                           {"wired.toml", *wired}},
                          o))
            return wrong_use;
    }
    return exit_code(result.problems, result.plan.judgement.verdict);
}

int run_readings(const Options& o) {
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes) return refused;
    const ReadingsResult result = predict(*bytes, o.bench, include_beside(o.bench));
    if (show_problems(result.problems, o) != 0) return refused;
    const doc::Document document = readings_report(*result.bench, result.readings, result.planned);
    print_out(o.form == Form::json ? to_json(result) : shown(document, o, !o.quiet), o);
    if (!o.out.empty() && !write_report({{"readings.html", doc::render_html(document)},
                                         {"readings.md", doc::render_markdown(document)},
                                         {"readings.json", to_json(result)}}, o))
        return wrong_use;
    return 0;
}

}  // namespace voltsill::cli
