#include "records/reader.h"

#include <utility>

namespace voltsill {

void Reader::add(Problem problem) {
    if (problems_.size() < most_problems)
        problems_.push_back(std::move(problem));
    else
        ++left_out_;
}

void Reader::error(const Spot& spot, std::string code, std::string message, std::string expected) {
    add(source_.problem(spot, std::move(code), std::move(message), std::move(expected)));
}

void Reader::warning(const Spot& spot, std::string code, std::string message, std::string expected) {
    Problem problem = source_.problem(spot, std::move(code), std::move(message), std::move(expected));
    problem.severity = Severity::warning;
    add(std::move(problem));
}

void Reader::unknown_name(const Spot& spot, std::string code, std::string message, std::string_view name,
                          const std::vector<std::string>& choices, std::string expected) {
    constexpr std::size_t shown = 16;
    Problem problem = source_.problem(spot, std::move(code), std::move(message), std::move(expected));
    problem.nearest = nearest_name(name, choices);
    if (problem.expected.empty() && choices.size() <= shown)
        for (const std::string& choice : choices)
            problem.expected += (problem.expected.empty() ? "one of " : ", ") + choice;
    add(std::move(problem));
}

void Reader::conflict(const Spot& spot, const Spot& other, std::string code, std::string message,
                      std::string expected) {
    Problem problem = source_.problem(spot, std::move(code), std::move(message), std::move(expected));
    problem.other = place(other);
    problem.other_excerpt = source_.excerpt(other.line);
    add(std::move(problem));
}

void Reader::wrong_type(const Value& value, std::string_view expected) {
    error(value.spot, "wrong-type",
          "this is " + std::string(to_words(value.kind)) + ", which cannot stand here",
          std::string(expected));
}

Spot Reader::inside(const Value& string, std::size_t at, std::size_t length) const {
    const std::size_t begin = source_offset(source_, string, at);
    return source_.spot(begin, source_offset(source_, string, at + length));
}

void Reader::trouble(const Value& string, const ParseTrouble& trouble, std::size_t from) {
    error(inside(string, from + trouble.at, trouble.length), trouble.code, trouble.message, trouble.expected);
}

Problems Reader::take() {
    if (left_out_ > 0) {
        Problem more;
        more.code = "too-many-problems";
        more.place.file = source_.file();
        more.message = std::to_string(left_out_) + " more problems are not shown";
        problems_.push_back(std::move(more));
    }
    left_out_ = 0;
    return std::exchange(problems_, {});
}

}  // namespace voltsill
