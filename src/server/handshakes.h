#pragma once
/// Connections over TLS that have not asked for anything yet. Each costs the serving thread the work of a handshake,
/// and holds a place among all connections, before anybody has said who it is.
///
///     begins          of each address a few in any case; more against a bucket of the address and one of all
///     not finished    so many of one address; so many of all, then the oldest of the address that has most gives way
///
/// So an address that only opens connections spends its own share, and neither time nor places of the others. Used by
/// the serving thread alone.
#include <list>
#include <map>
#include <optional>
#include <string>
#include <unordered_map>

#include "server/limits.h"

namespace voltsill::server {

struct Peer;

class Handshakes {
  public:
    explicit Handshakes(const HandshakeLimits& limits)
        : limits_(limits), few_(limits.few), peers_(limits.peer), all_(limits.all, 1) {}
    /// Whether a connection from there may be accepted now.
    bool may_begin(const std::string& address, Buckets::Clock::time_point now);
    /// It was accepted; and who has to go for it.
    std::optional<Peer*> began(Peer* peer, const std::string& address);
    /// It has asked for something, or has gone. Known ones alone count.
    void ended(Peer* peer);
    std::size_t open() const { return of_.size(); }

  private:
    HandshakeLimits limits_;
    Buckets few_, peers_, all_;
    std::map<std::string, std::list<Peer*>> open_;  ///< by address, the oldest first
    std::unordered_map<Peer*, std::string> of_;
};

}  // namespace voltsill::server
