#include "cli/hall.h"

#include <fmt/format.h>
#include <signal.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "server/listen.h"
#include "server/secrets.h"
#include "store/class_store.h"

namespace voltsill::cli {
namespace {

namespace fs = std::filesystem;

/// Beside other data of this person (XDG Base Directory Specification), not in the folder of the benches: that is
/// often kept in git.
std::string usual_store() {
    const char *data = std::getenv("XDG_DATA_HOME"), *home = std::getenv("HOME");
    const fs::path base = data && *data ? fs::path(data) : fs::path(home ? home : ".") / ".local" / "share";
    return (base / "voltsill" / "class.sqlite").string();
}

/// The terminal does not show what is typed; Ctrl-C ends the program and leaves it as it was.
class TypingUnseen {
  public:
    TypingUnseen() {
        if (tcgetattr(STDIN_FILENO, &before_) != 0) return;
        termios quiet = before_;
        quiet.c_lflag &= ~static_cast<tcflag_t>(ECHO);
        struct sigaction ends {};
        ends.sa_handler = [](int number) {  // both are async-signal-safe (POSIX.1-2017, 2.4.3)
            tcsetattr(STDIN_FILENO, TCSANOW, &before_);
            raise(number);
        };
        ends.sa_flags = static_cast<int>(SA_RESETHAND);
        sigaction(SIGINT, &ends, &sigint_);
        tcsetattr(STDIN_FILENO, TCSAFLUSH, &quiet);
        quiet_ = true;
    }
    ~TypingUnseen() {
        if (!quiet_) return;
        tcsetattr(STDIN_FILENO, TCSADRAIN, &before_);
        sigaction(SIGINT, &sigint_, nullptr);
    }
    TypingUnseen(const TypingUnseen&) = delete;
    TypingUnseen& operator=(const TypingUnseen&) = delete;

  private:
    static inline termios before_{};
    struct sigaction sigint_ {};
    bool quiet_ = false;
};

/// Nothing at the end of what is typed.
std::optional<std::string> line_unseen(const std::string& words) {
    fmt::print(stderr, "{}", words);
    std::fflush(stderr);
    std::string line;
    const bool read = [&line] {
        const TypingUnseen unseen;
        return static_cast<bool>(std::getline(std::cin, line));
    }();
    fmt::print(stderr, "\n");
    return read ? std::optional(line) : std::nullopt;
}

/// Empty: it may be taken.
std::string objection_to(const std::string& passphrase) {
    const auto letters =
        std::ranges::count_if(passphrase, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; });
    if (static_cast<std::size_t>(letters) >= server::shortest_passphrase &&
        passphrase.size() <= server::longest_passphrase)
        return {};
    return fmt::format("a passphrase has {} to {} letters; four words that do not belong together will do",
                       server::shortest_passphrase, server::longest_passphrase);
}

/// Asked for until one comes twice that may be taken.
std::optional<std::string> typed_passphrase(const ServeCommand& o) {
    for (;;) {
        const auto once = line_unseen(
            fmt::format("New passphrase of the instructor, {} letters or more: ", server::shortest_passphrase));
        if (!once) break;
        if (const std::string objection = objection_to(*once); !objection.empty()) {
            complain(objection, o);
            continue;
        }
        const auto again = line_unseen("Once more: ");
        if (!again) break;
        if (*again == *once) return once;
        complain("the two are not the same", o);
    }
    give_up(wrong_use, "no passphrase was set", o);
    return std::nullopt;
}

/// From the file, or asked for where none is kept yet; nothing and a complaint when there is none.
std::optional<std::string> passphrase_for(const ServeCommand& o, const std::string& store) {
    if (!o.passphrase_file.empty()) {
        const auto bytes = bytes_of(o.passphrase_file, o);
        if (!bytes) return std::nullopt;
        std::string line = bytes->substr(0, bytes->find_first_of("\r\n"));
        if (const std::string objection = objection_to(line); !objection.empty()) {
            give_up(wrong_use, fmt::format("{}, first line: {}", o.passphrase_file, objection), o);
            return std::nullopt;
        }
        return line;
    }
    if (fs::exists(store)) {
        auto kept = voltsill::store::ClassStore::open(store);
        if (!kept) {
            give_up(wrong_use, kept.error(), o);
            return std::nullopt;
        }
        if (!kept->passphrase().empty()) return std::string();
    }
    if (isatty(STDIN_FILENO) == 0) {
        give_up(wrong_use, "no passphrase has been set for the instructor: start it once in a terminal, or give "
                 "--passphrase-file FILE", o);
        return std::nullopt;
    }
    return typed_passphrase(o);
}

bool read_certificate(const ServeCommand& o, server::ServerOptions& options) {
    for (const auto& [path, into] :
         {std::pair{&o.certificate, &options.certificate}, std::pair{&o.key, &options.key}}) {
        if (path->empty()) continue;
        auto bytes = bytes_of(*path, o);
        if (!bytes) return false;
        *into = std::move(*bytes);
    }
    return true;
}

}  // namespace

void add_class_options(CLI::App& app, ServeCommand& o) {
    CLI::Option* held = app.add_flag("--class", o.hold_class, "hold a class on BENCH: learners join by a code");
    const auto of_class = [held](CLI::Option* option) { option->needs(held)->group("With --class"); };
    of_class(app.add_option("--bind", o.bind,
                            "address of this machine to be reached at, such as 192.168.1.5; without it no other "
                            "machine reaches the class")
                 ->type_name("ADDRESS"));
    of_class(app.add_option("--name", o.name, "name by which the network knows that address")->type_name("NAME"));
    of_class(app.add_option("--cert", o.certificate, "certificate (PEM) for TLS")->type_name("FILE"));
    of_class(app.add_option("--key", o.key, "key (PEM) of the certificate")->type_name("FILE"));
    of_class(app.add_option("--store", o.store,
                            "file that keeps the class; ~/.local/share/voltsill/class.sqlite when left out")
                 ->type_name("FILE"));
    of_class(app.add_option(
                    "--passphrase-file", o.passphrase_file,
                    "sets the instructor's passphrase, 12 letters or more: the first line of FILE; when left out it is "
                    "the one that is kept, and the first time it is asked for")
                 ->type_name("FILE"));
    of_class(app.add_flag("--sheet-hints", o.sheet_hints, "hints from the sheets alone: for a machine that is slow"));
    of_class(
        app.add_option("--keep-days", o.keep_days, "days until what belongs to learners is deleted; 30 when left out")
            ->check(CLI::Range(1, 3650))
            ->type_name("N"));
    of_class(app.add_option("--code-hours", o.code_hours, "hours for which the first code holds; 8 when left out")
                 ->check(CLI::Range(1, 336))->type_name("N"));
}

bool class_options(const ServeCommand& o, server::ServerOptions& options) {
    if (!o.hold_class) return true;
    server::HallOptions hall{.store = o.store.empty() ? usual_store() : o.store, .code_hours = o.code_hours,
                             .keep_days = o.keep_days, .diagnosis = !o.sheet_hints};
    if (!o.quiet) hall.say = [&o](const std::string& words) { complain(words, o); };
    const std::string store = hall.store;
    options.hall = std::move(hall);
    options.bind = o.bind;
    options.name = o.name;
    if (!read_certificate(o, options)) return false;
    if (const std::string objection = server::Server::objection(options); !objection.empty()) {
        give_up(wrong_use, objection, o);
        return false;
    }
    auto passphrase = passphrase_for(o, store);
    if (!passphrase) return false;
    options.hall->passphrase = std::move(*passphrase);
    if (!o.quiet) complain("the lesson is being made; this takes some seconds", o);
    return true;
}

void announce_class(const ServeCommand& o, const server::Server& server) {
    if (o.quiet) return;
    print_out(fmt::format("Learners:   {}", server.join_code_url()), o);
    print_out(fmt::format("Instructor: {}instructor", server.url()), o);
    if (server::is_loopback(o.bind))  // then nobody else is there to listen either
        complain(fmt::format("only this machine reaches {}: for phones, give --bind ADDRESS{}", o.bind,
                             server::own_addresses_words()),
                 o);
    else if (!server.secure())
        complain("WARNING: no certificate was given, so whoever is on this network can read what is sent, the "
                 "passphrase as well. Use a network of the class's own, or --cert and --key.", o);
    if (!o.sheet_hints)
        print_out("Hints:      from the sheets until the diagnosis is made; this terminal says when", o);
    print_out(fmt::format("Kept:       {}, {} days", o.store.empty() ? usual_store() : o.store, o.keep_days), o);
    print_out("Ctrl-C stops it; what has been acknowledged is kept, and the same command goes on with it.", o);
}

}  // namespace voltsill::cli
