#include "server/routes.h"

#include <fmt/format.h>

#include <charconv>

#include "server/bench_calls.h"
#include "server/class_calls.h"
#include "server/file_calls.h"
#include "server/long_calls.h"
#include "server/page_calls.h"

namespace voltsill::server {
namespace {

constexpr std::size_t none = 0, body_limit = 8u << 20;
constexpr bool open = false, token = true;

constexpr std::size_t small_body = 4u << 10, build_body = 64u << 10;

constexpr Route table[] = {
    {"GET", "/", For::maker, Runs::at_once, open, none, page},
    {"GET", "/assets/*", For::everyone, Runs::at_once, open, none, asset},
    {"GET", "/api/about", For::maker, Runs::brief, open, none, about},
    {"GET", "/api/files", For::maker, Runs::brief, open, none, list_files},
    {"GET", "/api/file", For::maker, Runs::brief, open, none, read_file},
    {"PUT", "/api/file", For::maker, Runs::brief, token, body_limit, save_file},
    {"GET", "/api/example", For::maker, Runs::brief, open, none, example},
    {"GET", "/api/events", For::maker, Runs::brief, open, none, watch_file},
    {"GET", "/api/parts", For::maker, Runs::brief, open, none, search_parts},
    {"POST", "/api/part", For::maker, Runs::brief, token, body_limit, show_part},
    {"POST", "/api/check", For::maker, Runs::brief, token, body_limit, check_bench},
    {"POST", "/api/plan", For::maker, Runs::brief, token, body_limit, plan_bench},
    {"POST", "/api/readings", For::maker, Runs::brief, token, body_limit, read_bench_points},
    {"POST", "/api/report", For::maker, Runs::brief, token, body_limit, report},
    {"POST", "/api/edit", For::maker, Runs::brief, token, body_limit, edit_text},
    {"POST", "/api/drawings", For::maker, Runs::brief, token, body_limit, draw},
    {"POST", "/api/trace", For::maker, Runs::lengthy, token, body_limit, trace_links},
    {"POST", "/api/build", For::maker, Runs::lengthy, token, body_limit, build_boards},
    {"POST", "/api/diagnose", For::maker, Runs::lengthy, token, body_limit, diagnose_build},
    {"POST", "/api/sheets", For::maker, Runs::lengthy, token, body_limit, sheet_pages},
    {"POST", "/api/pdf", For::maker, Runs::lengthy, token, body_limit, sheet_pdf},

    {"GET", "/class", For::visitor, Runs::at_once, open, none, class_page},
    {"GET", "/instructor", For::visitor, Runs::at_once, open, none, instructor_page},
    {"GET", "/api/class/who", For::visitor, Runs::at_once, open, none, who_asks},
    {"POST", "/api/class/join", For::visitor, Runs::recorded, open, small_body, join_class},
    {"POST", "/api/class/sign-in", For::visitor, Runs::brief, open, small_body, sign_in},

    {"GET", "/api/class/lesson", For::learner, Runs::at_once, open, none, lesson},
    {"GET", "/api/class/me", For::learner, Runs::at_once, open, none, about_me},
    {"GET", "/api/class/me/events", For::learner, Runs::brief, open, none, my_events},
    {"GET", "/api/class/me/export", For::learner, Runs::recorded, open, none, export_me},
    {"POST", "/api/class/tick", For::learner, Runs::recorded, token, small_body, tick_step},
    {"POST", "/api/class/reading", For::learner, Runs::recorded, token, small_body, enter_reading},
    {"POST", "/api/class/hint", For::learner, Runs::lengthy, token, small_body, ask_hint},
    {"POST", "/api/class/help", For::learner, Runs::recorded, token, small_body, ask_help},
    {"POST", "/api/class/submit", For::learner, Runs::lengthy, token, build_body, submit_build},
    {"POST", "/api/class/leave", For::learner, Runs::recorded, token, small_body, leave_class},

    {"POST", "/api/class/sign-out", For::instructor, Runs::at_once, token, small_body, sign_out},
    {"GET", "/api/class/room", For::instructor, Runs::at_once, open, none, room},
    {"GET", "/api/class/room/events", For::instructor, Runs::brief, open, none, room_events},
    {"GET", "/api/class/qr", For::instructor, Runs::at_once, open, none, join_picture},
    {"GET", "/api/class/learner", For::instructor, Runs::at_once, open, none, look_at_learner},
    {"POST", "/api/class/learner", For::instructor, Runs::recorded, token, small_body, act_on_learner},
    {"POST", "/api/class/delete", For::instructor, Runs::recorded, token, small_body, delete_learner},
    {"POST", "/api/class/code", For::instructor, Runs::recorded, token, small_body, change_code},
    {"POST", "/api/class/settings", For::instructor, Runs::recorded, token, small_body, change_settings},
    {"POST", "/api/class/end", For::instructor, Runs::recorded, token, small_body, end_class},
    {"GET", "/api/class/summary", For::instructor, Runs::at_once, open, none, class_summary},
    {"GET", "/api/class/minutes", For::instructor, Runs::at_once, open, none, class_minutes},
    {"GET", "/api/class/export", For::instructor, Runs::recorded, open, none, export_class},
    {"GET", "/api/class/history", For::instructor, Runs::recorded, open, none, class_history},
    {"POST", "/api/class/backup", For::instructor, Runs::lengthy, token, small_body, back_up},
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

std::optional<Answer> objection_to_role(const Route& route, const Identity& who) {
    const Leave leave = leave_for(route.whom, who.role, who.in_class);
    if (leave == Leave::given) return std::nullopt;
    if (leave == Leave::no_such_call) return refusal(404, "no-such-call", "there is nothing at this path");
    if (route.path == "/") {  // whoever types the bare address comes to join
        Answer answer{.status = 303, .type = "text/plain; charset=utf-8"};
        answer.headers.emplace_back("Location", "/class");
        return answer;
    }
    if (leave == Leave::sign_in) return refusal(401, "not-signed-in", "this is for those who have joined or signed in");
    return refusal(403, "not-yours", "this is for others in the class");
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

std::expected<const Route*, Answer> admitted(const Guard& guard, const Head& head, const Identity& who) {
    if (auto objection = guard.objection(head)) return std::unexpected(std::move(*objection));
    auto route = route_of(head.method, head.path);
    if (!route) return route;
    if (auto objection = objection_to_role(**route, who)) return std::unexpected(std::move(*objection));
    if ((*route)->needs_token)
        if (auto objection = Guard::objection_to_token(head, who.in_class ? who.token : guard.token))
            return std::unexpected(std::move(*objection));
    if (auto objection = objection_to_body(**route, head)) return std::unexpected(std::move(*objection));
    return route;
}

}  // namespace voltsill::server
