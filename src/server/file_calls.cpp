#include "server/file_calls.h"

#include <algorithm>

#include "drawing/text.h"
#include "engine/json_pieces.h"
#include "parts/embedded.h"
#include "records/tree.h"
#include "server/ask.h"

namespace voltsill::server {
namespace {

std::string queried(const Call& call, const char* name) {
    const auto at = call.request.head.query.find(name);
    return at == call.request.head.query.end() ? "" : at->second;
}

std::string title_of(const std::string& text) {
    const ParsedText parsed = parse_toml(text, "");
    const Entry* title = parsed.root.find("title");
    return title && title->value.is(ValueKind::string) ? title->value.text : "";
}

/// A text that JSON can carry as it is; else saving it again would change it unseen. What is no UTF-8 is
/// decoded as U+FFFD, which may also stand there by itself.
bool is_utf8(const std::string& text) {
    std::size_t written_out = 0;
    for (std::size_t at = 0; (at = text.find("\xef\xbf\xbd", at)) != std::string::npos; at += 3) ++written_out;
    return static_cast<std::size_t>(std::ranges::count(decode_utf8(text), U'\xfffd')) == written_out;
}

std::string file_json(const Json& path, const StoredFile& file) {
    return written({{"format", "voltsill-file-1"}, {"path", path}, {"text", file.text}, {"version", file.version}});
}

}  // namespace

Answer list_files(Call& call) {
    const BenchFolder& folder = call.site.folder;
    Json files = Json::array();
    for (const BenchFolder::Entry& entry : folder.list()) {
        if (call.caller.left()) break;
        const auto file = folder.read(entry.path);
        if (!file) continue;
        files.push_back({{"path", entry.path},
                         {"title", title_of(file->text)},
                         {"size", file->text.size()},
                         {"version", file->version}});
    }
    return {.body = written({{"format", "voltsill-files-1"}, {"files", std::move(files)}})};
}

Answer read_file(Call& call) {
    const std::string path = queried(call, "path");
    auto file = call.site.folder.read(path);
    if (!file) return std::move(file.error());
    if (!is_utf8(file->text)) return refusal(415, "not-text", "\"" + path + "\" is no text in UTF-8");
    return {.body = file_json(path, *file)};
}

Answer save_file(Call& call) {
    const std::string path = queried(call, "path");
    auto ask = Ask::read(call.request.body);
    if (!ask) return std::move(ask.error());
    const std::string text = ask->text("text");
    const auto base = ask->text_or_null("base");
    if (auto objection = ask->objection()) return std::move(*objection);
    auto saved = call.site.folder.save(path, text, base);
    if (saved)
        return {.body = written({{"format", "voltsill-saved-1"}, {"path", path}, {"version", *saved}})};
    NotSaved& not_saved = saved.error();
    if (not_saved.there) return {.status = not_saved.why.status, .body = file_json(path, *not_saved.there)};
    return std::move(not_saved.why);
}

Answer example(Call& call) {
    const std::string name = queried(call, "name");
    for (const EmbeddedFile& file : embedded_examples())
        if (file.name == name) return {.body = file_json(nullptr, {file.text, content_version(file.text)})};
    return refusal(404, "no-such-example", "there is no example \"" + name + "\"");
}

Answer watch_file(Call& call) {
    const std::string path = queried(call, "file");
    if (const auto file = call.site.folder.read(path); !file && file.error().status != 404) return file.error();
    call.site.watch.add(call.site.folder, path, call.open_stream());
    return {};
}

}  // namespace voltsill::server
