/// voltsill: what may be joined, what needs an interface circuit, what every point will read.
#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <span>

#include "cli/capture.h"
#include "cli/completion.h"
#include "cli/diagnose.h"
#include "cli/manual.h"
#include "cli/mark.h"
#include "cli/misused.h"
#include "cli/options.h"
#include "cli/serve.h"
#include "cli/sheets.h"
#include "cli/trace.h"
#include "engine/file_reference.h"
#include "faults/readings_file.h"
#include "parts/part_records.h"

namespace {

using namespace voltsill::cli;

const char* const about =
    "Checks and plans benches of parts whose supplies differ.\n"
    "Extra-low voltage only. Figures are as good as their sources; local codes and licensed\n"
    "practice come first.";

const char* const exit_codes =
    "Exit codes: 0 nothing worse than thin; 1 something worse; 2 wrong use; 3 input refused.";

/// At most one of these flags: a result has one form.
void exclusive(CLI::App& app, const std::vector<std::string>& flags) {
    for (const std::string& flag : flags)
        for (const std::string& other : flags)
            if (flag != other) app.get_option(flag)->excludes(app.get_option(other));
}

void add_common(CLI::App& app, Options& o, bool bench) {
    if (bench) app.add_option("BENCH", o.bench, "bench file (TOML)")->required();
    app.add_flag_callback(
        "--json", [&o] { o.form = Form::json; }, "print JSON (schema: docs/result.schema.json)");
    app.add_flag_callback(
        "--html", [&o] { o.form = Form::html; }, "print a self-contained HTML page");
    app.add_flag_callback(
        "--markdown", [&o] { o.form = Form::markdown; }, "print Markdown");
    exclusive(app, {"--json", "--html", "--markdown"});
    app.add_option("--out", o.out, "write report files into this folder")->type_name("DIR");
    app.add_flag("--quiet,-q", o.quiet, "only what is wrong");
    app.add_option("--colour,--color", o.colour, "auto, always or never")
        ->check(CLI::IsMember({"auto", "always", "never"}));
    app.add_flag("--ascii", o.ascii, "no characters beyond ASCII");
    app.add_option("--width", o.width, "columns, 40 to 200")->check(CLI::Range(40, 200));
}

/// The program: its commands, what was asked of them, and the code it ends with.
struct Program {
    CLI::App app{about, "voltsill"};
    int code = 0;
    Options check, plan, readings;
    CaptureCommand capture;
    TraceCommand trace;
    SheetsCommand sheets;
    MarkCommand mark;
    DiagnoseCommand diagnose;
    ServeCommand serve;
    PartsOptions parts;
    std::string which = "bench";  ///< schema
    Options tables;
    bool as_tables = false;
    std::string shell;  ///< completion

    Program();
    void add_check();
    void add_plan();
    void add_readings();
    void add_capture();
    void add_trace();
    void add_sheets();
    void add_mark();
    void add_diagnose();
    void add_serve();
    void add_parts();
    void add_schema();
    void add_completion();
    void add_manual();
    int run(int argc, char** argv);
};

void Program::add_check() {
    CLI::App* command =
        app.add_subcommand("check", "judge a bench as it stands: its links joined directly, or its [wiring]");
    add_common(*command, check, true);
    command->add_flag_callback(
        "--sarif", [this] { check.form = Form::sarif; }, "print SARIF 2.1.0");
    command->add_flag_callback(
        "--junit", [this] { check.form = Form::junit; }, "print JUnit XML, one case per link");
    exclusive(*command, {"--json", "--html", "--markdown", "--sarif", "--junit"});
    command->footer(
        "Writes with --out: check.html, check.md, check.json; with --sarif check.sarif too, with --junit check.xml.\n"
        "Example: voltsill check examples/first-bench.toml");
    command->callback([this] { code = run_check(check); });
}

void Program::add_plan() {
    CLI::App* command =
        app.add_subcommand("plan", "choose interface circuits, pack them, wire them pin by pin");
    add_common(*command, plan, true);
    command->footer(
        "Writes with --out: report.html, report.md, plan.json, wired.toml (check reads it back).\n"
        "Example: voltsill plan examples/rain-garden.toml --out build/rain-garden");
    command->callback([this] { code = run_plan(plan); });
}

void Program::add_readings() {
    CLI::App* command =
        app.add_subcommand("readings", "expected steady readings at every point, state by state");
    add_common(*command, readings, true);
    command->footer("Writes with --out: readings.html, readings.md, readings.json.\n"
                    "Example: voltsill readings examples/first-bench.toml");
    command->callback([this] { code = run_readings(readings); });
}

void Program::add_capture() {
    CLI::App* command =
        app.add_subcommand("capture", "hold a capture of an instrument (VCD, CSV) against the bench");
    add_common(*command, capture, true);
    add_capture_options(*command, capture);
    command->callback([this] { code = run_capture(capture); });
}

void Program::add_trace() {
    CLI::App* command =
        app.add_subcommand("trace", "follow links over time: waves, measures, yields over tolerances");
    add_common(*command, trace, true);
    add_trace_options(*command, trace);
    exclusive(*command, {"--json", "--html", "--markdown", "--svg", "--csv"});
    command->callback([this] { code = run_trace(trace); });
}

void Program::add_sheets() {
    CLI::App* command =
        app.add_subcommand("sheets", "sheets to build, test, learn and teach by: steps, readings, lists, labels");
    add_common(*command, sheets, true);
    add_sheets_options(*command, sheets);
    exclusive(*command, {"--json", "--html", "--markdown", "--script"});
    command->callback([this] { code = run_sheets(sheets); });
}

void Program::add_mark() {
    CLI::App* command =
        app.add_subcommand("mark", "mark learners' builds: points, feedback, what the class got wrong");
    command->add_option("BENCH", mark.bench, "bench file (TOML)");
    add_common(*command, mark, false);
    add_mark_options(*command, mark);
    exclusive(*command, {"--json", "--html", "--markdown", "--csv"});
    command->callback([this] { code = run_mark(mark); });
}

void Program::add_diagnose() {
    CLI::App* command = app.add_subcommand(
        "diagnose", "find the fault of a build from readings, and choose the next reading");
    add_common(*command, diagnose, true);
    add_diagnose_options(*command, diagnose);
    command->callback([this] { code = run_diagnose(diagnose); });
}

void Program::add_serve() {
    CLI::App* command =
        app.add_subcommand("serve", "the page: draw up, check, plan and print a bench in a browser");
    add_serve_options(*command, serve);
    command->callback([this] { code = run_serve(serve); });
}

void Program::add_parts() {
    CLI::App* command =
        app.add_subcommand("parts", "list, search and show parts with their sources; check a part file");
    add_common(*command, parts, false);
    command->require_subcommand(1);
    const auto action = [&](const char* name, const char* text, const char* words, bool needed, const char* example) {
        CLI::App* sub = command->add_subcommand(name, text);
        sub->footer(std::string("Example: voltsill parts ") + example);
        sub->fallthrough();
        if (words) {
            CLI::Option* option = sub->add_option(words, parts.words);
            if (needed) option->required();
        }
        sub->callback([&, name] {
            parts.action = name;
            code = run_parts(parts);
        });
    };
    action("list", "every part type, and every trait for pins of one's own", nullptr, false, "list");
    action("search", "parts and traits that hold all the words; exit code 1: nothing does", "WORDS", true,
           "search open collector");
    action("show", "one part or trait, every figure with its source", "NAME", true, "show \"LVC 245\"");
    action("check", "read a part file and report every mistake", "FILE", true, "check my-parts.toml");
    action("import", "make a part file from a model of an IBIS file; without --model or --pin, list them",
           "FILE", true, "import examples/ibis/octal-buffer.ibs --model OUT_24 --out parts");
    CLI::App* import_command = command->get_subcommand("import");
    import_command->add_option("--model", parts.model, "model or model selector, as the file names it");
    import_command->add_option("--pin", parts.pin, "pin number: its model and its package");
    action("schema", "JSON Schema of part files, for editors", nullptr, false, "schema > parts.schema.json");
    command->footer(
        "Writes with --out: list and search parts.html, parts.md, parts.json; show the same three by the\n"
        "part's name; import NAME.toml. check and schema write no files.\n"
        "Examples:\n  voltsill parts search open collector\n  voltsill parts show \"LVC 245\"\n"
        "  voltsill parts show \"TTL input, 5 V\"\n  voltsill parts check my-parts.toml");
}

void Program::add_schema() {
    CLI::App* command =
        app.add_subcommand("schema", "JSON Schemas: of bench files (default), part files, readings files or results");
    command->add_option("WHICH", which)->check(CLI::IsMember({"bench", "parts", "readings", "results"}));
    command->add_flag("--tables", as_tables, "every key of such a file as tables to read");
    command->add_flag_callback(
        "--markdown", [this] { tables.form = Form::markdown; }, "these tables as Markdown")->needs("--tables");
    command
        ->add_flag_callback(
            "--html", [this] { tables.form = Form::html; }, "these tables as a self-contained HTML page")
        ->needs("--tables");
    command->footer("Examples:\n  voltsill schema > bench.schema.json\n  voltsill schema parts --tables");
    command->callback([this] {
        const std::string schema = which == "bench"      ? voltsill::bench_schema()
                                   : which == "parts"    ? voltsill::part_file_schema()
                                   : which == "readings" ? voltsill::readings_schema()
                                                         : voltsill::result_schema();
        if (as_tables && which == "results") {
            complain("results are read by programs: their schema has no tables", tables);
            code = wrong_use;
        } else {
            print_out(as_tables ? shown(voltsill::file_reference(schema), tables) : schema);
        }
    });
}

void Program::add_completion() {
    CLI::App* command = app.add_subcommand("completion", "print completion for a shell");
    command->add_option("SHELL", shell, "bash, zsh or fish")
        ->required()
        ->check(CLI::IsMember({"bash", "zsh", "fish"}));
    command->footer("Example: source <(voltsill completion bash)");
    command->callback([this] { print_out(completion(app, shell)); });
}

void Program::add_manual() {
    CLI::App* command = app.add_subcommand("manual", "print the manual page, which is made of these very words");
    command->footer("Example: voltsill manual | man -l -");
    command->callback([this] { print_out(manual_page(app, VOLTSILL_VERSION)); });
}

Program::Program() {
    app.footer(std::string(exit_codes) +
               "\n\nExamples:\n"
               "  voltsill check examples/first-bench.toml\n"
               "  voltsill plan examples/rain-garden.toml --out build/rain-garden\n"
               "  voltsill readings examples/rain-garden.toml\n"
               "  voltsill trace examples/rain-garden.toml \"tank echo\"\n"
               "  voltsill sheets examples/rain-garden.toml --out build/sheets\n"
               "  voltsill mark examples/first-bench.toml examples/class\n"
               "  voltsill diagnose examples/rain-garden.toml --reading \"tank echo fails\"\n"
               "  voltsill serve examples/rain-garden.toml\n"
               "  voltsill parts show \"HCT 541\"");
    app.set_version_flag("--version", std::string("voltsill ") + VOLTSILL_VERSION);
    app.require_subcommand(1);
    add_check();
    add_plan();
    add_readings();
    add_capture();
    add_trace();
    add_sheets();
    add_mark();
    add_diagnose();
    add_serve();
    add_parts();
    add_schema();
    add_completion();
    add_manual();
}

int Program::run(int argc, char** argv) {
    const std::span<const char* const> arguments(argv, static_cast<std::size_t>(argc));
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == 0) return app.exit(error);  // help or version was asked for
        Options options;
        if (std::ranges::find(arguments, std::string_view("--json")) != arguments.end()) options.form = Form::json;
        std::string sentence = misuse(app, arguments, error);
        if (options.form != Form::json)
            sentence += fmt::format("\n`{} --help` says what there is", command_meant(app, arguments));
        return give_up(wrong_use, sentence, options);
    }
    if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
        complain("standard output could not be written", {});
        return wrong_use;
    }
    return code;
}

}  // namespace

int main(int argc, char** argv) { return Program().run(argc, argv); }
