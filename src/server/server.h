#pragma once
/// The page of a bench and its jobs, for one person on this machine; or a class that works on one bench.
///
///     auto server = Server::start({.path = "station.toml", .version = "0.1.0"});
///     if (!server) complain(server.error());
///     print((*server)->url());  // "http://127.0.0.1:8190/"
///
/// One thread serves all sockets (libmicrohttpd on epoll), one looks at clocks and files, and a fixed number
/// of workers computes. A connection that waits, for an answer, an event or its next request, holds memory
/// but no thread: neither idle connections nor streams can keep others waiting.
#include <chrono>
#include <expected>
#include <memory>
#include <optional>
#include <string>

#include "server/hall_options.h"
#include "server/peers.h"

namespace voltsill::server {

inline constexpr int first_port = 8190, ports_tried = 20;

struct ServerOptions {
    std::string path = ".";   ///< a bench file, or a folder
    std::string version;      ///< of the program
    std::optional<int> port;  ///< 0: any free one; nothing: `first_port` or the next free one
    int threads = 2;          ///< that compute
    int most_connections = 1000;
    std::size_t most_waiting = 64;        ///< pieces of work, of either length
    std::size_t most_held = 64u << 20;    ///< bytes of bodies of all requests together
    std::chrono::seconds silence{65};     ///< after which an idle connection is closed
    Patience patience;
    std::optional<HallOptions> hall;   ///< a class is held on the bench that `path` names
    std::string bind = "127.0.0.1";    ///< one address of this machine; another than the loopback only for a class
    std::string name;                  ///< by which others in the network find this machine; empty: its address
    std::string certificate, key;      ///< PEM; empty: no TLS
};

class Server {
  public:
    /// Why `start` would not come to anything, found without making anything: place, folder, bench, certificate,
    /// address. Empty: nothing is known against it.
    static std::string objection(const ServerOptions& options);
    /// Or one sentence about why not.
    static std::expected<std::unique_ptr<Server>, std::string> start(const ServerOptions& options);
    ~Server();

    int port() const;
    std::string url() const;
    const std::string& token() const;
    const std::string& folder() const;
    bool secure() const;
    std::string join_code_url() const;  ///< of the class that is held; empty: none is
    /// No new work, what is being saved is finished, everybody else is told to end. False: some work did not
    /// end within about a second and a half; it writes nothing.
    bool stop();

  private:
    class Inner;
    explicit Server(std::unique_ptr<Inner> inner);
    std::unique_ptr<Inner> inner_;
};

}  // namespace voltsill::server
