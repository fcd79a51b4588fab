#pragma once
#include <expected>
#include <optional>
#include <string>

#include "server/descriptor.h"

namespace voltsill::server {

/// A socket of the loopback address that listens, and its port: `asked` (0: any), or `first` or one of the
/// next `tried` where none was asked for.
struct Listening {
    Descriptor socket;
    int port = 0;
};
std::expected<Listening, std::string> listen_on_loopback(std::optional<int> asked, int first, int tried);

}  // namespace voltsill::server
