#include "printing/sheet_pdf.h"

namespace voltsill::printing {

Pdf sheet_pdf(const SheetsResult& result, const NamedDocument& sheet, std::string_view paper) {
    return render_pdf(sheet.document, {.paper = paper == "letter" ? Paper::letter : Paper::a4,
                                       .footer = result.bench->title + ", version " + result.sheets.version,
                                       .subject = sheet.document.title,
                                       .keywords = "extra-low voltage, solderless board"});
}

}  // namespace voltsill::printing
