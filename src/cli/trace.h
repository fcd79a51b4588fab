#pragma once
/// The command `trace`.
#include <CLI/CLI.hpp>

#include "cli/options.h"
#include "engine/engine.h"

namespace voltsill::cli {

struct TraceCommand : Options {
    TraceOptions what;
    std::string rate;  ///< as typed
    bool svg = false, csv = false;
};

/// Options beyond the common ones; `command` outlives `app`.
void add_trace_options(CLI::App& app, TraceCommand& command);
int run_trace(TraceCommand command);

}  // namespace voltsill::cli
