#pragma once
/// The command `sheets`.
#include <CLI/CLI.hpp>

#include "cli/options.h"
#include "engine/sheets.h"

namespace voltsill::cli {

struct SheetsCommand : Options {
    SheetsOptions what;
    std::string audience = "all", paper = "a4";
    std::string since;  ///< path of an older version
    std::string spares, minutes, log;  ///< paths of a course's own figures (CSV); empty: none
    bool pdf = false, script = false;
};

/// Options beyond the common ones; `command` outlives `app`.
void add_sheets_options(CLI::App& app, SheetsCommand& command);
int run_sheets(SheetsCommand command);

}  // namespace voltsill::cli
