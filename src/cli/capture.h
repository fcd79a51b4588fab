#pragma once
/// The command `capture`.
#include <CLI/CLI.hpp>

#include "cli/options.h"
#include "engine/capture.h"

namespace voltsill::cli {

struct CaptureCommand : Options {
    std::string file;  ///< "-": standard input
    std::string interval, glitch, accuracy;
    CaptureRequest request;
};

/// Options beyond the common ones; `command` outlives `app`.
void add_capture_options(CLI::App& app, CaptureCommand& command);
int run_capture(CaptureCommand command);

}  // namespace voltsill::cli
