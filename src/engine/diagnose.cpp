#include "engine/diagnose.h"

#include <fmt/format.h>

#include <algorithm>
#include <mutex>

#include "engine/reading.h"
#include "engine/sheets.h"

namespace voltsill {

struct DiagnoseMemory {
    /// A bench ready for readings. Everything here points into itself, so it never moves.
    struct Prepared {
        Bench bench;
        PlacedWiring build;
        std::unique_ptr<Dictionary> dictionary;
        long long pairs_left_out = 0;
        std::function<bool(int, int)> telling;  ///< of the call at work: a state nobody asked of before is solved late
    };

    /// One bench in memory; whoever works with it holds `use`.
    struct Slot {
        std::mutex use;
        std::string build_key, faults_key;
        std::shared_ptr<DictionaryMemory> solved = dictionary_memory();
        std::unique_ptr<Prepared> prepared;
    };

    explicit DiagnoseMemory(int most_slots) : most(std::max(1, most_slots)) {}

    std::shared_ptr<Slot> slot(const std::string& key) {
        const std::lock_guard held(guard);
        auto found = std::ranges::find(slots, key, &std::pair<std::string, std::shared_ptr<Slot>>::first);
        if (found == slots.end()) {
            if (static_cast<int>(slots.size()) == most) slots.pop_back();
            slots.insert(slots.begin(), {key, std::make_shared<Slot>()});
        } else {
            std::rotate(slots.begin(), found, found + 1);
        }
        return slots.front().second;
    }

    const int most;
    std::mutex guard;
    std::vector<std::pair<std::string, std::shared_ptr<Slot>>> slots;  ///< the latest first
};

namespace {

using Prepared = DiagnoseMemory::Prepared;
using Slot = DiagnoseMemory::Slot;

/// Pairs of the heaviest faults that are thought of: as many as take seconds on a bench of the demo's size.
constexpr int most_pairs = 20'000;

/// A fault that could harm and is at least so likely is worth the test of parts.
constexpr double share_to_test_parts = 0.2;

/// While one lives, the dictionary tells how far it is.
struct Telling {
    Telling(Prepared& p, std::function<bool(int, int)> tell) : prepared(p) { prepared.telling = std::move(tell); }
    ~Telling() { prepared.telling = nullptr; }
    Telling(const Telling&) = delete;
    Telling& operator=(const Telling&) = delete;
    Prepared& prepared;
};

std::string key_of(std::string_view content, const PlaceOptions& place) {
    std::string key(content);
    for (const std::string& board : place.boards) key += '\n' + board;
    return version_of(key + fmt::format("\n{} {}", place.seed, place.effort), 64);
}

std::string key_of(const ReadingsFile& file) {
    std::string key = file.pairs ? "pairs" : "singles";
    for (const auto& [kind, weight] : file.weights) key += fmt::format(" {}={}", to_key(kind), weight);
    return key;
}

/// One call on its way.
class Diagnosing {
  public:
    Diagnosing(const DiagnoseOptions& options, const Progress& progress) : options_(options), progress_(progress) {}

    /// False: refused or cancelled.
    bool read_bench(std::string_view bytes, const std::string& file, const Includer& include) {
        content_ = bytes;
        file_ = file;
        const Includer noting = [&](const std::string& path) {
            auto more = include ? include(path) : std::nullopt;
            if (more) content_ += *more;
            return more;
        };
        BenchReading reading = read_for_job(bytes, file, noting);
        out.problems = std::move(reading.problems);
        if (!reading.bench) return false;
        out.version = version_of(content_);
        out.planned = !reading.bench->wiring;
        out.misused = unknown_boards(*reading.bench, options_.place.boards);
        bench_ = std::move(reading.bench);
        return out.misused.empty();
    }

    bool lay_out(Slot& slot);
    bool predict_faults(Slot& slot);
    bool read_readings(std::string_view bytes, const std::string& file, Questions& questions);
    void answer(Slot& slot);
    /// A dictionary that was stopped half-way is not kept.
    bool is_cut_short(Slot& slot);
    bool tell(int done, int all) {
        return go_on(0.4 + 0.5 * (all > 0 ? double(done) / all : 0), "predicting readings of faults");
    }
    std::string build_key() const { return key_of(content_, options_.place); }

    DiagnoseResult out;

  private:
    bool go_on(double share, const std::string& what) {
        out.cancelled |= progress_ && !progress_(share, what);
        return !out.cancelled;
    }
    void fill_askable(const Dictionary& dictionary);

    const DiagnoseOptions& options_;
    const Progress& progress_;
    std::string content_, file_;
    std::optional<Bench> bench_;
};

/// Plans and places; the judge is not asked, so a bench that could harm is laid out as well.
bool Diagnosing::lay_out(Slot& slot) {
    if (slot.prepared && slot.build_key == build_key()) return true;
    slot.prepared.reset();
    slot.faults_key.clear();
    if (!go_on(0.0, "planning")) return false;
    auto fresh = std::make_unique<Prepared>();
    fresh->bench = std::move(*bench_);
    Wiring wiring =
        out.planned ? plan(fresh->bench).wiring : wired_as_written(fresh->bench, content_, file_, out.problems);
    if (has_error(out.problems) || !go_on(0.1, "placing")) return false;
    fresh->build = place(fresh->bench, wiring, options_.place, [&](double done, double all) {
        return go_on(0.1 + 0.3 * (all > 0 ? done / all : 0), "placing");
    });
    if (!fresh->build.trouble.empty()) fresh->build.wiring = std::move(wiring);
    if (out.cancelled) return false;
    slot.prepared = std::move(fresh);
    slot.build_key = build_key();
    return true;
}

bool Diagnosing::predict_faults(Slot& slot) {
    const std::string key = key_of(out.given);
    if (slot.faults_key == key) return true;
    Prepared& p = *slot.prepared;
    slot.faults_key.clear();
    p.dictionary.reset();
    DictionaryOptions how{.threads = options_.threads, .memory = slot.solved};
    how.progress = [&p](int done, int all) { return !p.telling || p.telling(done, all); };
    p.dictionary = std::make_unique<Dictionary>(
        p.bench, p.build, faults_of(p.bench, p.build, {.weights = out.given.weights}), std::move(how));
    if (is_cut_short(slot)) return false;
    if (out.given.pairs && !go_on(0.9, "pairs of faults")) return false;
    p.pairs_left_out = out.given.pairs ? p.dictionary->add_pairs(most_pairs) : 0;
    slot.faults_key = key;
    return true;
}

bool Diagnosing::is_cut_short(Slot& slot) {
    out.cancelled |= slot.prepared->dictionary->cancelled();
    if (!out.cancelled) return false;
    slot.prepared->dictionary.reset();
    slot.faults_key.clear();
    return true;
}

/// The file's readings, then the lines.
bool Diagnosing::read_readings(std::string_view bytes, const std::string& file, Questions& questions) {
    out.reading_problems.clear();
    ReadingsRead in_file = voltsill::read_readings(bytes, file, questions);
    ReadingsRead in_lines = read_reading_lines(options_.lines, "--reading", questions);
    for (ReadingsRead* read : {&in_file, &in_lines})
        out.reading_problems.insert(out.reading_problems.end(), read->problems.begin(), read->problems.end());
    if (!in_file.file || !in_lines.file) return false;
    out.given = std::move(*in_file.file);
    out.given.pairs |= options_.pairs;
    for (GivenReading& reading : in_lines.file->readings) out.given.readings.push_back(std::move(reading));
    return true;
}

void Diagnosing::fill_askable(const Dictionary& dictionary) {
    const Questions& questions = dictionary.questions();
    const PlacedWiring& build = questions.build();
    for (const FaultKind kind : fault_kinds()) {
        const auto given = out.given.weights.find(kind);
        out.askable.kinds.push_back(
            {.kind = kind,
             .weight = given == out.given.weights.end() ? usual_weight(kind) : given->second,
             .faults = static_cast<int>(std::ranges::count(dictionary.faults(), kind, &Fault::kind))});
    }
    for (const ProbePoint& p : questions.points())
        (p.is_post() ? out.askable.posts : out.askable.points).push_back({p.label, p.place});
    for (const LaidWire& wire : build.placement.wires) out.askable.wires.push_back(wire.number);
    for (const Rail& rail : questions.bench().rails) out.askable.rails.push_back(rail.name);
    for (const Link& link : questions.bench().links) out.askable.links.push_back(link.name);
    for (const WiredPart& part : build.wiring.parts) {
        out.askable.parts.push_back(part.name);
        for (const Pin& pin : part.type->pins)
            if (!part.added && can_be_told(pin)) out.askable.drivers.push_back(part.name + "." + pin.name);
    }
}

void Diagnosing::answer(Slot& slot) {
    Prepared& p = *slot.prepared;
    Dictionary& dictionary = *p.dictionary;
    std::vector<Reading> readings;
    for (const GivenReading& g : out.given.readings) readings.push_back(g.reading);
    DiagnosisOptions how = options_.how;
    if (out.given.errors) how.errors = *out.given.errors;
    out.diagnosis = voltsill::diagnose(dictionary, readings, how);
    out.bench = p.bench;
    out.not_placed = p.build.trouble;
    out.faults = static_cast<int>(dictionary.faults().size());
    out.pairs = static_cast<long long>(dictionary.hypotheses().size()) - out.faults - 1;
    out.pairs_left_out = p.pairs_left_out;
    fill_askable(dictionary);
    out.readings_file = readings_text(out.given, dictionary.questions());
    for (const Suspect& suspect : out.diagnosis.suspects)
        out.members.push_back(members_of(dictionary, out.diagnosis, suspect));
    if (!out.members.empty() && out.diagnosis.suspects.front().may_harm &&
        out.diagnosis.suspects.front().share >= share_to_test_parts && out.members.front().front().faults.size() == 1)
        out.damage = damage_of(p.bench, p.build, out.members.front().front().faults.front());
    for (const NextReading& next : out.diagnosis.next) {
        const Question& q = dictionary.questions().all()[next.question];
        out.asked.push_back({line_form(dictionary.questions(), next.question), answers_of(q), q.means});
    }
}

}  // namespace

std::shared_ptr<DiagnoseMemory> diagnose_memory(int most) { return std::make_shared<DiagnoseMemory>(most); }

bool DiagnoseResult::accepted() const { return bench.has_value() && !has_error(reading_problems); }

DiagnoseResult diagnose(std::string_view bytes, const std::string& file, const Includer& include,
                        std::string_view readings, const std::string& readings_file, const DiagnoseOptions& options,
                        const Progress& progress) {
    Diagnosing d(options, progress);
    if (!d.read_bench(bytes, file, include)) return std::move(d.out);
    const auto slot = options.memory ? options.memory->slot(d.build_key()) : std::make_shared<Slot>();
    const std::lock_guard held(slot->use);
    if (!d.lay_out(*slot)) return std::move(d.out);
    // Mistakes show before the work is done; then the readings count in the dictionary's own numbers.
    const std::vector<Fault> known = faults_of(slot->prepared->bench, slot->prepared->build);
    Questions first(slot->prepared->bench, slot->prepared->build);
    first.know(known);
    if (!d.read_readings(readings, readings_file, first)) {
        d.out.bench = slot->prepared->bench;
        return std::move(d.out);
    }
    const Telling telling(*slot->prepared, [&d](int done, int all) { return d.tell(done, all); });
    if (!d.predict_faults(*slot)) return std::move(d.out);
    slot->prepared->dictionary->questions().know(known);  // those that `[weights]` leaves out can be seen too
    d.read_readings(readings, readings_file, slot->prepared->dictionary->questions());
    d.answer(*slot);
    if (d.is_cut_short(*slot)) return DiagnoseResult{.problems = std::move(d.out.problems), .cancelled = true};
    return std::move(d.out);
}

doc::Document report_of(const DiagnoseResult& result, int hint) {
    const DiagnosisFacts facts{.title = result.bench ? result.bench->title : "",
                               .version = result.version,
                               .not_placed = result.not_placed,
                               .faults = result.faults,
                               .pairs = result.pairs,
                               .pairs_left_out = result.pairs_left_out,
                               .given = result.given.readings,
                               .members = result.members,
                               .damage = result.damage};
    return hint > 0 ? hint_report(result.diagnosis, facts, hint) : diagnosis_report(result.diagnosis, facts);
}

int exit_code(const DiagnoseResult& result) {
    if (!result.accepted()) return 3;
    const Diagnosis& d = result.diagnosis;
    if (result.given.readings.empty()) return 0;
    const bool known = !d.suspects.empty() && d.suspects.front().share >= d.something_else;
    return known && is_as_planned(d.suspects.front()) ? 0 : 1;
}

}  // namespace voltsill
