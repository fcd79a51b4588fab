#include "server/file_watch.h"

#include "engine/json_pieces.h"

namespace voltsill::server {

void FileWatch::tell(const BenchFolder& folder, Watched& watched) {
    const auto file = folder.read(watched.path);
    const std::string version = file ? file->version : "";
    if (version == watched.version) return;
    watched.version = version;
    if (version.empty())
        watched.stream->send("gone", Json{{"path", watched.path}}.dump());
    else
        watched.stream->send("changed", Json{{"path", watched.path}, {"version", version}}.dump());
}

void FileWatch::add(const BenchFolder& folder, const std::string& path, std::shared_ptr<EventStream> stream) {
    Watched watched{path, folder.stamp(path), "", std::move(stream)};
    watched.stream->comment();
    tell(folder, watched);
    const std::lock_guard lock(mutex_);
    watched_.push_back(std::move(watched));
}

void FileWatch::look(const BenchFolder& folder) {
    const std::lock_guard lock(mutex_);
    std::erase_if(watched_, [](const Watched& watched) { return watched.stream->left(); });
    for (Watched& watched : watched_) {
        const Stamp now = folder.stamp(watched.path);
        if (now == watched.stamp) continue;
        watched.stamp = now;
        tell(folder, watched);
    }
}

void FileWatch::comment_all() {
    const std::lock_guard lock(mutex_);
    for (const Watched& watched : watched_) watched.stream->comment();
}

}  // namespace voltsill::server
