#include "engine/pictures.h"

#include <algorithm>

#include "documents/charts.h"
#include "documents/html.h"
#include "documents/report_pieces.h"
#include "drawing/circuit_link.h"
#include "drawing/package_plan.h"
#include "drawing/rail_map.h"
#include "drawing/svg.h"
#include "drawing/tie_point_plan.h"
#include "engine/json_pieces.h"
#include "engine/reading.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// A wiring and what was judged of it, beside the ends joined directly.
struct Shown {
    Wiring wiring;
    Judgement judgement, before;
};

/// Elements of one page need names of their own; boards and pictures may stand on the same.
class Numbered {
  public:
    explicit Numbered(int first) : next_(first) {}
    std::string svg(const drawing::Drawing& drawing) {
        return drawing.items.empty() ? std::string() : drawing::svg_element(drawing, next_++);
    }

  private:
    int next_;
};
constexpr int first_picture = 1000, first_board = 1;

std::optional<Shown> wire_and_judge(const Bench& bench, bool planned, std::string_view bytes, const std::string& file,
                                    Problems& problems) {
    if (planned) {
        Plan made = plan(bench);
        return Shown{std::move(made.wiring), std::move(made.judgement), std::move(made.before)};
    }
    Shown out{.wiring = wired_as_written(bench, bytes, file, problems)};
    if (has_error(problems)) return std::nullopt;
    out.judgement = judge(bench, out.wiring);
    out.before = judge(bench, wire_directly(bench));
    return out;
}

std::string levels(const Bench& bench, const Wiring* wiring, const Judgement& judgement, const std::string& link,
                   const std::string& title, Numbered& numbered) {
    const auto judged = std::ranges::find(judgement.links, link, &LinkJudgement::link);
    if (judged == judgement.links.end()) return {};
    doc::LevelChart chart{title, chart_rows(bench, wiring, *judged, {})};
    return chart.rows.empty() ? std::string() : numbered.svg(doc::level_chart_drawing(chart));
}

LinkPictures pictures_of(const Bench& bench, const Shown& shown, const std::string& link, Numbered& numbered) {
    return {.link = link,
            .before = levels(bench, nullptr, shown.before, link, link + ", joined directly", numbered),
            .after = levels(bench, &shown.wiring, shown.judgement, link, link + ", as wired", numbered),
            .circuit = numbered.svg(drawing::link_circuit(bench, shown.wiring, link))};
}

std::vector<PackagePicture> packages_of(const Bench& bench, const Wiring& wiring, Numbered& numbered) {
    std::vector<PackagePicture> out;
    for (size_t p = 0; p < wiring.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        if (!part.package || !drawing::two_rows(*part.package)) continue;
        out.push_back({part.name, part_words(part),
                       numbered.svg(drawing::package_plan(bench, wiring, static_cast<int>(p)))});
    }
    return out;
}

Json packages_json(const std::vector<PackagePicture>& packages) {
    return json_list(packages, [](const PackagePicture& p) {
        return Json{{"part", p.part}, {"words", p.words}, {"svg", p.svg}};
    });
}

}  // namespace

PicturesResult draw_bench(std::string_view bytes, const std::string& file, const Includer& include,
                          const std::vector<std::string>& links) {
    BenchReading reading = read_for_job(bytes, file, include);
    PicturesResult out{.problems = std::move(reading.problems)};
    if (!reading.bench) return out;
    const Bench& bench = *reading.bench;
    out.planned = !bench.wiring;
    const auto shown = wire_and_judge(bench, out.planned, bytes, file, out.problems);
    if (!shown) return out;
    Numbered numbered(first_picture);
    out.rail_map = numbered.svg(drawing::rail_map(bench, &shown->wiring, &shown->judgement));
    for (const Link& link : bench.links)
        if (links.empty() || std::ranges::find(links, link.name) != links.end())
            out.links.push_back(pictures_of(bench, *shown, link.name, numbered));
    out.packages = packages_of(bench, shown->wiring, numbered);
    out.bench = std::move(reading.bench);
    return out;
}

std::string to_json(const PicturesResult& result) {
    Json out = document_head("voltsill-drawings-1", result.bench.has_value(), result.problems);
    if (!result.bench) return written(out);
    out["wiring_from"] = result.planned ? "plan" : "given";
    out["rail_map"] = result.rail_map;
    out["links"] = json_list(result.links, [](const LinkPictures& p) {
        return Json{{"link", p.link},
                    {"before", name_or_null(p.before)},
                    {"after", name_or_null(p.after)},
                    {"circuit", name_or_null(p.circuit)}};
    });
    out["packages"] = packages_json(result.packages);
    return written(out);
}

std::string build_to_json(const SheetsResult& result) {
    const bool accepted = result.bench && result.misused.empty();
    Json out = document_head("voltsill-build-1", accepted, accepted ? result.problems : all_problems(result));
    if (!accepted) return written(out);
    const Sheets& sheets = result.sheets;
    Numbered numbered(first_board);
    Json boards = Json::array();
    const int count = sheets.has_holes() ? static_cast<int>(sheets.placed.placement.boards.size()) : 0;
    for (int board = 0; board < count; ++board)
        boards.push_back(numbered.svg(
            drawing::tie_point_plan(*result.bench, sheets.wiring(), sheets.placed.placement, board)));
    out["sheets"] = sheets_json(result);
    out["boards"] = std::move(boards);
    out["key"] = name_or_null(
        count > 0 ? numbered.svg(drawing::tie_point_key(*result.bench, sheets.wiring(), sheets.placed.placement))
                  : "");
    out["packages"] = packages_json(packages_of(*result.bench, sheets.wiring(), numbered));
    return written(out);
}

std::string pages_to_json(const SheetsResult& result) {
    const bool accepted = result.bench && result.misused.empty() && result.since_problems.empty();
    Json out = document_head("voltsill-sheet-pages-1", accepted, all_problems(result));
    if (!accepted) return written(out);
    out["documents"] = json_list(result.documents, [](const NamedDocument& sheet) {
        return Json{{"name", sheet.name},
                    {"title", sheet.document.title},
                    {"html", doc::render_html(sheet.document)}};
    });
    out["script"] = result.script;
    return written(out);
}

}  // namespace voltsill
