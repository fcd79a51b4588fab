#pragma once
/// Channels through the body of a package: lines from input to output, with the box of their logic
/// (IEC 60617-12) and the link that runs on them.
#include "drawing/net_signs.h"

namespace voltsill::drawing {

/// Where a pin meets the body: its number in the package, its index in the type (-1: no connection).
struct PinSpot {
    int number = 0, pin = -1;
    Point at;
    bool left = false;
};
/// Width inside the body that pin names keep for themselves, each side.
inline constexpr double name_zone = 36;

/// Adds a group for every channel; gives the sentences that belong under the drawing. A single row
/// has no room across its body: its channels are sentences only.
std::vector<std::string> add_channels(Drawing& out, const Bench& bench, const Wiring& wiring,
                                      const WiredPart& part, const std::vector<PinSpot>& spots, bool two_rows);

/// Words in lines no wider than `width`, broken at blanks.
std::vector<std::string> broken(std::string_view text, double width, double size);

}  // namespace voltsill::drawing
