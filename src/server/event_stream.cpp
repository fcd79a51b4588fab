#include "server/event_stream.h"

#include <algorithm>
#include <cstring>

namespace voltsill::server {

bool EventStream::send(std::string_view event, std::string_view data) {
    std::string text = "event: ";
    text.append(event).append("\n");
    for (std::size_t at = 0; at <= data.size();) {
        const std::size_t end = std::min(data.find('\n', at), data.size());
        text.append("data: ").append(data.substr(at, end - at)).append("\n");
        at = end + 1;
    }
    return append(text + "\n");
}

bool EventStream::comment() { return append(":\n\n"); }

bool EventStream::append(std::string text) {
    const std::lock_guard lock(mutex_);
    if (ended_ || broken_ || detached_) return false;
    if (held_.size() - taken_ + text.size() > limit_) {
        broken_ = true;
        caller_->leave();
    } else {
        if (held_.size() == taken_) since_ = Clock::now();
        if (taken_ > 0) held_.erase(0, std::exchange(taken_, 0));
        held_ += text;
    }
    wake_if_parked();
    return !broken_;
}

void EventStream::hold_at_most(std::size_t bytes) {
    const std::lock_guard lock(mutex_);
    limit_ = bytes;
}

void EventStream::wake_if_parked() {
    if (!parked_ || detached_) return;
    parked_ = false;
    wake_();
}

void EventStream::end() {
    const std::lock_guard lock(mutex_);
    ended_ = true;
    wake_if_parked();
}

EventStream::Took EventStream::take(char* into, std::size_t room, std::size_t& count) {
    const std::lock_guard lock(mutex_);
    count = std::min(room, held_.size() - taken_);
    if (broken_) return Took::broken;
    if (count > 0) {
        std::memcpy(into, held_.data() + taken_, count);
        taken_ += count;
        since_ = Clock::now();
        return Took::some;
    }
    if (ended_) return Took::ended;
    parked_ = true;
    park_();
    return Took::parked;
}

void EventStream::break_off() {
    caller_->leave();
    const std::lock_guard lock(mutex_);
    broken_ = true;
    wake_if_parked();
}

void EventStream::detach() {
    caller_->leave();
    const std::lock_guard lock(mutex_);
    detached_ = true;
    held_.clear();
    taken_ = 0;
}

bool EventStream::waits_since(Clock::time_point& since) const {
    const std::lock_guard lock(mutex_);
    since = since_;
    return held_.size() > taken_;
}

std::string on_one_line(std::string_view json) {
    std::string out;
    out.reserve(json.size());
    bool quoted = false, escaped = false;
    for (const char c : json) {
        if (quoted || (c != ' ' && c != '\n')) out += c;
        if (c == '"' && !escaped) quoted = !quoted;
        escaped = quoted && c == '\\' && !escaped;
    }
    return out;
}

}  // namespace voltsill::server
