#pragma once
/// Options that several commands have, with the same words.
#include <CLI/CLI.hpp>

#include "placement/place.h"

namespace voltsill::cli {

/// --boards, --seed and --effort: a build has the holes of the printed sheets only with the same of these.
void add_options_of_sheets(CLI::App& app, PlaceOptions& place);
/// --jobs; without it as many as this processor runs at once.
void add_jobs_option(CLI::App& app, int& threads);

}  // namespace voltsill::cli
