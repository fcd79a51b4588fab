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

/// The style sheet of a page and of the drawings in it, for pages built elsewhere in the same look.
std::string_view html_style();

}  // namespace voltsill::doc
