#include "server/answer_cache.h"

namespace voltsill::server {

std::optional<std::string> AnswerCache::find(const std::string& key) {
    const std::lock_guard lock(mutex_);
    const auto at = by_key_.find(key);
    if (at == by_key_.end()) return std::nullopt;
    entries_.splice(entries_.begin(), entries_, at->second);
    return at->second->body;
}

void AnswerCache::keep(const std::string& key, const std::string& body) {
    const std::lock_guard lock(mutex_);
    if (body.size() > most_bytes_ / 8 || by_key_.contains(key)) return;
    entries_.push_front({key, body});
    by_key_[key] = entries_.begin();
    bytes_ += body.size();
    while (bytes_ > most_bytes_) {
        bytes_ -= entries_.back().body.size();
        by_key_.erase(entries_.back().key);
        entries_.pop_back();
    }
}

}  // namespace voltsill::server
