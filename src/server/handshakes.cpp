#include "server/handshakes.h"

#include <algorithm>

namespace voltsill::server {

bool Handshakes::may_begin(const std::string& address, Buckets::Clock::time_point now) {
    const auto open = open_.find(address);
    if (open != open_.end() && open->second.size() >= limits_.open_of_peer) return false;
    return few_.take(address, now) || (peers_.take(address, now) && all_.take("", now));
}

std::optional<Peer*> Handshakes::began(Peer* peer, const std::string& address) {
    open_[address].push_back(peer);
    of_.emplace(peer, address);
    if (of_.size() <= limits_.open) return std::nullopt;
    const auto most = std::ranges::max_element(open_, {}, [](const auto& entry) { return entry.second.size(); });
    Peer* const oldest = most->second.front();
    ended(oldest);
    return oldest;
}

void Handshakes::ended(Peer* peer) {
    const auto known = of_.find(peer);
    if (known == of_.end()) return;
    const auto open = open_.find(known->second);
    std::erase(open->second, peer);
    if (open->second.empty()) open_.erase(open);
    of_.erase(known);
}

}  // namespace voltsill::server
