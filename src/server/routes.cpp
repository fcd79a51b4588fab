#include "server/routes.h"

#include <fmt/format.h>

#include <charconv>

#include "server/bench_calls.h"
#include "server/file_calls.h"
#include "server/long_calls.h"
#include "server/page_calls.h"

namespace voltsill::server {
namespace {

constexpr std::size_t none = 0, body_limit = 8u << 20;
constexpr bool open = false, token = true;

constexpr Route table[] = {
    {"GET", "/", Runs::at_once, open, none, page},
    {"GET", "/assets/*", Runs::at_once, open, none, asset},
    {"GET", "/api/about", Runs::brief, open, none, about},
    {"GET", "/api/files", Runs::brief, open, none, list_files},
    {"GET", "/api/file", Runs::brief, open, none, read_file},
    {"PUT", "/api/file", Runs::brief, token, body_limit, save_file},
    {"GET", "/api/example", Runs::brief, open, none, example},
    {"GET", "/api/events", Runs::brief, open, none, watch_file},
    {"GET", "/api/parts", Runs::brief, open, none, search_parts},
    {"POST", "/api/part", Runs::brief, token, body_limit, show_part},
    {"POST", "/api/check", Runs::brief, token, body_limit, check_bench},
    {"POST", "/api/plan", Runs::brief, token, body_limit, plan_bench},
    {"POST", "/api/readings", Runs::brief, token, body_limit, read_bench_points},
    {"POST", "/api/report", Runs::brief, token, body_limit, report},
    {"POST", "/api/edit", Runs::brief, token, body_limit, edit_text},
    {"POST", "/api/drawings", Runs::brief, token, body_limit, draw},
    {"POST", "/api/trace", Runs::lengthy, token, body_limit, trace_links},
    {"POST", "/api/build", Runs::lengthy, token, body_limit, build_boards},
    {"POST", "/api/sheets", Runs::lengthy, token, body_limit, sheet_pages},
    {"POST", "/api/pdf", Runs::lengthy, token, body_limit, sheet_pdf},
};

bool matches(const Route& route, std::string_view path) {
    if (!route.path.ends_with('*')) return route.path == path;
    return path.starts_with(route.path.substr(0, route.path.size() - 1));
}

/// Only JSON: a form of a foreign page cannot send that without asking first (Fetch Standard, WHATWG).
bool is_json(const Head& head) {
    const auto type = head.header("content-type");
    return type && (*type == "application/json" || type->starts_with("application/json;"));
}

std::optional<Answer> objection_to_body(const Route& route, const Head& head) {
    if (route.most_body > 0 && !is_json(head))
        return refusal(415, "wrong-type", "the body is not said to be JSON", "Content-Type: application/json");
    std::size_t stated = 0;
    if (const auto length = head.header("content-length"))
        std::from_chars(length->data(), length->data() + length->size(), stated);
    if (stated > route.most_body)
        return refusal(413, "too-large", fmt::format("at most {} bytes are taken here", route.most_body));
    return std::nullopt;
}

}  // namespace

std::span<const Route> routes() { return table; }

std::expected<const Route*, Answer> route_of(std::string_view method, std::string_view path) {
    if (method == "HEAD") method = "GET";
    std::string allowed;
    for (const Route& route : table) {
        if (!matches(route, path)) continue;
        if (route.method == method) return &route;
        allowed += (allowed.empty() ? "" : ", ") + std::string(route.method);
    }
    if (allowed.empty()) return std::unexpected(refusal(404, "no-such-call", "there is nothing at this path"));
    Answer answer = refusal(405, "wrong-method", "this path does not know the method", allowed);
    answer.headers.emplace_back("Allow", allowed);
    return std::unexpected(std::move(answer));
}

std::expected<const Route*, Answer> admitted(const Guard& guard, const Head& head) {
    if (auto objection = guard.objection(head, false)) return std::unexpected(std::move(*objection));
    auto route = route_of(head.method, head.path);
    if (!route) return route;
    if (auto objection = guard.objection(head, (*route)->needs_token)) return std::unexpected(std::move(*objection));
    if (auto objection = objection_to_body(**route, head)) return std::unexpected(std::move(*objection));
    return route;
}

}  // namespace voltsill::server
