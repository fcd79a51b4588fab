#pragma once
/// Every open connection with its clock: who sends too slowly, reads too slowly, or has gone.
///
/// The HTTP library ends connections that are silent. It has one time for that, and between two requests of a page
/// it is long. What it does not see: a connection that has never said anything, a request that comes a byte at a
/// time, and whether somebody still waits while the connection is parked. These are looked at here some times a
/// second, from the sockets themselves (TCP_INFO: bytes received; poll: hung up). A connection is cut by shutdown(),
/// which the serving thread then notices as an end; the descriptor stays its own.
#include <chrono>
#include <memory>
#include <mutex>
#include <unordered_set>

#include "server/event_stream.h"

namespace voltsill::server {

struct Patience {
    std::chrono::milliseconds first{10'000};    ///< from the opening to the first byte; over TLS to the first request
    std::chrono::milliseconds sending{20'000};  ///< from the first byte of a request to its last
    std::chrono::milliseconds reading{30'000};  ///< for a whole answer; of a stream, for its next piece
};

enum class Phase { idle, receiving, working, answering, streaming };

struct Peer {
    int descriptor = -1;
    Phase phase = Phase::idle;
    std::chrono::steady_clock::time_point since{};
    std::chrono::steady_clock::time_point came{};
    bool asked = false;  ///< the head of a request has been read
    unsigned long long received = 0;  ///< bytes, when it became idle; 0: no request yet
    std::shared_ptr<Caller> caller;
    std::shared_ptr<EventStream> stream;
    bool cut = false;
};

class Peers {
  public:
    /// `secure`: a connection that is cut is told nothing, since that would have to be encrypted.
    explicit Peers(const Patience& patience, bool secure = false) : patience_(patience), secure_(secure) {}
    Peer* add(int descriptor);
    void remove(Peer* peer);
    void enter(Peer* peer, Phase phase, std::shared_ptr<Caller> caller = {},
               std::shared_ptr<EventStream> stream = {});
    void look();
    /// One that has not asked for anything is cut.
    void dismiss(Peer* peer);
    /// All that work or read are told to end.
    void dismiss();

  private:
    void look_at(Peer& peer, std::chrono::steady_clock::time_point now, bool hung_up);

    Patience patience_;
    bool secure_;
    std::mutex mutex_;
    std::unordered_set<Peer*> peers_;
};

}  // namespace voltsill::server
