#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "cli/options.h"

namespace voltsill::cli {

Screen screen_for(const Options& options) {
    Screen screen;
    const bool terminal = isatty(STDOUT_FILENO) != 0;
    winsize size{};
    if (terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) screen.width = size.ws_col;
    else if (const char* columns = std::getenv("COLUMNS"); columns && std::atoi(columns) > 0) screen.width = std::atoi(columns);
    if (options.width > 0) screen.width = options.width;
    screen.width = std::clamp(screen.width, 40, 200);
    const char* no_colour = std::getenv("NO_COLOR");   // the convention of no-color.org
    const bool wanted = terminal && (!no_colour || !*no_colour);
    screen.colour = options.colour == "always" || (options.colour == "auto" && wanted);
    screen.ascii = options.ascii;
    return screen;
}

void print_out(const std::string& text) {
    std::fwrite(text.data(), 1, text.size(), stdout);
    if (text.empty() || text.back() != '\n') std::fputc('\n', stdout);
}

void complain(const std::string& sentence) { fmt::print(stderr, "voltsill: {}\n", sentence); }

int show_problems(const Problems& problems, const Options& options) {
    if (options.form == Form::json && has_error(problems)) {
        print_out(to_json(problems));
        return refused;
    }
    for (const Problem& problem : problems)
        if (problem.severity == Severity::error || !options.quiet) fmt::print(stderr, "{}\n", render(problem));
    return has_error(problems) ? refused : 0;
}

}  // namespace voltsill::cli
