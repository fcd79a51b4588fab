/// diagnose: readings of a build that does not work; what explains them, and what to read next.
#include "cli/diagnose.h"

#include <fmt/format.h>

#include "cli/build_options.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "documents/html.h"
#include "documents/markdown.h"

namespace voltsill::cli {
namespace {

/// The sentence, a warning, and the next reading.
std::string in_short(const DiagnoseResult& r) {
    const Diagnosis& d = r.diagnosis;
    std::string out = d.sentence;
    if (d.power_may_harm) out = d.keep_off + "\n" + out;
    if (!d.next.empty()) out += "\nNext: " + d.next.front().how;
    return out;
}

bool write_all(const DiagnoseCommand& c, const DiagnoseResult& r) {
    if (!c.save.empty())
        if (const auto done = write_file(c.save, r.readings_file); !done) {
            complain(done.error(), c);
            return false;
        }
    if (c.out.empty()) return true;
    const doc::Document report = report_of(r);
    return write_report({{"diagnosis.html", doc::render_html(report)},
                        {"diagnosis.md", doc::render_markdown(report)},
                        {"diagnosis.json", to_json(r)},
                        {"readings.toml", r.readings_file}}, c);
}

void print_result(const DiagnoseCommand& c, const DiagnoseResult& r) {
    if (c.form == Form::json)
        print_out(to_json(r), c);
    else if (c.quiet && c.form == Form::terminal && c.hint == 0)
        print_out(in_short(r), c);
    else
        print_out(shown(report_of(r, c.hint), c, !c.quiet), c);
}

/// 0: go on.
int refusal_of(const DiagnoseCommand& c, const DiagnoseResult& r) {
    if (show_problems(r.problems, c) != 0) return refused;
    if (show_problems(r.misused, c) != 0) return wrong_use;
    if (show_problems(r.reading_problems, c) != 0) return refused;
    if (!r.cancelled) return 0;
    return give_up(interrupted, "cancelled; nothing was written", c);
}

}  // namespace

DiagnoseResult diagnosed(const DiagnoseCommand& c, const DiagnoseInput& input) {
    ProgressBar bar(c);
    return diagnose(input.bench, c.bench, include_beside(c.bench), input.readings, c.readings, c.what,
                    [&](double share, const std::string& what) {
                        bar.show(share, what);
                        return !Interruptible::asked();
                    });
}

void add_diagnose_options(CLI::App& app, DiagnoseCommand& c) {
    app.add_option("READINGS", c.readings, "readings file (TOML); see docs/diagnosis.md");
    app.add_option("--reading", c.what.lines, "a reading as a line; may be repeated")
        ->type_name("LINE")
        ->take_all()
        ->expected(1);
    app.add_option("--next", c.what.how.next, "how many readings to propose")->check(CLI::Range(0, 50))->type_name("N");
    app.add_option("--hint", c.hint, "for a learner: 1 a question, 2 the reading to take, 3 the cause")
        ->check(CLI::Range(1, 3))
        ->type_name("DEPTH");
    app.add_flag("--pairs", c.what.pairs, "two faults at once as well");
    app.add_flag("--ask", c.ask, "ask for one reading after the other until the fault is found");
    app.add_option("--save", c.save, "write all readings into this file")->type_name("FILE");
    add_options_of_sheets(app, c.what.place);
    add_jobs_option(app, c.what.threads);
    app.footer(
        "Writes with --out: diagnosis.html, diagnosis.md, diagnosis.json, readings.toml.\n"
        "Wires, holes and pins are those of `voltsill sheets` with the same --boards, --seed and --effort.\n"
        "Exit codes: 0 as planned, or nothing read; 1 a fault is likely; 2 wrong use; 3 input refused.\n"
        "Examples:\n"
        "  voltsill diagnose examples/rain-garden.toml --reading \"tank echo fails\"\n"
        "  voltsill diagnose examples/rain-garden.toml examples/readings/tank-echo.toml\n"
        "  voltsill diagnose examples/rain-garden.toml --reading \"rail logic = 4.2 V\" --hint 2\n"
        "  voltsill diagnose examples/rain-garden.toml --ask --save readings.toml\n"
        "Lines: \"U1.13 = 0.02 V when D4 high, usb off\", \"U1.20 to ground = 4.7 kΩ\", \"gauge.ECHO = drifts\",\n"
        "  \"wire 12 = not as planned\", \"tank echo works when touched\", \"U1 gets hot\", \"nothing works\"");
}

int run_diagnose(DiagnoseCommand c) {
    DiagnoseInput input;
    const auto bench = bytes_of(c.bench, c);
    if (!bench) return refused;
    input.bench = *bench;
    if (!c.readings.empty()) {
        const auto bytes = bytes_of(c.readings, c);
        if (!bytes) return refused;
        input.readings = *bytes;
    }
    c.what.memory = diagnose_memory(1);
    const Interruptible may_stop;
    DiagnoseResult result = diagnosed(c, input);
    if (const int code = refusal_of(c, result); code != 0) return code;
    if (c.ask) result = walk(c, input, std::move(result));
    print_result(c, result);
    if (!write_all(c, result)) return wrong_use;
    return Interruptible::asked() ? interrupted : exit_code(result);
}

}  // namespace voltsill::cli
