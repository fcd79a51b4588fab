#include "cli/options.h"

namespace voltsill::cli {
namespace {

const char* const bash_completion = R"(_voltsill() {
    local current=${COMP_WORDS[COMP_CWORD]} command=${COMP_WORDS[1]}
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W "check plan readings trace sheets mark capture diagnose serve parts schema completion manual --help --version" -- "$current"))
    elif [ "${COMP_WORDS[COMP_CWORD-1]}" = --for ]; then
        COMPREPLY=($(compgen -W "build test learner instructor all faults fault-causes planted" -- "$current"))
    elif [[ $current == -* ]]; then
        COMPREPLY=($(compgen -W "--json --html --markdown --sarif --junit --out --quiet --colour --ascii --width --all --samples --seed --replay --rate --jobs --svg --csv --for --pdf --script --seats --paper --boards --effort --since --rubric --marks --print-rubric --anonymous --names-seed --reading --next --hint --pairs --ask --save --port --open --help" -- "$current"))
    elif [ "$command" = parts ] && [ "$COMP_CWORD" -eq 2 ]; then
        COMPREPLY=($(compgen -W "list search show check import schema" -- "$current"))
    elif [ "$command" = completion ]; then
        COMPREPLY=($(compgen -W "bash zsh fish" -- "$current"))
    elif [ "$command" = schema ]; then
        COMPREPLY=($(compgen -W "bench parts readings results" -- "$current"))
    else
        COMPREPLY=($(compgen -f -X '!*.toml' -- "$current") $(compgen -d -- "$current"))
    fi
}
complete -o filenames -F _voltsill voltsill
)";

const char* const zsh_completion = R"(#compdef voltsill
autoload -U +X bashcompinit && bashcompinit
)";

const char* const fish_completion =
    R"(complete -c voltsill -f -n __fish_use_subcommand -a "check plan readings trace sheets mark capture diagnose serve parts schema completion manual"
complete -c voltsill -n "__fish_seen_subcommand_from check plan readings trace sheets mark capture diagnose" -l json -l html -l markdown -l out -l quiet -l colour -l ascii -l width
complete -c voltsill -n "__fish_seen_subcommand_from trace" -l all -l samples -l seed -l replay -l rate -l jobs -l svg -l csv
complete -c voltsill -n "__fish_seen_subcommand_from sheets" -l pdf -l script -l seats -l paper -l boards -l seed -l effort -l jobs -l since
complete -c voltsill -n "__fish_seen_subcommand_from sheets" -x -l for -a "build test learner instructor all faults fault-causes planted"
complete -c voltsill -n "__fish_seen_subcommand_from mark" -l rubric -l marks -l csv -l print-rubric -l anonymous -l names-seed -l boards -l seed -l effort -l jobs
complete -c voltsill -n "__fish_seen_subcommand_from diagnose" -l reading -l next -l hint -l pairs -l ask -l save -l boards -l seed -l effort -l jobs
complete -c voltsill -n "__fish_seen_subcommand_from serve" -l port -l open -l json -l quiet -l ascii
complete -c voltsill -n "__fish_seen_subcommand_from check" -l sarif -l junit
complete -c voltsill -f -n "__fish_seen_subcommand_from parts" -a "list search show check import schema"
complete -c voltsill -f -n "__fish_seen_subcommand_from completion" -a "bash zsh fish"
)";

}  // namespace

std::string completion(const std::string& shell) {
    if (shell == "fish") return fish_completion;
    if (shell == "zsh") return std::string(zsh_completion) + bash_completion;
    return bash_completion;
}

}  // namespace voltsill::cli
