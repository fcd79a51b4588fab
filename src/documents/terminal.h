#pragma once
/// A document as text for a terminal or a plain file.
///
/// Lines are broken by display width (text.h), never wider than `width`, except for a single
/// character that does not fit. Nothing a user typed reaches the terminal as a control character.
#include <string>

#include "documents/document.h"

namespace voltsill::doc {

struct TerminalStyle {
    int width = 80;        ///< columns; held to 40..200
    bool colour = false;   ///< ECMA-48 sequences for faces and verdicts
    bool unicode = true;   ///< else ASCII only
    bool details = false;  ///< shows what `Details` hold, not only their summary
};

/// Ends with a newline.
std::string render_terminal(const Document& document, const TerminalStyle& style = {});

}  // namespace voltsill::doc
