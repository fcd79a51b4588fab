#pragma once
/// The command `diagnose`, and its walk from reading to reading.
#include <CLI/CLI.hpp>

#include "cli/options.h"
#include "engine/diagnose.h"

namespace voltsill::cli {

struct DiagnoseCommand : Options {
    std::string readings;  ///< path of a readings file; empty: none
    std::string save;      ///< path to write the readings to; empty: none
    DiagnoseOptions what;
    int hint = 0;
    bool ask = false;
};

/// Options beyond the common ones; `command` outlives `app`.
void add_diagnose_options(CLI::App& app, DiagnoseCommand& command);
int run_diagnose(DiagnoseCommand command);

/// What the walk works on.
struct DiagnoseInput {
    std::string bench, readings;  ///< bytes
};
/// One engine call with its progress on standard error.
DiagnoseResult diagnosed(const DiagnoseCommand& command, const DiagnoseInput& input);
/// Asks for the next reading on standard input until the fault is found, nothing is left to ask, or somebody has
/// enough. Answers are added to `command.what.lines`; the result is that of all of them.
DiagnoseResult walk(DiagnoseCommand& command, const DiagnoseInput& input, DiagnoseResult first);

}  // namespace voltsill::cli
