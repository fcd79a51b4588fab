#pragma once
/// A document as Markdown: CommonMark 0.31.2 with the pipe tables of its extension 0.29-gfm.
/// No raw HTML is used, and none that a user typed survives as such.
#include <string>

#include "documents/document.h"

namespace voltsill::doc {

std::string render_markdown(const Document& document);

/// Backslashes before everything that could start markup (CommonMark 0.31.2, section 2.4).
std::string escape_markdown(std::string_view text);

}  // namespace voltsill::doc
