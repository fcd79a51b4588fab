#include "server/bench_calls.h"

#include <fmt/format.h>

#include <algorithm>

#include "documents/html.h"
#include "documents/reports.h"
#include "engine/edit.h"
#include "engine/pictures.h"
#include "parts/pin_traits.h"
#include "parts/ranked.h"
#include "quantity/print.h"
#include "server/bench_ask.h"

namespace voltsill::server {

Answer check_bench(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) { return to_json(check(ask.text, ask.file, ask.include)); });
}

Answer plan_bench(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) { return to_json(make_plan(ask.text, ask.file, ask.include)); });
}

Answer read_bench_points(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) { return to_json(predict(ask.text, ask.file, ask.include)); });
}

Answer report(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) -> Made {
        const std::string of = ask.members.one_of("of", {"check", "plan"}, "check");
        Problems problems;
        std::string html;
        if (of == "check") {
            const CheckResult result = check(ask.text, ask.file, ask.include);
            problems = result.problems;
            if (result.bench) html = doc::render_html(check_report(*result.bench, result.judgement, &result.wiring));
        } else {
            const PlanResult result = make_plan(ask.text, ask.file, ask.include);
            problems = result.problems;
            if (result.bench) html = doc::render_html(plan_report(*result.bench, result.plan));
        }
        return written({{"format", "voltsill-report-1"},
                        {"accepted", !has_error(problems)},
                        {"problems", problems_json(problems)},
                        {"html", html.empty() ? Json(nullptr) : Json(html)}});
    });
}

Answer edit_text(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) -> Made {
        const Json* edits = ask.members.member("edits");
        if (!edits || !edits->is_array()) return refusal(400, "wrong-member", "\"edits\" is missing or no list");
        return to_json(edit_bench(ask.text, ask.file, ask.include, edits->dump()));
    });
}

Answer draw(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) {
        const std::vector<std::string> links = ask.members.texts("links");
        return to_json(draw_bench(ask.text, ask.file, ask.include, links));
    });
}

Answer search_parts(Call& call) {
    const auto at = call.request.head.query.find("search");
    const std::string words = at == call.request.head.query.end() ? "" : at->second;
    const auto volts_of = [](const PartType& type) {
        Json out = Json::array();
        for (const SupplyPort& supply : type.supplies)
            if (const Json volts = print(supply.range); !supply.provides && std::ranges::find(out, volts) == out.end())
                out.push_back(volts);
        return out;
    };
    const Json parts = json_list(ranked_types(Catalogue::built_in(), words), [&](const PartType* type) {
        return Json{{"name", type->name},
                    {"title", type->title},
                    {"what", type->note},
                    {"supplies", json_list(type->supplies, [](const auto& supply) { return Json(supply.name); })},
                    {"volts", volts_of(*type)},
                    {"packages", json_list(type->packages, [](const auto& package) { return Json(package.name); })}};
    });
    const Json traits = json_list(pin_traits(Catalogue::built_in(), words), [](const PinTrait& trait) {
        return Json{{"name", trait.name}, {"title", trait.part.title}};
    });
    return {.body = written({{"format", "voltsill-part-list-1"}, {"parts", parts}, {"traits", traits}})};
}

Answer show_part(Call& call) {
    return answer_for_bench(call, [](BenchAsk& ask) -> Made {
        const std::string name = ask.members.text("type");
        const BenchReading reading = read_bench(ask.text, ask.file, ask.include);
        const Catalogue& catalogue = reading.bench ? *reading.bench->catalogue : Catalogue::built_in();
        if (const PartType* type = catalogue.find(name)) return to_json(*type);
        return refusal(404, Problems{{.code = "unknown-type",
                                      .message = fmt::format("there is no part type \"{}\"", name),
                                      .nearest = nearest_name(name, catalogue.names())}});
    });
}

}  // namespace voltsill::server
