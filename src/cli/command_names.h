#pragma once
/// Names that a command line may hold, as completion and refusals list them.
#include <CLI/CLI.hpp>

#include <string>
#include <utility>
#include <vector>

namespace voltsill::cli {

/// Of the commands right below.
inline std::vector<std::string> command_names(const CLI::App& app) {
    std::vector<std::string> out;
    for (const CLI::App* command : app.get_subcommands({})) out.push_back(command->get_name());
    return out;
}

/// With their dashes: "--quiet", "-q".
inline std::vector<std::string> option_names(const CLI::Option& option) {
    std::vector<std::string> out;
    for (const std::string& name : option.get_lnames()) out.push_back("--" + name);
    for (const std::string& name : option.get_snames()) out.push_back("-" + name);
    return out;
}

/// Of all options of a command.
inline std::vector<std::string> option_names(const CLI::App& app) {
    std::vector<std::string> out;
    for (const CLI::Option* option : app.get_options({}))
        for (std::string& name : option_names(*option)) out.push_back(std::move(name));
    return out;
}

}  // namespace voltsill::cli
