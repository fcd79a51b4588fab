#pragma once
/// The bytes of a file replaced, whole or not at all, and only if they are still those that were read.
///
/// New bytes are written beside the file and brought to the disk (fsync); then the two names are exchanged
/// in one step (renameat2, RENAME_EXCHANGE, Linux 3.15) and what came out is looked at once more: if another
/// program has saved in between, the names are exchanged back. So nobody's bytes are lost even to those who
/// keep no lock. Programs of this kind hold a lock (flock) of the folder meanwhile.
#include <functional>
#include <string>
#include <string_view>

namespace voltsill::server {

struct Replaced {
    enum class Outcome { done, different, absent, no_file, failed } outcome = Outcome::failed;
    int error = 0;  ///< errno, when failed
};

/// `may_go`: whether these bytes may be replaced. `is_new`: there must be no file of that name yet.
Replaced replace_file(int folder, const std::string& name, std::string_view bytes,
                      const std::function<bool(const std::string&)>& may_go, bool is_new);

}  // namespace voltsill::server
