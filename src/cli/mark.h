#pragma once
/// The command `mark`.
#include <CLI/CLI.hpp>

#include "cli/options.h"
#include "engine/marking.h"

namespace voltsill::cli {

struct MarkCommand : Options {
    MarkingOptions what;
    std::string folder;        ///< of learners' files
    std::string rubric, marks; ///< paths; empty: none
    bool csv = false, anonymous = false, print_rubric = false, print_build = false;
    std::uint64_t names_seed = 1;
    int threads = 1;
};

/// Options beyond the common ones; `command` outlives `app`.
void add_mark_options(CLI::App& app, MarkCommand& command);
int run_mark(MarkCommand command);

}  // namespace voltsill::cli
