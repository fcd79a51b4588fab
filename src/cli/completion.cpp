#include "cli/completion.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <vector>

#include "cli/command_names.h"

namespace voltsill::cli {
namespace {

using Words = std::vector<std::string>;

/// Of "TEXT:{a4,letter}" the words in braces; none where anything may stand.
Words choices_of(const CLI::Option& option) {
    const std::string type = option.get_type_name();
    const std::size_t from = type.find('{'), to = type.find('}', from);
    Words words;
    if (from == std::string::npos || to == std::string::npos) return words;
    for (std::size_t at = from + 1; at <= to;) {
        const std::size_t end = std::min(type.find(',', at), to);
        words.push_back(type.substr(at, end - at));
        at = end + 1;
    }
    return words;
}

bool takes_value(const CLI::Option& option) { return option.get_items_expected_min() > 0; }

std::vector<const CLI::Option*> options_of(const CLI::App& app) {
    return app.get_options([](const CLI::Option* o) { return o->nonpositional(); });
}

Words positional_choices(const CLI::App& app) {
    Words words;
    for (const CLI::Option* option : app.get_options([](const CLI::Option* o) { return o->get_positional(); }))
        if (words.empty()) words = choices_of(*option);
    return words;
}

/// A case for a command, or for a command within one ("parts import").
std::string bash_case(const CLI::App& app, const std::string& name, const Words& outer) {
    Words options = option_names(app);
    options.insert(options.end(), outer.begin(), outer.end());
    std::ranges::sort(options);
    options.erase(std::ranges::unique(options).begin(), options.end());
    Words words = command_names(app);
    std::ranges::move(positional_choices(app), std::back_inserter(words));
    return fmt::format("        \"{}\") options=\"{}\" words=\"{}\" ;;\n", name, fmt::join(options, " "),
                       fmt::join(words, " "));
}

std::string bash_values(const CLI::App& app) {
    std::string out;
    for (const CLI::Option* option : options_of(app)) {
        if (!takes_value(*option)) continue;
        const Words choices = choices_of(*option);
        for (const std::string& name : option_names(*option))
            out += fmt::format("        \"{} {}\") {} ;;\n", app.get_name(), name,
                               choices.empty() ? "files=1" : fmt::format("values=\"{}\"", fmt::join(choices, " ")));
    }
    return out;
}

std::string bash(const CLI::App& app) {
    std::string cases = bash_case(app, "", {}), values;
    for (const CLI::App* command : app.get_subcommands({})) {
        cases += bash_case(*command, command->get_name(), {});
        values += bash_values(*command);
        for (const CLI::App* inner : command->get_subcommands({})) {
            cases += bash_case(*inner, command->get_name() + " " + inner->get_name(), option_names(*command));
            values += bash_values(*inner);
        }
    }
    return R"(_voltsill() {
    local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command="" inner=""
    local options="" words="" values="" files=""
    [ "$COMP_CWORD" -gt 1 ] && command=${COMP_WORDS[1]}
    [ "$COMP_CWORD" -gt 2 ] && inner=${COMP_WORDS[2]}
    case "$command" in
)" + cases + R"(    esac
    case "$command $inner" in
)" + cases + R"(    esac
    case "${inner:-$command} $before" in
)" + values + R"(    esac
    case "$command $before" in
)" + values + R"(    esac
    if [ -n "$values" ]; then
        COMPREPLY=($(compgen -W "$values" -- "$current"))
    elif [ -n "$files" ]; then
        COMPREPLY=($(compgen -f -- "$current"))
    elif [[ $current == -* ]]; then
        COMPREPLY=($(compgen -W "$options" -- "$current"))
    elif [ -n "$words" ]; then
        COMPREPLY=($(compgen -W "$words" -- "$current"))
    else
        COMPREPLY=($(compgen -f -X '!*.toml' -- "$current") $(compgen -d -- "$current"))
    fi
}
complete -o filenames -F _voltsill voltsill
)";
}

/// In single quotes, for fish: of these a backslash and a quote alone speak.
std::string quoted(const std::string& text) {
    std::string out = "'";
    for (const char c : text.substr(0, text.find('\n'))) {
        if (c == '\'' || c == '\\') out += '\\';
        out += c;
    }
    return out + "'";
}

void fish_options(std::string& out, const CLI::App& app, const std::string& where) {
    for (const CLI::Option* option : options_of(app)) {
        out += "complete -c voltsill -n " + quoted(where);
        for (const std::string& name : option->get_lnames()) out += " -l " + name;
        for (const std::string& name : option->get_snames()) out += " -s " + name;
        const Words choices = choices_of(*option);
        if (!choices.empty())
            out += fmt::format(" -x -a {}", quoted(fmt::format("{}", fmt::join(choices, " "))));
        else if (takes_value(*option))
            out += " -r";
        out += " -d " + quoted(option->get_description()) + "\n";
    }
}

std::string fish(const CLI::App& app) {
    std::string out;
    fish_options(out, app, "__fish_use_subcommand");
    for (const CLI::App* command : app.get_subcommands({})) {
        const std::string name = command->get_name(), where = "__fish_seen_subcommand_from " + name;
        out += fmt::format("complete -c voltsill -f -n __fish_use_subcommand -a {} -d {}\n", name,
                           quoted(command->get_description()));
        fish_options(out, *command, where);
        if (const Words choices = positional_choices(*command); !choices.empty())
            out += fmt::format("complete -c voltsill -f -n {} -a {}\n", quoted(where),
                               quoted(fmt::format("{}", fmt::join(choices, " "))));
        const Words inner = command_names(*command);
        for (const CLI::App* one : command->get_subcommands({})) {
            out += fmt::format(
                "complete -c voltsill -f -n {} -a {} -d {}\n",
                quoted(fmt::format("{}; and not __fish_seen_subcommand_from {}", where, fmt::join(inner, " "))),
                one->get_name(), quoted(one->get_description()));
            fish_options(out, *one, fmt::format("{}; and __fish_seen_subcommand_from {}", where, one->get_name()));
        }
    }
    return out;
}

}  // namespace

std::string completion(const CLI::App& app, const std::string& shell) {
    if (shell == "fish") return fish(app);
    const std::string zsh_head = "#compdef voltsill\nautoload -U +X bashcompinit && bashcompinit\n";
    return shell == "zsh" ? zsh_head + bash(app) : bash(app);
}

}  // namespace voltsill::cli
