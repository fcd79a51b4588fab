#pragma once
/// QR codes: ISO/IEC 18004:2015, by libqrencode, as one path of squares.
#include <string_view>

#include "drawing/drawing.h"

namespace voltsill::drawing {

/// Modules of empty rim that a reader needs (ISO/IEC 18004:2015, 6.3.8).
inline constexpr int quiet_zone = 4;

/// The code of UTF-8 text with its rim, in a square of `side` units, error correction level M. Text that
/// no code holds (over 2331 bytes) or that is empty gives a path without steps.
Path qr_code(std::string_view text, Point corner, double side);

}  // namespace voltsill::drawing
