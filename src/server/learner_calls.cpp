#include <fmt/format.h>

#include <future>

#include "server/ask.h"
#include "server/class_calls.h"
#include "server/hall.h"
#include "server/page_calls.h"
#include "server/secrets.h"

namespace voltsill::server {
namespace {

constexpr int cookie_days = 30;

Answer answered(Told told) {
    if (!told) return std::move(told.error());
    return {.body = written(*told)};
}

/// Members of the body, read by `read`, and what the hall says to them.
template <class Tell>
Answer with_members(Call& call, const Tell& tell) {
    auto members = Ask::read(call.request.body);
    if (!members) return std::move(members.error());
    Told told = tell(*members);
    if (auto objection = members->objection()) return std::move(*objection);
    return answered(std::move(told));
}

}  // namespace

Answer recorded_by_desk(Hall& hall, const std::function<Told()>& change) {
    std::promise<Answer> kept;
    std::future<Answer> answer = kept.get_future();
    const bool taken =
        hall.desk().add({[&] { return answered(change()); }, [&](Answer said) { kept.set_value(std::move(said)); }});
    return taken ? answer.get() : refusal(503, "stopping", "the server is being stopped");
}

std::pair<std::string, std::string> secret_cookie(const Call& call, std::string_view name, std::string_view secret,
                                                  long long seconds) {
    return {"Set-Cookie", fmt::format("{}={}; Path=/; Max-Age={}; HttpOnly; SameSite=Strict{}", name, secret, seconds,
                                      call.site.hall->secure() ? "; Secure" : "")};
}

Answer who_asks(Call& call) {
    const Identity& who = call.who;
    const char* role = who.role == Role::learner ? "learner" : who.role == Role::instructor ? "instructor" : "nobody";
    return {.body = written({{"format", "voltsill-who-1"},
                             {"role", role},
                             {"token", name_or_null(who.token)},
                             {"secure", call.site.hall->secure()}})};
}

Answer join_class(Call& call) {
    auto members = Ask::read(call.request.body);
    if (!members) return std::move(members.error());
    const std::string code = members->text("code"), nickname = members->text("nickname");
    if (auto objection = members->objection()) return std::move(*objection);
    auto joined = call.site.hall->join(call.request.head.peer, code, nickname);
    if (!joined) return std::move(joined.error());
    Answer answer{.body = written({{"format", "voltsill-joined-1"},
                                   {"token", token_of(joined->secret)},
                                   {"learner", std::move(joined->learner)}})};
    answer.headers.push_back(secret_cookie(call, device_cookie, joined->secret, cookie_days * 24 * 3600));
    return answer;
}

Answer lesson(Call& call) {
    Answer answer;
    answer.shared = call.site.hall->lesson_json();
    return answer;
}

Answer about_me(Call& call) { return {.body = written(call.site.hall->me(call.who.learner))}; }

Answer my_events(Call& call) {
    const auto stream = call.open_stream();
    if (!call.site.hall->listen(call.who.learner, stream)) stream->end();
    return {};
}

Answer tick_step(Call& call) {
    return with_members(call, [&](Ask& ask) -> Told {
        const int step = static_cast<int>(ask.whole("step", 0, 1'000'000, -1));
        const bool done = ask.stated_truth("done");
        if (ask.objection()) return Json();
        return call.site.hall->tick(call.who.learner, step, done);
    });
}

Answer enter_reading(Call& call) {
    return with_members(call, [&](Ask& ask) -> Told {
        const std::string check = ask.text("check"), value = ask.text("value"), once = ask.text("once", "");
        if (ask.objection()) return Json();
        return call.site.hall->enter(call.who.learner, check, value, once);
    });
}

/// Worked out by a worker, since a diagnosis takes its time; then noted by the desk.
Answer ask_hint(Call& call) {
    auto members = Ask::read(call.request.body);
    if (!members) return std::move(members.error());
    const std::string check = members->text("check");
    const int depth = static_cast<int>(members->whole("depth", 1, 3, 1));
    if (auto objection = members->objection()) return std::move(*objection);
    Hall& hall = *call.site.hall;
    const auto asked = hall.asked_hint(call.who.learner, check, depth);
    if (!asked) return asked.error();
    const Hint hint = hall.hint(*asked);
    return recorded_by_desk(hall, [&] { return hall.give_hint(call.who.learner, check, depth, hint); });
}

Answer ask_help(Call& call) {
    return with_members(call, [&](Ask& ask) -> Told {
        const bool wanted = ask.stated_truth("wanted");
        const std::string about = ask.text("about", "");
        if (ask.objection()) return Json();
        return call.site.hall->ask_for_help(call.who.learner, wanted, about.substr(0, 200));
    });
}

Answer export_me(Call& call) {
    if (auto objection = call.site.hall->objection_to_export(call.who.learner)) return std::move(*objection);
    return answered(call.site.hall->exported(call.who.learner, true));
}

Answer leave_class(Call& call) {
    call.site.hall->delete_learner(call.who.learner);
    Answer answer{.body = written({{"format", "voltsill-left-1"}})};
    answer.headers.push_back(secret_cookie(call, device_cookie, "", 0));
    return answer;
}

}  // namespace voltsill::server
