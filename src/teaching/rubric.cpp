#include "teaching/rubric.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "records/shape.h"

namespace voltsill {
namespace {

struct MeterRecord {
    double share = hand_meter::volts_share;
    Volts floor = hand_meter::volts_floor;
};

/// A rubric file as it is written.
struct RubricFile {
    std::string title;
    std::vector<Criterion> criteria;
    MeterRecord meter;
    double plausible = 0.5;
    Stop stop = Stop::harmful;
};

const Shape<MeterRecord>& meter_shape() {
    static const auto shape = [] {
        Shape<MeterRecord> s("meter", "Error of the meters of the class");
        s.optional("share", &MeterRecord::share, "share of the reading", "\"1 %\"", ratio());
        s.optional("floor", &MeterRecord::floor, "least error", "\"20 mV\"");
        return s;
    }();
    return shape;
}

const Shape<Criterion>& criterion_shape() {
    static const auto shape = [] {
        Shape<Criterion> s("criterion", "What earns points");
        s.place(&Criterion::place);
        s.required("id", &Criterion::id, "short name, stable", "\"levels\"");
        s.required("words", &Criterion::words, "as the learner reads it", "\"Levels, read and right\"");
        s.required("points", &Criterion::points, "most points", "30", number(0, 1e6));
        s.required("by", &Criterion::by, "what marks it", "\"readings\"",
                   choice<MarkedBy>({{"supplies", MarkedBy::supplies},
                                     {"readings", MarkedBy::readings},
                                     {"function", MarkedBy::function},
                                     {"faults", MarkedBy::faults},
                                     {"hand", MarkedBy::hand}}));
        return s;
    }();
    return shape;
}

const Shape<RubricFile>& rubric_shape() {
    static const auto shape = [] {
        Shape<RubricFile> s("rubric", "How builds are marked");
        s.required("title", &RubricFile::title, "what it is for", "\"Evening course, second night\"");
        s.required("criteria", &RubricFile::criteria, "what earns points", "[]", list(record(criterion_shape())));
        s.optional("meter", &RubricFile::meter, "error of the meters", "{ share = \"1 %\", floor = \"20 mV\" }",
                   record(meter_shape()));
        s.optional("plausible", &RubricFile::plausible,
                   "share of a reading that is wrong for the sheet and right for the build", "0.5", number(0, 1));
        s.optional("stop", &RubricFile::stop, "which builds go back to gate 1", "\"harmful\"",
                   choice<Stop>({{"never", Stop::never}, {"harmful", Stop::harmful}, {"may harm", Stop::may_harm}}));
        return s;
    }();
    return shape;
}

void check_criteria(const RubricFile& file, Reader& reader) {
    std::map<std::string, const Criterion*> met;
    const auto spot = [&](const Place& place) {
        const std::size_t at = reader.source().offset(place.line, place.column);
        return reader.source().spot(at, at + 1);
    };
    double total = 0;
    for (const Criterion& c : file.criteria) {
        total += c.points;
        const auto [first, fresh] = met.emplace(c.id, &c);
        if (!fresh && !c.id.empty())
            reader.conflict(spot(c.place), spot(first->second->place), "duplicate-criterion",
                            fmt::format("there are two criteria \"{}\"", c.id), "an id of its own for each");
    }
    if (reader.ok() && total <= 0)
        reader.error(reader.source().spot(0, 0), "no-points", "no criterion of this rubric gives a point",
                     "criteria with points above 0");
}

}  // namespace

double Rubric::total() const {
    double sum = 0;
    for (const Criterion& c : criteria) sum += c.points;
    return sum;
}

RubricReading read_rubric(std::string_view bytes, const std::string& file) {
    const ParsedText parsed = parse_toml(bytes, file);
    Reader reader(parsed);
    RubricFile read_file = read(rubric_shape(), parsed.root, reader);
    check_criteria(read_file, reader);
    RubricReading out;
    if (reader.ok())
        out.rubric = Rubric{.title = std::move(read_file.title),
                            .criteria = std::move(read_file.criteria),
                            .meter_share = read_file.meter.share,
                            .meter_floor = read_file.meter.floor,
                            .plausible = read_file.plausible,
                            .stop = read_file.stop};
    out.problems = reader.take();
    return out;
}

std::string_view default_rubric_text() {
    return R"(# Weights after common practice, no source. Copy this file, change it, and mark again with --rubric.
title     = "Common practice"
plausible = 0.5                                  # of an honest reading of a wrong build
meter     = { share = "1 %", floor = "20 mV" }   # error of a reading, unless the learner says another
stop      = "harmful"                            # switch off, and gate 1 again; or "may harm", or "never"

[[criteria]]
id     = "supplies"
words  = "Power and decoupling"
points = 20
by     = "supplies"

[[criteria]]
id     = "levels"
words  = "Levels, with readings"
points = 30
by     = "readings"

[[criteria]]
id     = "function"
words  = "Function of every link"
points = 20
by     = "function"

[[criteria]]
id     = "neatness"
words  = "Neat, colours of wires, labels"
points = 10
by     = "hand"

[[criteria]]
id     = "faults"
words  = "Faults found, with the reasoning"
points = 20
by     = "hand"      # or "faults": mistakes of the build that the learner's own readings show
)";
}

const Rubric& default_rubric() {
    static const Rubric rubric = [] {
        Rubric r = *read_rubric(default_rubric_text(), "built-in rubric").rubric;
        r.version = "built-in";
        return r;
    }();
    return rubric;
}

}  // namespace voltsill
