#include "cli/misused.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <vector>

#include "cli/command_names.h"
#include "cli/files.h"
#include "records/problem.h"

namespace voltsill::cli {
namespace {

/// The innermost command that the arguments name, and where the arguments after its name begin.
struct Meant {
    const CLI::App* command;
    std::size_t rest = 0;
};

Meant innermost(const CLI::App& app, std::span<const char* const> arguments) {
    Meant out{&app, 1};
    while (out.rest < arguments.size()) {
        const auto inner = out.command->get_subcommands({});
        const auto named = std::ranges::find(inner, arguments[out.rest], &CLI::App::get_name);
        if (named == inner.end()) break;
        out = {*named, out.rest + 1};
    }
    return out;
}

}  // namespace

std::string misuse(const CLI::App& app, std::span<const char* const> arguments, const CLI::ParseError& error) {
    const auto [command, rest] = innermost(app, arguments);
    const std::vector<std::string> commands = command_names(*command);
    for (const char* given : arguments.subspan(std::min(rest, arguments.size()))) {
        const std::string word = std::string(given).substr(0, std::string_view(given).find('='));
        if (word.starts_with("--") && word.size() > 2 && !command->get_option_no_throw(word))
            return fmt::format("{} has no option {}{}", command_meant(app, arguments), word,
                               did_you_mean(nearest_name(word, option_names(*command))));
        if (!word.starts_with('-') && !commands.empty())
            return fmt::format("there is no command \"{}\"{}", word, did_you_mean(nearest_name(word, commands)));
    }
    if (!commands.empty()) return "a command is missing";
    return error.what();
}

std::string command_meant(const CLI::App& app, std::span<const char* const> arguments) {
    std::string out = app.get_name();
    for (std::size_t k = 1; k < innermost(app, arguments).rest; ++k) out += fmt::format(" {}", arguments[k]);
    return out;
}

}  // namespace voltsill::cli
