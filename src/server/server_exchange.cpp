/// A request on its way to its answer.
#include <fmt/format.h>

#include "server/http.h"
#include "server/server_inside.h"

namespace voltsill::server {
namespace {

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
    for (const auto& [name, value] : standing_headers(answer))
        MHD_add_response_header(response, name.c_str(), value.c_str());
    for (const auto& [name, value] : answer.headers) MHD_add_response_header(response, name.c_str(), value.c_str());
    const MHD_Result queued =
        MHD_queue_response(exchange.connection, static_cast<unsigned>(answer.status), response);
    MHD_destroy_response(response);
    return queued;
}

Answer too_busy() {
    Answer answer =
        refusal(429, "too-busy", "more is being asked for than can be worked on", "the same a little later");
    answer.headers.emplace_back("Retry-After", "1");
    return answer;
}

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
    if (handshakes_) handshakes_->ended(exchange.peer);
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
        exchange.answer =
            refusal(413, "too-large", fmt::format("at most {} bytes are taken here", exchange.route->most_body));
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

}  // namespace voltsill::server
