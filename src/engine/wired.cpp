/// A plan written back: the bench file with its [wiring], comments and order kept.
#include "bench/rewrite.h"
#include "engine/engine.h"
#include "records/tree.h"

namespace voltsill {
namespace {

std::string toml_list(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& w : words) text += (text.empty() ? "" : ", ") + toml_text(w);
    return "[" + text + "]";
}

std::vector<std::string> includes_of(std::string_view bytes, const std::string& file) {
    const ParsedText parsed = parse_toml(bytes, file);
    std::vector<std::string> out;
    const Entry* entry = parsed.root.find("include");
    if (entry && entry->value.is(ValueKind::string)) out.push_back(entry->value.text);
    if (entry && entry->value.is(ValueKind::array))
        for (const Value& item : entry->value.items) out.push_back(item.text);
    return out;
}

}  // namespace

Rewritten wired_bench(std::string_view bytes, const std::string& file, const Wiring& wiring,
                      const Relocate& relocate) {
    Rewritten text = set_wiring({bytes, file}, given_wiring(wiring));
    for (const WiredPart& part : wiring.parts)
        if (text && !part.added && !part.pulls_removed.empty())
            text =
                set_value({*text, file}, {"parts", part.name, "pulls_removed"}, toml_list(part.pulls_removed));
    if (std::vector<std::string> paths = includes_of(bytes, file); text && relocate && !paths.empty()) {
        for (std::string& path : paths) path = relocate(path);
        text = set_value({*text, file}, {"include"}, toml_list(paths));
    }
    return text;
}

}  // namespace voltsill
