#pragma once
/// Text full of what users might type: markup, control characters, broken UTF-8, wide letters.
#include <rapidcheck.h>

#include <string>
#include <vector>

namespace voltsill {

inline rc::Gen<std::string> random_text() {
    const auto piece = rc::gen::element<std::string>(
        "a", "echo", " ", " ", "D4", "4.7 kΩ", "<b>", "&", "\"", "'", "`", "``", "|", "*", "_", "\\", "#",
        "1.", "- ", "[x](y)", "</pre>", "\x1b[2J", "\r", "\n", "\t", "\x07", "\u009B", "\u202E", "水",
        "e\u0301", "Ω", "\xFF", "\xC3", "]]>", "<!--", "averylongwordthatmustbebroken");
    return rc::gen::map(rc::gen::container<std::vector<std::string>>(piece),
                        [](const std::vector<std::string>& all) {
                            std::string out;
                            for (const std::string& p : all) out += p;
                            return out;
                        });
}

}  // namespace voltsill
