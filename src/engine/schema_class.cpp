/// The part of the schema that describes what sheets say of a class.
#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Json truth_or_null(const char* about) { return or_null(truth(about)); }

Json question() {
    const Json option = object("", {{"letter", text()},
                                    {"text", text()},
                                    {"right", truth_or_null("Null in what learners get")},
                                    {"because", name_or_null()}});
    const Json answer = object("Left out of what learners get",
                               {{"letter", name_or_null()},
                                {"value", nullable("quantity")},
                                {"tolerance", number("In the unit of the value; null: a choice")},
                                {"worked", text()},
                                {"sources", list(text())},
                                {"distance", number("To the nearest wrong option or wrong way")}});
    return object("A question computed from the bench", {{"family", text("Stable name")},
                                                         {"link", text()},
                                                         {"point", text()},
                                                         {"given", list(text())},
                                                         {"text", text()},
                                                         {"options", list(option, "Empty: a number is asked")},
                                                         {"unit", name_or_null()},
                                                         {"answer", or_null(answer)}});
}

Json questions() {
    const Json learner = object("", {{"learner", whole(1)}, {"questions", list(ref("question"))}});
    const Json missing = object("", {{"family", text()}, {"why", text()}});
    return object("Questions for every learner", {{"seed", whole(0)},
                                                  {"learners", list(learner)},
                                                  {"self_test", list(ref("question"))},
                                                  {"missing", list(missing, "What this bench offers no question of")}});
}

Json time_phase() {
    return object("Minutes of a phase of a class", {{"phase", text("As logs name it")},
                                                    {"what", text()},
                                                    {"items", whole(0)},
                                                    {"planned", number("min, before logs")},
                                                    {"logs", whole(0)},
                                                    {"factor", number("From logged minutes")},
                                                    {"minutes", number()}});
}

Json stock() {
    const Json need = object("", {{"type", text()},
                                  {"per_seat", whole(1)},
                                  {"needed", whole(1)},
                                  {"stock", whole_or_null()},
                                  {"lacking", whole(0)}});
    const Json substitute = object("", {{"wanted", text()},
                                        {"instead", text()},
                                        {"works", truth()},
                                        {"verdict", ref("verdict")},
                                        {"because", text()},
                                        {"stock", whole_or_null()}});
    return object("The drawer against what a class needs", {{"counted", truth("The bench has a [stock]")},
                                                            {"needs", list(need)},
                                                            {"substitutes", list(substitute)}});
}

}  // namespace

void append_class_pieces(Json& pieces) {
    pieces["question"] = question();
    pieces["questions"] = questions();
    pieces["time_phase"] = time_phase();
    pieces["stock_report"] = stock();
}

}  // namespace voltsill::schema_words
