#include "cli/manual.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace voltsill::cli {
namespace {

/// Text as it is: no character of it speaks to the formatter.
std::string plain(const std::string& text) {
    std::string out;
    bool line_begins = true;
    for (const char c : text) {
        if (line_begins && (c == '.' || c == '\'')) out += "\\&";
        if (c == '\\') out += "\\e";
        else if (c == '-') out += "\\-";
        else out += c;
        line_begins = c == '\n';
    }
    return out;
}

std::string upper(std::string text) {
    std::ranges::transform(text, text.begin(), [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    return text;
}

std::string trimmed(const std::string& text) {
    const auto first = text.find_first_not_of(" \n"), last = text.find_last_not_of(" \n");
    return first == std::string::npos ? "" : text.substr(first, last - first + 1);
}

/// Lines of their own, as they stand.
std::string lines_as_they_stand(const std::string& text) { return ".PP\n.nf\n" + plain(trimmed(text)) + "\n.fi\n"; }

std::vector<std::string> paragraphs(const std::string& text) {
    std::vector<std::string> out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find("\n\n", at), text.size());
        if (const std::string paragraph = trimmed(text.substr(at, end - at)); !paragraph.empty())
            out.push_back(paragraph);
        at = end + 2;
    }
    return out;
}

/// "auto, always or never" is said by the description: of choices the page shows {a,b}, of the rest the kind.
std::string value_words(const std::string& type) {
    const std::size_t brace = type.find('{');
    return brace != std::string::npos ? type.substr(brace) : type.substr(0, type.find(':'));
}

std::string of_option(const CLI::Option& option) {
    const bool takes_value = option.get_type_size_max() > 0;
    std::string out = ".TP\n\\fB" + plain(option.get_name(false, true)) + "\\fR";
    if (takes_value && option.nonpositional()) out += " \\fI" + plain(value_words(option.get_type_name())) + "\\fR";
    return out + "\n" + plain(option.get_description().empty() ? "See the examples." : option.get_description()) + "\n";
}

std::string synopsis(const CLI::App& command, const std::string& name) {
    std::string out = "\\fB" + plain(name) + "\\fR";
    for (const CLI::Option* option : command.get_options([](const CLI::Option* o) { return o->get_positional(); }))
        out += (option->get_required() ? " \\fI" : " [\\fI") + plain(option->get_name(true, false)) +
               (option->get_required() ? "\\fR" : "\\fR]");
    return out;
}

std::string of_command(const CLI::App& command, const std::string& before) {
    const std::string name = before + " " + command.get_name();
    std::string out = ".SS " + plain(name) + "\n" + synopsis(command, name) + " [options]\n.PP\n" +
                      plain(command.get_description()) + "\n";
    for (const CLI::Option* option : command.get_options({}))
        if (option != command.get_help_ptr()) out += of_option(*option);
    if (!command.get_footer().empty()) out += lines_as_they_stand(command.get_footer());
    for (const CLI::App* inner : command.get_subcommands({})) out += of_command(*inner, name);
    return out;
}

}  // namespace

std::string manual_page(const CLI::App& app, const std::string& version) {
    const std::string name = app.get_name();
    std::string out = fmt::format(".TH {} 1 \"\" \"{} {}\"\n", upper(name), name, plain(version));
    const std::string about = app.get_description();
    const std::string first_line = about.substr(0, about.find('\n'));
    out += fmt::format(".SH NAME\n{} \\- {}\n", name, plain(trimmed(first_line)));
    out += fmt::format(".SH SYNOPSIS\n\\fB{}\\fR \\fICOMMAND\\fR [options]\n.SH DESCRIPTION\n{}\n", name, plain(about));
    out += ".SH OPTIONS\n";
    for (const CLI::Option* option : app.get_options({})) out += of_option(*option);
    out += ".SH COMMANDS\n";
    for (const CLI::App* command : app.get_subcommands({})) out += of_command(*command, name);
    for (const std::string& paragraph : paragraphs(app.get_footer())) {
        const std::size_t colon = paragraph.find(':');
        out += ".SH " + upper(paragraph.substr(0, colon)) + "\n" + lines_as_they_stand(paragraph.substr(colon + 1));
    }
    return out;
}

}  // namespace voltsill::cli
