#include "server/bench_folder.h"

#include <dirent.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <linux/openat2.h>
#include <sys/stat.h>
#include <sys/syscall.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "engine/sheets.h"
#include "server/descriptor.h"
#include "server/replace_file.h"

namespace voltsill::server {
namespace {

/// The way down, without symbolic links, for kernels that do not know openat2.
int open_step_by_step(int folder, const std::string& path, int flags) {
    Descriptor at(dup(folder));
    for (auto part = std::filesystem::path(path).begin(), end = std::filesystem::path(path).end(); part != end;) {
        const std::string name = part->string();
        const bool last = ++part == end;
        if (name == ".." || name == "/") {
            errno = EXDEV;
            return -1;
        }
        at = Descriptor(
            openat(at.get(), name.c_str(), (last ? flags : O_RDONLY | O_DIRECTORY) | O_NOFOLLOW | O_CLOEXEC));
        if (!at) return -1;
    }
    return at.release();
}

Answer answer_for(int error, const std::string& path) {
    if (error == ENOENT || error == ENOTDIR)
        return refusal(404, "no-such-file", fmt::format("there is no file \"{}\" in the folder", path));
    if (error == EXDEV || error == ELOOP || error == EACCES || error == EPERM)
        return refusal(403, "wrong-path",
                       fmt::format("\"{}\" leads out of the folder or may not be touched", path));
    return refusal(500, "disk", fmt::format("{}: {}", path, std::strerror(error)));
}

/// Nothing when the name is one of a bench file below the folder.
std::optional<Answer> objection_to(const std::string& path) {
    if (path.empty() || path.size() > 1000 || path.find('\0') != std::string::npos || path.front() == '/')
        return refusal(403, "wrong-path", "the path is not one below the folder", "\"bench.toml\"");
    if (!path.ends_with(".toml"))
        return refusal(403, "wrong-path", "only bench files are opened", "a name that ends in .toml");
    for (const auto& part : std::filesystem::path(path))
        if (part.string().starts_with("."))
            return refusal(403, "wrong-path", "the path leads through a hidden name or out of the folder");
    return std::nullopt;
}

std::expected<StoredFile, Answer> read_all(int descriptor, const std::string& path) {
    struct stat status {};
    if (fstat(descriptor, &status) != 0) return std::unexpected(answer_for(errno, path));
    if (!S_ISREG(status.st_mode))
        return std::unexpected(refusal(403, "wrong-path", fmt::format("\"{}\" is no file", path)));
    StoredFile file;
    char buffer[65536];
    for (ssize_t got; (got = ::read(descriptor, buffer, sizeof buffer)) != 0;) {
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return std::unexpected(answer_for(errno, path));
        file.text.append(buffer, static_cast<std::size_t>(got));
        if (file.text.size() > most_file_bytes)
            return std::unexpected(refusal(413, "too-large", fmt::format("\"{}\" is larger than {} MiB", path,
                                                                         most_file_bytes >> 20)));
    }
    file.version = content_version(file.text);
    return file;
}

}  // namespace

std::string content_version(std::string_view bytes) { return version_of(bytes, 32); }

std::expected<BenchFolder, std::string> BenchFolder::open(const std::string& path) {
    std::error_code error;
    const std::string whole = std::filesystem::canonical(path, error).string();
    if (error) return std::unexpected(fmt::format("{}: {}", path, error.message()));
    const int descriptor = ::open(whole.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) return std::unexpected(fmt::format("{}: {}", path, std::strerror(errno)));
    return BenchFolder(whole, descriptor);
}

BenchFolder::BenchFolder(BenchFolder&& other) noexcept
    : path_(std::move(other.path_)), descriptor_(std::exchange(other.descriptor_, -1)) {}

BenchFolder::~BenchFolder() {
    if (descriptor_ >= 0) close(descriptor_);
}

int BenchFolder::open_beneath(const std::string& path, int flags) const {
    struct open_how how {};
    how.flags = static_cast<unsigned long long>(flags | O_CLOEXEC);
    how.resolve = RESOLVE_BENEATH | RESOLVE_NO_MAGICLINKS;
    const long opened = syscall(SYS_openat2, descriptor_, path.c_str(), &how, sizeof how);
    if (opened >= 0 || errno != ENOSYS) return static_cast<int>(opened);
    return open_step_by_step(descriptor_, path, flags);
}

std::vector<BenchFolder::Entry> BenchFolder::list() const {
    std::vector<Entry> found;
    std::vector<std::string> ahead = {""};
    for (int seen = 0; !ahead.empty() && static_cast<int>(found.size()) < most_files && seen < 20000;) {
        const std::string folder = std::move(ahead.back());
        ahead.pop_back();
        const int opened = open_beneath(folder.empty() ? "." : folder, O_RDONLY | O_DIRECTORY | O_NOFOLLOW);
        DIR* entries = opened < 0 ? nullptr : fdopendir(opened);
        if (!entries && opened >= 0) close(opened);
        if (!entries) continue;
        while (const dirent* entry = readdir(entries)) {
            const std::string name = entry->d_name;
            struct stat status {};
            if (name.starts_with(".") || ++seen > 20000) continue;
            if (fstatat(dirfd(entries), name.c_str(), &status, AT_SYMLINK_NOFOLLOW) != 0) continue;
            const std::string path = folder.empty() ? name : folder + "/" + name;
            if (S_ISDIR(status.st_mode) && std::ranges::count(path, '/') < 8) ahead.push_back(path);
            if (S_ISREG(status.st_mode) && name.ends_with(".toml"))
                found.push_back({path, static_cast<std::size_t>(status.st_size)});
        }
        closedir(entries);
    }
    std::ranges::sort(found, {}, &Entry::path);
    if (static_cast<int>(found.size()) > most_files) found.resize(most_files);
    return found;
}

std::expected<StoredFile, Answer> BenchFolder::read(const std::string& path) const {
    if (auto objection = objection_to(path)) return std::unexpected(std::move(*objection));
    const Descriptor opened(open_beneath(path, O_RDONLY | O_NONBLOCK));
    if (!opened) return std::unexpected(answer_for(errno, path));
    return read_all(opened.get(), path);
}

Stamp BenchFolder::stamp(const std::string& path) const {
    struct stat status {};
    const Descriptor opened(open_beneath(path, O_PATH));
    if (!opened || fstat(opened.get(), &status) != 0) return {};
    return {status.st_ino, status.st_size, status.st_mtim.tv_sec, status.st_mtim.tv_nsec};
}

std::expected<std::string, NotSaved> BenchFolder::save(const std::string& path, std::string_view text,
                                                       const std::optional<std::string>& base) const {
    if (auto objection = objection_to(path)) return std::unexpected(NotSaved{std::move(*objection), {}});
    const std::filesystem::path whole(path);
    const std::string folder_path = whole.has_parent_path() ? whole.parent_path().string() : ".";
    const Descriptor folder(open_beneath(folder_path, O_RDONLY | O_DIRECTORY));
    if (!folder) return std::unexpected(NotSaved{answer_for(errno, path), {}});
    const auto there_now = [&]() -> std::optional<StoredFile> {
        auto file = read(path);
        return file ? std::optional(std::move(*file)) : std::nullopt;
    };
    const Replaced done = replace_file(folder.get(), whole.filename().string(), text, [&](const std::string& bytes) {
        return base && content_version(bytes) == *base;
    }, !base);
    switch (done.outcome) {
        case Replaced::Outcome::done:
            return content_version(text);
        case Replaced::Outcome::different:
            return std::unexpected(NotSaved{
                refusal(409, "changed-underneath", fmt::format("\"{}\" is not what it was when it was read", path)),
                there_now()});
        case Replaced::Outcome::absent:
            return std::unexpected(NotSaved{
                refusal(409, "gone", fmt::format("\"{}\" is no longer there", path), "save it as a new file"), {}});
        case Replaced::Outcome::no_file:
            return std::unexpected(NotSaved{
                refusal(403, "wrong-path", fmt::format("\"{}\" is a link or no file", path),
                        "the file that the link leads to"), {}});
        case Replaced::Outcome::failed:
            break;
    }
    return std::unexpected(NotSaved{answer_for(done.error, path), {}});
}

Includer BenchFolder::include_beside(const std::string& file, bool& asked) const {
    const std::filesystem::path folder = std::filesystem::path(file).parent_path();
    return [this, folder, &asked](const std::string& path) -> std::optional<std::string> {
        asked = true;
        const std::string beside = (folder / path).lexically_normal().string();
        auto found = read(beside);
        return found ? std::optional(std::move(found->text)) : std::nullopt;
    };
}

}  // namespace voltsill::server
