/// A marked class as a document.
#include "engine/json_pieces.h"
#include "engine/marking.h"

namespace voltsill {
namespace {

Json mistake_json(const Mistake& m) {
    return {{"kind", to_key(m.kind)},
            {"words", m.words},
            {"remedy", m.remedy},
            {"harm", to_word(m.harm)},
            {"code", name_or_null(m.code)},
            {"part", name_or_null(m.part)},
            {"pin", name_or_null(m.pin)},
            {"sentence", m.sentence},
            {"links", m.links},
            {"wires", m.wires},
            {"gate", m.gate}};
}

const char* reading_key(ReadingMark mark) {
    switch (mark) {
        case ReadingMark::right:
            return "right";
        case ReadingMark::plausible:
            return "plausible";
        case ReadingMark::impossible:
            return "impossible";
        case ReadingMark::missing:
            break;
    }
    return "missing";
}

Json marked_reading_json(const MarkedReading& r) {
    return {{"point", r.point},
            {"state", r.state},
            {"read", r.read ? json_of(*r.read) : Json(nullptr)},
            {"wanted", span_json(Dimension::voltage, {r.lo, r.nominal, r.hi})},
            {"mark", reading_key(r.mark)},
            {"reason", r.reason},
            {"link", name_or_null(r.link)},
            {"place", place_json(r.place)}};
}

Json criterion_json(const CriterionMark& c) {
    return {{"id", c.id},           {"words", c.words},     {"points", c.points}, {"of", c.of},
            {"by_hand", c.by_hand}, {"open", c.open},       {"reasons", c.reasons}};
}

Json marked_build_json(const MarkedBuild& b) {
    return {{"learner", b.learner},
            {"readable", b.readable},
            {"problems", problems_json(b.problems)},
            {"wires", b.wires},
            {"as_planned", b.as_planned},
            {"points", b.points},
            {"of", b.of},
            {"open", b.open},
            {"harm", to_word(b.harm)},
            {"stop", b.stop},
            {"failing", b.failing},
            {"mistakes", json_list(b.mistakes, mistake_json)},
            {"readings", json_list(b.readings, marked_reading_json)},
            {"criteria", json_list(b.criteria, criterion_json)},
            {"rubric_version", b.rubric_version}};
}

Json statistics_json(const MarkStatistics& s) {
    return {{"count", s.count},   {"mean", s.mean},   {"lowest", s.lowest}, {"lower_quartile", s.lower_quartile},
            {"median", s.median}, {"upper_quartile", s.upper_quartile},     {"highest", s.highest}};
}

Json named_count_json(const NamedCount& n) { return {{"name", n.name}, {"learners", n.learners}}; }

Json summary_json(const ClassSummary& s) {
    return {{"learners", s.learners},
            {"unreadable", s.unreadable},
            {"without_mistake", s.without_mistake},
            {"stopped", s.stopped},
            {"of", s.of},
            {"points", statistics_json(s.points)},
            {"criteria", json_list(s.criteria,
                                   [](const CriterionStatistics& c) -> Json {
                                       return {{"id", c.id},
                                               {"words", c.words},
                                               {"of", c.of},
                                               {"points", statistics_json(c.points)},
                                               {"open", c.open}};
                                   })},
            {"mistakes", json_list(s.mistakes,
                                   [](const MistakeCount& m) -> Json {
                                       return {{"kind", to_key(m.kind)}, {"words", m.words}, {"learners", m.learners},
                                               {"harm", to_word(m.harm)}, {"links", m.links}, {"gate", m.gate}};
                                   })},
            {"kinds", json_list(s.kinds, named_count_json)},
            {"links", json_list(s.links, named_count_json)},
            {"gates", json_list(s.gates, named_count_json)},
            {"problems", json_list(s.problems, named_count_json)}};
}

}  // namespace

std::string to_json(const MarkedClass& marked) {
    Json out = document_head("voltsill-marking-1", true, {});
    out["title"] = marked.title;
    out["rubric"] = {{"title", marked.rubric_title}, {"version", marked.rubric_version}};
    out["anonymous"] = marked.anonymous;
    out["summary"] = summary_json(marked.summary);
    out["builds"] = json_list(marked.builds, marked_build_json);
    return written(out);
}

std::string to_json(const MarkedBuild& marked) {
    Json out = document_head("voltsill-marked-build-1", true, {});
    out["build"] = marked_build_json(marked);
    return written(out);
}

}  // namespace voltsill
