#pragma once
/// Tells streams when the bytes of their file change: by another tab, an editor, or anybody.
///
/// Files are looked at by name a few times a second (fstat): that also sees a file that is replaced by a rename, as
/// most programs save, and holds on every file system, network ones included. Looking at one takes some
/// microseconds. Bytes are read again only when node, size or time differ, and an event is sent only
/// when the version does.
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "server/bench_folder.h"
#include "server/event_stream.h"

namespace voltsill::server {

class FileWatch {
  public:
    /// Tells the version at once: a reader compares it with what it has.
    void add(const BenchFolder& folder, const std::string& path, std::shared_ptr<EventStream> stream);
    void look(const BenchFolder& folder);
    void comment_all();

  private:
    struct Watched {
        std::string path;
        Stamp stamp;
        std::string version;  ///< empty: no such file
        std::shared_ptr<EventStream> stream;
    };
    static void tell(const BenchFolder& folder, Watched& watched);

    std::mutex mutex_;
    std::vector<Watched> watched_;
};

}  // namespace voltsill::server
