#include "server/replace_file.h"

#include <dirent.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>

#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <optional>

#include "server/descriptor.h"

namespace voltsill::server {
namespace {

using Outcome = Replaced::Outcome;

Replaced failed() { return {Outcome::failed, errno}; }

/// ".bench.toml.4711-1.saving": hidden, and says which process it is of.
std::string draft_name(const std::string& name) {
    static std::atomic<unsigned> count{0};
    return fmt::format(".{}.{}-{}.saving", name, getpid(), ++count);
}

/// Drafts of processes that were ended while they saved.
void remove_left_over(int folder, const std::string& name) {
    DIR* entries = fdopendir(openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!entries) return;
    const std::string front = "." + name + ".";
    while (const dirent* entry = readdir(entries)) {
        const std::string found = entry->d_name;
        if (!found.starts_with(front) || !found.ends_with(".saving")) continue;
        const int process = std::atoi(found.c_str() + front.size());
        if (process > 0 && kill(process, 0) != 0 && errno == ESRCH) unlinkat(folder, found.c_str(), 0);
    }
    closedir(entries);
}

bool write_whole(int file, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t wrote = write(file, bytes.data(), bytes.size());
        if (wrote < 0 && errno != EINTR) return false;
        if (wrote > 0) bytes.remove_prefix(static_cast<std::size_t>(wrote));
    }
    return fsync(file) == 0;
}

std::optional<std::string> bytes_of(int folder, const std::string& name) {
    const Descriptor file(openat(folder, name.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    if (!file) return std::nullopt;
    std::string bytes;
    char buffer[65536];
    for (ssize_t got; (got = read(file.get(), buffer, sizeof buffer)) != 0;) {
        if (got < 0 && errno != EINTR) return std::nullopt;
        if (got > 0) bytes.append(buffer, static_cast<std::size_t>(got));
    }
    return bytes;
}

bool exchange(int folder, const std::string& a, const std::string& b) {
    return renameat2(folder, a.c_str(), folder, b.c_str(), RENAME_EXCHANGE) == 0;
}

/// Draft and file change names; back again if what came out is not what may go.
Replaced exchange_if(int folder, const std::string& draft, const std::string& name,
                     const std::function<bool(const std::string&)>& may_go) {
    if (!exchange(folder, draft, name)) {
        if (errno == ENOENT) return {Outcome::absent};
        if (errno != EINVAL && errno != ENOSYS) return failed();
        // A file system that cannot exchange: the look before has to do.
        return renameat(folder, draft.c_str(), folder, name.c_str()) == 0 ? Replaced{Outcome::done} : failed();
    }
    const auto out = bytes_of(folder, draft);
    if (out && may_go(*out)) return {Outcome::done};
    return exchange(folder, draft, name) ? Replaced{Outcome::different} : failed();
}

Replaced place_new(int folder, const std::string& draft, const std::string& name) {
    if (linkat(folder, draft.c_str(), folder, name.c_str(), 0) == 0) return {Outcome::done};
    return errno == EEXIST ? Replaced{Outcome::different} : failed();
}

}  // namespace

Replaced replace_file(int folder, const std::string& name, std::string_view bytes,
                      const std::function<bool(const std::string&)>& may_go, bool is_new) {
    const Descriptor lock(openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!lock) return failed();
    while (flock(lock.get(), LOCK_EX) != 0)
        if (errno != EINTR) return failed();

    struct stat status {};
    const bool there = fstatat(folder, name.c_str(), &status, AT_SYMLINK_NOFOLLOW) == 0;
    if (there && is_new) return {Outcome::different};
    if (!there && !is_new) return errno == ENOENT ? Replaced{Outcome::absent} : failed();
    if (there && !S_ISREG(status.st_mode)) return {Outcome::no_file};
    if (there) {
        const auto now = bytes_of(folder, name);
        if (!now) return failed();
        if (!may_go(*now)) return {Outcome::different};
    }

    remove_left_over(folder, name);
    std::string draft;
    Descriptor file;
    do {  // a process that was ended may have had the same number
        draft = draft_name(name);
        file = Descriptor(openat(folder, draft.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    } while (!file && errno == EEXIST);
    if (!file) return failed();
    Replaced done = failed();
    const bool written = (!there || fchmod(file.get(), status.st_mode & 07777) == 0) && write_whole(file.get(), bytes);
    if (written)
        done = there ? exchange_if(folder, draft, name, may_go) : place_new(folder, draft, name);
    else
        done = failed();
    if (!(done.outcome == Outcome::failed && there && written)) unlinkat(folder, draft.c_str(), 0);
    if (done.outcome == Outcome::done && fsync(folder) != 0) return failed();
    return done;
}

}  // namespace voltsill::server
