#pragma once
/// The folder that was opened: the only place that is read or written, and in it only bench files.
///
/// Every path is resolved by the kernel beneath the folder (openat2, RESOLVE_BENEATH, Linux 5.6): what leads
/// out of it by "..", by a root or by a symbolic link is not found to be a file, also when somebody changes the
/// folders meanwhile. Where the kernel cannot do that, paths with symbolic links are refused altogether.
///
/// A version is the first 32 hexadecimal digits of SHA-256 (FIPS 180-4) of the bytes. Saving names the
/// version it was made from; bytes of any other version are never replaced. What is saved is on the disk
/// (fsync of file and folder) before the answer, and a power cut or a kill leaves the old or the new
/// bytes, whole.
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bench/bench.h"
#include "server/exchange.h"

namespace voltsill::server {

inline constexpr std::size_t most_file_bytes = 8u << 20;
inline constexpr int most_files = 500;

std::string content_version(std::string_view bytes);

struct StoredFile {
    std::string text, version;
};

/// Why not, as an answer to the one who asked; or what lies there instead.
struct NotSaved {
    Answer why;
    std::optional<StoredFile> there;
};

/// Changes when the bytes may have: node, size and time of last change.
struct Stamp {
    unsigned long long node = 0;
    long long size = -1, seconds = 0, nanoseconds = 0;  ///< size -1: no file
    bool operator==(const Stamp&) const = default;
};

class BenchFolder {
  public:
    /// Or one sentence about why not.
    static std::expected<BenchFolder, std::string> open(const std::string& path);
    BenchFolder(BenchFolder&& other) noexcept;
    BenchFolder& operator=(BenchFolder&&) = delete;
    ~BenchFolder();

    const std::string& path() const { return path_; }
    struct Entry {
        std::string path;
        std::size_t size = 0;
    };
    /// Bench files below, by path, hidden ones and hidden folders left out; at most `most_files`.
    std::vector<Entry> list() const;
    std::expected<StoredFile, Answer> read(const std::string& path) const;
    /// The version saved. `base`: the version that may be replaced; nothing: there must be no file yet.
    std::expected<std::string, NotSaved> save(const std::string& path, std::string_view text,
                                              const std::optional<std::string>& base) const;
    Stamp stamp(const std::string& path) const;
    /// Includes are looked up beside the file that names them; `asked` is set once one is.
    Includer include_beside(const std::string& file, bool& asked) const;

  private:
    BenchFolder(std::string path, int descriptor) : path_(std::move(path)), descriptor_(descriptor) {}
    int open_beneath(const std::string& path, int flags) const;

    std::string path_;
    int descriptor_ = -1;
};

}  // namespace voltsill::server
