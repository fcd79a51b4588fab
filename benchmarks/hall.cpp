// A class of three hundred on loopback: how long each waits, whether anything is lost, and whether who falls
// out comes back.
//
//     hall [SECONDS]     20 when left out; 600 for a lesson's length
//
// Every learner has a stream open and acts every two seconds on average, at random: a step ticked, a reading,
// help asked, one in twenty times a build handed in with a wire left out or none. One in a hundred acts
// breaks the stream off and opens it again. An instructor reads the room all the while. First the answers are
// checked: a right reading is right, a wrong one is not, and the room says so. At the end what the store
// holds is compared with what was acknowledged, learner by learner.
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
#include <numeric>
#include <random>
#include <sstream>
#include <thread>

#include "loopback.h"
#include "server/server.h"

namespace {

using namespace voltsill::measured;
using Clock = std::chrono::steady_clock;
using Json = nlohmann::json;
constexpr int learners = 300;
constexpr double mean_pause = 2;
const std::string passphrase = "a passphrase of the benchmark";

struct Answered {
    int status = 0;
    std::string cookie;
    Json body;
};

/// A connection for calls, and one for the stream.
struct Seat {
    int number = 0, calls = -1, stream = -1;
    std::string cookie, token, streamed;
    Answer got;
    Clock::time_point next{}, asked{};
    bool waits = false;
    enum class Act { tick, reading, help, build } act = Act::tick;
    std::string entering;
    std::vector<std::string> acknowledged;  ///< readings, in order
    std::vector<std::string> handed_in;     ///< wire lists, in order
    long long events = 0;

    std::string request(int port, const std::string& method, const std::string& target,
                        const Json& body = nullptr) const {
        const std::string text = body.is_null() ? "" : body.dump();
        std::string head = fmt::format("{} {} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n", method, target, port);
        if (!cookie.empty()) head += "Cookie: " + cookie + "\r\n";
        if (!token.empty()) head += "X-Voltsill-Token: " + token + "\r\n";
        if (!body.is_null())
            head += fmt::format("Content-Type: application/json\r\nContent-Length: {}\r\n", text.size());
        return head + "\r\n" + text;
    }
    bool take() { return got.read_some(calls); }
    Answered answer() {
        Answered out{.status = got.status(), .body = Json::parse(got.body(), nullptr, false)};
        const std::string head = got.head();
        for (std::size_t at = 0; (at = head.find("Set-Cookie: ", at)) != std::string::npos; ++at)
            out.cookie += (out.cookie.empty() ? "" : "; ") + head.substr(at + 12, head.find(';', at) - at - 12);
        got = {};
        return out;
    }
    Answered call(int port, const std::string& method, const std::string& target, const Json& body = nullptr) {
        send_whole(calls, request(port, method, target, body));
        while (!take()) {
        }
        Answered out = answer();
        if (!out.cookie.empty()) cookie = out.cookie;
        if (out.body.is_object() && out.body.contains("token") && out.body["token"].is_string())
            token = out.body["token"];
        return out;
    }
    void listen(int port, const char* target) {
        stream = connected(port);
        send_whole(stream, request(port, "GET", target));
    }
    /// Whole events that have arrived; false: the stream has ended.
    bool take_events() {
        char buffer[1 << 16];
        const ssize_t more = recv(stream, buffer, sizeof buffer, MSG_DONTWAIT);
        if (more == 0) return false;
        if (more < 0) return true;
        streamed.append(buffer, static_cast<std::size_t>(more));
        for (std::size_t at; (at = streamed.find("event: ")) != std::string::npos; ++events) streamed.erase(0, at + 7);
        if (streamed.size() > 6) streamed.erase(0, streamed.size() - 6);
        return true;
    }
};

/// Steps, one check of gate 1 and the wires, as the lesson states them.
struct Course {
    int steps = 0;
    std::string check;
    std::vector<std::string> wires;  ///< "12a,40c"

    /// Of a learner's build; `without` beyond the last one: nothing is left out.
    std::string wire_list(std::size_t without) const {
        std::string out = "from,to\n";
        for (std::size_t k = 0; k < wires.size(); ++k)
            if (k != without) out += wires[k] + "\n";
        return out;
    }
};

class Lesson {
  public:
    Lesson(int port, double seconds) : port_(port), seconds_(seconds), random_(7) {}

    void begin() {
        instructor_.calls = connected(port_);
        if (instructor_.call(port_, "POST", "/api/class/sign-in", {{"passphrase", passphrase}}).status != 200)
            give_up("the instructor cannot sign in");
        const std::string code = instructor_.call(port_, "GET", "/api/class/room").body["code"];
        instructor_.listen(port_, "/api/class/room/events");
        const auto begin = Clock::now();
        for (int k = 0; k < learners; ++k) {
            Seat& seat = seats_.emplace_back();
            seat.number = k;
            seat.calls = connected(port_);
            const Answered joined =
                seat.call(port_, "POST", "/api/class/join", {{"code", code}, {"nickname", "L" + std::to_string(k)}});
            if (joined.status != 200) give_up(fmt::format("learner {} was not let in: {}", k, joined.status));
            seat.listen(port_, "/api/class/me/events");
        }
        fmt::print("{} learners joined in {:.1f} s\n", learners,
                   std::chrono::duration<double>(Clock::now() - begin).count());
    }

    void check_answers() {
        Seat& first = seats_.front();
        const Json lesson = first.call(port_, "GET", "/api/class/lesson").body;
        course_ = {lesson["steps"], lesson["gates"][0]["checks"][0]["id"], {}};
        for (const Json& phase : lesson["phases"])
            for (const Json& step : phase["steps"])
                if (const Json& wire = step["wire"]; !wire.is_null())
                    course_.wires.push_back(wire["from"].get<std::string>() + "," + wire["to"].get<std::string>());
        const auto right = [&](const char* value) {
            const Json body =
                first.call(port_, "POST", "/api/class/reading", {{"check", course_.check}, {"value", value}}).body;
            first.acknowledged.emplace_back(value);
            return body.value("right", Json());
        };
        if (right("1 Ω") != false || right("open") != true)
            give_up("a rail to ground has to be open, and nothing else is right");
        const Json row = instructor_.call(port_, "GET", "/api/class/room").body["learners"][0];
        const Json build =
            first.call(port_, "POST", "/api/class/submit", {{"wires", course_.wire_list(course_.wires.size())}}).body;
        if (!build.is_object() || build["build"]["accepted"] != true)
            give_up("a build as the steps have it is not accepted");
        first.handed_in.push_back(course_.wire_list(course_.wires.size()));
        if (row["tries"] != 2 || row["right"] != 1) give_up("the room does not say what was entered");
    }

    void run() {
        const auto begin = Clock::now(),
                   end = begin + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds_));
        for (Seat& seat : seats_) seat.next = begin + pause();
        while (Clock::now() < end || waiting_ > 0) {
            const auto now = Clock::now();
            for (Seat& seat : seats_)
                if (!seat.waits && seat.next <= now && now < end) act(seat);
            hear();
        }
    }

    /// What the store holds against what was acknowledged.
    void compare() {
        std::size_t readings = 0, builds = 0;
        for (Seat& seat : seats_) {
            const Json mine = seat.call(port_, "GET", "/api/class/me/export").body;
            const Json& kept = mine["learners"][0]["readings"];
            if (kept.size() != seat.acknowledged.size())
                give_up(fmt::format("learner {}: {} readings kept, {} acknowledged", seat.number, kept.size(),
                                    seat.acknowledged.size()));
            for (std::size_t k = 0; k < kept.size(); ++k)
                if (kept[k]["entered"] != seat.acknowledged[k])
                    give_up("another reading was kept than was acknowledged");
            readings += kept.size();
            const Json& own = mine["learners"][0]["builds"];
            if (own.size() != seat.handed_in.size())
                give_up(fmt::format("learner {}: {} builds kept, {} acknowledged", seat.number, own.size(),
                                    seat.handed_in.size()));
            for (std::size_t k = 0; k < own.size(); ++k)
                if (own[k]["wires"] != seat.handed_in[k]) give_up("another build was kept than was acknowledged");
            builds += own.size();
            if (seat.events < 2) give_up("a stream told nothing");
        }
        fmt::print(
            "{} readings and {} builds acknowledged, all of them kept; {} streams opened again; {} events to "
            "learners, {} to the instructor\n",
            readings, builds, reopened_,
            std::accumulate(seats_.begin(), seats_.end(), 0LL,
                            [](long long sum, const Seat& s) { return sum + s.events; }),
            instructor_.events);
        if (instructor_.events < static_cast<long long>(readings) / 4) give_up("the instructor was not told");
    }

    void close_all() {
        for (const Seat& seat : seats_) {
            close(seat.calls);
            close(seat.stream);
        }
        close(instructor_.calls);
        close(instructor_.stream);
    }
    std::vector<double>& latencies() { return latencies_; }
    std::vector<double>& of_builds() { return of_builds_; }
    int refused() const { return refused_; }

  private:
    Clock::duration pause() {
        return std::chrono::duration_cast<Clock::duration>(
            std::chrono::duration<double>(std::exponential_distribution<double>(1 / mean_pause)(random_)));
    }

    void act(Seat& seat) {
        if (random_() % 100 == 0) {
            close(seat.stream);
            seat.streamed.clear();
            seat.listen(port_, "/api/class/me/events");
            ++reopened_;
        }
        const unsigned what = random_() % 20;
        seat.act = what < 11   ? Seat::Act::reading
                   : what < 17 ? Seat::Act::tick
                   : what < 19 ? Seat::Act::help
                               : Seat::Act::build;
        seat.entering = fmt::format("{} kΩ", 1 + random_() % 1000);
        seat.asked = Clock::now();
        seat.waits = true;
        ++waiting_;
        if (seat.act == Seat::Act::build) {
            seat.entering = course_.wire_list(random_() % (course_.wires.size() + 1));
            send_whole(seat.calls, seat.request(port_, "POST", "/api/class/submit", {{"wires", seat.entering}}));
        } else if (seat.act == Seat::Act::reading)
            send_whole(seat.calls, seat.request(port_, "POST", "/api/class/reading",
                                                {{"check", course_.check}, {"value", seat.entering}}));
        else if (seat.act == Seat::Act::tick)
            send_whole(seat.calls,
                       seat.request(port_, "POST", "/api/class/tick",
                                    {{"step", static_cast<int>(random_() % static_cast<unsigned>(course_.steps))},
                                     {"done", random_() % 4 > 0}}));
        else
            send_whole(seat.calls, seat.request(port_, "POST", "/api/class/help", {{"wanted", random_() % 2 == 0}}));
    }

    void hear() {
        std::vector<pollfd> sockets;
        for (const Seat& seat : seats_) {
            sockets.push_back({seat.calls, POLLIN, 0});
            sockets.push_back({seat.stream, POLLIN, 0});
        }
        sockets.push_back({instructor_.stream, POLLIN, 0});
        poll(sockets.data(), sockets.size(), 2);
        for (std::size_t k = 0; k < seats_.size(); ++k) {
            Seat& seat = seats_[k];
            if ((sockets[2 * k].revents & POLLIN) && seat.waits && seat.take()) finish(seat);
            if ((sockets[2 * k + 1].revents & POLLIN) && !seat.take_events())
                give_up("a stream was ended by the server");
        }
        if ((sockets.back().revents & POLLIN) && !instructor_.take_events())
            give_up("the instructor's stream was ended");
    }

    void finish(Seat& seat) {
        const Answered said = seat.answer();
        const bool is_build = seat.act == Seat::Act::build;
        (is_build ? of_builds_ : latencies_)
            .push_back(std::chrono::duration<double, std::milli>(Clock::now() - seat.asked).count());
        if (said.status == 200 && seat.act == Seat::Act::reading) seat.acknowledged.push_back(seat.entering);
        if (said.status == 200 && is_build) seat.handed_in.push_back(seat.entering);
        if (said.status == 429) ++refused_;
        else if (said.status != 200) give_up(fmt::format("status {}", said.status));
        seat.waits = false;
        --waiting_;
        seat.next = Clock::now() + pause();
    }

    int port_;
    double seconds_;
    std::mt19937 random_;
    Course course_;
    Seat instructor_;
    std::vector<Seat> seats_;
    std::vector<double> latencies_, of_builds_;
    int waiting_ = 0, reopened_ = 0, refused_ = 0;
};

double at_share(const std::vector<double>& sorted, double share) {
    return sorted[std::min(sorted.size() - 1, static_cast<std::size_t>(share * static_cast<double>(sorted.size())))];
}

}  // namespace

int main(int count, char** words) {
    const double seconds = count > 1 ? std::atof(words[1]) : 20;
    rlimit files{};
    getrlimit(RLIMIT_NOFILE, &files);
    files.rlim_cur = files.rlim_max;
    setrlimit(RLIMIT_NOFILE, &files);
    const std::filesystem::path folder =
        std::filesystem::temp_directory_path() / fmt::format("voltsill-hall-{}", getpid());
    std::filesystem::create_directories(folder);
    std::filesystem::copy_file(std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml", folder / "bench.toml");
    voltsill::server::ServerOptions options{.path = (folder / "bench.toml").string(), .port = 0};
    options.hall = voltsill::server::HallOptions{.store = (folder / "class.sqlite").string(), .passphrase = passphrase};
    auto server = voltsill::server::Server::start(options);
    if (!server) give_up(server.error());

    Lesson lesson((*server)->port(), seconds);
    lesson.begin();
    lesson.check_answers();
    lesson.run();
    lesson.compare();
    lesson.close_all();
    const bool stopped = (*server)->stop();
    std::filesystem::remove_all(folder);
    if (!stopped) give_up("the server did not stop");

    std::vector<double>& latencies = lesson.latencies();
    std::vector<double>& builds = lesson.of_builds();
    std::ranges::sort(latencies);
    std::ranges::sort(builds);
    fmt::print(
        "{} acts in {:.0f} s: median {:.1f}  p90 {:.1f}  p99 {:.1f}  p99.9 {:.1f}  most {:.1f} ms; {} told to wait\n",
        latencies.size(), seconds, at_share(latencies, 0.5), at_share(latencies, 0.9), at_share(latencies, 0.99),
        at_share(latencies, 0.999), latencies.back(), lesson.refused());
    if (!builds.empty())
        fmt::print("{} builds: median {:.1f}  p90 {:.1f}  p99 {:.1f}  most {:.1f} ms\n", builds.size(),
                   at_share(builds, 0.5), at_share(builds, 0.9), at_share(builds, 0.99), builds.back());
    fmt::print("ratio hall-300-learners-p99-under-100-ms {:.2f} 1\n", 100 / at_share(latencies, 0.99));
    fmt::print("ratio hall-acts-a-second {:.2f} 1\n",
               static_cast<double>(latencies.size() + builds.size()) / seconds / (0.9 * learners / mean_pause));
}
