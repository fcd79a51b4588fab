/// The part of the schema that describes a marked class.
#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Json gate() {
    return {{"enum", {0, 1, 3}},
            {"description", "Where a class meets it: 1 power off, 3 static levels, 0 by eye only"}};
}
Json mistake_kind() {
    return one_of({"wire-missing", "one-row-off", "one-column-off", "exchanged", "facing-pin", "wrong-strip",
                   "header-pin-off", "wrong-place", "part-one-row-off", "part-turned", "part-missing", "extra-wire"});
}

Json marked_build() {
    const Json mistake = object("A mistake, as a slip of the hand",
                                {{"kind", ref("mistake_kind")},
                                 {"words", text()},
                                 {"remedy", text()},
                                 {"harm", ref("verdict")},
                                 {"code", name_or_null()},
                                 {"part", name_or_null()},
                                 {"pin", name_or_null()},
                                 {"sentence", text("Of the judge; empty: nothing changes for the worse")},
                                 {"links", list(text())},
                                 {"wires", list(whole(0), "Numbers on the sheet")},
                                 {"gate", gate()}});
    const Json reading =
        object("A reading, handed in or wanted", {{"point", text()},
                                                  {"state", text("Empty: nothing is driven")},
                                                  {"read", nullable("span")},
                                                  {"wanted", ref("span")},
                                                  {"mark", one_of({"right", "plausible", "impossible", "missing"})},
                                                  {"reason", text("Empty: right")},
                                                  {"link", name_or_null()},
                                                  {"place", nullable("place")}});
    const Json criterion = object("Points of one criterion", {{"id", text()},
                                                              {"words", text()},
                                                              {"points", number()},
                                                              {"of", number()},
                                                              {"by_hand", truth()},
                                                              {"open", truth("By hand, and not yet entered")},
                                                              {"reasons", list(text())}});
    return object("A learner's build, marked",
                  {{"learner", text("A name, or a pseudonym")},
                   {"readable", truth()},
                   {"problems", list(ref("problem"))},
                   {"wires", whole(0)},
                   {"as_planned", truth("The wanted nets, perhaps with equal channels or parts exchanged")},
                   {"points", number()},
                   {"of", number()},
                   {"open", number("Points of criteria nobody has marked yet")},
                   {"harm", ref("verdict")},
                   {"stop", text("Why to switch off and pass gate 1 again; empty: no reason")},
                   {"failing", list(text(), "Links that do not work as in the right build")},
                   {"mistakes", list(mistake)},
                   {"readings", list(reading)},
                   {"criteria", list(criterion)},
                   {"rubric_version", text()}});
}

Json summary() {
    const Json criterion = object("", {{"id", text()},
                                       {"words", text()},
                                       {"of", number()},
                                       {"points", ref("mark_statistics")},
                                       {"open", whole(0)}});
    const Json mistake = object("", {{"kind", ref("mistake_kind")},
                                     {"words", text()},
                                     {"learners", whole(1)},
                                     {"harm", ref("verdict")},
                                     {"links", list(text())},
                                     {"gate", gate()}});
    const Json counts = list(object("", {{"name", text()}, {"learners", whole(1)}}));
    return object("What the class has done", {{"learners", whole(0)},
                                              {"unreadable", whole(0)},
                                              {"without_mistake", whole(0)},
                                              {"stopped", whole(0)},
                                              {"of", number()},
                                              {"points", ref("mark_statistics")},
                                              {"criteria", list(criterion)},
                                              {"mistakes", list(mistake, "Most frequent first")},
                                              {"kinds", counts},
                                              {"links", counts},
                                              {"gates", counts},
                                              {"problems", counts}});
}

}  // namespace

void append_marking(Json& out) {
    out["mistake_kind"] = mistake_kind();
    out["mark_statistics"] =
        object("Quartiles after Hyndman and Fan (1996), definition 7", {{"count", whole(0)},
                                                                        {"mean", number()},
                                                                        {"lowest", number()},
                                                                        {"lower_quartile", number()},
                                                                        {"median", number()},
                                                                        {"upper_quartile", number()},
                                                                        {"highest", number()}});
    out["marked_build"] = marked_build();
    out["marking"] = document("voltsill-marking-1", "A class, marked",
                              {{"title", text("Of the bench")},
                               {"rubric", object("", {{"title", text()}, {"version", text()}})},
                               {"anonymous", truth()},
                               {"summary", summary()},
                               {"builds", list(ref("marked_build"))}});
    out["marked_build_document"] =
        document("voltsill-marked-build-1", "One build, marked", {{"build", ref("marked_build")}});
}

}  // namespace voltsill::schema_words
