#pragma once
/// What the commands share: options, exit codes, how to show a result.
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "documents/document.h"
#include "engine/engine.h"

namespace voltsill::cli {

inline constexpr int wrong_use = 2;
inline constexpr int refused = 3;

enum class Form { terminal, json, sarif, junit, html, markdown };

struct Options {
    std::string bench;
    Form form = Form::terminal;
    std::string out;     ///< folder for files; empty: none
    bool quiet = false;  ///< only what is wrong
    std::string colour = "auto";
    bool ascii = false;
    int width = 0;  ///< columns; 0: as the terminal says
};

/// Columns and colour of this terminal under the options (NO_COLOR is honoured).
struct Screen {
    int width = 100;
    bool colour = false, ascii = false;
};
Screen screen_for(const Options& options);

/// Shows problems on standard error; returns `refused` if one is an error, else 0.
int show_problems(const Problems& problems, const Options& options);
/// "voltsill: SENTENCE" on standard error.
void complain(const std::string& sentence, const Options& options);
/// Why nothing came of it: as `complain`, or under `json` as "voltsill-problems-1" on standard output.
/// Returns `code`.
int give_up(int code, const std::string& sentence, const Options& options);
/// The bytes of a file; or nothing, and it has been given up.
std::optional<std::string> bytes_of(const std::string& path, const Options& options);
/// Under `ascii`, what the form of the output has for other characters: names and signs of the
/// trade on a terminal and in Markdown, escapes in JSON, references in HTML and XML.
void print_out(const std::string& text, const Options& options = {});

/// A document in the form that was asked for; on a terminal with details or without.
std::string shown(const doc::Document& document, const Options& options, bool details = true);
/// Files by name and bytes into the folder `out`, in order; false and a complaint when one cannot be written.
using Files = std::vector<std::pair<std::string, std::string>>;
bool write_files(const Files& files, const Options& options);
/// The same beside a report that has been printed; on a terminal a line tells what was written.
bool write_report(const Files& files, const Options& options);

int run_check(const Options& options);
int run_plan(const Options& options);
int run_readings(const Options& options);

struct PartsOptions : Options {
    std::string action;  ///< "list", "search", "show", "check", "import", "schema"
    std::vector<std::string> words;
    std::string model, pin;  ///< of an IBIS file
};
int run_parts(const PartsOptions& options);

}  // namespace voltsill::cli
