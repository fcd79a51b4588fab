#pragma once
/// What a server is made of. Used by server*.cpp only.
///
///     server.cpp           a folder, a hall and a socket become a server
///     server_exchange.cpp  a request becomes an answer
///     server_daemon.cpp    connections, clocks, the end
#include <microhttpd.h>

#include <atomic>
#include <condition_variable>
#include <thread>

#include "server/hall.h"
#include "server/handshakes.h"
#include "server/listen.h"
#include "server/routes.h"
#include "server/server.h"
#include "server/workers.h"

namespace voltsill::server {

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

/// Whether TLS starts with this certificate and key (PEM).
bool is_certificate(const std::string& certificate, const std::string& key);

class Server::Inner {
  public:
    Inner(const ServerOptions& options, BenchFolder folder, std::string open_file, int port);

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
    void came(MHD_Connection* connection, Peer*& peer);
    void went(Peer* peer);

    ServerOptions options_;
    std::optional<Handshakes> handshakes_;  ///< of a class over TLS

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

}  // namespace voltsill::server
