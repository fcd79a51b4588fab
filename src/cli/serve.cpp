/// serve: the page of a bench, for a browser on this machine; or the hall of a class.
#include "cli/serve.h"
#include "cli/hall.h"

#include <fmt/format.h>
#include <signal.h>
#include <spawn.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <thread>

#include "cli/files.h"
#include "engine/json_pieces.h"
#include "server/server.h"

namespace voltsill::cli {
namespace {

/// SIGINT and SIGTERM, held back from this thread and those it starts: they are waited for.
class StopSignals {
  public:
    StopSignals() {
        sigemptyset(&set_);
        for (const int number : {SIGINT, SIGTERM}) sigaddset(&set_, number);
        pthread_sigmask(SIG_BLOCK, &set_, &before_);
    }
    void wait() const {
        int number = 0;
        while (sigwait(&set_, &number) != 0) {
        }
    }
    const sigset_t& before() const { return before_; }

  private:
    sigset_t set_{}, before_{};
};

/// The opener of the desktop (xdg-utils, freedesktop.org); the browser gets the signals as ever.
bool open_in_browser(const std::string& url, const sigset_t& signals) {
    signal(SIGCHLD, SIG_IGN);  // nobody waits for it
    posix_spawnattr_t how;
    posix_spawnattr_init(&how);
    posix_spawnattr_setsigmask(&how, &signals);
    posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK);
    std::string opener = "xdg-open", address = url;
    char* words[] = {opener.data(), address.data(), nullptr};
    const bool started = posix_spawnp(nullptr, "xdg-open", nullptr, &how, words, environ) == 0;
    posix_spawnattr_destroy(&how);
    return started;
}

void announce(const ServeCommand& o, const server::Server& server) {
    if (o.form == Form::json) {
        fmt::print("{}\n", Json{{"format", "voltsill-serve-1"},
                                {"url", server.url()},
                                {"port", server.port()},
                                {"token", server.token()},
                                {"folder", server.folder()}}
                               .dump(-1, ' ', o.ascii, Json::error_handler_t::replace));
    } else {
        print_out(server.url(), o);
        if (o.hold_class) announce_class(o, server);
        else if (!o.quiet)
            print_out(fmt::format("Benches of {}, for this machine only. Ctrl-C stops it.", server.folder()), o);
    }
    std::fflush(stdout);
}

std::string not_there(const std::string& path) {
    return fmt::format("{}: there is no such file or folder{}\n  expected: a bench file, or a folder of them; "
                       "`voltsill serve` alone takes this folder",
                       path, did_you_mean(nearest_file(path, true)));
}

}  // namespace

void add_serve_options(CLI::App& app, ServeCommand& o) {
    o.bench = ".";
    app.add_option("BENCH", o.bench, "bench file, or a folder of them; this folder when left out");
    app.add_option_function<int>(
           "--port", [&o](const int& port) { o.port = port; },
           fmt::format("of that address; 0: any free one. Without it: {} or the next free one", server::first_port))
        ->check(CLI::Range(0, 65535))
        ->type_name("N");
    app.add_flag("--open", o.open, "open the page in the browser of the desktop");
    app.add_flag("--quiet,-q", o.quiet, "print the address alone");
    app.add_flag("--ascii", o.ascii, "no characters beyond ASCII");
    app.add_flag_callback(
        "--json", [&o] { o.form = Form::json; }, "print one line of JSON when it is ready");
    add_class_options(app, o);
    app.footer(
        "Serves this machine only, at http://127.0.0.1:PORT/, and opens files of that folder alone; a class may be\n"
        "held for the local network (docs/hall.md).\n"
        "Ctrl-C stops it; what is being saved is finished first.\n"
        "Examples:\n"
        "  voltsill serve examples/rain-garden.toml\n"
        "  voltsill serve . --port 0 --open\n"
        "  voltsill serve station.toml --class --bind 192.168.1.5");
}

int run_serve(const ServeCommand& o) {
    const int threads = static_cast<int>(std::max(2u, std::thread::hardware_concurrency()));
    server::ServerOptions options{.path = o.bench, .version = VOLTSILL_VERSION, .port = o.port, .threads = threads};
    if (!class_options(o, options)) return wrong_use;
    const StopSignals signals;  // not before: while a passphrase is typed Ctrl-C ends the program
    auto server = server::Server::start(options);
    if (!server) return give_up(wrong_use, std::filesystem::exists(o.bench) ? server.error() : not_there(o.bench), o);
    announce(o, **server);
    if (o.open && !open_in_browser((*server)->url(), signals.before()))
        complain("no browser could be opened (xdg-open)", o);
    signals.wait();
    // Work that does not end in time writes nothing, so that the program may end around it.
    if (!(*server)->stop()) _exit(0);
    return 0;
}

}  // namespace voltsill::cli
