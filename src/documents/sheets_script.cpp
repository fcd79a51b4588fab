/// The exercises as a POSIX shell script.
#include <fmt/format.h>

#include "documents/sheets_exercise.h"
#include "documents/sheets_pieces.h"
#include "drawing/text.h"

namespace voltsill {
namespace {

/// One word of the shell language, whatever it holds (IEEE Std 1003.1, XCU 2.2.2 single-quotes).
std::string quoted(std::string_view text) {
    std::string out = "'";
    for (const char c : clean(text)) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

/// Of a comment: one line, nothing that could end it.
std::string comment(std::string_view text) { return "# " + clean(text); }

const char* const usage_and_options = R"sh(set -eu

usage() {
    cat <<'EOF'
usage: exercise.sh [--run --map FILE] [--link NAME]

Without --run nothing is touched: what would be done is printed.
  --run         move lines; asks before it begins
  --map FILE    which line is which pin, one a line:
                    chip=gpiochip0
                    D1=17
  --link NAME   only this link
EOF
}

run=no map='' only=''
while [ $# -gt 0 ]; do
    case $1 in
        --run) run=yes ;;
        --dry-run) run=no ;;
        --map) [ $# -gt 1 ] || { usage >&2; exit 2; }; map=$2; shift ;;
        --link) [ $# -gt 1 ] || { usage >&2; exit 2; }; only=$2; shift ;;
        --help) usage; exit 0 ;;
        *) usage >&2; exit 2 ;;
    esac
    shift
done

# value_of KEY: what the mapping file says of it. The file is read, never run.
value_of() {
    [ -n "$map" ] || return 0
    while IFS='=' read -r key value || [ -n "$key" ]; do
        if [ "$key" = "$1" ]; then printf '%s' "$value"; return 0; fi
    done < "$map"
}

# line_of PIN: its line number, a word to print in a dry run, or an end.
line_of() {
    line=$(value_of "$1")
    case $line in
        '') [ "$run" = no ] && { printf 'line of %s' "$1"; return 0; }
            echo "exercise.sh: $map says no line for pin $1" >&2; return 1 ;;
        *[!0-9]*) echo "exercise.sh: the line of pin $1 has to be a number, not '$line'" >&2; return 1 ;;
        *) printf '%s' "$line" ;;
    esac
}
)sh";

const char* const run_checks = R"sh(
chip=$(value_of chip)
holding=''
let_go() {
    [ -z "$holding" ] || { kill "$holding" 2>/dev/null || :; wait "$holding" 2>/dev/null || :; holding=''; }
}
if [ "$run" = yes ]; then
    [ -n "$map" ] || { echo 'exercise.sh: --run needs --map FILE: nobody here knows your line numbers' >&2; exit 2; }
    [ -r "$map" ] || { echo "exercise.sh: cannot read $map" >&2; exit 2; }
    [ -n "$chip" ] || { echo "exercise.sh: $map has no chip=..." >&2; exit 2; }
    for tool in gpioset gpioget; do
        command -v "$tool" >/dev/null || { echo "exercise.sh: $tool is not installed" >&2; exit 2; }
    done
    case $(gpioset --version) in
        *v1.*|*' 1.'*) tools=1 ;;
        *) tools=2 ;;
    esac
    trap let_go EXIT
    trap 'exit 130' INT TERM
    printf 'Power-off, power and static checks are ticked, and a hand is at the switch? Type yes: '
    read -r answer
    [ "$answer" = yes ] || { echo 'Nothing was touched.'; exit 1; }
else
    echo 'Dry run: nothing is touched.'
fi

# hold PIN VALUE DRIVE: the line stays at the value until let_go.
hold() {
    line=$(line_of "$1") || exit 1
    if [ "$run" = no ]; then
        echo "  would set $1 ($line) to $2, $3"
    elif [ "$tools" = 1 ]; then
        gpioset --mode=signal --drive="$3" "$chip" "$line=$2" & holding=$!
    else
        gpioset --chip "$chip" --drive "$3" "$line=$2" & holding=$!
    fi
    [ "$run" = no ] || sleep 1  # the tool has taken the line by then, and can be told to let go
}

# see PIN WANTED: the line as it reads, held against what it should.
see() {
    line=$(line_of "$1") || exit 1
    if [ "$run" = no ]; then
        echo "  would read $1 ($line) and want $2"
        return 0
    fi
    if [ "$tools" = 1 ]; then got=$(gpioget "$chip" "$line")
    else got=$(gpioget --chip "$chip" --numeric "$line")
    fi
    if [ "$got" = "$2" ]; then echo "  $1 reads $got: right"
    else echo "  $1 reads $got, wanted $2: WRONG"; wrong=$((wrong + 1))
    fi
}

# pause TEXT: waits for a hand.
pause() {
    echo "  $1"
    [ "$run" = no ] || { printf '  Enter when done: '; read -r answer; }
}

wanted() { [ -z "$only" ] || [ "$only" = "$1" ]; }
wrong=0
done=0
)sh";

std::string level_word(char level) { return level == '0' ? "low" : level == 'Z' ? "let go" : "high"; }

std::string window(const ExpectedLevel& e) { return meter_words(e.lo, e.hi); }

std::string driving(const Exercise& e) {
    std::string out;
    char last = 0;
    for (const ExpectedLevel& level : e.expected) {
        if (level.set != last) {
            if (last) out += "    let_go\n";
            out += fmt::format("    hold {} {} {}\n", quoted(e.pin), level.set == '0' ? 0 : 1,
                               e.open_drain ? "open-drain" : "push-pull");
        }
        last = level.set;
        out += fmt::format("    pause {}\n",
                           quoted(fmt::format("measure {}: expected {}", level.point, window(level))));
    }
    return out + "    let_go\n";
}

std::string reading(const Exercise& e) {
    std::string out;
    for (const ExpectedLevel& level : e.expected) {
        if (level.level != '0' && level.level != '1') continue;
        out += fmt::format("    pause {}\n    see {} {}\n",
                           quoted(fmt::format("make {} {}; {} is then at {}", e.driver, level_word(level.set),
                                              level.point, window(level))),
                           quoted(e.pin), level.level);
    }
    return out;
}

}  // namespace

std::string exercise_script(const Bench& bench, const std::string& version,
                            const std::vector<Exercise>& exercises) {
    std::string out = "#!/bin/sh\n" + comment("Exercises of " + bench.title + ", version " + version) + "\n" +
                      "# Static levels, link by link, by gpioset and gpioget. Extra-low voltage only.\n" +
                      usage_and_options + run_checks;
    for (const Exercise& e : exercises) {
        const std::string steps = !e.digital || e.expected.empty() ? "" : e.drives ? driving(e) : reading(e);
        out += fmt::format("\nif wanted {0}; then\n    done=$((done + 1))\n    echo {0}\n", quoted(e.link));
        out += steps.empty()
                   ? fmt::format("    echo {}\n", quoted("  needs a meter: no line can set or read it"))
                   : steps;
        out += "fi\n";
    }
    return out +
           "\nif [ \"$done\" -eq 0 ]; then echo \"exercise.sh: no link is named '$only'\" >&2; exit 2; fi\n"
           "[ \"$wrong\" -eq 0 ] || { echo \"$wrong readings were wrong\"; exit 1; }\n";
}

}  // namespace voltsill
