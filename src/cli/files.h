#pragma once
/// Reading and writing files for the commands; the core never touches a disk.
#include <expected>
#include <string>
#include <string_view>

#include "bench/bench.h"

namespace voltsill::cli {

/// Bytes of a file, or one sentence about why not. Files above `most_bytes` are not read.
std::expected<std::string, std::string> read_file(const std::string& path);
inline constexpr std::size_t most_bytes = 8u << 20;

/// Of a path that leads to nothing: the same folder with the name of the file there (or the folder, where
/// one would do as well) that is most like it; "" if none is.
std::string nearest_file(const std::string& path, bool or_folder = false);
/// "; did you mean ...?", to end a sentence with; "" without a name.
std::string did_you_mean(const std::string& near);
/// Problems about part files that are not there get the nearest name that is.
Problems with_nearest_files(Problems problems);

/// Writes whole or not at all: a temporary file beside the target, then a rename.
std::expected<void, std::string> write_file(const std::string& path, std::string_view bytes);
std::expected<void, std::string> make_folder(const std::string& path);

/// Includes are looked up beside the file that names them.
Includer include_beside(const std::string& bench_path);

/// An include of `bench_path` as a file in `folder` has to name it.
std::string seen_from(const std::string& folder, const std::string& bench_path, const std::string& include);

}  // namespace voltsill::cli
