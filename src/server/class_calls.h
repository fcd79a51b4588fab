#pragma once
/// Calls of a class: of those who come, of learners, of the instructor. docs/hall.md says what each is for.
#include "server/hall.h"
#include "server/site.h"

namespace voltsill::server {

/// "Set-Cookie": out of reach of scripts and of other sites; over TLS alone where there is TLS (RFC 6265bis).
std::pair<std::string, std::string> secret_cookie(const Call& call, std::string_view name, std::string_view secret,
                                                  long long seconds);

/// What a worker has found out, written by the desk; the worker waits until it is on the disk.
Answer recorded_by_desk(Hall& hall, const std::function<Told()>& change);

Answer class_page(Call& call);
Answer instructor_page(Call& call);
Answer who_asks(Call& call);
Answer join_class(Call& call);
Answer sign_in(Call& call);

Answer lesson(Call& call);
Answer about_me(Call& call);
Answer my_events(Call& call);
Answer tick_step(Call& call);
Answer enter_reading(Call& call);
Answer ask_hint(Call& call);
Answer ask_help(Call& call);
Answer submit_build(Call& call);
Answer export_me(Call& call);
Answer leave_class(Call& call);

Answer sign_out(Call& call);
Answer room(Call& call);
Answer room_events(Call& call);
Answer join_picture(Call& call);
Answer look_at_learner(Call& call);
Answer act_on_learner(Call& call);
Answer delete_learner(Call& call);
Answer change_code(Call& call);
Answer change_settings(Call& call);
Answer end_class(Call& call);
Answer class_summary(Call& call);
Answer class_minutes(Call& call);
Answer export_class(Call& call);
Answer class_history(Call& call);
Answer back_up(Call& call);

}  // namespace voltsill::server
