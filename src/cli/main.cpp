/// voltsill: what may be joined, what needs an interface circuit, what every point will read.
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <span>

#include "cli/capture.h"
#include "cli/completion.h"
#include "cli/diagnose.h"
#include "cli/manual.h"
#include "cli/mark.h"
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

}  // namespace

int main(int argc, char** argv) {
    CLI::App app{about, "voltsill"};
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
    const std::span<char*> arguments(argv, static_cast<std::size_t>(argc));
    int code = 0;

    Options check;
    CLI::App* check_command =
        app.add_subcommand("check", "judge a bench as it stands: its links joined directly, or its [wiring]");
    add_common(*check_command, check, true);
    check_command->add_flag_callback(
        "--sarif", [&check] { check.form = Form::sarif; }, "print SARIF 2.1.0");
    check_command->add_flag_callback(
        "--junit", [&check] { check.form = Form::junit; }, "print JUnit XML, one case per link");
    exclusive(*check_command, {"--json", "--html", "--markdown", "--sarif", "--junit"});
    check_command->footer(
        "Writes with --out: check.html, check.md, check.json; with --sarif check.sarif too, with --junit check.xml.\n"
        "Example: voltsill check examples/first-bench.toml");
    check_command->callback([&] { code = run_check(check); });

    Options plan;
    CLI::App* plan_command =
        app.add_subcommand("plan", "choose interface circuits, pack them, wire them pin by pin");
    add_common(*plan_command, plan, true);
    plan_command->footer(
        "Writes with --out: report.html, report.md, plan.json, wired.toml (check reads it back).\n"
        "Example: voltsill plan examples/rain-garden.toml --out build/rain-garden");
    plan_command->callback([&] { code = run_plan(plan); });

    Options readings;
    CLI::App* readings_command =
        app.add_subcommand("readings", "expected steady readings at every point, state by state");
    add_common(*readings_command, readings, true);
    readings_command->footer("Writes with --out: readings.html, readings.md, readings.json.\n"
                             "Example: voltsill readings examples/first-bench.toml");
    readings_command->callback([&] { code = run_readings(readings); });

    CaptureCommand capture;
    CLI::App* capture_command =
        app.add_subcommand("capture", "hold a capture of an instrument (VCD, CSV) against the bench");
    add_common(*capture_command, capture, true);
    add_capture_options(*capture_command, capture);
    capture_command->callback([&] { code = run_capture(capture); });

    TraceCommand trace;
    CLI::App* trace_command =
        app.add_subcommand("trace", "follow links over time: waves, measures, yields over tolerances");
    add_common(*trace_command, trace, true);
    add_trace_options(*trace_command, trace);
    exclusive(*trace_command, {"--json", "--html", "--markdown", "--svg", "--csv"});
    trace_command->callback([&] { code = run_trace(trace); });

    SheetsCommand sheets;
    CLI::App* sheets_command =
        app.add_subcommand("sheets", "sheets to build, test, learn and teach by: steps, readings, lists, labels");
    add_common(*sheets_command, sheets, true);
    add_sheets_options(*sheets_command, sheets);
    exclusive(*sheets_command, {"--json", "--html", "--markdown", "--script"});
    sheets_command->callback([&] { code = run_sheets(sheets); });

    MarkCommand mark;
    CLI::App* mark_command =
        app.add_subcommand("mark", "mark learners' builds: points, feedback, what the class got wrong");
    mark_command->add_option("BENCH", mark.bench, "bench file (TOML)");
    add_common(*mark_command, mark, false);
    add_mark_options(*mark_command, mark);
    exclusive(*mark_command, {"--json", "--html", "--markdown", "--csv"});
    mark_command->callback([&] { code = run_mark(mark); });

    DiagnoseCommand diagnose;
    CLI::App* diagnose_command = app.add_subcommand(
        "diagnose", "find the fault of a build from readings, and choose the next reading");
    add_common(*diagnose_command, diagnose, true);
    add_diagnose_options(*diagnose_command, diagnose);
    diagnose_command->callback([&] { code = run_diagnose(diagnose); });

    ServeCommand serve;
    CLI::App* serve_command =
        app.add_subcommand("serve", "the page: draw up, check, plan and print a bench in a browser");
    add_serve_options(*serve_command, serve);
    serve_command->callback([&] { code = run_serve(serve); });

    PartsOptions parts;
    CLI::App* parts_command =
        app.add_subcommand("parts", "list, search and show parts with their sources; check a part file");
    add_common(*parts_command, parts, false);
    parts_command->require_subcommand(1);
    const auto action = [&](const char* name, const char* text, const char* words, bool needed, const char* example) {
        CLI::App* sub = parts_command->add_subcommand(name, text);
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
    CLI::App* import_command = parts_command->get_subcommand("import");
    import_command->add_option("--model", parts.model, "model or model selector, as the file names it");
    import_command->add_option("--pin", parts.pin, "pin number: its model and its package");
    action("schema", "JSON Schema of part files, for editors", nullptr, false, "schema > parts.schema.json");
    parts_command->footer(
        "Writes with --out: list and search parts.html, parts.md, parts.json; show the same three by the\n"
        "part's name; import NAME.toml. check and schema write no files.\n"
        "Examples:\n  voltsill parts search open collector\n  voltsill parts show \"LVC 245\"\n"
        "  voltsill parts show \"TTL input, 5 V\"\n  voltsill parts check my-parts.toml");

    CLI::App* schema_command =
        app.add_subcommand("schema", "JSON Schemas: of bench files (default), part files, readings files or results");
    std::string which = "bench";
    Options tables;
    bool as_tables = false;
    schema_command->add_option("WHICH", which)->check(CLI::IsMember({"bench", "parts", "readings", "results"}));
    schema_command->add_flag("--tables", as_tables, "every key of such a file as tables to read");
    schema_command->add_flag_callback(
        "--markdown", [&] { tables.form = Form::markdown; }, "these tables as Markdown")->needs("--tables");
    schema_command->add_flag_callback(
        "--html", [&] { tables.form = Form::html; }, "these tables as a self-contained HTML page")->needs("--tables");
    schema_command->footer("Examples:\n  voltsill schema > bench.schema.json\n  voltsill schema parts --tables");
    schema_command->callback([&] {
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

    CLI::App* completion_command = app.add_subcommand("completion", "print completion for a shell");
    std::string shell;
    completion_command->add_option("SHELL", shell, "bash, zsh or fish")
        ->required()
        ->check(CLI::IsMember({"bash", "zsh", "fish"}));
    completion_command->footer("Example: source <(voltsill completion bash)");
    completion_command->callback([&] { print_out(completion(app, shell)); });

    CLI::App* manual_command = app.add_subcommand("manual", "print the manual page, which is made of these very words");
    manual_command->footer("Example: voltsill manual | man -l -");
    manual_command->callback([&] { print_out(manual_page(app, VOLTSILL_VERSION)); });

    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        const bool fine = error.get_exit_code() == 0;  // help or version was asked for
        if (!fine && std::ranges::find(arguments, std::string_view("--json")) != arguments.end()) {
            Options json;
            json.form = Form::json;
            return give_up(wrong_use, error.what(), json);
        }
        app.exit(error);
        return fine ? 0 : wrong_use;
    }
    if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
        complain("standard output could not be written", {});
        return wrong_use;
    }
    return code;
}
