/// The part of the schema that describes a diagnosis.
#include "engine/schema_words.h"

namespace voltsill::schema_words {
namespace {

Json share(const char* about) {
    Json out = number(about);
    out["minimum"] = 0;
    return out;
}

Json suspect() {
    const Json fault = object("One thing that is wrong with a build",
                              {{"id", text("Stable for a build")},
                               {"kind", text("Listed in docs/failure-modes.md")},
                               {"words", text()},
                               {"remedy", text()},
                               {"weight", number("How often it is met, relative to the others")},
                               {"seen_by_eye", truth()},
                               {"wires", list(whole(1), "Numbers on the sheet")}});
    const Json member = object("One of the faults that no meter tells apart",
                               {{"words", text()},
                                {"remedy", text()},
                                {"share", share("Probability after the readings, 0..1")},
                                {"faults", list(fault, "One, or two at once; none: the build as planned")}});
    return object("What explains the readings",
                  {{"share", share("Probability after the readings, 0..1")},
                   {"as_planned", truth("The build as planned is among them")},
                   {"may_harm", truth("Plausible, and could harm when powered")},
                   {"words", text("Of the likeliest")},
                   {"common", name_or_null()},
                   {"remedy", text()},
                   {"members", list(member, "Likeliest first")}});
}

Json next_reading() {
    const Json line = object("A line of a reading is `before`, the answer, `after`",
                             {{"before", text()}, {"after", text()}});
    return object(
        "A reading worth taking",
        {{"means", one_of({"eye", "ohmmeter", "voltmeter", "scope", "behaviour"})},
         {"words", text()},
         {"how", text("What to do")},
         {"why", text("What its answers mean")},
         {"bits", share("Expected information")},
         {"effort", share("In units of a look")},
         {"line", line},
         {"answers", text("What may stand as the answer")},
         {"sights", list(text(), "Of a look: what it may show where it is not as planned, likeliest first")}});
}

Json damage() {
    const Json test = object("One touch of both leads of a diode test, power off, the part out of the board",
                             {{"red", text()},
                              {"black", text()},
                              {"open", truth("A sound part reads nothing this way")},
                              {"lo", number("V")},
                              {"hi", number("V")},
                              {"expected", text("What a sound part reads")},
                              {"dead", text("What a dead part reads")}});
    const Json part = object("", {{"words", text()},
                                  {"over", number("Times its limit; null: it hangs on what was over")},
                                  {"why", list(text())},
                                  {"discard", truth()},
                                  {"advice", text()},
                                  {"tests", list(test)}});
    return object("What may be hurt if the likeliest fault was powered",
                  {{"sentence", text()},
                   {"cautions", list(text())},
                   {"parts", list(part, "In the order in which to test them")}});
}

Json askable() {
    const Json point = object("", {{"label", text()}, {"place", name_or_null()}});
    const Json kind = object("A kind of fault", {{"key", text("As in [weights] of a readings file")},
                                                 {"words", text()},
                                                 {"weight", share("How often it is met, as reckoned with here")},
                                                 {"usual", share("Common practice, no source")},
                                                 {"faults", whole(0)}});
    return object("What may be read at this build",
                  {{"points", list(point)},
                   {"posts", list(point, "Of supplies: ohms are asked there, no volts")},
                   {"wires", list(whole(1))},
                   {"parts", list(text())},
                   {"links", list(text())},
                   {"rails", list(text())},
                   {"drivers", list(text(), "Can be told high or low")},
                   {"kinds", list(kind)}});
}

}  // namespace

void append_diagnose_documents(Json& documents) {
    const Json given = object("A reading that was taken", {{"words", text()},
                                                           {"place", nullable("place")},
                                                           {"unexplained", truth()}});
    const Json ruled = object("", {{"reading", whole_or_null()}, {"count", whole(0)}, {"sentence", text()}});
    const Json contradiction = object("", {{"readings", list(whole(0))}, {"sentence", text()}});
    const Json hints = object("For a learner, one after the other",
                              {{"question", text()}, {"reading", text()}, {"cause", text()},
                               {"keep_off", name_or_null()}});
    documents["diagnose"] =
        document("voltsill-diagnose-1", "What explains the readings taken at a build, and what to read next",
                 {{"version", text("Of the bench's bytes, as on its sheets")},
                  {"wiring_from", one_of({"given", "plan"})},
                  {"bench", ref("bench")},
                  {"not_placed", name_or_null()},
                  {"faults", whole(0)},
                  {"pairs", whole(0)},
                  {"pairs_left_out", whole(0)},
                  {"readings", list(given, "In order")},
                  {"readings_file", text("The same as a readings file (TOML)")},
                  {"sentence", text()},
                  {"found", truth()},
                  {"open_bits", share("Entropy of what is still open")},
                  {"something_else", share("Probability that no fault of the list explains it")},
                  {"suspects", list(suspect(), "Likeliest first")},
                  {"ruled_out", list(ruled)},
                  {"contradictions", list(contradiction)},
                  {"next", list(next_reading(), "Best first")},
                  {"power_may_harm", truth()},
                  {"keep_off", name_or_null()},
                  {"hints", hints},
                  {"damage", or_null(damage())},
                  {"askable", askable()}});
}

}  // namespace voltsill::schema_words
