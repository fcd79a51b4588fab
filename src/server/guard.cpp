#include "server/guard.h"

#include <fmt/format.h>
#include <sys/random.h>

#include <algorithm>
#include <cctype>

namespace voltsill::server {
namespace {

std::string lowered(std::string_view text) {
    std::string out(text);
    std::ranges::transform(out, out.begin(), [](unsigned char c) { return std::tolower(c); });
    return out;
}

/// "127.0.0.1:8190": this server, by its address or by a name that leads there.
bool is_ours(std::string_view authority, const Guard& guard) {
    const std::string given = lowered(authority);
    const int usual = guard.secure ? 443 : 80;
    return std::ranges::any_of(guard.names, [&](const std::string& name) {
        return given == fmt::format("{}:{}", lowered(name), guard.port) ||
               (guard.port == usual && given == lowered(name));
    });
}

}  // namespace

std::string Guard::url() const { return fmt::format("{}://{}:{}/", secure ? "https" : "http", names.front(), port); }

std::optional<Answer> Guard::objection(const Head& head) const {
    const auto host = head.header("host");
    if (!host || !is_ours(*host, *this))
        return refusal(403, "wrong-host", "this address is not one of this server",
                       url());
    if (head.has("origin")) {
        const auto origin = head.header("origin");
        const std::string_view scheme = secure ? "https://" : "http://";
        if (!origin || !origin->starts_with(scheme) || lowered(origin->substr(scheme.size())) != lowered(*host))
            return refusal(403, "wrong-origin", "another page asks; only this server's own page may");
    }
    if (head.has("sec-fetch-site")) {
        const auto site = head.header("sec-fetch-site");
        if (site != "same-origin" && site != "none")
            return refusal(403, "wrong-origin", "another site asks; only this server's own page may");
    }
    return std::nullopt;
}

std::optional<Answer> Guard::objection_to_token(const Head& head, const std::string& wanted) {
    const auto given = head.header("x-voltsill-token");
    if (!wanted.empty() && given && same_secret(*given, wanted)) return std::nullopt;
    return refusal(401, "wrong-token", "the token is missing or not that of this server",
                   "the header X-Voltsill-Token as index.html states it; load the page again");
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
