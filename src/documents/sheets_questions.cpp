/// Questions on paper: a page or two for each learner, and the key with worked arithmetic and sources.
#include <fmt/format.h>

#include <algorithm>

#include "documents/sheets_teaching.h"

namespace voltsill {
namespace {

/// So that options stay with their question: two pages hold one of every family.
constexpr std::size_t questions_on_a_page = 4;

doc::Steps option_boxes(const TestQuestion& q) {
    doc::Steps boxes{.numbered = false};
    for (const QuestionOption& option : q.options)
        boxes.items.push_back({{doc::strong(option.letter), "  " + option.text}, {}});
    return boxes;
}

void answer_of_choice(const TestQuestion& q, Blocks& blocks) {
    doc::Table table{.columns = {{"", doc::Align::center, false}, {"option"}, {"what the judge says"}}};
    for (const QuestionOption& option : q.options)
        table.rows.push_back({{option.right ? doc::strong("right") : doc::Run("-")},
                              {doc::strong(option.letter), "  " + option.text},
                              {option.why}});
    blocks.push_back(std::move(table));
}

void answer_of_number(const TestQuestion& q, Blocks& blocks) {
    const NumericAnswer& answer = *q.numeric;
    blocks.push_back(
        doc::paragraph({doc::strong(answer_words(answer)),
                        fmt::format(", right within {:.3g} {}.", answer.tolerance / answer.unit_size, answer.unit)}));
    doc::BulletList wrong;
    for (const WrongPath& w : answer.wrong)
        wrong.items.push_back(
            {fmt::format("{:.{}f} {}: {}", w.value / answer.unit_size, answer.decimals, answer.unit, w.how)});
    if (wrong.items.empty()) return;
    blocks.push_back(doc::paragraph({"What wrong ways give:"}));
    blocks.push_back(std::move(wrong));
}

}  // namespace

Blocks question_blocks(const TestQuestion& q, std::size_t number, bool key) {
    Blocks out{doc::heading(3, {fmt::format("{}. {}", number, q.title)})};
    std::string given;
    for (const std::string& sentence : q.given) given += (given.empty() ? "" : " ") + sentence;
    out.push_back(doc::paragraph({given}));
    out.push_back(doc::paragraph({doc::strong(q.text)}));
    if (!key) {
        if (q.numeric)
            out.push_back(doc::paragraph({fmt::format("Answer: ........................ {}", q.numeric->unit)}));
        else
            out.push_back(option_boxes(q));
        return out;
    }
    if (q.numeric)
        answer_of_number(q, out);
    else
        answer_of_choice(q, out);
    if (!q.arithmetic.empty()) out.push_back(doc::arithmetic(q.arithmetic));
    std::string sources;
    for (const std::string& source : q.sources) sources += (sources.empty() ? "Sources: " : "; ") + source;
    if (!sources.empty()) out.push_back(doc::paragraph({sources + "."}));
    return out;
}

doc::Document question_sheet(const Bench& bench, const Sheets& sheets, bool key) {
    doc::Document out{(key ? "Key to the questions: " : "Questions: ") + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"Version ", doc::code(sheets.version), fmt::format(", seed {}.", sheets.questions.seed),
         key ? " Every answer was computed from this bench by judging it with the values of the question."
             : " Each learner has other values. Worst case counts: rails at the end of their tolerance that hurts."}));
    for (const LearnerQuestions& learner : sheets.questions.learners) {
        if (learner.learner > 1) out.blocks.push_back(doc::PageBreak{});
        out.blocks.push_back(doc::heading(2, {fmt::format("Learner {}", learner.learner)}));
        if (!key)
            out.blocks.push_back(doc::paragraph({"Name: ..............................   Date: ................"}));
        if (learner.questions.empty()) out.blocks.push_back(doc::paragraph({"This bench offers no question."}));
        for (std::size_t k = 0; k < learner.questions.size(); ++k) {
            if (!key && k == questions_on_a_page) out.blocks.push_back(doc::PageBreak{});
            append(out.blocks, question_blocks(learner.questions[k], k + 1, key));
        }
    }
    if (!key || sheets.questions.missing.empty()) return out;
    out.blocks.push_back(doc::heading(2, {"Not asked"}));
    doc::BulletList missing;
    for (const MissingFamily& m : sheets.questions.missing)
        missing.items.push_back({doc::strong(m.title), ": " + m.why + "."});
    out.blocks.push_back(std::move(missing));
    return out;
}

}  // namespace voltsill
