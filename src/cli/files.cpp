#include "cli/files.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstring>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace voltsill::cli {
namespace fs = std::filesystem;

std::expected<std::string, std::string> read_file(const std::string& path) {
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (!fs::exists(status)) return std::unexpected(fmt::format("{}: there is no such file", path));
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
