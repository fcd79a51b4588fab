#include "drawing/qr_code.h"

#include <qrencode.h>

#include <memory>
#include <utility>

namespace voltsill::drawing {

Path qr_code(std::string_view text, Point corner, double side) {
    Path path;
    path.fill = Tone::ink;
    path.stroke = no_stroke;
    if (text.empty()) return path;
    const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
        QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<const unsigned char*>(text.data()),
                          0, QR_ECLEVEL_M),
        &QRcode_free);
    if (!code) return path;
    const double module = side / (code->width + 2 * quiet_zone);
    const auto add = [&](int row, int from, int to) {
        const double x0 = corner.x + (from + quiet_zone) * module, x1 = corner.x + (to + quiet_zone) * module,
                     y0 = corner.y + (row + quiet_zone) * module;
        using enum Step::Kind;
        path.steps.push_back({move, {x0, y0}, {}, {}});
        for (const Point p : {Point{x1, y0}, Point{x1, y0 + module}, Point{x0, y0 + module}})
            path.steps.push_back({line, p, {}, {}});
        path.steps.push_back({close, {x0, y0}, {}, {}});
    };
    for (int row = 0; row < code->width; ++row)
        for (int column = 0, from = -1; column <= code->width; ++column) {
            const bool dark = column < code->width && (code->data[row * code->width + column] & 1);
            if (dark && from < 0) from = column;
            if (!dark && from >= 0) add(row, std::exchange(from, -1), column);
        }
    return path;
}

}  // namespace voltsill::drawing
