#include "server/guard.h"

#include <fmt/format.h>
#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cctype>

namespace voltsill::server {
namespace {

std::string lowered(std::string_view text) {
    std::string out(text);
    std::ranges::transform(out, out.begin(), [](unsigned char c) { return std::tolower(c); });
    return out;
}

/// "127.0.0.1:8190": this machine, by address or by the name that every system keeps for it.
bool is_ours(std::string_view authority, int port) {
    static constexpr std::array<std::string_view, 3> names = {"127.0.0.1", "localhost", "[::1]"};
    const std::string given = lowered(authority);
    return std::ranges::any_of(names, [&](std::string_view name) {
        return given == fmt::format("{}:{}", name, port) || (port == 80 && given == name);
    });
}

}  // namespace

std::optional<Answer> Guard::objection(const Head& head, bool needs_token) const {
    const auto host = head.header("host");
    if (!host || !is_ours(*host, port))
        return refusal(403, "wrong-host", "this address is not one of this server",
                       fmt::format("http://127.0.0.1:{}/", port));
    if (head.has("origin")) {
        const auto origin = head.header("origin");
        constexpr std::string_view scheme = "http://";
        if (!origin || !origin->starts_with(scheme) || lowered(origin->substr(scheme.size())) != lowered(*host))
            return refusal(403, "wrong-origin", "another page asks; only this server's own page may");
    }
    if (head.has("sec-fetch-site")) {
        const auto site = head.header("sec-fetch-site");
        if (site != "same-origin" && site != "none")
            return refusal(403, "wrong-origin", "another site asks; only this server's own page may");
    }
    if (needs_token) {
        const auto given = head.header("x-voltsill-token");
        if (!given || !same_secret(*given, token))
            return refusal(401, "wrong-token", "the token is missing or not that of this server",
                           "the header X-Voltsill-Token as index.html states it; load the page again");
    }
    return std::nullopt;
}

std::string random_words(int bytes) {
    std::string out;
    for (int k = 0; k < bytes; ++k) {
        unsigned char byte = 0;
        while (getrandom(&byte, 1, 0) != 1) {
        }
        out += fmt::format("{:02x}", byte);
    }
    return out;
}

bool same_secret(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) return false;
    volatile unsigned char different = 0;
    for (std::size_t k = 0; k < a.size(); ++k)
        different = static_cast<unsigned char>(different | (a[k] ^ b[k]));
    return different == 0;
}

}  // namespace voltsill::server
