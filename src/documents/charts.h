#pragma once
/// The charts of a document as drawings, 360 units wide: their letters stay readable on a telephone.
#include <string_view>

#include "documents/document.h"

namespace voltsill::doc {

inline constexpr double chart_width = 360, chart_letters = 10;

drawing::Drawing level_chart_drawing(const LevelChart& chart);
/// What its signs mean: said once in a document, below its first level chart.
inline constexpr std::string_view level_chart_legend =
    "Box: from the lowest to the highest voltage, pale for low, dark for high voltages; tick: nominal. Hatched: "
    "may be read as low or high. Cross-hatched: beyond the absolute maximum. Dashed: supply of the point.";

/// `titled`: with its title in the drawing, for a file that no caption goes with.
drawing::Drawing wave_chart_drawing(const WaveChart& chart, bool titled = false);

}  // namespace voltsill::doc
