#pragma once
/// The manual page, from the same commands, options and words as --help: nothing is said twice.
/// Its language is that of groff_man(7), its sections are those of man-pages(7).
#include <CLI/App.hpp>
#include <string>

namespace voltsill::cli {

/// A page for `man -l -`. Of the footer of `app` each paragraph "Title: text" becomes a section.
std::string manual_page(const CLI::App& app, const std::string& version);

}  // namespace voltsill::cli
