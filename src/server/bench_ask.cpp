#include "server/bench_ask.h"

namespace voltsill::server {

Answer answer_for_bench(Call& call, const std::function<Made(BenchAsk&)>& make) {
    const std::string key = call.request.head.path + " " + content_version(call.request.body);
    if (auto body = call.site.cache.find(key)) return {.body = std::move(*body)};
    auto members = Ask::read(call.request.body);
    if (!members) return std::move(members.error());
    BenchAsk ask{.members = std::move(*members)};
    ask.file = ask.members.text("file", "bench.toml");
    ask.text = ask.members.text("text");
    ask.include = call.site.folder.include_beside(ask.file, ask.included);
    if (auto objection = ask.members.objection()) return std::move(*objection);
    Made made = make(ask);
    if (auto objection = ask.members.objection()) return std::move(*objection);
    if (auto* answer = std::get_if<Answer>(&made)) return std::move(*answer);
    std::string& body = std::get<std::string>(made);
    if (!ask.included) call.site.cache.keep(key, body);
    return {.body = std::move(body)};
}

}  // namespace voltsill::server
