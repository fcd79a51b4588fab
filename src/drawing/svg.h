#pragma once
/// A drawing as SVG 1.1 (W3C Recommendation, 16 August 2011), with title and description for
/// readers who do not see it, and data attributes for a page. Colours are classes of a style sheet
/// (`style_sheet`), so that one drawing serves light and dark screens and black on white paper.
#include <string>

#include "drawing/drawing.h"

namespace voltsill::drawing {

/// An element for an HTML page that holds `style_sheet()`. `number` makes identifiers unique there.
std::string svg_element(const Drawing& drawing, int number);
/// A file of its own, with its style sheet inside. ASCII-only text is not promised: UTF-8.
std::string svg_file(const Drawing& drawing);
std::string style_sheet();

}  // namespace voltsill::drawing
