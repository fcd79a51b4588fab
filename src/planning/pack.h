#pragma once
/// Which candidate each crossing takes and how many packages that needs, solved exactly.
///
///     minimise   sum_c,k score(c,k) x(c,k) + sum_g cost(g) n(g)
///     subject to sum_k x(c,k) = 1                      every crossing is served
///                sum x(using g) <= channels(g) n(g)    channels come in packages
///                sum n(of type t) <= stock(t)          what is in the drawer
///     x binary, n whole
///
/// A group g is what may share a package: same type, same rails, same direction, same enable.
/// Solved by branch and cut with CBC (EPL-2.0, well kept, in Debian).
#include <optional>
#include <string>
#include <vector>

namespace voltsill {

struct PackGroup {
    std::string type;
    int channels = 1;
    double cost = 0;
};
struct PackOption {
    double score = 0;
    int group = -1;                   ///< -1: uses no shared package
    std::vector<std::string> uses;    ///< stocked discrete parts, one entry each
};
struct PackLimit {
    std::string type;                 ///< a group's type, or a discrete part in `uses`
    int count = 0;
};

/// Option index per crossing; nullopt when the stock cannot serve all.
std::optional<std::vector<int>> pack(const std::vector<std::vector<PackOption>>& crossings,
                                     const std::vector<PackGroup>& groups, const std::vector<PackLimit>& limits);

}  // namespace voltsill
