// How long a check takes over HTTP while five hundred other connections are open and fifty are busy.
//
// Five hundred connections stay open meanwhile: half idle between requests, half event streams. Fifty more
// ask in turn, each as soon as it has its answer, on one client thread by poll. Two kinds of asking are
// measured:
//   alone   one connection asks for checks of the demo bench, text changed every time, as while typing
//   busy    fifty connections at once, and the latency of each
// Then the bound that matters to a person: the page promises a verdict within 100 ms (docs/serve.md).
#include <fmt/format.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "engine/engine.h"
#include "loopback.h"
#include "server/server.h"

namespace {

using namespace voltsill::measured;
using Clock = std::chrono::steady_clock;
using Json = nlohmann::json;

/// A connection that asks, and what has come of its answer.
struct Asking {
    int socket = -1;
    Clock::time_point asked{};
    Answer got;
};

class Load {
  public:
    Load(const voltsill::server::Server& server, std::string bench)
        : port_(server.port()), token_(server.token()), bench_(std::move(bench)) {}

    /// Every request is of another text, so that none is answered from memory.
    std::string request() {
        const std::string text = fmt::format("{}\n# {}\n", bench_, ++count_);
        const std::string body = Json{{"file", "bench.toml"}, {"text", text}}.dump();
        return fmt::format(
            "POST /api/check HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\n"
            "X-Voltsill-Token: {}\r\nContent-Length: {}\r\n\r\n{}",
            port_, token_, body.size(), body);
    }
    std::string get(const std::string& target) const {
        return fmt::format("GET {} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", target, port_);
    }
    /// Latencies in ms, in order.
    std::vector<double> run(int connections, int requests) {
        std::vector<Asking> asking(static_cast<std::size_t>(connections));
        std::vector<pollfd> sockets;
        int sent = 0;
        for (Asking& one : asking) {
            one.socket = connected(port_);
            sockets.push_back({one.socket, POLLIN, 0});
            ask(one, sent);
        }
        std::vector<double> latencies;
        while (static_cast<int>(latencies.size()) < requests) {
            poll(sockets.data(), sockets.size(), -1);
            for (std::size_t k = 0; k < sockets.size(); ++k) {
                if (!(sockets[k].revents & POLLIN) || !asking[k].got.read_some(asking[k].socket)) continue;
                if (asking[k].got.status() != 200) give_up(fmt::format("status {}", asking[k].got.status()));
                latencies.push_back(std::chrono::duration<double, std::milli>(Clock::now() - asking[k].asked).count());
                if (sent < requests) ask(asking[k], sent);
            }
        }
        for (const Asking& one : asking) close(one.socket);
        std::ranges::sort(latencies);
        return latencies;
    }

  private:
    void ask(Asking& one, int& sent) {
        one.got = {};
        one.asked = Clock::now();
        send_whole(one.socket, request());
        ++sent;
    }
    int port_;
    std::string token_, bench_;
    int count_ = 0;
};

double share_of(const std::vector<double>& sorted, double share) {
    return sorted[std::min(sorted.size() - 1, static_cast<std::size_t>(share * static_cast<double>(sorted.size())))];
}

void show(const char* what, const std::vector<double>& latencies) {
    fmt::print("{:<28} {:5} requests: median {:7.1f}  p90 {:7.1f}  p99 {:7.1f}  most {:7.1f} ms\n", what,
               latencies.size(), share_of(latencies, 0.5), share_of(latencies, 0.9), share_of(latencies, 0.99),
               latencies.back());
}

/// Half of them idle after a first answer, half streams that have begun.
std::vector<int> open_others(Load& load, int port, int count) {
    std::vector<int> others;
    for (int k = 0; k < count; ++k) {
        others.push_back(connected(port));
        send_whole(others.back(), load.get(k % 2 ? "/api/events?file=bench.toml" : "/api/files"));
        char buffer[4096];
        if (recv(others.back(), buffer, sizeof buffer, 0) <= 0 || std::string_view(buffer, 12) != "HTTP/1.1 200")
            give_up("a connection that waits was refused");
    }
    return others;
}

void check_answer(Load& load, int port, const std::string& bench) {
    Asking one{.socket = connected(port)};
    send_whole(one.socket, load.request());
    while (!one.got.read_some(one.socket)) {
    }
    close(one.socket);
    const auto direct = voltsill::check(bench + "\n# 1\n", "bench.toml", {});
    if (one.got.body() != voltsill::to_json(direct)) give_up("the answer is not that of the engine");
}

/// A check and its JSON without a server, one after the other on this thread.
double direct_milliseconds(const std::string& bench) {
    const auto begin = Clock::now();
    for (int k = 0; k < 20; ++k)
        (void)voltsill::to_json(voltsill::check(fmt::format("{}\n# {}", bench, k), "bench.toml", {}));
    return std::chrono::duration<double, std::milli>(Clock::now() - begin).count() / 20;
}

}  // namespace

int main() {
    rlimit files{};
    getrlimit(RLIMIT_NOFILE, &files);
    files.rlim_cur = files.rlim_max;
    setrlimit(RLIMIT_NOFILE, &files);

    std::ifstream in(std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    const std::string bench = text.str();
    const std::filesystem::path folder =
        std::filesystem::temp_directory_path() / fmt::format("voltsill-serving-{}", getpid());
    std::filesystem::create_directories(folder);
    std::ofstream(folder / "bench.toml") << bench;
    auto server = voltsill::server::Server::start(
        {.path = folder.string(), .port = 0,
         .threads = static_cast<int>(std::max(2u, std::thread::hardware_concurrency())),
         .silence = std::chrono::seconds(600)});
    if (!server) give_up(server.error());

    Load load(**server, bench);
    check_answer(load, (*server)->port(), bench);
    load.run(2, 20);  // warm
    const auto quiet = load.run(1, 200);
    const auto others = open_others(load, (*server)->port(), 500);
    const auto alone = load.run(1, 200);
    const double before = direct_milliseconds(bench);
    const auto busy = load.run(50, 500);
    const double direct = (before + direct_milliseconds(bench)) / 2;

    fmt::print("check of the demo bench, engine alone: {:.1f} ms\n", direct);
    show("one asks, nobody else", quiet);
    show("one asks, 500 others open", alone);
    show("50 ask, 500 others open", busy);
    // The others are still there: each stream and each idle connection answers.
    for (std::size_t k = 0; k < others.size(); k += 2) {
        char buffer[4096];
        while (recv(others[k], buffer, sizeof buffer, MSG_DONTWAIT) > 0) {
        }
        send_whole(others[k], load.get("/api/files"));
        if (recv(others[k], buffer, sizeof buffer, 0) <= 0) give_up("an idle connection was lost");
    }
    for (const int other : others) close(other);
    const bool stopped = (*server)->stop();
    std::filesystem::remove_all(folder);
    if (!stopped) give_up("the server did not stop");

    fmt::print("ratio serving-p99-under-100-ms {:.2f} 1\n", 100 / share_of(alone, 0.99));
    fmt::print("ratio serving-open-connections-cost-nothing {:.2f} 0.8\n", share_of(quiet, 0.5) / share_of(alone, 0.5));
    // Fifty that ask at once share the cores, with the one that asks as well: an answer takes 50 checks' time.
    const double cores = std::max(1u, std::thread::hardware_concurrency());
    fmt::print("ratio serving-fifty-busy {:.2f} 0.5\n", 50 * direct / cores / share_of(busy, 0.99));
}
