#include "server/ask.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace voltsill::server {

std::expected<Ask, Answer> Ask::read(const std::string& body) {
    Ask ask;
    bool too_deep = false;
    const auto look = [&](int depth, Json::parse_event_t, Json&) {
        too_deep = too_deep || depth > deepest_body;
        return !too_deep;
    };
    ask.root_ = Json::parse(body, look, false);
    if (too_deep) return std::unexpected(refusal(400, "malformed", "the body is nested too deep"));
    if (!ask.root_.is_object())
        return std::unexpected(
            refusal(400, "malformed", "the body is no JSON object", "{\"file\": ..., \"text\": ...}"));
    return ask;
}

void Ask::expect(const char* name, std::string what) {
    problems_.push_back({.code = "wrong-member",
                         .message = fmt::format("\"{}\" is missing or of another kind", name),
                         .expected = std::move(what)});
}

const Json* Ask::member(const char* name) const {
    const auto at = root_.find(name);
    return at == root_.end() || at->is_null() ? nullptr : &*at;
}

std::string Ask::text(const char* name, std::optional<std::string> otherwise) {
    const Json* found = member(name);
    if (!found && otherwise) return *otherwise;
    if (found && found->is_string()) return found->get<std::string>();
    expect(name, "text");
    return {};
}

std::optional<std::string> Ask::text_or_null(const char* name) {
    if (!member(name)) return std::nullopt;
    return text(name);
}

std::string Ask::one_of(const char* name, const std::vector<std::string>& words, const std::string& otherwise) {
    const std::string word = text(name, otherwise);
    if (std::ranges::find(words, word) == words.end()) expect(name, fmt::format("one of {}", fmt::join(words, ", ")));
    return word;
}

long long Ask::whole(const char* name, long long lowest, long long highest, long long otherwise) {
    const Json* found = member(name);
    if (!found) return otherwise;
    if (found->is_number_integer() && (!found->is_number_unsigned() || found->get<unsigned long long>() >> 63 == 0)) {
        const auto value = found->get<long long>();
        if (value >= lowest && value <= highest) return value;
    }
    expect(name, fmt::format("a whole number from {} to {}", lowest, highest));
    return otherwise;
}

long long Ask::stated_whole(const char* name, long long lowest, long long highest) {
    if (!member(name)) expect(name, fmt::format("a whole number from {} to {}", lowest, highest));
    return whole(name, lowest, highest, lowest);
}

std::optional<double> Ask::positive_or_null(const char* name) {
    const Json* found = member(name);
    if (!found) return std::nullopt;
    if (found->is_number() && std::isfinite(found->get<double>()) && found->get<double>() > 0)
        return found->get<double>();
    expect(name, "a number above 0, or null");
    return std::nullopt;
}

bool Ask::truth(const char* name) {
    const Json* found = member(name);
    if (found && !found->is_boolean()) expect(name, "true or false");
    return found && found->is_boolean() && found->get<bool>();
}

bool Ask::stated_truth(const char* name) {
    if (!member(name)) expect(name, "true or false");
    return truth(name);
}

std::vector<std::string> Ask::texts(const char* name) {
    const Json* found = member(name);
    std::vector<std::string> out;
    if (!found) return out;
    const bool fits =
        found->is_array() && std::ranges::all_of(*found, [](const Json& item) { return item.is_string(); });
    if (fits)
        for (const Json& item : *found) out.push_back(item.get<std::string>());
    else
        expect(name, "a list of texts");
    return out;
}

std::optional<Answer> Ask::objection() const {
    if (problems_.empty()) return std::nullopt;
    return refusal(400, problems_);
}

}  // namespace voltsill::server
