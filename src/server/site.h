#pragma once
/// What every answer of one server draws on, and one call of it.
#include <functional>
#include <memory>
#include <string>

#include "server/answer_cache.h"
#include "server/bench_folder.h"
#include "server/event_stream.h"
#include "server/file_watch.h"
#include "server/guard.h"
#include "server/roles.h"
#include "server/sheets_memory.h"

namespace voltsill {
struct DiagnoseMemory;
}

namespace voltsill::server {

class Hall;

struct Site {
    BenchFolder folder;
    std::string open_file;  ///< the bench to begin with, below the folder; empty: none
    std::string version;    ///< of the program
    int threads = 1;        ///< of one lengthy piece of work
    Guard guard{};
    AnswerCache cache{};
    SheetsMemory sheets{};
    std::shared_ptr<DiagnoseMemory> diagnosed{};  ///< benches whose faults are known
    FileWatch watch{};
    std::shared_ptr<Hall> hall{};  ///< of the class that is held; nothing: none
};

/// A request being answered. A handler gives one answer; or it opens a stream, fills and ends it, and what
/// it returns after that counts for nothing.
struct Call {
    Site& site;
    const Request& request;
    const Caller& caller;
    const Identity& who;
    std::function<std::shared_ptr<EventStream>()> open_stream;
};

}  // namespace voltsill::server
