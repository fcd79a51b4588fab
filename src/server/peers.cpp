#include "server/peers.h"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>

#include <string_view>
#include <vector>

namespace voltsill::server {
namespace {

unsigned long long bytes_received(int descriptor) {
    // The kernel's structure: that of <netinet/tcp.h> ends before this member.
    struct {
        struct tcp_info first;
        unsigned long long pacing_rate, max_pacing_rate, bytes_acked, bytes_received;
    } info{};
    static_assert(sizeof info.first == 104, "bytes_received follows at its place in linux/tcp.h");
    socklen_t size = sizeof info;
    if (getsockopt(descriptor, IPPROTO_TCP, TCP_INFO, &info, &size) != 0 || size < sizeof info) return 0;
    return info.bytes_received;
}

void cut(Peer& peer, std::string_view last_words) {
    peer.cut = true;
    if (!last_words.empty())
        (void)!send(peer.descriptor, last_words.data(), last_words.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
    shutdown(peer.descriptor, SHUT_RDWR);
    if (peer.caller) peer.caller->leave();
    if (peer.stream) peer.stream->break_off();
}

constexpr std::string_view too_slow =
    "HTTP/1.1 408 Request Timeout\r\nConnection: close\r\nContent-Length: 0\r\nCache-Control: no-store\r\n\r\n";

}  // namespace

Peer* Peers::add(int descriptor) {
    const auto now = std::chrono::steady_clock::now();
    auto* peer = new Peer{.descriptor = descriptor, .since = now, .came = now};
    const std::lock_guard lock(mutex_);
    peers_.insert(peer);
    return peer;
}

void Peers::remove(Peer* peer) {
    const std::lock_guard lock(mutex_);
    peers_.erase(peer);
    delete peer;
}

void Peers::enter(Peer* peer, Phase phase, std::shared_ptr<Caller> caller, std::shared_ptr<EventStream> stream) {
    const std::lock_guard lock(mutex_);
    // What has been received of a request already counts against its time.
    if (!(phase == Phase::receiving && peer->phase == Phase::receiving)) peer->since = std::chrono::steady_clock::now();
    if (phase == Phase::idle) peer->received = bytes_received(peer->descriptor);
    peer->asked = true;
    peer->phase = phase;
    peer->caller = std::move(caller);
    peer->stream = std::move(stream);
}

void Peers::look_at(Peer& peer, std::chrono::steady_clock::time_point now, bool hung_up) {
    if (secure_ && !peer.asked && now - peer.came > patience_.first) return cut(peer, {});
    switch (peer.phase) {
        case Phase::idle:
            if (bytes_received(peer.descriptor) == peer.received) {
                if (peer.received == 0 && now - peer.since > patience_.first) cut(peer, {});
                return;
            }
            peer.phase = Phase::receiving;
            peer.since = now;
            return;
        case Phase::receiving:
            if (now - peer.since > patience_.sending) cut(peer, secure_ ? std::string_view() : too_slow);
            return;
        case Phase::working:
            if (hung_up) cut(peer, {});
            return;
        case Phase::answering:
            if (now - peer.since > patience_.reading) cut(peer, {});
            return;
        case Phase::streaming: {
            std::chrono::steady_clock::time_point waits;
            const bool waiting = peer.stream->waits_since(waits);
            if (hung_up || (waiting && now - waits > patience_.reading)) cut(peer, {});
            return;
        }
    }
}

void Peers::look() {
    const std::lock_guard lock(mutex_);
    std::vector<Peer*> all(peers_.begin(), peers_.end());
    std::vector<pollfd> sockets;
    for (const Peer* peer : all) sockets.push_back({peer->descriptor, POLLRDHUP, 0});
    poll(sockets.data(), sockets.size(), 0);
    const auto now = std::chrono::steady_clock::now();
    for (std::size_t k = 0; k < all.size(); ++k)
        if (!all[k]->cut) look_at(*all[k], now, (sockets[k].revents & (POLLRDHUP | POLLHUP | POLLERR)) != 0);
}

void Peers::dismiss(Peer* peer) {
    const std::lock_guard lock(mutex_);
    cut(*peer, {});
}

void Peers::dismiss() {
    const std::lock_guard lock(mutex_);
    for (Peer* peer : peers_) {
        if (peer->caller) peer->caller->leave();
        if (peer->stream) peer->stream->break_off();
    }
}

}  // namespace voltsill::server
