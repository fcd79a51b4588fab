#pragma once
#include <sys/socket.h>

#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "server/descriptor.h"

namespace voltsill::server {

/// A socket of one address of this machine ("127.0.0.1", "fe80::1") that listens, and its port: `asked` (0: any), or
/// `first` or one of the next `tried` where none was asked for.
struct Listening {
    Descriptor socket;
    int port = 0;
};
std::expected<Listening, std::string> listen_on(const std::string& address, std::optional<int> asked, int first,
                                               int tried);
/// Every address at once ("0.0.0.0", "::"), or none at all.
bool is_one_address(const std::string& address);
bool is_loopback(const std::string& address);
/// By which others reach this machine, as it is now: "192.168.1.5"; no link-local ones, which need a zone.
std::vector<std::string> own_addresses();
/// "; this machine has 192.168.1.5"; empty: it is in no network.
std::string own_addresses_words();
/// Of who came from an address to one of this machine's.
bool is_from_here(const sockaddr& client, const sockaddr& own);

}  // namespace voltsill::server
