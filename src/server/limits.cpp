#include "server/limits.h"

#include <algorithm>

namespace voltsill::server {

Buckets::Bucket& Buckets::of(const std::string& who, Clock::time_point now) {
    const auto known = by_name_.find(who);
    if (known != by_name_.end()) {
        last_.splice(last_.begin(), last_, known->second);
        Bucket& bucket = last_.front();
        const double seconds = std::chrono::duration<double>(now - bucket.at).count();
        bucket.tokens = std::min(rate_.burst, bucket.tokens + rate_.per_second * std::max(0.0, seconds));
        bucket.at = now;
        return bucket;
    }
    if (last_.size() >= most_) {
        by_name_.erase(last_.back().who);
        last_.pop_back();
    }
    last_.push_front({who, rate_.burst, now});
    by_name_.emplace(who, last_.begin());
    return last_.front();
}

bool Buckets::take(const std::string& who, Clock::time_point now, double count) {
    Bucket& bucket = of(who, now);
    if (bucket.tokens < count) return false;
    bucket.tokens -= count;
    return true;
}

bool Buckets::give_back(const std::string& who) {
    const auto known = by_name_.find(who);  // it may have been forgotten since
    if (known != by_name_.end()) known->second->tokens += 1;
    return true;
}

}  // namespace voltsill::server
