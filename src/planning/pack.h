#pragma once
/// Which candidate each crossing takes and how many packages that needs, solved exactly.
///
///     minimise   sum_c,k score(c,k) x(c,k) + sum_g cost(g) n(g) + sum_s,j cost(s) y(s,j)
///     subject to sum_k x(c,k) = 1                      every crossing is served
///                sum x(using g) <= channels(g) n(g)    channels come in packages
///                sum n(of type t) <= stock(t)          what is in the drawer
///                x(c,k of kind j) <= y(s,j)       for c in s: links that belong together
///     x binary, n whole, y binary
///
/// Crossings with the same options and sets are one class with whole x(class,k) up to its size: two
/// hundred alike lines are then as easy as two, where binary ones would be tried in every order.
///
/// A group g is what may share a package: same type, same rails, same direction. A set s holds
/// crossings that one would build alike, such as both lines of a bus: every kind of circuit used
/// among them costs.
/// Solved by branch and cut with CBC (EPL-2.0, well kept, in Debian).
#include <optional>
#include <string>
#include <vector>

namespace voltsill {

struct PackGroup {
    std::string type;
    int channels = 1;
    double cost = 0;
    std::vector<std::string> uses;  ///< stocked discrete parts that every package brings along
};
struct PackOption {
    double score = 0;
    int group = -1;                 ///< -1: uses no shared package
    std::vector<std::string> uses;  ///< stocked discrete parts, one entry each
    std::string kind;               ///< of circuit, for sets of like links
    bool operator==(const PackOption&) const = default;
};
struct PackSet {
    std::vector<int> crossings;
    double cost = 0;  ///< of every kind used
};
struct PackLimit {
    std::string type;  ///< a group's type, or a discrete part in `uses`
    int count = 0;
};

/// Option index per crossing; nullopt when the stock cannot serve all.
std::optional<std::vector<int>> pack(const std::vector<std::vector<PackOption>>& crossings,
                                     const std::vector<PackGroup>& groups,
                                     const std::vector<PackLimit>& limits,
                                     const std::vector<PackSet>& sets = {});

}  // namespace voltsill
