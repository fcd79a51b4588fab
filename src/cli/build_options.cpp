#include "cli/build_options.h"

#include <algorithm>
#include <thread>

namespace voltsill::cli {

void add_options_of_sheets(CLI::App& app, PlaceOptions& place) {
    app.add_option("--boards", place.boards, "kinds of solderless boards, as the sheets were made")
        ->type_name("KIND")
        ->delimiter(',');
    app.add_option("--seed", place.seed, "of the placement, as the sheets were made")->type_name("N");
    app.add_option("--effort", place.effort, "of the placement, as the sheets were made")
        ->check(CLI::Range(0.01, 1000.0))
        ->type_name("X");
}

void add_jobs_option(CLI::App& app, int& threads) {
    threads = static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
    app.add_option("--jobs", threads, "threads; the result is the same for any number")
        ->check(CLI::Range(1, 1024))
        ->type_name("N");
}

}  // namespace voltsill::cli
