#include "parts/mistakes.h"

#include <algorithm>

namespace voltsill {

void Mistakes::add(Problem problem) {
    // A trait or a function is put together for every part that uses it; its mistake is told once.
    const bool told = std::ranges::any_of(problems_, [&](const Problem& p) {
        return p.place == problem.place && p.code == problem.code && p.message == problem.message;
    });
    if (told) return;
    if (problems_.size() >= Reader::most_problems) {
        ++left_out_;
        return;
    }
    problem.excerpt = excerpt(problem.place);
    if (problem.other.line > 0) problem.other_excerpt = excerpt(problem.other);
    problems_.push_back(std::move(problem));
}

void Mistakes::error(const Place& place, std::string code, std::string message, std::string expected) {
    add({Severity::error, std::move(code), place, std::move(message), std::move(expected)});
}

void Mistakes::warning(const Place& place, std::string code, std::string message, std::string expected) {
    add({Severity::warning, std::move(code), place, std::move(message), std::move(expected)});
}

void Mistakes::unknown_name(const Place& place, std::string code, std::string message, std::string_view name,
                            const std::vector<std::string>& choices, std::string expected) {
    add({Severity::error, std::move(code), place, std::move(message), std::move(expected),
         nearest_name(name, choices)});
}

void Mistakes::conflict(const Place& place, const Place& other, std::string code, std::string message) {
    Problem problem{Severity::error, std::move(code), place, std::move(message)};
    problem.other = other;
    add(std::move(problem));
}

Problems Mistakes::take() {
    if (left_out_ > 0) {
        Problem more{.code = "too-many-problems",
                     .message = std::to_string(left_out_) + " more problems are not shown"};
        more.place.file = problems_.front().place.file;
        problems_.push_back(std::move(more));
    }
    left_out_ = 0;
    return std::exchange(problems_, {});
}

std::string Mistakes::excerpt(const Place& place) const {
    for (const Source* source : sources_)
        if (source->file() == place.file) return source->excerpt(place.line);
    return {};
}

Place place_of(const Place& record, const FieldPlaces& keys, std::string_view key) {
    const FieldPlaces::One* one = keys.find(key);
    if (!one) return record;
    return {record.file, one->value_spot.line, one->value_spot.column, one->value_spot.width};
}

}  // namespace voltsill
