#pragma once
/// A document as one self-contained HTML page, without scripts and without anything to fetch.
///
/// Held to the Web Content Accessibility Guidelines 2.2, level AA: headings in order (1.3.1),
/// contrast of text 4.5:1 and of marks 3:1 (1.4.3, 1.4.11), nothing by colour alone (1.4.1),
/// reflow at 320 CSS pixels (1.4.10), bypass block (2.4.1), focus visible (2.4.7), language
/// (3.1.1). Paper light or dark as the reader's system prefers; black on white in print.
#include <string>
#include <string_view>

#include "documents/document.h"

namespace voltsill::doc {

std::string render_html(const Document& document);

/// For text and for attribute values in double quotes.
std::string escape_html(std::string_view text);

/// The style sheet of a page, for pages built elsewhere in the same look.
std::string_view html_style();

/// The chart as an SVG element with title and description. `number` makes its identifiers unique
/// in a page. Colours come from the page's style sheet.
std::string level_chart_svg(const LevelChart& chart, int number);
std::string wave_chart_svg(const WaveChart& chart, int number);

/// The chart as an SVG file that needs no page around it.
std::string wave_chart_file(const WaveChart& chart);
/// What the drawings need of the style sheet.
std::string_view chart_style();

}  // namespace voltsill::doc
