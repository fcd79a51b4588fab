#pragma once
/// What the hall tells, as JSON that does not depend on who is in it.
#include "engine/json_pieces.h"
#include "server/exchange.h"
#include "server/hall_lesson.h"
#include "store/class_store.h"

namespace voltsill::server {

/// "voltsill-lesson-1": steps, gates and their checks without what they must show, boards.
std::string lesson_to_json(const Lesson& lesson);
/// A check; with `answers` also what it must show and what else it may mean.
Json check_json(const LessonCheck& check, bool answers);
/// A build as its learner sees it: what was found is left out until the instructor shows it, but for `stop`.
Json build_for_learner(const Json& build, bool marks);
Json history_json(const store::History& history);
/// All that is kept of some learners; without names nothing says who or when.
Json records_json(const store::ClassRecords& records, bool with_names);

Answer too_often(int seconds);

/// The phase of the time plan that readings of a gate belong to.
const char* phase_of_gate(int gate);
Json spent_json(const std::map<std::string, store::Seconds>& spent);

}  // namespace voltsill::server
