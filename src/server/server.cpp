#include "server/server.h"

#include <fmt/format.h>
#include <microhttpd.h>
#include <sys/stat.h>

#include <atomic>
#include <condition_variable>
#include <filesystem>
#include <thread>

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
    std::optional<Answer> answer;
    std::shared_ptr<EventStream> stream;
    std::size_t held = 0;  ///< bytes of the body counted against all
};

std::string lowered_name(const char* text) {
    std::string out;
    for (; *text; ++text) out += *text >= 'A' && *text <= 'Z' ? static_cast<char>(*text - 'A' + 'a') : *text;
    return out;
}

MHD_Result note_header(void* to, MHD_ValueKind, const char* key, std::size_t, const char* value, std::size_t size) {
    static_cast<Head*>(to)->headers.emplace_back(lowered_name(key), value ? std::string(value, size) : "");
    return MHD_YES;
}

MHD_Result note_query(void* to, MHD_ValueKind, const char* key, std::size_t key_size, const char* value,
                      std::size_t size) {
    static_cast<Head*>(to)->query.emplace(std::string(key, key_size), value ? std::string(value, size) : "");
    return MHD_YES;
}

Head head_of(MHD_Connection* connection, const char* url, const char* method) {
    Head head{.method = method, .path = url};
    MHD_get_connection_values_n(connection, MHD_HEADER_KIND, note_header, &head);
    MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, note_query, &head);
    return head;
}

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
            : MHD_create_response_from_buffer(answer.body.size(), const_cast<char*>(answer.body.data()),
                                              MHD_RESPMEM_MUST_COPY);
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

class Server::Inner {
  public:
    Inner(const ServerOptions& options, BenchFolder folder, std::string open_file, int port)
        : site{.folder = std::move(folder), .open_file = std::move(open_file), .version = options.version,
               .threads = options.threads},
          options_(options),
          peers(options.patience),
          workers(options.threads, options.most_waiting) {
        site.guard = {port, random_words()};
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
    auto route = admitted(site.guard, exchange.request->head);
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
        Call call{site, *exchange.request, *exchange.caller, {}};
        exchange.answer = exchange.route->answer(call);
        return finish(exchange);
    }
    // From here to the resumption the exchange is the worker's; what it needs longer is shared with it.
    const auto job = [this, &exchange, request = exchange.request, caller = exchange.caller,
                      answer_call = exchange.route->answer] {
        std::shared_ptr<EventStream> stream;
        Call call{site, *request, *caller, [&] {
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
    daemon_ = MHD_start_daemon(
        MHD_USE_EPOLL_INTERNAL_THREAD | MHD_USE_ITC | MHD_ALLOW_SUSPEND_RESUME, 0, nullptr, nullptr, handler, this,
        MHD_OPTION_LISTEN_SOCKET, socket.get(), MHD_OPTION_CONNECTION_LIMIT,
        static_cast<unsigned>(options_.most_connections), MHD_OPTION_CONNECTION_MEMORY_LIMIT, std::size_t{32} << 10,
        MHD_OPTION_CONNECTION_TIMEOUT, static_cast<unsigned>(options_.silence.count()), MHD_OPTION_STRICT_FOR_CLIENT,
        1, MHD_OPTION_NOTIFY_COMPLETED, ended, this, MHD_OPTION_NOTIFY_CONNECTION, came_or_went, this,
        MHD_OPTION_END);
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

std::expected<std::unique_ptr<Server>, std::string> Server::start(const ServerOptions& options) {
    namespace fs = std::filesystem;
    std::error_code error;
    const bool one_file = fs::is_regular_file(options.path, error);
    const fs::path parent = fs::path(options.path).parent_path();
    auto folder = BenchFolder::open(!one_file ? options.path : parent.empty() ? "." : parent.string());
    if (!folder) return std::unexpected(std::move(folder.error()));
    const std::string file = one_file ? fs::path(options.path).filename().string() : "";
    if (one_file)
        if (const auto bytes = folder->read(file); !bytes)
            return std::unexpected(fmt::format("{}: only bench files whose names end in .toml are opened", options.path));
    auto listening = listen_on_loopback(options.port, first_port, ports_tried);
    if (!listening) return std::unexpected(std::move(listening.error()));
    auto inner = std::make_unique<Inner>(options, std::move(*folder), file, listening->port);
    if (!inner->run(std::move(listening->socket))) return std::unexpected("the server could not be started");
    return std::unique_ptr<Server>(new Server(std::move(inner)));
}

int Server::port() const { return inner_->site.guard.port; }
std::string Server::url() const { return fmt::format("http://127.0.0.1:{}/", port()); }
const std::string& Server::token() const { return inner_->site.guard.token; }
const std::string& Server::folder() const { return inner_->site.folder.path(); }
bool Server::stop() { return inner_->stop(); }

}  // namespace voltsill::server
