#include "server/server.h"

#include <fmt/format.h>
#include <microhttpd.h>
#include <sys/stat.h>

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <filesystem>
#include <thread>

#include "engine/diagnose.h"
#include "server/hall.h"
#include "server/http.h"
#include "server/listen.h"
#include "server/routes.h"
#include "server/workers.h"

namespace voltsill::server {
namespace {

/// A request on its way: from its head to the end of its answer. Only the serving thread touches it, but
/// while the connection is parked for work, when the one worker that has it does.
struct Exchange {
    MHD_Connection* connection = nullptr;
    Peer* peer = nullptr;
    std::shared_ptr<Request> request = std::make_shared<Request>();
    std::shared_ptr<Caller> caller = std::make_shared<Caller>();
    const Route* route = nullptr;
    Identity who;
    std::optional<Answer> answer;
    std::shared_ptr<EventStream> stream;
    std::size_t held = 0;  ///< bytes of the body counted against all
};

ssize_t take_from_stream(void* stream, std::uint64_t, char* into, std::size_t room) {
    std::size_t count = 0;
    switch ((*static_cast<std::shared_ptr<EventStream>*>(stream))->take(into, room, count)) {
        case EventStream::Took::some:
            return static_cast<ssize_t>(count);
        case EventStream::Took::parked:
            return 0;
        case EventStream::Took::ended:
            return MHD_CONTENT_READER_END_OF_STREAM;
        case EventStream::Took::broken:
            break;
    }
    return MHD_CONTENT_READER_END_WITH_ERROR;
}

void drop_stream(void* stream) { delete static_cast<std::shared_ptr<EventStream>*>(stream); }

MHD_Result send_answer(Exchange& exchange, const Answer& answer) {
    MHD_Response* response =
        exchange.stream
            ? MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 16384, take_from_stream,
                                                new std::shared_ptr<EventStream>(exchange.stream), drop_stream)
            : response_with_body(answer);
    if (!response) return MHD_NO;
    for (const auto& [name, value] : standing_headers(answer)) MHD_add_response_header(response, name.c_str(), value.c_str());
    for (const auto& [name, value] : answer.headers) MHD_add_response_header(response, name.c_str(), value.c_str());
    const MHD_Result queued =
        MHD_queue_response(exchange.connection, static_cast<unsigned>(answer.status), response);
    MHD_destroy_response(response);
    return queued;
}

Answer too_busy() {
    Answer answer = refusal(429, "too-busy", "more is being asked for than can be worked on", "the same a little later");
    answer.headers.emplace_back("Retry-After", "1");
    return answer;
}

}  // namespace

namespace {

/// When the network comes back, a whole class opens its streams again.
constexpr std::size_t waiting_of_a_class = 1024;

}  // namespace

class Server::Inner {
  public:
    Inner(const ServerOptions& options, BenchFolder folder, std::string open_file, int port)
        : site{.folder = std::move(folder), .open_file = std::move(open_file), .version = options.version,
               .threads = options.threads},
          options_(options),
          peers(options.patience, !options.certificate.empty()),
          workers(options.threads, options.hall ? std::max(options.most_waiting, waiting_of_a_class) : options.most_waiting) {
        site.diagnosed = diagnose_memory();
        site.guard = {.port = port, .token = random_words(), .secure = !options.certificate.empty()};
        const std::string address = options.bind.find(':') == std::string::npos ? options.bind : "[" + options.bind + "]";
        if (!is_loopback(options.bind)) site.guard.names = {address};
        if (!options.name.empty()) site.guard.names.insert(site.guard.names.begin(), options.name);
    }

    bool run(Descriptor socket);
    bool stop();

    MHD_Result handle(Exchange*& exchange, MHD_Connection* connection, const char* url, const char* method,
                      const char* data, std::size_t& size);
    void completed(Exchange* exchange);

    Site site;

  private:
    MHD_Result begin(Exchange& exchange, const char* url, const char* method);
    void take_body(Exchange& exchange, const char* data, std::size_t size);
    MHD_Result work(Exchange& exchange);
    MHD_Result record(Exchange& exchange);
    MHD_Result finish(Exchange& exchange);
    std::shared_ptr<EventStream> stream_for(Exchange& exchange);
    void tend();

    ServerOptions options_;

  public:
    Peers peers;

  private:
    Workers workers;
    std::atomic<std::size_t> held_{0};
    std::atomic<bool> stopping_{false};
    MHD_Daemon* daemon_ = nullptr;
    std::mutex tending_mutex_;
    std::condition_variable tending_ends_;
    std::thread tending_;
};

namespace {

Peer* peer_of(MHD_Connection* connection) {
    return static_cast<Peer*>(MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)->socket_context);
}

}  // namespace

/// Called for the head of a request, for every piece of its body, for its end, and again after work.
MHD_Result Server::Inner::handle(Exchange*& exchange, MHD_Connection* connection, const char* url,
                                 const char* method, const char* data, std::size_t& size) {
    if (!exchange) {
        exchange = new Exchange{.connection = connection, .peer = peer_of(connection)};
        return begin(*exchange, url, method);
    }
    if (size > 0) {
        take_body(*exchange, data, size);
        size = 0;
        return MHD_YES;
    }
    if (exchange->answer || exchange->stream) return finish(*exchange);
    return work(*exchange);
}

MHD_Result Server::Inner::begin(Exchange& exchange, const char* url, const char* method) {
    peers.enter(exchange.peer, Phase::receiving);
    exchange.request->head = head_of(exchange.connection, url, method);
    const Head& head = exchange.request->head;
    if (site.hall) {
        exchange.who = site.hall->identify(head);
        exchange.answer = site.hall->objection_to_rate(head.peer, exchange.who);
        if (exchange.answer) return finish(exchange);
    }
    auto route = admitted(site.guard, head, exchange.who);
    if (route) {
        exchange.route = *route;
        return MHD_YES;
    }
    exchange.answer = std::move(route.error());
    return finish(exchange);
}

/// What is too much is not kept, and the answer says so when the rest has passed.
void Server::Inner::take_body(Exchange& exchange, const char* data, std::size_t size) {
    std::string& body = exchange.request->body;
    if (exchange.answer) return;
    if (body.size() + size > exchange.route->most_body)
        exchange.answer = refusal(413, "too-large", fmt::format("at most {} bytes are taken here", exchange.route->most_body));
    else if (held_ + size > options_.most_held)
        exchange.answer = too_busy();
    if (exchange.answer) {
        body = {};
        return;
    }
    held_ += size;
    exchange.held += size;
    body.append(data, size);
}

std::shared_ptr<EventStream> Server::Inner::stream_for(Exchange& exchange) {
    MHD_Connection* connection = exchange.connection;
    return std::make_shared<EventStream>(
        exchange.caller, [connection] { MHD_suspend_connection(connection); },
        [connection] { MHD_resume_connection(connection); });
}

MHD_Result Server::Inner::work(Exchange& exchange) {
    if (stopping_) {
        exchange.answer = refusal(503, "stopping", "the server is being stopped");
        return finish(exchange);
    }
    if (exchange.route->runs == Runs::at_once) {
        Call call{site, *exchange.request, *exchange.caller, exchange.who, {}};
        exchange.answer = exchange.route->answer(call);
        return finish(exchange);
    }
    if (exchange.route->runs == Runs::recorded) return record(exchange);
    // From here to the resumption the exchange is the worker's; what it needs longer is shared with it.
    const auto job = [this, &exchange, request = exchange.request, caller = exchange.caller,
                      who = exchange.who, answer_call = exchange.route->answer] {
        std::shared_ptr<EventStream> stream;
        Call call{site, *request, *caller, who, [&] {
                      stream = stream_for(exchange);
                      exchange.stream = stream;
                      MHD_resume_connection(exchange.connection);
                      return stream;
                  }};
        Answer answer = caller->left() ? refusal(503, "left", "nobody waits any more") : answer_call(call);
        if (stream) return;
        exchange.answer = std::move(answer);
        MHD_resume_connection(exchange.connection);
    };
    peers.enter(exchange.peer, Phase::working, exchange.caller);
    MHD_suspend_connection(exchange.connection);
    const auto length = exchange.route->runs == Runs::brief ? Workers::Length::brief : Workers::Length::lengthy;
    if (!workers.add(length, job)) {
        exchange.answer = too_busy();
        MHD_resume_connection(exchange.connection);
    }
    return MHD_YES;
}

/// The desk answers when what was changed is on the disk.
MHD_Result Server::Inner::record(Exchange& exchange) {
    peers.enter(exchange.peer, Phase::working, exchange.caller);
    MHD_suspend_connection(exchange.connection);
    const auto change = [this, request = exchange.request, caller = exchange.caller, who = exchange.who,
                         answer_call = exchange.route->answer] {
        Call call{site, *request, *caller, who, {}};
        return caller->left() ? refusal(503, "left", "nobody waits any more") : answer_call(call);
    };
    const auto deliver = [&exchange](Answer answer) {
        exchange.answer = std::move(answer);
        MHD_resume_connection(exchange.connection);
    };
    if (!site.hall->desk().add({change, deliver})) deliver(too_busy());
    return MHD_YES;
}

MHD_Result Server::Inner::finish(Exchange& exchange) {
    if (exchange.stream) {
        peers.enter(exchange.peer, Phase::streaming, exchange.caller, exchange.stream);
        if (stopping_) exchange.stream->break_off();
        return send_answer(exchange, {.type = "text/event-stream"});
    }
    peers.enter(exchange.peer, Phase::answering);
    return send_answer(exchange, *exchange.answer);
}

void Server::Inner::completed(Exchange* exchange) {
    exchange->caller->leave();
    if (exchange->stream) exchange->stream->detach();
    held_ -= exchange->held;
    peers.enter(exchange->peer, Phase::idle);
    delete exchange;
}

/// Clocks, hang-ups and files, some times a second.
void Server::Inner::tend() {
    std::unique_lock lock(tending_mutex_);
    for (int turn = 1; !stopping_; ++turn) {
        lock.unlock();
        peers.look();
        site.watch.look(site.folder);
        if (turn % 75 == 0) site.watch.comment_all();  // every 15 s
        lock.lock();
        tending_ends_.wait_for(lock, std::chrono::milliseconds(200), [&] { return stopping_.load(); });
    }
}

bool Server::Inner::run(Descriptor socket) {
    const auto handler = [](void* self, MHD_Connection* connection, const char* url, const char* method, const char*,
                            const char* data, std::size_t* size, void** exchange) {
        return static_cast<Inner*>(self)->handle(*reinterpret_cast<Exchange**>(exchange), connection, url, method, data,
                                                 *size);
    };
    const MHD_RequestCompletedCallback ended = [](void* self, MHD_Connection*, void** exchange,
                                                  MHD_RequestTerminationCode) {
        if (*exchange) static_cast<Inner*>(self)->completed(static_cast<Exchange*>(*exchange));
        *exchange = nullptr;
    };
    const MHD_NotifyConnectionCallback came_or_went = [](void* self, MHD_Connection* connection, void** context,
                                                         MHD_ConnectionNotificationCode what) {
        Peers& all = static_cast<Inner*>(self)->peers;
        if (what == MHD_CONNECTION_NOTIFY_STARTED)
            *context = all.add(MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd);
        else
            all.remove(static_cast<Peer*>(*context));
    };
    // One address may not take all connections; a class behind one address needs two for each of its people.
    std::vector<MHD_OptionItem> more;
    if (site.hall) more.push_back({MHD_OPTION_PER_IP_CONNECTION_LIMIT, options_.most_connections * 7 / 10, nullptr});
    if (site.guard.secure) {
        more.push_back({MHD_OPTION_HTTPS_MEM_CERT, 0, options_.certificate.data()});
        more.push_back({MHD_OPTION_HTTPS_MEM_KEY, 0, options_.key.data()});
        more.push_back({MHD_OPTION_HTTPS_PRIORITIES, 0, const_cast<char*>("NORMAL:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2")});
    }
    more.push_back({MHD_OPTION_END, 0, nullptr});
    daemon_ = MHD_start_daemon(
        MHD_USE_EPOLL_INTERNAL_THREAD | MHD_USE_ITC | MHD_ALLOW_SUSPEND_RESUME | (site.guard.secure ? MHD_USE_TLS : MHD_NO_FLAG), 0, nullptr, nullptr, handler, this,
        MHD_OPTION_LISTEN_SOCKET, socket.get(), MHD_OPTION_CONNECTION_LIMIT,
        static_cast<unsigned>(options_.most_connections), MHD_OPTION_CONNECTION_MEMORY_LIMIT, std::size_t{32} << 10,
        MHD_OPTION_CONNECTION_TIMEOUT, static_cast<unsigned>(options_.silence.count()), MHD_OPTION_STRICT_FOR_CLIENT,
        1, MHD_OPTION_NOTIFY_COMPLETED, ended, this, MHD_OPTION_NOTIFY_CONNECTION, came_or_went, this,
        MHD_OPTION_ARRAY, more.data(), MHD_OPTION_END);
    if (!daemon_) return false;
    socket.release();
    tending_ = std::thread([this] { tend(); });
    return true;
}

bool Server::Inner::stop() {
    if (!daemon_) return true;
    stopping_ = true;
    {
        const std::lock_guard lock(tending_mutex_);
        tending_ends_.notify_all();
    }
    if (tending_.joinable()) tending_.join();
    if (site.hall) site.hall->close();
    peers.dismiss();
    if (!workers.stop(std::chrono::milliseconds(1500))) return false;
    peers.dismiss();
    MHD_stop_daemon(daemon_);
    daemon_ = nullptr;
    return true;
}

Server::Server(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Server::~Server() {
    while (!stop()) {
    }
}

namespace {

/// The lesson of a class, from the bench that is served.
std::expected<std::shared_ptr<Hall>, std::string> opened_hall(const ServerOptions& options, const BenchFolder& folder,
                                                              const std::string& file) {
    if (file.empty()) return std::unexpected(options.path + " is a folder: a class works on one bench");
    const auto bytes = folder.read(file);
    if (!bytes) return std::unexpected(file + " cannot be read");
    bool included = false;
    const SheetsOptions sheets{.audience = Audience::instructor, .slips = false, .threads = options.threads};
    auto lesson = make_lesson(make_sheets(bytes->text, file, folder.include_beside(file, included), sheets), file);
    if (!lesson) return std::unexpected(std::move(lesson.error()));
    HallOptions hall = *options.hall;
    hall.secure = !options.certificate.empty();
    auto opened = Hall::open(std::move(hall), std::move(*lesson));
    if (!opened) return std::unexpected(std::move(opened.error()));
    return std::shared_ptr<Hall>(std::move(*opened));
}

/// Why this server must not be reached from where it would be; empty: it may.
std::string objection_to_place(const ServerOptions& options) {
    if (!is_one_address(options.bind))
        return fmt::format("\"{}\" is not one address of this machine, such as 192.168.1.5", options.bind);
    if (!options.hall && !is_loopback(options.bind))
        return "benches are served to this machine alone; another address is for a class (--class)";
    if (options.certificate.empty() != options.key.empty()) return "a certificate and its key belong together";
    return {};
}

}  // namespace

std::expected<std::unique_ptr<Server>, std::string> Server::start(const ServerOptions& options) {
    namespace fs = std::filesystem;
    if (std::string objection = objection_to_place(options); !objection.empty()) return std::unexpected(std::move(objection));
    std::error_code error;
    const bool one_file = fs::is_regular_file(options.path, error);
    const fs::path parent = fs::path(options.path).parent_path();
    auto folder = BenchFolder::open(!one_file ? options.path : parent.empty() ? "." : parent.string());
    if (!folder) return std::unexpected(std::move(folder.error()));
    const std::string file = one_file ? fs::path(options.path).filename().string() : "";
    if (one_file)
        if (const auto bytes = folder->read(file); !bytes)
            return std::unexpected(fmt::format("{}: only bench files whose names end in .toml are opened", options.path));
    std::shared_ptr<Hall> hall;
    if (options.hall) {
        auto opened = opened_hall(options, *folder, file);
        if (!opened) return std::unexpected(std::move(opened.error()));
        hall = std::move(*opened);
    }
    auto listening = listen_on(options.bind, options.port, first_port, ports_tried);
    if (!listening) return std::unexpected(std::move(listening.error()));
    auto inner = std::make_unique<Inner>(options, std::move(*folder), file, listening->port);
    if (hall) hall->set_url(inner->site.guard.url());
    inner->site.hall = std::move(hall);
    if (!inner->run(std::move(listening->socket)))
        return std::unexpected(options.certificate.empty() ? "the server could not be started"
                                                           : "the server could not be started: look at certificate and key");
    return std::unique_ptr<Server>(new Server(std::move(inner)));
}

int Server::port() const { return inner_->site.guard.port; }
std::string Server::url() const { return inner_->site.guard.url(); }
const std::string& Server::token() const { return inner_->site.guard.token; }
const std::string& Server::folder() const { return inner_->site.folder.path(); }
bool Server::secure() const { return inner_->site.guard.secure; }
std::string Server::join_code_url() const { return inner_->site.hall ? inner_->site.hall->join_url() : ""; }
bool Server::stop() { return inner_->stop(); }

}  // namespace voltsill::server
