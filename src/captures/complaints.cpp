#include "captures/complaints.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "records/source.h"

namespace voltsill {
namespace {

constexpr std::size_t longest_excerpt = 4096, longest_width = 200;

int capped(std::uint64_t n) {
    return static_cast<int>(std::min<std::uint64_t>(n, std::numeric_limits<int>::max()));
}

}  // namespace

void Complaints::add(Severity severity, const std::string& code, std::uint64_t number, std::string_view line,
                     std::size_t at, std::size_t length, std::string message, std::string expected,
                     std::string nearest) {
    if (++counts_[code] > kept_of_a_code) return;
    Place place{file_, capped(number), 0, 1};
    std::string excerpt;
    if (number > 0) {
        const std::size_t begin = std::min(at, line.size());
        place.column = code_points(line.substr(0, std::min(begin, longest_excerpt))) + 1;
        place.width = std::max(1, code_points(line.substr(begin, std::min(length, longest_width))));
        if (line.size() <= longest_excerpt) excerpt = std::string(line);
    }
    problems_.push_back({.severity = severity,
                         .code = code,
                         .place = std::move(place),
                         .message = std::move(message),
                         .expected = std::move(expected),
                         .nearest = std::move(nearest),
                         .excerpt = std::move(excerpt)});
}

std::uint64_t Complaints::count(const std::string& code) const {
    const auto at = counts_.find(code);
    return at == counts_.end() ? 0 : at->second;
}

Problems Complaints::all() const {
    Problems out = problems_;
    for (const auto& [code, count] : counts_)
        if (count > kept_of_a_code) {
            Problem& more = out.emplace_back();
            more.severity = Severity::warning;
            more.code = code;
            more.place.file = file_;
            more.message = fmt::format("{} more like this one ({}) are not listed", count - kept_of_a_code, code);
        }
    return out;
}

}  // namespace voltsill
