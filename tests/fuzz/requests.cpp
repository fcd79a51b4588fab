/// Any bytes as what a client sends to the hall of a class: targets, headers and bodies, in every role.
///
///     learner POST /api/class/reading?a=b      who asks, method, target
///     X-Voltsill-Token: another                headers; Host, token and type are right unless they are given
///                                              an empty line, then the body
///     {"check": "ohm-1", "value": "open"}
///     ----                                     the next request, at most six
///
/// Every request gets an answer; what says it is JSON is; no header ends early; nobody made up a cookie; nothing is
/// written beside the folder.
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <future>
#include <nlohmann/json.hpp>

#include "engine/diagnose.h"
#include "parts/embedded.h"
#include "server/class_calls.h"
#include "server/hall.h"
#include "server/routes.h"

namespace {

using namespace voltsill;
using namespace voltsill::server;
namespace fs = std::filesystem;

void hold(bool so, const char* what) {
    if (so) return;
    std::fprintf(stderr, "does not hold: %s\n", what);
    std::abort();
}

/// As the HTTP library decodes: "%41" and, in a query, "+".
std::string decoded(std::string_view text, bool query) {
    std::string out;
    for (std::size_t k = 0; k < text.size(); ++k) {
        const auto digit = [](char c) {
            return c >= '0' && c <= '9'   ? c - '0'
                   : c >= 'a' && c <= 'f' ? c - 'a' + 10
                   : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                          : -1;
        };
        if (text[k] == '%' && k + 2 < text.size() && digit(text[k + 1]) >= 0 && digit(text[k + 2]) >= 0) {
            out += static_cast<char>(16 * digit(text[k + 1]) + digit(text[k + 2]));
            k += 2;
        } else {
            out += query && text[k] == '+' ? ' ' : text[k];
        }
    }
    return out;
}

/// What stands before the first `end`, which goes as well; all when there is none.
std::string_view taken(std::string_view& text, std::string_view end) {
    const std::size_t at = std::min(text.find(end), text.size());
    const std::string_view out = text.substr(0, at);
    text.remove_prefix(std::min(text.size(), at + end.size()));
    return out;
}

void read_target(std::string_view target, Head& head) {
    head.path = decoded(taken(target, "?"), false);
    while (!target.empty()) {
        std::string_view pair = taken(target, "&");
        const std::string key = decoded(taken(pair, "="), true);
        head.query.emplace(key, decoded(pair, true));
    }
}

const std::string token = "token";

struct Sent {
    std::string_view who;
    Request request;
};

Sent read_request(std::string_view text) {
    Sent sent;
    Head& head = sent.request.head;
    head.peer = "peer";
    std::string_view first = taken(text, "\n");
    sent.who = taken(first, " ");
    head.method = taken(first, " ");
    read_target(first, head);
    for (std::string_view line = taken(text, "\n"); !line.empty(); line = taken(text, "\n")) {
        std::string name(taken(line, ": "));
        for (char& c : name) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
        head.headers.emplace_back(std::move(name), std::string(line));
    }
    for (const auto& [name, value] :
         {std::pair{"host", "localhost:1"}, {"x-voltsill-token", "token"}, {"content-type", "application/json"}})
        if (!head.has(name)) head.headers.emplace_back(name, value);
    sent.request.body = text;
    return sent;
}

/// A folder with one bench, and the hall of a class on it; both of a memory file system where there is one.
class World {
  public:
    World() : root_(fs::exists("/dev/shm") ? "/dev/shm" : fs::temp_directory_path().string()) {
        root_ += "/voltsill-requests-XXXXXX";
        if (!mkdtemp(root_.data())) std::abort();
        for (const char* folder : {"/benches", "/class"}) fs::create_directories(root_ + folder);
        for (const EmbeddedFile& file : embedded_examples())
            if (std::string_view(file.name) == "first-bench.toml") bench_ = file.text;
        SheetsOptions options{.audience = Audience::instructor, .slips = false, .threads = 1};
        options.place.effort = 0.01;
        sheets_ = make_sheets(bench_, "bench.toml", nullptr, options);
        auto folder = BenchFolder::open(root_ + "/benches");
        if (!folder) std::abort();
        site_.reset(new Site{.folder = std::move(*folder), .open_file = "bench.toml", .version = "0"});
        site_->guard = {.port = 1, .token = token};
        site_->diagnosed = diagnose_memory();
    }
    ~World() {
        site_.reset();
        fs::remove_all(root_);
    }
    void try_all(std::string_view text) {
        tidy();
        for (int k = 0; k < 6 && !text.empty(); ++k) try_one(read_request(taken(text, "\n----\n")));
        site_->watch.look(site_->folder);
        hold(std::distance(fs::directory_iterator(root_), {}) == 2, "nothing is written beside the folder");
    }

  private:
    /// Another learner for each input; another hall when there are many.
    void tidy() {
        constexpr int most = 64;
        for (const auto& entry : fs::directory_iterator(root_ + "/benches")) fs::remove_all(entry.path());
        site_->folder.save("bench.toml", bench_, std::nullopt);
        if (!site_->hall || seats_ >= most) {
            site_->hall.reset();
            for (const auto& entry : fs::directory_iterator(root_ + "/class")) fs::remove(entry.path());
            auto lesson = make_lesson(sheets_, "bench.toml");
            HallOptions options{
                .store = root_ + "/class/class.sqlite", .passphrase = "four words that differ", .diagnosis = false};
            for (Rate* rate : {&options.limits.peer, &options.limits.learner, &options.limits.builds,
                               &options.limits.hints, &options.limits.exports, &options.limits.joins,
                               &options.limits.wrong_codes, &options.limits.all_wrong_codes})
                *rate = {1e9, 1e9};
            auto hall = lesson ? Hall::open(std::move(options), std::move(*lesson)) : std::unexpected(lesson.error());
            hold(hall.has_value(), hall ? "" : hall.error().c_str());
            site_->hall = std::move(*hall);
            site_->hall->set_url("http://localhost:1/");
            seats_ = 0;
        }
        const std::string name = "learner " + std::to_string(++seats_);
        recorded_by_desk(*site_->hall, [&]() -> voltsill::server::Told {
            const std::string code = site_->hall->new_code(true, 8)["code"];
            auto joined = site_->hall->join("peer", code, name);
            hold(joined.has_value(), "a learner joins");
            learner_ =
                site_->hall->identify({.headers = {{"cookie", std::string(device_cookie) + "=" + joined->secret}}})
                    .learner;
            return Json();
        });
    }

    Identity identity(const Sent& sent) {
        const Identity proved = site_->hall->identify(sent.request.head);
        hold(proved.role == Role::nobody, "no secret is guessed");
        if (sent.who == "learner")
            return {.role = Role::learner, .in_class = true, .learner = learner_, .token = token};
        if (sent.who == "instructor") return {.role = Role::instructor, .in_class = true, .token = token};
        return proved;
    }

    Answer answered(const Route& route, Call& call) {
        if (route.runs != Runs::recorded) return route.answer(call);
        std::promise<Answer> kept;
        std::future<Answer> answer = kept.get_future();
        site_->hall->desk().add(
            {[&] { return route.answer(call); }, [&](Answer said) { kept.set_value(std::move(said)); }});
        return answer.get();
    }

    void try_one(const Sent& sent) {
        const Identity who = identity(sent);
        const auto route = admitted(site_->guard, sent.request.head, who);
        if (!route) return look_at(route.error());
        if (sent.request.body.size() > (*route)->most_body) return;
        hold(leave_for((*route)->whom, who.role, true) == Leave::given, "what is not for a role is refused");
        const auto caller = std::make_shared<Caller>();
        // A trace or a placement takes seconds: of those that the maker's page asks for, what comes before.
        if ((*route)->whom == For::maker && (*route)->runs == Runs::lengthy) caller->leave();
        std::shared_ptr<EventStream> stream;
        Call call{*site_, sent.request, *caller, who, [&] {
                      return stream = std::make_shared<EventStream>(caller, [] {}, [] {});
                  }};
        const Answer answer = answered(**route, call);
        if (!stream) return look_at(answer);
        char some[4096];
        std::size_t count = 0;
        stream->take(some, sizeof some, count);
        caller->leave();
        stream->detach();
    }

    static void look_at(const Answer& answer) {
        hold(answer.status >= 200 && answer.status < 600, "a status of HTTP");
        if (answer.type == "application/json")
            hold(nlohmann::json::accept(answer.shared ? *answer.shared : answer.body), "JSON is JSON");
        auto headers = standing_headers(answer);
        headers.insert(headers.end(), answer.headers.begin(), answer.headers.end());
        for (const auto& [name, value] : headers)
            hold((name + value).find_first_of(std::string_view("\r\n\0", 3)) == std::string::npos,
                 "a header is one line");
    }

    std::string root_, bench_;
    SheetsResult sheets_;
    std::unique_ptr<Site> site_;
    std::int64_t learner_ = 0;
    int seats_ = 0;
};

}  // namespace

/// A hall keeps what it is told: to look for leaks after every input would take longer than the input.
extern "C" int LLVMFuzzerInitialize(int* count, char*** words) {
    static std::string no_leaks = "-detect_leaks=0";
    static std::vector<char*> more(*words, *words + *count);
    more.insert(more.end(), {no_leaks.data(), nullptr});
    *words = more.data();
    ++*count;
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    static World world;
    world.try_all({reinterpret_cast<const char*>(data), size});
    return 0;
}
