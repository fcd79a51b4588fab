// How columns share a page: laws, whatever their words.
#include "printing/pieces.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numeric>

namespace voltsill::printing {
namespace {

double sum(const std::vector<double>& all) { return std::accumulate(all.begin(), all.end(), 0.0); }

RC_GTEST_PROP(SharedOut, FillsTheRoomAndNoMore, ()) {
    const int n = *rc::gen::inRange(1, 9);
    std::vector<double> natural, least;
    for (int k = 0; k < n; ++k) {
        natural.push_back(*rc::gen::inRange(1, 900));
        least.push_back(std::min<double>(natural.back(), *rc::gen::inRange(1, 300)));
    }
    const double room = *rc::gen::inRange(50, 800);
    const auto widths = shared_out(natural, least, room);
    RC_ASSERT(sum(widths) <= std::max(room, 0.0) + 1e-6);
    for (std::size_t c = 0; c < widths.size(); ++c) RC_ASSERT(widths[c] <= natural[c] + 1e-9);
    if (sum(natural) <= room)
        RC_ASSERT(widths == natural);
    else
        RC_ASSERT(sum(widths) >= room - 1e-3);
    if (sum(least) <= room)
        for (std::size_t c = 0; c < widths.size(); ++c) RC_ASSERT(widths[c] >= least[c] - 1e-6);
    // Who wants more gets no less.
    if (sum(least) > room)
        for (std::size_t a = 0; a < widths.size(); ++a)
            for (std::size_t b = 0; b < widths.size(); ++b)
                if (least[a] >= least[b]) RC_ASSERT(widths[a] >= widths[b] - 1e-6);
}

}  // namespace
}  // namespace voltsill::printing
