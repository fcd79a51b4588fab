#include <fmt/format.h>

#include <charconv>

#include "drawing/qr_code.h"
#include "server/ask.h"
#include "server/class_calls.h"
#include "server/hall.h"
#include "server/secrets.h"

namespace voltsill::server {

namespace {

constexpr long long most_learner_number = 1LL << 53;
constexpr long long known_days = 400;  // as long as browsers keep a cookie (RFC 6265bis, 5.5)

Answer told_answer(Told told) {
    if (!told) return std::move(told.error());
    return {.body = written(*told)};
}

/// "?learner=7"; 0 when it is not given or no number.
std::int64_t learner_asked(const Call& call) {
    const auto at = call.request.head.query.find("learner");
    std::int64_t number = 0;
    if (at != call.request.head.query.end())
        std::from_chars(at->second.data(), at->second.data() + at->second.size(), number);
    return number;
}

/// Black on white whatever the page: a camera has to read it.
std::string code_picture(const std::string& text) {
    constexpr double side = 100;
    const drawing::Path path = drawing::qr_code(text, {0, 0}, side);
    std::string steps;
    for (const drawing::Step& step : path.steps) {
        if (step.kind == drawing::Step::Kind::close) steps += "z";
        else
            steps += fmt::format("{}{:.4g} {:.4g}", step.kind == drawing::Step::Kind::move ? 'M' : 'L', step.to.x,
                                 step.to.y);
    }
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {0}\" role=\"img\" shape-rendering=\"crispEdges\">"
        "<title>Code of the address to join at</title><rect width=\"{0}\" height=\"{0}\" fill=\"#fff\"/>"
        "<path d=\"{1}\" fill=\"#000\"/></svg>\n", side, steps);
}

}  // namespace

Answer sign_in(Call& call) {
    auto members = Ask::read(call.request.body);
    if (!members) return std::move(members.error());
    const std::string passphrase = members->text("passphrase");
    if (auto objection = members->objection()) return std::move(*objection);
    Hall& hall = *call.site.hall;
    std::string device = cookie_of(call.request.head, known_cookie);
    auto secret = hall.sign_in(call.request.head, device, passphrase);
    if (!secret) return std::move(secret.error());
    if (!hall.knows(device)) device = random_words();
    Answer answer = recorded_by_desk(hall, [&]() -> Told {
        hall.remember_device(device);
        return Json{{"format", "voltsill-signed-in-1"}, {"token", token_of(*secret)}};
    });
    if (answer.status != 200) return answer;
    answer.headers.push_back(secret_cookie(call, known_cookie, device, known_days * 24 * 3600));
    answer.headers.push_back(secret_cookie(call, instructor_cookie, *secret, instructor_hours * 3600));
    return answer;
}

Answer sign_out(Call& call) {
    call.site.hall->sign_out(cookie_of(call.request.head, instructor_cookie));
    Answer answer{.body = written({{"format", "voltsill-signed-out-1"}})};
    answer.headers.push_back(secret_cookie(call, instructor_cookie, "", 0));
    return answer;
}

Answer room(Call& call) { return {.body = written(call.site.hall->room())}; }

Answer room_events(Call& call) {
    const auto stream = call.open_stream();
    if (!call.site.hall->listen_to_room(stream)) stream->end();
    return {};
}

Answer join_picture(Call& call) {
    return {.type = "image/svg+xml", .body = code_picture(call.site.hall->join_url())};
}

Answer look_at_learner(Call& call) { return told_answer(call.site.hall->learner_in_full(learner_asked(call))); }

Answer act_on_learner(Call& call) {
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const auto learner = ask->whole("learner", 1, most_learner_number, 0);
    const std::string what = ask->one_of("do", {"pass", "back", "helped", "reset", "remove", "readmit"}, "");
    const int gate = static_cast<int>(ask->whole("gate", 1, store::gates, 1));
    if (auto objection = ask->objection()) return std::move(*objection);
    return told_answer(call.site.hall->act(learner, what, gate));
}

Answer delete_learner(Call& call) {
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const auto learner = ask->whole("learner", 1, most_learner_number, 0);
    if (auto objection = ask->objection()) return std::move(*objection);
    if (!call.site.hall->learner_in_full(learner))
        return refusal(404, "no-such-learner", "there is no such learner in this class");
    call.site.hall->delete_learner(learner);
    return {.body = written({{"format", "voltsill-left-1"}})};
}

Answer change_code(Call& call) {
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const bool open = ask->stated_truth("open");
    const int hours = static_cast<int>(ask->whole("hours", 1, 24 * 14, 8));
    if (auto objection = ask->objection()) return std::move(*objection);
    return {.body = written(call.site.hall->new_code(open, hours))};
}

Answer change_settings(Call& call) {
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const int hints = static_cast<int>(ask->whole("hints", 0, 3, 3));
    const bool marks = ask->stated_truth("marks");
    if (auto objection = ask->objection()) return std::move(*objection);
    return {.body = written(call.site.hall->show(hints, marks))};
}

Answer end_class(Call& call) {
    constexpr long long most = 1'000'000;
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const auto learners = ask->stated_whole("learners", 0, most);
    if (auto objection = ask->objection()) return std::move(*objection);
    return told_answer(call.site.hall->end_class(static_cast<std::size_t>(learners)));
}

Answer class_summary(Call& call) { return {.body = written(call.site.hall->summary())}; }

Answer class_minutes(Call& call) {
    return {.type = "text/csv; charset=utf-8", .body = call.site.hall->time_log()};
}

Answer export_class(Call& call) {
    const bool with_names = !call.request.head.query.contains("anonymous");
    return told_answer(call.site.hall->exported(learner_asked(call), with_names));
}

Answer class_history(Call& call) { return {.body = written(call.site.hall->history())}; }

Answer back_up(Call& call) {
    const std::string trouble = call.site.hall->backup();
    if (!trouble.empty()) return refusal(503, "not-kept", trouble);
    return {.body = written({{"format", "voltsill-backed-up-1"}, {"at", now_seconds()}})};
}

}  // namespace voltsill::server
