/// mark: learners' builds against the wiring of a bench; points, feedback, and what the class got wrong.
#include "cli/mark.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <atomic>
#include <cctype>
#include <filesystem>
#include <set>
#include <thread>

#include "cli/build_options.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/marking_report.h"
#include "teaching/printed_build.h"

namespace voltsill::cli {
namespace {

constexpr std::size_t sheets_on_screen = 12;

bool is_table(const std::filesystem::path& path) {
    std::string ending = path.extension().string();
    std::ranges::transform(ending, ending.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return ending == ".csv";
}

/// Files NAME.csv of a folder by name, without the one that holds the instructor's marks.
std::optional<std::vector<std::string>> builds_in(const MarkCommand& o) {
    namespace fs = std::filesystem;
    std::error_code error;
    std::vector<std::string> out, others;
    const auto none = [&](const std::string& why) {
        give_up(wrong_use, fmt::format("{}: {}", o.folder, why), o);
        return std::nullopt;
    };
    if (!fs::exists(o.folder, error)) return none("there is no such folder");
    if (!fs::is_directory(o.folder, error))
        return none("is a file; learners' files lie in a folder, NAME.csv for each learner");
    const fs::path marks = o.marks.empty() ? fs::path() : fs::weakly_canonical(o.marks, error);
    error.clear();
    for (fs::directory_iterator it(o.folder, error), end; !error && it != end; it.increment(error)) {
        std::error_code ignored;
        if (!it->is_regular_file(ignored)) continue;
        if (!is_table(it->path())) {
            others.push_back(it->path().filename().string());
            continue;
        }
        if (!marks.empty() && fs::weakly_canonical(it->path(), ignored) == marks) continue;
        out.push_back(it->path().string());
    }
    if (error) return none(fmt::format("cannot be read ({})", error.message()));
    std::ranges::sort(out);
    std::ranges::sort(others);
    if (!out.empty()) return out;
    constexpr std::size_t shown = 3;
    if (others.size() > shown) others.resize(shown);
    return none(fmt::format(
        "no learners' files here{}; each is NAME.csv. `voltsill mark {} --print-build` prints one to start from",
        others.empty() ? ": the folder is empty" : fmt::format(", only {}", fmt::join(others, ", ")), o.bench));
}

MarkedBuild not_read(const std::string& path, const std::string& why, const PreparedMarking& prepared) {
    MarkedBuild out = mark_build(prepared, "", path);
    out.problems = {{.code = "not-read", .place = {.file = path}, .message = why}};
    return out;
}

/// One after another on each thread; fewer than files when stopped.
std::vector<MarkedBuild> mark_all(const MarkCommand& o, const PreparedMarking& prepared,
                                  const std::vector<std::string>& files, const HandMarks& by_hand, ProgressBar& bar) {
    std::vector<MarkedBuild> out(files.size());
    std::atomic<std::size_t> next = 0, done = 0;
    std::atomic<bool> stopped = false;
    const auto work = [&](bool tells) {
        for (std::size_t k; !stopped && (k = next++) < files.size(); ++done) {
            const auto bytes = read_file(files[k]);
            const auto marks = by_hand.of.find(learner_of(files[k]));
            out[k] = bytes ? mark_build(prepared, *bytes, files[k],
                                        marks == by_hand.of.end() ? std::span<const HandMark>() : marks->second)
                           : not_read(files[k], bytes.error(), prepared);
            if (!tells) continue;
            bar.show(static_cast<double>(done) / static_cast<double>(files.size()), "marking");
            stopped = Interruptible::asked();
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (int k = 1; k < o.threads; ++k) helpers.emplace_back(work, false);
        work(true);
    }
    if (stopped) out.clear();
    return out;
}

/// A learner's name as the name of a file: what could lead elsewhere is left out.
std::string safe_name(const std::string& learner, std::set<std::string>& taken) {
    std::string name;
    for (const char c : learner) name += c == '/' || c == '\\' || static_cast<unsigned char>(c) < 32 ? '_' : c;
    while (!taken.insert(name).second) name += "_";
    return name;
}

Files marked_files(const MarkCommand& o, const MarkedClass& marked) {
    Files files;
    const bool html = o.form != Form::markdown, markdown = o.form != Form::html;
    const auto add = [&](const std::string& name, const doc::Document& sheet) {
        if (html) files.emplace_back(name + ".html", doc::render_html(sheet));
        if (markdown) files.emplace_back(name + ".md", doc::render_markdown(sheet));
    };
    add("class", class_sheet(marked));
    files.emplace_back("marks.csv", marks_csv(marked));
    files.emplace_back("marking.json", to_json(marked));
    std::set<std::string> taken = {"class", "marks", "marking"};
    for (const MarkedBuild& build : marked.builds)
        add(safe_name(build.learner, taken), learner_sheet(marked.title, build));
    return files;
}

int print_build(const MarkCommand& o, const PreparedMarking& prepared) {
    const std::string build = printed_build(prepared);
    if (o.out.empty()) {
        print_out(build, o);
        return 0;
    }
    if (!write_files({{"build.csv", build}}, o)) return wrong_use;
    if (!o.quiet) print_out(fmt::format("Written to {}: build.csv", o.out), o);
    return 0;
}

/// The class, and each learner while there are few; with `quiet` those who have something to mend.
std::string marked_shown(const MarkCommand& o, const MarkedClass& marked) {
    std::string out = shown(class_sheet(marked), o, !o.quiet);
    if (marked.builds.size() > sheets_on_screen) return out;
    for (const MarkedBuild& build : marked.builds)
        if (!o.quiet || !build.as_planned || !build.problems.empty())
            out += "\n" + shown(learner_sheet(marked.title, build), o, !o.quiet);
    return out;
}

/// Rubric and the instructor's marks; false after a complaint.
bool read_inputs(MarkCommand& o) {
    if (!o.rubric.empty()) {
        o.what.rubric = bytes_of(o.rubric, o);
        o.what.rubric_file = o.rubric;
        if (!o.what.rubric) return false;
    }
    return true;
}

void show_file_problems(const MarkCommand& o, const MarkedClass& marked) {
    for (const MarkedBuild& build : marked.builds) show_problems(build.problems, o);
}

/// With `out` the sheets are in files: then only what a program asked for, or that they were written.
void print_class(const MarkCommand& o, const MarkedClass& marked) {
    if (o.csv) {
        print_out(marks_csv(marked), o);
    } else if (o.form == Form::json) {
        print_out(to_json(marked), o);
    } else if (!o.out.empty()) {
        if (!o.quiet) print_out(fmt::format("Written to {}: class sheet, {} sheets, marks.csv, marking.json", o.out,
                                            marked.builds.size()), o);
    } else if (o.form == Form::html || o.form == Form::markdown) {
        print_out(shown(class_sheet(marked), o), o);
    } else {
        show_file_problems(o, marked);
        print_out(marked_shown(o, marked), o);
    }
}

}  // namespace

void add_mark_options(CLI::App& app, MarkCommand& o) {
    app.add_option("FOLDER", o.folder, "folder with a file NAME.csv for each learner");
    app.add_option("--rubric", o.rubric, "what counts, and how much (TOML)")->type_name("FILE");
    app.add_option("--marks", o.marks, "marks given by hand (CSV: learner,criterion,points,note)")->type_name("FILE");
    app.add_flag("--csv", o.csv, "print a table, a row a learner");
    app.add_flag("--print-rubric", o.print_rubric, "print the built-in rubric, to start from");
    app.add_flag("--print-build", o.print_build,
                 "print the planned build as a learner's file, to start from (no FOLDER)");
    app.add_flag("--anonymous", o.anonymous, "pseudonyms for names, and nothing that learners wrote");
    app.add_option("--names-seed", o.names_seed, "of the pseudonyms: the same seed gives the same ones; keep it secret")
        ->type_name("N");
    add_options_of_sheets(app, o.what.place);
    add_jobs_option(app, o.threads);
    app.footer(
        "Writes with --out: the class sheet, a sheet for each learner, marks.csv, marking.json.\n"
        "Ctrl-C writes nothing; the exit code is 130. Exit code 1: a build may harm or does not work, or a\n"
        "file has a mistake.\n"
        "Examples:\n"
        "  voltsill mark examples/first-bench.toml examples/class\n"
        "  voltsill mark examples/first-bench.toml examples/class --csv\n"
        "  voltsill mark --print-rubric > rubric.toml\n"
        "  voltsill mark examples/first-bench.toml --print-build > builds/anna.csv\n"
        "  voltsill mark bench.toml builds --rubric rubric.toml --marks by-hand.csv --out marked");
}

int run_mark(MarkCommand o) {
    if (o.print_rubric) {
        print_out(std::string(default_rubric_text()), o);
        return 0;
    }
    if (o.bench.empty() || (o.folder.empty() && !o.print_build))
        return give_up(wrong_use, "say which bench and which folder: voltsill mark BENCH FOLDER", o);
    if (o.print_build && !o.folder.empty())
        return give_up(wrong_use, "--print-build is made from the bench alone: leave out the folder", o);
    const auto bytes = bytes_of(o.bench, o);
    if (!bytes || !read_inputs(o)) return refused;
    const auto files = o.print_build ? std::optional(std::vector<std::string>()) : builds_in(o);
    if (!files) return wrong_use;
    const Interruptible asked;
    ProgressBar bar(o);
    const MarkingReady ready =
        prepare_marking(*bytes, o.bench, include_beside(o.bench), o.what, [&](double share, const std::string& what) {
            bar.show(share * 0.5, what);
            return !Interruptible::asked();
        });
    bar.clear();
    if (show_problems(ready.problems, o) != 0 || show_problems(ready.rubric_problems, o) != 0) return refused;
    if (show_problems(ready.misused, o) != 0) return wrong_use;
    if (o.print_build && ready.prepared) return print_build(o, *ready.prepared);
    HandMarks by_hand;
    if (!o.marks.empty() && ready.prepared) {
        const auto marks = bytes_of(o.marks, o);
        if (!marks) return refused;
        by_hand = read_hand_marks(*marks, o.marks, ready.prepared->rubric());
        if (show_problems(by_hand.problems, o) != 0) return refused;
    }
    std::vector<MarkedBuild> builds;
    if (ready.prepared) builds = mark_all(o, *ready.prepared, *files, by_hand, bar);
    bar.clear();
    if (builds.empty()) return give_up(interrupted, "cancelled; nothing was written", o);
    MarkedClass marked = class_of(*ready.prepared, std::move(builds));
    if (o.anonymous) marked = without_names(std::move(marked), o.names_seed);
    if (!o.out.empty() && !write_files(marked_files(o, marked), o)) return wrong_use;
    print_class(o, marked);
    return exit_code(marked);
}

}  // namespace voltsill::cli
