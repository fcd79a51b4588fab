#include "cli/files.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <vector>

#include "records/source.h"

namespace voltsill::cli {
namespace fs = std::filesystem;

std::string nearest_file(const std::string& path, bool or_folder) {
    constexpr std::size_t most_names = 10'000;  // a folder of a person's files is far smaller (our choice)
    const fs::path wanted(path);
    // An extension that both have makes no two names alike.
    const auto alike = [stem = wanted.stem().string()](const fs::path& there) {
        return !nearest_name(stem, {there.stem().string()}).empty();
    };
    std::error_code error;
    std::vector<std::string> names;
    for (fs::directory_iterator at(wanted.has_parent_path() ? wanted.parent_path() : fs::path("."), error), end;
         !error && at != end && names.size() < most_names; at.increment(error))
        if (std::error_code ignored;
            (at->is_regular_file(ignored) || (or_folder && at->is_directory(ignored))) && alike(at->path()))
            names.push_back(at->path().filename().string());
    std::ranges::sort(names);
    const std::string near = nearest_name(wanted.filename().string(), names);
    return near.empty() ? near : (wanted.parent_path() / near).string();
}

std::string did_you_mean(const std::string& near) {
    return near.empty() ? "" : fmt::format("; did you mean \"{}\"?", near);
}

Problems with_nearest_files(Problems problems) {
    for (Problem& p : problems) {
        if (p.code != "include-not-found" || !p.nearest.empty()) continue;
        const Source line(p.place.file, p.excerpt);
        const std::string_view said =
            line.slice(line.offset(1, p.place.column), line.offset(1, p.place.column + p.place.width));
        if (said.size() < 3) continue;
        const fs::path folder = fs::path(p.place.file).parent_path(), written(said.substr(1, said.size() - 2));
        const std::string near = nearest_file((folder / written).string());
        if (!near.empty()) p.nearest = (written.parent_path() / fs::path(near).filename()).generic_string();
    }
    return problems;
}

std::expected<std::string, std::string> read_file(const std::string& path) {
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (!fs::exists(status)) {
        return std::unexpected(path + ": there is no such file" + did_you_mean(nearest_file(path)));
    }
    if (fs::is_directory(status)) return std::unexpected(fmt::format("{}: is a folder, not a file", path));
    if (fs::is_regular_file(status) && fs::file_size(path, error) > most_bytes)
        return std::unexpected(fmt::format("{}: larger than {} MiB; a bench file is a few kilobytes of text",
                                           path, most_bytes >> 20));
    std::ifstream in(path, std::ios::binary);
    if (!in) return std::unexpected(fmt::format("{}: cannot be read ({})", path, std::strerror(errno)));
    std::string bytes;
    char buffer[65536];
    while (in.read(buffer, sizeof buffer) || in.gcount() > 0) {
        bytes.append(buffer, static_cast<std::size_t>(in.gcount()));
        if (bytes.size() > most_bytes)
            return std::unexpected(fmt::format("{}: does not end within {} MiB", path, most_bytes >> 20));
    }
    return bytes;
}

std::expected<void, std::string> make_folder(const std::string& path) {
    std::error_code error;
    fs::create_directories(path, error);
    if (error || !fs::is_directory(path))
        return std::unexpected(fmt::format("{}: cannot be made a folder ({})", path, error.message()));
    return {};
}

std::expected<void, std::string> write_file(const std::string& path, std::string_view bytes) {
    const std::string draft = fmt::format("{}.{}.part", path, getpid());
    {
        std::ofstream out(draft, std::ios::binary | std::ios::trunc);
        out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        out.flush();
        if (!out) {
            std::error_code ignored;
            fs::remove(draft, ignored);
            return std::unexpected(fmt::format("{}: cannot be written ({})", path, std::strerror(errno)));
        }
    }
    std::error_code error;
    fs::rename(draft, path, error);
    if (error) {
        std::error_code ignored;
        fs::remove(draft, ignored);
        return std::unexpected(fmt::format("{}: cannot be written ({})", path, error.message()));
    }
    return {};
}

Includer include_beside(const std::string& bench_path) {
    return
        [folder = fs::path(bench_path).parent_path()](const std::string& path) -> std::optional<std::string> {
            const fs::path target = fs::path(path).is_absolute() ? fs::path(path) : folder / path;
            if (auto bytes = read_file(target.string())) return std::move(*bytes);
            return std::nullopt;
        };
}

std::string seen_from(const std::string& folder, const std::string& bench_path, const std::string& include) {
    const fs::path target =
        fs::path(include).is_absolute() ? fs::path(include) : fs::path(bench_path).parent_path() / include;
    std::error_code error;
    const fs::path seen = fs::proximate(fs::absolute(target, error), fs::absolute(folder, error), error);
    return error ? target.string() : seen.generic_string();
}

}  // namespace voltsill::cli
