#pragma once
/// The command `serve`.
#include <CLI/CLI.hpp>

#include "cli/options.h"

namespace voltsill::cli {

struct ServeCommand : Options {
    std::optional<int> port;
    bool open = false;  ///< in a browser
    bool hold_class = false;
    std::string bind = "127.0.0.1", name, certificate, key, store, passphrase_file;
    int keep_days = 30, code_hours = 8;
    bool sheet_hints = false;
};

/// Every option of the command; `command` outlives `app`.
void add_serve_options(CLI::App& app, ServeCommand& command);
/// Until Ctrl-C (SIGINT) or SIGTERM.
int run_serve(const ServeCommand& command);

}  // namespace voltsill::cli
