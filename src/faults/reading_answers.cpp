/// Answers as people write them, and back into words.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "faults/reading_lines.h"
#include "quantity/parse.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

struct AnswerWord {
    std::string_view text;
    Reading::Kind kind;
};
constexpr std::array<AnswerWord, 4> meter_answers{
    {{"drifts", Reading::Kind::drifts},
     {"floats", Reading::Kind::drifts},
     {"open", Reading::Kind::open},
     {"over range", Reading::Kind::open}}};
constexpr std::array<AnswerWord, 8> plan_answers{{{"as planned", Reading::Kind::yes},
                                                  {"not as planned", Reading::Kind::no},
                                                  {"yes", Reading::Kind::yes},
                                                  {"no", Reading::Kind::no},
                                                  {"right", Reading::Kind::yes},
                                                  {"wrong", Reading::Kind::no},
                                                  {"true", Reading::Kind::yes},
                                                  {"false", Reading::Kind::no}}};

bool has_number(const Question& q) {
    return q.means == Means::voltmeter || q.means == Means::ohmmeter ||
           (q.means == Means::scope && q.sight == ScopeSight::rise_time);
}

Dimension answer_dimension(const Question& q) {
    if (q.means == Means::voltmeter) return Dimension::voltage;
    return q.means == Means::ohmmeter ? Dimension::resistance : Dimension::time;
}

/// A meter drifts on volts and is past its range on ohms.
bool answer_fits(const Question& q, Reading::Kind kind) {
    return kind == Reading::Kind::drifts ? q.means == Means::voltmeter : q.means == Means::ohmmeter;
}

Looked<Reading> number_answer(const Question& q, std::string_view text) {
    for (const AnswerWord& word : meter_answers)
        if (word.text == text && answer_fits(q, word.kind)) return Reading{.kind = word.kind};
    const Dimension dimension = answer_dimension(q);
    auto span = parse_span(dimension, text);
    if (!span && span.error().code == "unit-missing")
        span = parse_span(dimension, fmt::format("{} {}", text, info(dimension).symbol));
    if (span)
        return Reading{.value = span->nominal,
                       .error = std::max(span->hi - span->nominal, span->nominal - span->lo)};
    std::vector<std::string> words;
    for (const AnswerWord& word : meter_answers)
        if (answer_fits(q, word.kind)) words.emplace_back(word.text);
    ReadingTrouble trouble{span.error(), nearest_name(text, words)};
    trouble.trouble.expected = answers_of(q);
    trouble.trouble.at = std::min(trouble.trouble.at, text.size());
    trouble.trouble.length = std::min(trouble.trouble.length, text.size() - trouble.trouble.at);
    return std::unexpected(std::move(trouble));
}

/// "in 19t", of a look at several things "wire 30 in 19t": what a fault of the list would show.
Looked<Reading> look_answer(const Questions& questions, int question, const Question& q, std::string_view text) {
    std::vector<std::string> words;
    const auto& sights = questions.sights();
    for (std::size_t s = 0; s < sights.size(); ++s) {
        if (!questions.sees(q, sights[s].wire, sights[s].part)) continue;
        words.push_back(questions.sight_words(q, static_cast<int>(s)));
        if (words.back() == text)
            return Reading{.question = question, .kind = Reading::Kind::no, .sight = static_cast<int>(s)};
    }
    for (const AnswerWord& word : plan_answers) words.emplace_back(word.text);
    return no_reading("unknown-answer", in_quotes(text) + " is nothing this look is known to show", answers_of(q), 0,
                      text.size(), nearest_name(text, words));
}

}  // namespace

std::string answers_of(const Question& q) {
    if (q.means == Means::eye)
        return fmt::format("\"as planned\", \"not as planned\", or what is seen, such as \"{}in 19t\" or \"{}missing\"",
                           q.around ? "wire 30 " : "", q.around ? "wire 30 " : "");
    if (!has_number(q)) return "\"yes\" or \"no\"";
    const DimensionInfo& d = info(answer_dimension(q));
    const char* or_word = q.means == Means::voltmeter  ? ", or \"drifts\""
                          : q.means == Means::ohmmeter ? ", or \"open\""
                                                       : "";
    return fmt::format("{} such as \"{}\"{}", d.noun, d.example, or_word);
}

Looked<Reading> parse_number(const Question& like, std::string_view given) {
    const std::string_view text = without_blanks(given);
    auto reading = number_answer(like, text);
    return reading ? reading : Looked<Reading>(std::unexpected(shifted(reading.error(), offset_in(given, text))));
}

std::expected<Reading, ReadingTrouble> parse_answer(const Questions& questions, int question,
                                                    std::string_view given) {
    const Question& q = questions.all()[question];
    const std::string_view text = without_blanks(given);
    const std::size_t shift = offset_in(given, text);
    if (has_number(q)) {
        auto reading = parse_number(q, given);
        if (reading) reading->question = question;
        return reading;
    }
    for (const AnswerWord& word : plan_answers)
        if (word.text == text) return Reading{.question = question, .kind = word.kind};
    if (q.means == Means::eye) {
        auto seen = look_answer(questions, question, q, text);
        return seen ? seen : Looked<Reading>(std::unexpected(shifted(seen.error(), shift)));
    }
    std::vector<std::string> words;
    for (const AnswerWord& word : plan_answers) words.emplace_back(word.text);
    return no_reading("unknown-answer", in_quotes(text) + " answers nothing here", answers_of(q), shift,
                      text.size(), nearest_name(text, words));
}

std::string answer_words(const Questions& questions, const Reading& reading) {
    const Question& q = questions.all()[reading.question];
    switch (reading.kind) {
        case Reading::Kind::drifts:
            return "drifts";
        case Reading::Kind::open:
            return "open";
        case Reading::Kind::yes:
            return q.means == Means::eye ? "as planned" : "yes";
        case Reading::Kind::no:
            if (reading.sight >= 0) return questions.sight_words(q, reading.sight);
            return q.means == Means::eye ? "not as planned" : "no";
        case Reading::Kind::value:
            break;
    }
    const Dimension d = answer_dimension(q);
    const std::string value = print_number_exact(d, reading.value);
    return reading.error > 0 ? fmt::format("{} ± {}", value, print_number_exact(d, reading.error)) : value;
}

}  // namespace voltsill
