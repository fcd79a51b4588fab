/// sheets: what to print for building, testing, learning and teaching.
#include "cli/sheets.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "cli/build_options.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "engine/question_package.h"
#include "printing/sheet_pdf.h"

namespace voltsill::cli {
namespace {

/// All sheets one after the other, for a screen.
std::string all_shown(const SheetsCommand& o, const std::vector<NamedDocument>& sheets) {
    std::string out;
    for (const NamedDocument& sheet : sheets) out += (out.empty() ? "" : "\n") + shown(sheet.document, o, !o.quiet);
    return out;
}

/// Nothing and a complaint when a page cannot be made.
std::optional<std::string> pdf_of(const SheetsCommand& o, const SheetsResult& result,
                                  const NamedDocument& sheet) {
    printing::Pdf pdf = printing::sheet_pdf(result, sheet, o.paper);
    if (!pdf.trouble.empty()) complain(fmt::format("{}.pdf: {}", sheet.name, pdf.trouble), o);
    if (pdf.bytes.empty()) return std::nullopt;
    return std::move(pdf.bytes);
}

/// Nothing when one of them cannot be made: then none is written.
std::optional<Files> files_of(const SheetsCommand& o, const SheetsResult& result) {
    Files files;
    const bool chosen = o.form == Form::html || o.form == Form::markdown || o.pdf;
    for (const NamedDocument& sheet : result.documents) {
        if (!chosen || o.form == Form::html)
            files.emplace_back(sheet.name + ".html", doc::render_html(sheet.document));
        if (!chosen || o.form == Form::markdown)
            files.emplace_back(sheet.name + ".md", doc::render_markdown(sheet.document));
        if (!o.pdf) continue;
        auto pdf = pdf_of(o, result, sheet);
        if (!pdf) return std::nullopt;
        files.emplace_back(sheet.name + ".pdf", std::move(*pdf));
    }
    files.emplace_back("sheets.json", to_json(result));
    if (has_questions(o.what.audience))
        files.emplace_back("questions.csv", questions_csv(result.sheets.questions, false));
    if (has_answers(o.what.audience)) {
        files.emplace_back("question-key.csv", questions_csv(result.sheets.questions, true));
        files.emplace_back("questions-qti.zip", qti_package(result.sheets.questions, result.bench->title));
    }
    if (has_answers(o.what.audience) || o.script)
        files.emplace_back("exercise.sh", result.script);
    return files;
}

bool write_all(const SheetsCommand& o, const Files& files) {
    if (!write_files(files, o)) return false;
    std::vector<std::string> names;
    for (const auto& [name, bytes] : files) names.push_back(name);
    if (!o.quiet && o.form != Form::json) print_out(fmt::format("Written to {}: {}", o.out, fmt::join(names, ", ")), o);
    return true;
}

/// What a course knows better than common practice. The exit code: 0 to go on.
int read_course_figures(SheetsCommand& o) {
    Problems problems;
    const auto read = [&](const std::string& path, const auto& take) {
        if (path.empty()) return true;
        const auto bytes = bytes_of(path, o);
        if (bytes) take(*bytes);
        return bytes.has_value();
    };
    const bool there =
        read(o.spares, [&](const std::string& b) { o.what.spares = read_spare_rates(b, o.spares, problems); }) &&
        read(o.minutes, [&](const std::string& b) { o.what.time_rates = read_time_rates(b, o.minutes, problems); }) &&
        read(o.log, [&](const std::string& b) { o.what.time_logs = read_time_log(b, o.log, problems); });
    return there ? show_problems(problems, o) : refused;
}

/// Complains and is false when what was typed cannot be.
bool usable(SheetsCommand& o) {
    for (const auto& [word, audience] : audience_words)
        if (o.audience == word) o.what.audience = audience;
    if (o.script && is_about_faults(o.what.audience)) {
        give_up(wrong_use, "--script prints exercises, which sheets about faults have none of: use another --for", o);
        return false;
    }
    if (o.pdf && o.out.empty()) {
        give_up(wrong_use, "--pdf writes files; say where with --out DIR", o);
        return false;
    }
    if (o.form == Form::html && o.out.empty() &&
        (has_answers(o.what.audience) || o.what.audience == Audience::planted)) {
        give_up(wrong_use,
                "--html without --out prints one page: use --for build, test, learner, faults or fault-causes, "
                "or --out DIR",
                o);
        return false;
    }
    return true;
}

}  // namespace

void add_sheets_options(CLI::App& app, SheetsCommand& o) {
    std::vector<std::string> words;
    for (const auto& [word, audience] : audience_words) words.emplace_back(word);
    app.add_option("--for", o.audience, "who reads: build, test, learner, instructor or all of these; or\n"
                   "faults, fault-causes or planted, which are made apart")
        ->check(CLI::IsMember(words))
        ->type_name("WHO");
    app.add_flag("--pdf", o.pdf, "write PDF files (with --out)");
    app.add_flag("--script", o.script, "print the exercises as a shell script for GPIO lines");
    app.add_option("--seats", o.what.seats, "how many seats the parts list and the labels are for")
        ->check(CLI::Range(1, most_seats))
        ->type_name("N");
    app.add_option("--question-seed", o.what.question_seed,
                   "of the questions and the planted faults; the same seed gives the same")
        ->type_name("N");
    app.add_option("--spares", o.spares, "CSV of kind, share: what breaks in this course")->type_name("FILE");
    app.add_option("--minutes", o.minutes, "CSV of phase, minutes an item: what this course takes")->type_name("FILE");
    app.add_option("--log", o.log, "CSV of phase, minutes: what courses took; corrects the time plan")
        ->type_name("FILE");
    app.add_option("--paper", o.paper, "a4 or letter")->check(CLI::IsMember({"a4", "letter"}));
    app.add_option("--boards", o.what.place.boards, "kinds of solderless boards, the last repeated as needed")
        ->type_name("KIND")
        ->delimiter(',');
    app.add_option("--seed", o.what.place.seed, "of the placement; the same seed gives the same places")
        ->type_name("N");
    app.add_option("--effort", o.what.place.effort, "of the placement; 1 takes about a second")
        ->check(CLI::Range(0.01, 1000.0))
        ->type_name("X");
    add_jobs_option(app, o.what.threads);
    app.add_option("--since", o.since, "an older version of the bench: say what changed")->type_name("OLD");
    app.footer(
        "Writes with --out: a file a sheet (build, test, learner, answers, lesson, lesson-notes, questions,\n"
        "question-key, card, parts, count-out, count-back, labels, exercises, changes; faults; fault-causes;\n"
        "planted, find-the-fault), sheets.json,\n"
        "questions.csv, question-key.csv, questions-qti.zip (IMS QTI 2.1) and exercise.sh; learners get no\n"
        "answers. Ctrl-C writes nothing; the exit code is 130.\n"
        "Examples:\n"
        "  voltsill sheets examples/first-bench.toml --for build\n"
        "  voltsill sheets examples/rain-garden.toml --for all --seats 12 --out build/sheets\n"
        "  voltsill sheets examples/rain-garden.toml --for learner --pdf --paper letter --out build/sheets\n"
        "  voltsill sheets examples/rain-garden.toml --for instructor --seats 12 --log minutes.csv --out class\n"
        "  voltsill sheets examples/rain-garden.toml --for fault-causes --pdf --out build/chart\n"
        "  voltsill sheets examples/first-bench.toml --for planted --seats 12 --out build/planted\n"
        "  voltsill sheets new.toml --since old.toml --for build\n"
        "  voltsill sheets examples/rain-garden.toml --script > exercise.sh");
}

int run_sheets(SheetsCommand o) {
    if (!usable(o)) return wrong_use;
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes) return refused;
    if (!o.since.empty()) {
        o.what.since = bytes_of(o.since, o);
        if (!o.what.since) return refused;
        o.what.since_file = o.since;
        o.what.since_include = include_beside(o.since);
    }
    if (const int code = read_course_figures(o); code != 0) return code;
    const Interruptible asked;
    ProgressBar bar(o);
    const SheetsResult result = make_sheets(*bytes, o.bench, include_beside(o.bench), o.what,
                                            [&](double share, const std::string& what) {
                                                bar.show(share, what);
                                                return !Interruptible::asked();
                                            });
    bar.clear();
    if (show_problems(result.problems, o) != 0 || show_problems(result.since_problems, o) != 0)
        return refused;
    if (show_problems(result.misused, o) != 0) return wrong_use;
    if (result.cancelled) return give_up(interrupted, "cancelled; nothing was written", o);
    if (!o.out.empty()) {
        const auto files = files_of(o, result);
        if (!files || !write_all(o, *files)) return wrong_use;
    }
    if (o.form == Form::json)
        print_out(to_json(result), o);
    else if (o.out.empty())
        print_out(o.script ? result.script : all_shown(o, result.documents), o);
    return exit_code(result.problems, result.sheets.judgement.verdict);
}

}  // namespace voltsill::cli
