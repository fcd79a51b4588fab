#pragma once
/// How a build is marked, as data: what counts, and how much.
///
///     mark = sum over criteria of points * (share of its items that are right)
///
/// Weights after common practice (no source): the instructor changes them in a file, and everything is
/// marked again.
#include <string>
#include <vector>

namespace voltsill {

struct Criterion {
    std::string id;     ///< "supplies", "levels", "function", "neatness" ...
    std::string words;  ///< as the learner reads it
    double points = 0;
};

struct Rubric {
    std::string title;
    std::vector<Criterion> criteria;
    double total() const {
        double sum = 0;
        for (const Criterion& c : criteria) sum += c.points;
        return sum;
    }
};

}  // namespace voltsill
