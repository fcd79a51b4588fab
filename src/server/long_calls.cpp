#include "server/long_calls.h"

#include <fmt/format.h>

#include <chrono>

#include "documents/charts.h"
#include "documents/html.h"
#include "documents/reports.h"
#include "drawing/svg.h"
#include "engine/sheets.h"
#include "printing/pdf.h"
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

  private:
    EventStream& stream_;
    EventStream::Clock::time_point last_{};
};

std::vector<std::string> audiences() {
    std::vector<std::string> out;
    for (const auto& [word, audience] : audience_words) out.emplace_back(word);
    return out;
}

SheetsOptions sheets_options(Ask& members, int threads) {
    SheetsOptions options;
    const std::string word = members.one_of("for", audiences(), "build");
    for (const auto& [known, audience] : audience_words)
        if (word == known) options.audience = audience;
    options.seats = static_cast<int>(members.whole("seats", 1, most_seats, 1));
    options.place.boards = members.texts("boards");
    options.place.seed = static_cast<std::uint64_t>(members.whole("seed", 0, 1LL << 53, 1));
    options.threads = threads;
    return options;
}

Problems all_problems(const SheetsResult& result) {
    Problems all = result.problems;
    all.insert(all.end(), result.misused.begin(), result.misused.end());
    return all;
}

std::string pages_json(const SheetsResult& result) {
    const Problems problems = all_problems(result);
    const Json documents = json_list(result.documents, [](const NamedDocument& named) {
        return Json{{"name", named.name},
                    {"title", named.document.title},
                    {"html", doc::render_html(named.document)}};
    });
    return written({{"format", "voltsill-sheet-pages-1"},
                    {"accepted", !has_error(problems)},
                    {"problems", problems_json(problems)},
                    {"documents", documents},
                    {"script", result.script}});
}

std::string step_json(const TraceResult& result, int samples, bool last) {
    Json pictures = Json::object();
    int number = 0;
    for (const LinkTrace& trace : result.traces)
        if (!trace.points.empty())
            pictures[trace.link] = drawing::svg_element(doc::wave_chart_drawing(wave_chart(trace)), ++number);
    return fmt::format(R"({{"format":"voltsill-trace-step-1","trace":{},"svg":{},"samples":{},"final":{}}})",
                       on_one_line(to_json(result)), pictures.dump(-1, ' ', false, Json::error_handler_t::replace),
                       samples, last);
}

/// Numbers of samples after each of which there is a picture: none, then four times as many each time.
/// Sample k is the same in all of them, so that all the work together is a third more than the last.
std::vector<int> sample_steps(int samples) {
    std::vector<int> steps = {0};
    for (int n = 16; n < samples; n *= 4) steps.push_back(n);
    if (samples > 0) steps.push_back(samples);
    return steps;
}

}  // namespace

Answer trace_links(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        TraceOptions options;
        options.links = ask.members.texts("links");
        options.all = options.links.empty();
        options.rate = ask.members.positive_or_null("rate");
        options.seed = static_cast<std::uint64_t>(ask.members.whole("seed", 0, 1LL << 53, 1));
        options.threads = call.site.threads;
        const std::vector<int> steps = sample_steps(static_cast<int>(ask.members.whole("samples", 0, most_samples, 0)));
        if (auto objection = ask.members.objection()) return std::move(*objection);

        const auto stream = call.open_stream();
        Teller tell(*stream);
        for (const int samples : steps) {
            if (samples > 0) options.samples = samples;
            const double begin = samples > 0 ? static_cast<double>(samples) / 4 / steps.back() : 0;
            const TraceResult result =
                trace(ask.text, ask.file, ask.include, options, [&](double share, const std::string& what) {
                    const double whole = steps.back() > 0 ? static_cast<double>(samples) / steps.back() : 1;
                    return tell(begin + share * (whole - begin), what);
                });
            if (stream->left()) break;
            const bool refused = !result.bench || has_error(result.misused);
            stream->send("result", step_json(result, samples, refused || samples == steps.back()));
            if (refused) break;
        }
        stream->send("end", "{}");
        stream->end();
        return Answer{};
    });
}

Answer sheet_pages(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        const SheetsOptions options = sheets_options(ask.members, call.site.threads);
        if (auto objection = ask.members.objection()) return std::move(*objection);
        const auto stream = call.open_stream();
        const SheetsResult result = make_sheets(ask.text, ask.file, ask.include, options, Teller(*stream));
        if (!result.cancelled) stream->send("result", on_one_line(pages_json(result)));
        stream->send("end", "{}");
        stream->end();
        return Answer{};
    });
}

Answer sheet_pdf(Call& call) {
    return answer_for_bench(call, [&call](BenchAsk& ask) -> Made {
        const SheetsOptions options = sheets_options(ask.members, call.site.threads);
        const std::string sheet = ask.members.text("sheet", "build");
        const std::string paper = ask.members.one_of("paper", {"a4", "letter"}, "a4");
        if (auto objection = ask.members.objection()) return std::move(*objection);
        const SheetsResult result = make_sheets(ask.text, ask.file, ask.include, options,
                                                [&](double, const std::string&) { return !call.caller.left(); });
        if (const Problems problems = all_problems(result); has_error(problems)) return refusal(422, problems);
        std::string names;
        for (const NamedDocument& named : result.documents) {
            names += (names.empty() ? "" : ", ") + named.name;
            if (named.name != sheet) continue;
            printing::Pdf pdf = printing::render_pdf(
                named.document, {.paper = paper == "letter" ? printing::Paper::letter : printing::Paper::a4,
                                 .footer = result.bench->title + ", version " + result.sheets.version,
                                 .subject = named.document.title,
                                 .keywords = "extra-low voltage, solderless board"});
            if (pdf.bytes.empty()) return refusal(422, "no-page", pdf.trouble);
            return Answer{.type = "application/pdf", .body = std::move(pdf.bytes)};
        }
        return refusal(422, "unknown-sheet", fmt::format("there is no sheet \"{}\" for these readers", sheet), names);
    });
}

}  // namespace voltsill::server
