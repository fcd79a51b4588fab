#include "records/likely.h"

#include <cmath>

#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

bool within(double v, const Likely& bounds) {
    if (v == 0.0) return bounds.zero;
    return (v > 0.0 || bounds.negative) && std::abs(v) >= bounds.least && std::abs(v) <= bounds.most;
}

/// The text with another prefix, or with a sign or percent less or more, that makes it likely; "" if none does.
std::string meant(std::string_view text, Dimension dimension, const Likely& bounds) {
    const auto fits = [&](const std::string& changed) {
        const auto span = parse_span(dimension, changed);
        return span && within(span->lo, bounds) && within(span->hi, bounds);
    };
    for (size_t k = 0; k < text.size(); ++k) {
        if (text[k] != 'm' && text[k] != 'M') continue;
        std::string changed(text);
        changed[k] = text[k] == 'm' ? 'M' : 'm';
        if (fits(changed)) return changed;
        changed.erase(k, 1);
        if (fits(changed)) return changed;
    }
    if (std::string changed(text); changed.starts_with('-') && fits(changed.substr(1))) return changed.substr(1);
    if (const std::string percent = std::string(text) + " %"; dimension == Dimension::ratio && fits(percent))
        return percent;
    return {};
}

}  // namespace

void doubt(const Value& value, Dimension dimension, double lo, double hi, const Likely& bounds, Reader& reader) {
    if (within(lo, bounds) && within(hi, bounds)) return;
    const auto size = [&](double v) {
        return dimension == Dimension::ratio ? print_percent(v) : print_number(dimension, v);
    };
    const bool below = lo < 0.0 && !bounds.negative;
    Problem problem = reader.source().problem(
        value.spot, below ? "below-zero" : "unlikely",
        in_quotes(value.text) + (below ? " lies below zero, which is hardly meant" : " is hardly meant"));
    problem.severity = Severity::warning;
    problem.expected =
        (bounds.least > 0.0 ? "between " + size(bounds.least) + " and " : "at most ") + size(bounds.most);
    problem.nearest = meant(value.text, dimension, bounds);
    if (value.text.find('M') != std::string::npos && !problem.nearest.empty())
        problem.message += ": M is mega, m is milli";
    reader.add(std::move(problem));
}

}  // namespace voltsill
