#include "teaching/questions.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "teaching/question_maker.h"

namespace voltsill {
namespace {

struct FamilyRow {
    QuestionFamily family;
    Drawn (*draw)(QuestionMaker&, Random&);
};
const FamilyRow family_rows[] = {
    {{"noise-margin", "Noise margin"}, draw_noise_margin},
    {{"divider-pair", "Divider from a series"}, draw_divider_pair},
    {{"divider-level", "Highest voltage of a divider"}, draw_divider_level},
    {{"pull-up-window", "Window of a pull-up"}, draw_pull_up},
    {{"channel-pin", "Which pin carries the channel"}, draw_channel_pin},
    {{"expected-reading", "Expected reading"}, draw_reading},
    {{"part-letters", "Which letters work"}, draw_letters},
    {{"rail-off", "One rail off"}, draw_rail_off},
};

}  // namespace

const std::vector<QuestionFamily>& question_families() {
    static const std::vector<QuestionFamily> families = [] {
        std::vector<QuestionFamily> out;
        for (const FamilyRow& row : family_rows) out.push_back(row.family);
        return out;
    }();
    return families;
}

QuestionSet make_questions(const Bench& bench, const Wiring& wiring, int learners, std::uint64_t seed) {
    QuestionSet set{.seed = seed};
    QuestionMaker maker(bench, wiring);
    for (int n = 0; n <= std::clamp(learners, 1, most_learners); ++n) {
        LearnerQuestions out{.learner = n};
        std::uint64_t stream = mixed(seed ^ mixed(static_cast<std::uint64_t>(n)));
        for (const FamilyRow& row : family_rows) {
            Random random(stream = mixed(stream));
            Drawn drawn = row.draw(maker, random);
            if (drawn) {
                drawn->family = row.family.id;
                drawn->title = row.family.title;
                out.questions.push_back(std::move(*drawn));
            } else if (std::ranges::find(set.missing, row.family.id, &MissingFamily::family) == set.missing.end()) {
                set.missing.push_back({row.family.id, row.family.title, std::move(drawn.error())});
            }
        }
        if (n == 0)
            set.self_test = std::move(out.questions);
        else
            set.learners.push_back(std::move(out));
    }
    return set;
}

namespace {

std::string question_cell(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + "\"";
}

std::string question_row(std::vector<std::string> cells) {
    for (std::string& cell : cells) cell = question_cell(cell);
    return fmt::format("{}\r\n", fmt::join(cells, ","));
}

}  // namespace

std::string questions_csv(const QuestionSet& set, bool key) {
    std::vector<std::string> head{"learner", "number", "family", "link", "given", "question",
                                  "A",       "B",      "C",      "D",    "unit"};
    if (key) head.insert(head.end(), {"answer", "tolerance", "distance", "worked", "sources"});
    std::string out = question_row(head);
    for (const LearnerQuestions& learner : set.learners)
        for (std::size_t k = 0; k < learner.questions.size(); ++k) {
            const TestQuestion& q = learner.questions[k];
            std::vector<std::string> row{std::to_string(learner.learner), std::to_string(k + 1), q.family, q.link,
                                         fmt::format("{}", fmt::join(q.given, " ")), q.text};
            for (std::size_t o = 0; o < 4; ++o) row.push_back(o < q.options.size() ? q.options[o].text : "");
            row.push_back(q.numeric ? q.numeric->unit : "");
            if (key) {
                const double size = q.numeric ? q.numeric->unit_size : 1;
                row.push_back(q.numeric ? answer_words(*q.numeric) : right_letter(q));
                row.push_back(q.numeric ? fmt::format("{:.3g}", q.numeric->tolerance / size) : "");
                row.push_back(fmt::format("{:.4g}", q.distance / size));
                row.push_back(q.arithmetic);
                row.push_back(fmt::format("{}", fmt::join(q.sources, "; ")));
            }
            out += question_row(row);
        }
    return out;
}

}  // namespace voltsill
