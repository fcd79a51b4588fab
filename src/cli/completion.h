#pragma once
/// Completion for shells, made of the commands and options themselves.
#include <CLI/CLI.hpp>

#include <string>

namespace voltsill::cli {

/// `shell`: "bash", "zsh" or "fish".
std::string completion(const CLI::App& app, const std::string& shell);

}  // namespace voltsill::cli
