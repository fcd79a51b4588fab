/// The instructor's door. Guessing is slow for everybody, and nobody's guesses shut it for those who have been in:
///
///     who tries                                       counts against
///     a device where somebody signed in before        that device alone
///     this machine                                    this machine alone
///     anybody else                                    the address, and all strangers together
///
/// A device is known by a secret it got with the first sign-in; it opens nothing by itself.
#include <algorithm>

#include "server/guard.h"
#include "server/hall.h"
#include "server/hall_json.h"
#include "server/secrets.h"

namespace voltsill::server {

bool Hall::knows(const std::string& device) const {
    const std::lock_guard lock(mutex_);
    return !device.empty() && std::ranges::find(known_devices_, hash_of(device)) != known_devices_.end();
}

void Hall::remember_device(const std::string& device) {
    const std::lock_guard lock(mutex_);
    store_.add_known_device(hash_of(device), now_seconds());
    std::erase(known_devices_, hash_of(device));
    known_devices_.insert(known_devices_.begin(), hash_of(device));
    if (known_devices_.size() > store::ClassStore::most_known) known_devices_.pop_back();
}

std::expected<std::string, Answer> Hall::sign_in(const Head& head, const std::string& device,
                                                 const std::string& passphrase) {
    const std::string apart = knows(device) ? hash_of(device) : head.from_here ? "this machine" : "";
    {
        const auto now = Buckets::Clock::now();
        const std::lock_guard lock(mutex_);
        // Taken before the work, so that many at once do not all begin it; given back by being right.
        const bool may = !apart.empty() ? known_words_.take(apart, now)
                                        : wrong_words_.take(head.peer, now) && all_wrong_words_.take("", now);
        if (!may) return std::unexpected(too_often(20));
    }
    if (passphrase.size() > longest_passphrase || !is_passphrase(passphrase_hash_, passphrase))
        return std::unexpected(refusal(403, "wrong-passphrase", "this is not the passphrase"));
    const std::string secret = random_words();
    const Seconds now = now_seconds();
    const std::lock_guard lock(mutex_);
    if (!apart.empty()) {
        known_words_.give_back(apart);
    } else {
        wrong_words_.give_back(head.peer);
        all_wrong_words_.give_back("");
    }
    std::erase_if(sessions_, [now](const auto& session) { return session.second <= now; });
    if (sessions_.size() >= most_sessions)
        sessions_.erase(std::ranges::min_element(sessions_, {}, [](const auto& session) { return session.second; }));
    sessions_[hash_of(secret)] = now + instructor_hours * 3600;
    return secret;
}

void Hall::sign_out(const std::string& secret) {
    const std::lock_guard lock(mutex_);
    sessions_.erase(hash_of(secret));
}

}  // namespace voltsill::server
