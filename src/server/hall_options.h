#pragma once
/// How a class is held.
#include <functional>
#include <string>

#include "server/limits.h"

namespace voltsill::server {

struct HallOptions {
    std::string store = "class.sqlite";  ///< file; its copy lies beside it, ".backup" added
    std::string passphrase;              ///< to be set; empty: the one that is kept
    int code_hours = 8, keep_days = 30, backup_minutes = 10;
    HallLimits limits;
    bool diagnosis = true;  ///< hints from all readings of a learner; false: from the sheets alone
    std::function<void(const std::string&)> say;  ///< what whoever started it is told later; from any thread
    bool secure = false;      ///< TLS; as the server is
    bool here_alone = false;  ///< no other machine reaches it
    std::string url;      ///< of the server: "http://192.168.1.5:8190/"
};

}  // namespace voltsill::server
