#pragma once
/// Who may ask: only a page that this server gave out, or a program that was told the token. Roles: roles.h.
///
/// A page of anybody's can make a browser send requests to 127.0.0.1. It cannot choose the Host a browser
/// writes, so that a name it has made point here (DNS rebinding) shows; it cannot leave out the Origin or
/// Sec-Fetch-Site of what it sends (Fetch Standard, WHATWG; Fetch Metadata Request Headers, W3C); and it
/// cannot read the token, which stands in a page it may not read.
#include <optional>
#include <string>
#include <vector>

#include "server/exchange.h"

namespace voltsill::server {

struct Guard {
    int port = 0;
    std::string token;  ///< of everything but reading, where no class is held
    /// This server's: its address, and names that lead there.
    std::vector<std::string> names = {"127.0.0.1", "localhost", "[::1]"};
    bool secure = false;  ///< TLS

    /// Nothing when the request may go on.
    std::optional<Answer> objection(const Head& head) const;
    /// To a request that changes or computes something, and must say `wanted`; empty: nothing is right.
    static std::optional<Answer> objection_to_token(const Head& head, const std::string& wanted);
    std::string url() const;
};

/// 64 hexadecimal digits of 32 random bytes; or as many as asked for.
std::string random_words(int bytes = 32);
/// Takes as long for a near miss as for a far one.
bool same_secret(std::string_view a, std::string_view b);

}  // namespace voltsill::server
