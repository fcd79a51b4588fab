#include "server/exchange.h"

#include "engine/engine.h"

namespace voltsill::server {

std::optional<std::string_view> Head::header(std::string_view name) const {
    std::optional<std::string_view> found;
    for (const auto& [key, value] : headers) {
        if (key != name) continue;
        if (found) return std::nullopt;
        found = value;
    }
    return found;
}

bool Head::has(std::string_view name) const {
    for (const auto& header : headers)
        if (header.first == name) return true;
    return false;
}

Answer refusal(int status, const Problems& problems) {
    return {.status = status, .body = to_json(problems)};
}

Answer refusal(int status, std::string code, std::string message, std::string expected) {
    return refusal(status, Problems{{.code = std::move(code), .message = std::move(message),
                                     .expected = std::move(expected)}});
}

std::vector<std::pair<std::string, std::string>> standing_headers(const Answer& answer) {
    std::string policy = "default-src 'none'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";
    if (!answer.nonce.empty())
        policy += "; script-src 'self'; style-src 'self' 'nonce-" + answer.nonce +
                  "'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; frame-src 'self' blob:";
    return {{"Content-Type", answer.type},
            {"Cache-Control", answer.kept ? "public, max-age=31536000, immutable" : "no-store"},
            {"Content-Security-Policy", policy},
            {"X-Content-Type-Options", "nosniff"},
            {"Referrer-Policy", "no-referrer"},
            {"Cross-Origin-Opener-Policy", "same-origin"},
            {"Cross-Origin-Resource-Policy", "same-origin"}};
}

}  // namespace voltsill::server
