#include "documents/document.h"

namespace voltsill::doc {

Run strong(std::string text) { return {std::move(text), Face::strong}; }
Run code(std::string text) { return {std::move(text), Face::code}; }

Run verdict(Verdict verdict) {
    Run run{std::string(), Face::verdict};
    run.verdict = verdict;
    return run;
}

Run tick(std::string what) { return {std::move(what), Face::tick}; }

Run leading_to(std::string text, std::string anchor) {
    Run run{std::move(text)};
    run.target = std::move(anchor);
    return run;
}

Block heading(int level, Text text, std::string anchor) {
    return Heading{level, std::move(text), std::move(anchor)};
}
Block paragraph(Text text) { return Paragraph{std::move(text)}; }
Block arithmetic(std::string text) { return Arithmetic{std::move(text)}; }

std::string plain_text(const Run& run) {
    if (run.face == Face::tick) return "☐";
    if (run.face != Face::verdict) return run.text;
    return std::string(to_sign(run.verdict)) + " " +
           (run.text.empty() ? std::string(to_word(run.verdict)) : run.text);
}

std::string words_for(const drawing::Drawing& drawing) {
    if (drawing.title.empty() || drawing.description.empty()) return drawing.title + drawing.description;
    return drawing.title + ". " + drawing.description;
}

std::string plain_text(const Text& text) {
    std::string out;
    for (const Run& run : text) out += plain_text(run);
    return out;
}

}  // namespace voltsill::doc
