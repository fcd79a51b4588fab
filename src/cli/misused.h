#pragma once
/// What a command line that cannot be taken was most likely meant to be.
#include <CLI/CLI.hpp>

#include <span>
#include <string>

namespace voltsill::cli {

/// The sentence about what is wrong: of a command or an option that does not exist its name and the nearest that
/// does, else what the reader of the command line says.
std::string misuse(const CLI::App& app, std::span<const char* const> arguments, const CLI::ParseError& error);

/// The command whose help tells more: "voltsill check".
std::string command_meant(const CLI::App& app, std::span<const char* const> arguments);

}  // namespace voltsill::cli
