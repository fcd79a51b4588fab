/// Connections, clocks, and the end.
#include "server/http.h"
#include "server/server_inside.h"

namespace voltsill::server {

bool is_certificate(const std::string& certificate, const std::string& key) {
    const auto none = [](void*, MHD_Connection*, const char*, const char*, const char*, const char*, std::size_t*,
                         void**) { return MHD_NO; };
    MHD_Daemon* tried = MHD_start_daemon(MHD_USE_TLS | MHD_USE_NO_LISTEN_SOCKET, 0, nullptr, nullptr, none, nullptr,
                                         MHD_OPTION_HTTPS_MEM_CERT, certificate.c_str(), MHD_OPTION_HTTPS_MEM_KEY,
                                         key.c_str(), MHD_OPTION_END);
    if (tried) MHD_stop_daemon(tried);
    return tried != nullptr;
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

void Server::Inner::came(MHD_Connection* connection, Peer*& peer) {
    peer = peers.add(MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd);
    if (!handshakes_) return;
    const auto* from = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    if (const auto gives_way = handshakes_->began(peer, address_bytes(*from->client_addr))) peers.dismiss(*gives_way);
}

void Server::Inner::went(Peer* peer) {
    if (handshakes_) handshakes_->ended(peer);
    peers.remove(peer);
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
        Inner& server = *static_cast<Inner*>(self);
        if (what == MHD_CONNECTION_NOTIFY_STARTED) server.came(connection, *reinterpret_cast<Peer**>(context));
        else server.went(static_cast<Peer*>(*context));
    };
    const MHD_AcceptPolicyCallback may_come = [](void* self, const sockaddr* address, socklen_t) {
        auto& handshakes = static_cast<Inner*>(self)->handshakes_;
        const bool may = !handshakes || handshakes->may_begin(address_bytes(*address), Buckets::Clock::now());
        return may ? MHD_YES : MHD_NO;
    };
    // One address may not take all connections; a class behind one address needs two for each of its people.
    std::vector<MHD_OptionItem> more;
    if (site.hall) more.push_back({MHD_OPTION_PER_IP_CONNECTION_LIMIT, options_.most_connections * 7 / 10, nullptr});
    if (site.guard.secure) {
        more.push_back({MHD_OPTION_HTTPS_MEM_CERT, 0, options_.certificate.data()});
        more.push_back({MHD_OPTION_HTTPS_MEM_KEY, 0, options_.key.data()});
        more.push_back(
            {MHD_OPTION_HTTPS_PRIORITIES, 0, const_cast<char*>("NORMAL:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2")});
    }
    more.push_back({MHD_OPTION_END, 0, nullptr});
    daemon_ = MHD_start_daemon(MHD_USE_EPOLL_INTERNAL_THREAD | MHD_USE_ITC | MHD_ALLOW_SUSPEND_RESUME |
                                   (site.guard.secure ? MHD_USE_TLS : MHD_NO_FLAG),
                               0, may_come, this, handler, this, MHD_OPTION_LISTEN_SOCKET, socket.get(),
                               MHD_OPTION_CONNECTION_LIMIT, static_cast<unsigned>(options_.most_connections),
                               MHD_OPTION_CONNECTION_MEMORY_LIMIT, std::size_t{32} << 10, MHD_OPTION_CONNECTION_TIMEOUT,
                               static_cast<unsigned>(options_.silence.count()), MHD_OPTION_STRICT_FOR_CLIENT, 1,
                               MHD_OPTION_NOTIFY_COMPLETED, ended, this, MHD_OPTION_NOTIFY_CONNECTION, came_or_went,
                               this, MHD_OPTION_ARRAY, more.data(), MHD_OPTION_END);
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

}  // namespace voltsill::server
