#include "server/page_calls.h"

#include <map>

#include "bench/board.h"
#include "drawing/svg.h"
#include "engine/json_pieces.h"
#include "parts/embedded.h"
#include "planning/circuit_kind.h"
#include "server/assets.h"
#include "server/class_calls.h"

namespace voltsill::server {
namespace {

std::string filled(std::string_view text, std::string_view blank, std::string_view word) {
    std::string out(text);
    for (std::size_t at = out.find(blank); at != std::string::npos; at = out.find(blank, at + word.size()))
        out.replace(at, blank.size(), word);
    return out;
}

const Asset* find_asset(std::string_view path) {
    for (const Asset& asset : voltsill_assets())
        if (asset.path == path) return &asset;
    return nullptr;
}

/// The same bytes for everybody: whoever reads slowly holds none of their own.
std::shared_ptr<const std::string> shared_bytes(const Asset& asset) {
    static const auto all = [] {
        std::map<std::string_view, std::shared_ptr<const std::string>> out;
        for (const Asset& each : voltsill_assets())
            out.emplace(each.path, std::make_shared<const std::string>(each.bytes));
        return out;
    }();
    return all.at(asset.path);
}

Answer page_named(std::string_view name, const std::string& token) {
    const std::string nonce = random_words(16);
    Answer answer{.type = "text/html; charset=utf-8"};
    answer.body = filled(filled(find_asset(name)->bytes, "__VOLTSILL_TOKEN__", token), "__VOLTSILL_NONCE__", nonce);
    answer.nonce = nonce;
    return answer;
}

Json examples_json() {
    return json_list(embedded_examples(), [](const EmbeddedFile& file) {
        const BenchReading reading = read_bench(file.text, file.name);
        return Json{{"name", file.name},
                    {"title", reading.bench ? reading.bench->title : ""},
                    {"about", reading.bench ? reading.bench->about : ""}};
    });
}

}  // namespace

Answer page(Call& call) {
    return page_named("index.html", call.who.in_class ? call.who.token : call.site.guard.token);
}
Answer class_page(Call&) { return page_named("class.html", {}); }
Answer instructor_page(Call&) { return page_named("instructor.html", {}); }

Answer asset(Call& call) {
    const std::string path = call.request.head.path.substr(1);
    if (path == "assets/drawing.css") return {.type = "text/css; charset=utf-8", .body = drawing::style_sheet()};
    const Asset* found = find_asset(path);
    if (!found) return refusal(404, "no-such-file", "there is no such part of the page");
    return {.type = std::string(found->type), .kept = found->hashed, .shared = shared_bytes(*found)};
}

Answer about(Call& call) {
    static const Json examples = examples_json();
    const Site& site = call.site;
    const Json circuits = json_list(all_circuits(), [](const CircuitKind& kind) {
        return Json{{"name", kind.name}, {"title", kind.title}};
    });
    const Json boards = json_list(built_in_boards(), [](const auto& board) { return Json(board->name); });
    return {.body = written({{"format", "voltsill-about-1"},
                             {"version", site.version},
                             {"folder", site.folder.path()},
                             {"open", name_or_null(site.open_file)},
                             {"paper", "a4"},
                             {"circuits", circuits},
                             {"examples", examples},
                             {"boards", boards}})};
}

}  // namespace voltsill::server
