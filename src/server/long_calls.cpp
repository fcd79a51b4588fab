#include "server/long_calls.h"

#include <fmt/format.h>

#include <chrono>

#include "engine/diagnose.h"
#include "engine/pictures.h"
#include "printing/sheet_pdf.h"
#include "server/bench_ask.h"

namespace voltsill::server {
namespace {

/// Progress as events, ten a second at most; false as soon as nobody reads.
class Teller {
  public:
    explicit Teller(EventStream& stream) : stream_(stream) {}
    bool operator()(double share, const std::string& what) {
        const auto now = EventStream::Clock::now();
        if (now - last_ >= std::chrono::milliseconds(100)) {
            last_ = now;
            stream_.send("progress", Json{{"share", share}, {"what", what}}.dump());
        }
        return !stream_.left();
    }
    void result(const std::string& json) { stream_.send("result", on_one_line(json)); }
    void end() {
        stream_.send("end", "{}");
        stream_.end();
    }

  private:
    EventStream& stream_;
    EventStream::Clock::time_point last_{};
};

std::vector<std::string> audiences() {
    std::vector<std::string> out;
    for (const auto& [word, audience] : audience_words) out.emplace_back(word);
    return out;
}

Audience audience_of(Ask& members) {
    const std::string word = members.one_of("for", audiences(), "build");
    for (const auto& [known, audience] : audience_words)
        if (word == known) return audience;
    return Audience::build;
}

/// Sheets are made for all who have the answers, for learners with their questions, or for all others: what the
/// answers say takes as long as the rest. Those about faults are made apart.
Audience made_for(Audience audience) {
    if (is_about_faults(audience)) return audience;
    return has_answers(audience) ? Audience::all : has_questions(audience) ? Audience::learner : Audience::build;
}

/// Which of the sheets are shown is for the one who asks.
SheetsOptions sheets_options(Ask& members, Audience audience, int threads) {
    SheetsOptions options{.audience = made_for(audience), .threads = threads};
    options.seats = static_cast<int>(members.whole("seats", 1, most_seats, 1));
    options.place.boards = members.texts("boards");
    options.place.seed = static_cast<std::uint64_t>(members.whole("seed", 0, 1LL << 53, 1));
    return options;
}

/// Readings to propose.
constexpr int most_next = 50;

/// All that the sheets depend on, as one word.
std::string key_of(const BenchAsk& ask, const SheetsOptions& options) {
    std::string all = fmt::format("{} {} {} {} {}", options.seats, options.place.seed, options.slips,
                                  static_cast<int>(options.audience), ask.file.size());
    for (const std::string& board : options.place.boards) all += fmt::format(" {}:{}", board.size(), board);
    return content_version(all + ask.file + ask.text);
}

using SheetsMade = std::shared_ptr<const SheetsResult>;
SheetsMade sheets_for_call(Call& call, BenchAsk& ask, const SheetsOptions& options, const Progress& progress) {
    const std::string key = key_of(ask, options);
    if (auto known = call.site.sheets.find(key)) return known;
    auto made = std::make_shared<const SheetsResult>(make_sheets(ask.text, ask.file, ask.include, options, progress));
    if (!made->cancelled && !ask.included) call.site.sheets.keep(key, made);
    return made;
}

bool usable(const SheetsResult& result) { return result.bench && result.misused.empty() && !result.cancelled; }

/// The same with the documents of these readers alone.
SheetsResult shown_to(Audience audience, const SheetsResult& all) {
    SheetsResult out = all;
    if (usable(all)) out.documents = sheets_for(audience, *all.bench, all.sheets, all.changes);
    return out;
}

Answer pdf_answer(const SheetsResult& result, const NamedDocument& sheet, const std::string& paper) {
    printing::Pdf pdf = printing::sheet_pdf(result, sheet, paper);
    if (pdf.bytes.empty()) return refusal(422, "no-page", pdf.trouble);
    return {.type = "application/pdf", .body = std::move(pdf.bytes)};
}

}  // namespace

Answer trace_links(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        TraceOptions options{.links = ask.members.texts("links"), .threads = call.site.threads};
        options.all = options.links.empty();
        options.rate = ask.members.positive_or_null("rate");
        options.seed = static_cast<std::uint64_t>(ask.members.whole("seed", 0, 1LL << 53, 1));
        const int samples = static_cast<int>(ask.members.whole("samples", 0, most_samples, 0));
        if (samples > 0) options.samples = samples;
        if (auto objection = ask.members.objection()) return std::move(*objection);

        const auto stream = call.open_stream();
        Teller tell(*stream);
        const auto step = [&](const TraceResult& result, int count, bool last) {
            tell.result(trace_step_to_json(result, count, last));
            return !stream->left();
        };
        trace_in_steps(ask.text, ask.file, ask.include, options, step, std::ref(tell));
        tell.end();
        return Answer{};
    });
}

Answer build_boards(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        SheetsOptions options = sheets_options(ask.members, Audience::build, call.site.threads);
        const bool slips = ask.members.truth("slips");
        if (auto objection = ask.members.objection()) return std::move(*objection);

        const auto stream = call.open_stream();
        Teller tell(*stream);
        options.slips = true;
        const bool whole_known = slips && call.site.sheets.find(key_of(ask, options));
        for (const bool with_slips : {false, true}) {
            if (with_slips ? !slips : whole_known) continue;
            options.slips = with_slips;
            const SheetsMade made = sheets_for_call(call, ask, options, std::ref(tell));
            if (made->cancelled) break;
            tell.result(build_to_json(*made));
            if (!usable(*made)) break;
        }
        tell.end();
        return Answer{};
    });
}

Answer diagnose_build(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        const std::string readings = ask.members.text("readings", "");
        DiagnoseOptions options{.lines = ask.members.texts("lines"), .memory = call.site.diagnosed};
        options.how.next = static_cast<int>(ask.members.whole("next", 1, most_next, options.how.next));
        options.pairs = ask.members.truth("pairs");
        options.place.boards = ask.members.texts("boards");
        options.place.seed = static_cast<std::uint64_t>(ask.members.whole("seed", 0, 1LL << 53, 1));
        options.threads = call.site.threads;
        if (auto objection = ask.members.objection()) return std::move(*objection);

        const auto stream = call.open_stream();
        Teller tell(*stream);
        const DiagnoseResult made =
            diagnose(ask.text, ask.file, ask.include, readings, "readings.toml", options, std::ref(tell));
        if (!made.cancelled) tell.result(to_json(made));
        tell.end();
        return Answer{};
    });
}

Answer sheet_pages(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        const Audience audience = audience_of(ask.members);
        const SheetsOptions options = sheets_options(ask.members, audience, call.site.threads);
        if (auto objection = ask.members.objection()) return std::move(*objection);
        const auto stream = call.open_stream();
        Teller tell(*stream);
        const SheetsMade made = sheets_for_call(call, ask, options, std::ref(tell));
        if (!made->cancelled) tell.result(pages_to_json(shown_to(audience, *made)));
        tell.end();
        return Answer{};
    });
}

Answer sheet_pdf(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        const Audience audience = audience_of(ask.members);
        const SheetsOptions options = sheets_options(ask.members, audience, call.site.threads);
        const std::string wanted = ask.members.text("sheet", "build");
        const std::string paper = ask.members.one_of("paper", {"a4", "letter"}, "a4");
        if (auto objection = ask.members.objection()) return std::move(*objection);
        const SheetsMade made = sheets_for_call(call, ask, options,
                                                [&](double, const std::string&) { return !call.caller.left(); });
        if (made->cancelled) return refusal(503, "left", "nobody waits any more");
        if (!usable(*made)) return refusal(422, all_problems(*made));
        std::string names;
        for (const NamedDocument& sheet : sheets_for(audience, *made->bench, made->sheets, made->changes)) {
            if (sheet.name == wanted) return pdf_answer(*made, sheet, paper);
            names += (names.empty() ? "" : ", ") + sheet.name;
        }
        return refusal(422, "unknown-sheet", fmt::format("there is no sheet \"{}\" for these readers", wanted), names);
    });
}

}  // namespace voltsill::server
