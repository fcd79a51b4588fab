#include "faults/readings_file.h"

#include <fmt/format.h>

#include <algorithm>

#include "faults/reading_lines.h"
#include "faults/readings_shape.h"
#include "quantity/scan.h"
#include "records/in_order.h"

namespace voltsill {
namespace {

/// More than a learner takes in a day, and few enough that every step stays quick (our choice).
constexpr std::size_t most_readings = 2000;

class ReadingsTaking {
  public:
    ReadingsTaking(Questions& questions, Reader& reader) : questions_(questions), names_(questions), reader_(reader) {}

    void take(const ReadingRecord& r) {
        if (r.keys.find("at"))
            take_at(r);
        else if (r.keys.find("between"))
            take_ohms(r);
        else if (r.look)
            take_look(r);
        else if (r.supply_of)
            take_dips(r);
    }

    void take(const SeenRecord& s) {
        if (!s.what || !s.what->at) return;
        const auto said = looked(behaviour_words(s.what->text), *s.what);
        if (!said) {  // of whom it was said is wrong or right all the same
            if (s.link) looked(names_.link(s.link->text), *s.link);
            if (s.part) looked(names_.part(s.part->text), *s.part);
            return;
        }
        const bool of_bench = said->what == Behaviour::nothing_works, of_link = is_of_link(said->what);
        const auto& who = of_link ? s.link : s.part;
        const char* key = of_link ? "link" : "part";
        for (const char* other : {"link", "part"})
            if (s.keys.find(other) && (of_bench || other != std::string_view(key)))
                reader_.error(s.keys.find(other)->key_spot, "key-elsewhere",
                              fmt::format("{} is not said of a {}", in_quotes(s.what->text), other),
                              of_bench ? "no name" : fmt::format("{} = ...", key));
        if (!of_bench && !s.keys.find(key))
            reader_.error(s.what->at->spot, "missing-key", fmt::format("of which {} is this said?", key),
                          of_link ? "link = \"tank echo\"" : "part = \"U1\"");
        std::optional<int> of = -1;
        if (!of_bench)
            of = !who ? std::nullopt : looked(of_link ? names_.link(who->text) : names_.part(who->text), *who);
        if (of) add(s.place, settled(questions_.behaviour(said->what, *of), s.is != said->fails));
    }

    /// In the order in which they stand.
    std::vector<GivenReading> in_order() {
        std::ranges::stable_sort(out_, {},
                                 [](const GivenReading& g) { return std::pair(g.place.line, g.place.column); });
        return std::move(out_);
    }

  private:
    /// A time makes it a rise time, and so does a link that runs unless a voltage was read.
    void take_at(const ReadingRecord& r) {
        const Question volts{.means = Means::voltmeter},
            rise_time{.means = Means::scope, .sight = ScopeSight::rise_time};
        const bool rise = (r.reads && is_time(r.reads->text)) ||
                          (r.keys.find("of") && !(r.reads && parse_number(volts, r.reads->text)));
        const auto question = rise ? ask_rise(r) : ask_at(r);
        if (!r.reads) return;
        if (question)
            add(r.place, answered(question, *r.reads));
        else if (!is_off(r))
            check_answer(rise ? rise_time : volts, *r.reads);
    }

    /// That there are no volts to read was told.
    bool is_off(const ReadingRecord& r) const {
        const auto state = names_.state(r.when ? r.when->text : "at rest");
        return state && !state->powered;
    }

    /// What is read can be wrong also where the place is.
    void check_answer(const Question& like, const Text& answer) { looked(parse_number(like, answer.text), answer); }

    void take_look(const ReadingRecord& r) {
        const auto question = looked(ask_look(questions_, names_, r.look->text), *r.look);
        if (!r.as_planned) return;
        if (!r.shows)
            add(r.place, settled(question, *r.as_planned));
        else if (*r.as_planned)
            reader_.error(r.keys.find("shows")->key_spot, "key-elsewhere", "what is as planned shows nothing else",
                          "as_planned = false");
        else if (question)
            add(r.place, answered(question, *r.shows));
    }

    /// A trouble goes to its letters in the file. Where no string stands, that was told when the record was read.
    template <class T>
    std::optional<T> looked(Looked<T> found, const Text& text) {
        if (!text.at) return std::nullopt;
        if (found) return *found;
        const ParseTrouble& t = found.error().trouble;
        Problem problem = reader_.source().problem(reader_.inside(*text.at, t.at, t.length), t.code, t.message,
                                                   t.expected);
        problem.nearest = found.error().nearest;
        reader_.add(std::move(problem));
        return std::nullopt;
    }

    std::optional<int> ask_at(const ReadingRecord& r) {
        if (const auto* of = r.keys.find("of"))
            reader_.error(of->key_spot, "key-elsewhere", "\"of\" names the link of a rise time; this is a voltage",
                          "no \"of\"");
        std::optional<BenchState> state = BenchState{};
        if (r.when && r.when->at) state = looked(names_.state(r.when->text), *r.when);
        if (!r.at) return std::nullopt;
        const auto question = looked(ask_volts(questions_, names_, r.at->text, state.value_or(BenchState{})), *r.at);
        return state ? question : std::nullopt;
    }

    std::optional<int> ask_rise(const ReadingRecord& r) {
        if (const auto* when = r.keys.find("when"))
            reader_.error(when->key_spot, "key-elsewhere", "\"when\" says nothing of a time: the link runs",
                          "of = \"tank echo\"");
        const auto link = r.of ? looked(names_.link(r.of->text), *r.of) : std::nullopt;
        if (!r.at) return std::nullopt;
        if (!r.of) return looked(ask_rise_time(questions_, names_, r.at->text, {}), *r.at);
        const auto point = looked(names_.point(r.at->text), *r.at);
        return link && point ? std::optional(questions_.rise_time(*link, *point)) : std::nullopt;
    }

    void take_ohms(const ReadingRecord& r) {
        if (r.between.size() != 2) {
            reader_.error(r.keys.find("between")->value_spot, "two-points", "an ohmmeter has two leads",
                          "between = [\"U1.20\", \"ground\"]");
            return;
        }
        const auto a = looked(names_.point(r.between[0].text), r.between[0]),
                   b = looked(names_.point(r.between[1].text), r.between[1]);
        const bool same = a && b && *a == *b;
        if (same) reader_.error(r.between[1].at->spot, "same-point", "both leads are on one point", "two points");
        if (!r.reads) return;
        if (a && b && !same)
            add(r.place, answered(questions_.ohms(*a, *b), *r.reads));
        else
            check_answer({.means = Means::ohmmeter}, *r.reads);
    }

    void take_dips(const ReadingRecord& r) {
        const auto part = looked(names_.part(r.supply_of->text), *r.supply_of);
        if (part && r.dips) add(r.place, settled(questions_.ripple(*part), *r.dips));
    }

    std::optional<Reading> answered(std::optional<int> question, const Text& answer) {
        if (!question || !answer.at) return std::nullopt;
        return looked(parse_answer(questions_, *question, answer.text), answer);
    }
    static std::optional<Reading> settled(std::optional<int> question, bool yes) {
        if (!question) return std::nullopt;
        return Reading{.question = *question, .kind = yes ? Reading::Kind::yes : Reading::Kind::no};
    }

    void add(const Place& place, const std::optional<Reading>& reading) {
        if (reading)
            out_.push_back(
                {*reading, place, questions_.words(reading->question) + ": " + answer_words(questions_, *reading)});
    }

    Questions& questions_;
    ReadingNames names_;
    Reader& reader_;
    std::vector<GivenReading> out_;
};

void take_meter(const MeterRecord& meter, ReadingsFile& file) {
    if (!meter.volts && !meter.ohms && !meter.seconds) return;
    MeterErrors& errors = file.errors.emplace();
    const auto take = [](const std::optional<MeterErrorRecord>& said, double& share, double& floor) {
        if (!said) return;
        share = said->share.value_or(0);
        floor = said->floor.value_or(0);
    };
    take(meter.volts, errors.volts_share, errors.volts);
    take(meter.ohms, errors.ohms_share, errors.ohms);
    if (meter.seconds) errors.seconds_share = *meter.seconds;
}

void take_weights(const std::vector<Named<double>>& weights, Reader& reader, ReadingsFile& file) {
    std::vector<std::string> keys;
    for (const FaultKind kind : fault_kinds()) keys.emplace_back(to_key(kind));
    for (const Named<double>& w : weights)
        if (const auto kind = fault_kind(w.name))
            file.weights[*kind] = w.value;
        else
            reader.unknown_name({0, 0, w.place.line, w.place.column, w.place.width}, "unknown-fault",
                                "there is no kind of fault " + in_quotes(w.name), w.name, keys);
}

}  // namespace

ReadingsRead read_readings(std::string_view bytes, const std::string& file, Questions& questions) {
    const ParsedText parsed = parse_toml(bytes, file);
    Reader reader(parsed);
    const ReadingsRecord record = read(readings_shape(), parsed.root, reader);
    ReadingsRead out;
    ReadingsFile taken{.pairs = record.options.pairs};
    take_meter(record.meter, taken);
    take_weights(record.weights, reader, taken);
    if (record.readings.size() + record.seen.size() > most_readings) {
        reader.error(record.keys.find(record.readings.empty() ? "seen" : "readings")->key_spot, "too-many-entries",
                     "more readings than can be weighed at once", fmt::format("at most {}", most_readings));
    } else {
        ReadingsTaking taking(questions, reader);
        for (const ReadingRecord& r : record.readings) taking.take(r);
        for (const SeenRecord& s : record.seen) taking.take(s);
        taken.readings = taking.in_order();
    }
    out.problems = reader.take();
    put_in_order(out.problems, file);
    if (!has_error(out.problems)) out.file = std::move(taken);
    return out;
}

ReadingsRead read_reading_lines(const std::vector<std::string>& lines, const std::string& source_name,
                                Questions& questions) {
    std::string all;
    std::vector<std::size_t> begins;
    for (const std::string& line : lines) {
        begins.push_back(all.size());
        all += line;
        std::replace(all.begin() + static_cast<std::ptrdiff_t>(begins.back()), all.end(), '\n', ' ');
        all += '\n';
    }
    const Source source(source_name, all);
    const ReadingNames names(questions);
    ReadingsRead out{.file = ReadingsFile{}};
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const Spot spot = source.spot(begins[k], begins[k] + lines[k].size());
        const std::string_view line = source.at(spot);
        if (const auto reading = read_line(questions, names, line)) {
            out.file->readings.push_back(
                {*reading, source.place(spot),
                 questions.words(reading->question) + ": " + answer_words(questions, *reading)});
        } else {
            const ParseTrouble& t = reading.error().trouble;
            Problem problem = source.problem(source.spot(begins[k] + t.at, begins[k] + t.at + t.length), t.code,
                                             t.message, t.expected);
            problem.nearest = reading.error().nearest;
            out.problems.push_back(std::move(problem));
        }
    }
    if (has_error(out.problems)) out.file.reset();
    return out;
}

}  // namespace voltsill
