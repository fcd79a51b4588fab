#pragma once
/// A sheet of a bench on paper: what every page says at its foot, and what the file says of itself.
#include <string_view>

#include "engine/sheets.h"
#include "printing/pdf.h"

namespace voltsill::printing {

/// Of a bench that was accepted. `paper`: "letter", else A4.
Pdf sheet_pdf(const SheetsResult& result, const NamedDocument& sheet, std::string_view paper);

}  // namespace voltsill::printing
