#pragma once
/// A document on paper: PDF 1.5 (ISO 32000-1:2008) by Cairo and Pango, in memory.
///
/// Text stays text (selectable, searchable), drawings stay vectors, fonts are embedded in part.
/// The letters are DejaVu (package fonts-dejavu-core); what it lacks comes from any other font installed.
/// The file is tagged, so that it can be read aloud (structure.h); what drawings mean is not told beside
/// their words, as Cairo 1.16 has no place for it. Headings become bookmarks; a row of a table, a caution,
/// a step and a drawing are never cut by the end of a page unless they are taller than one, a heading
/// stays with what follows it, the head of a table comes again on every page. A drawing is never enlarged; one
/// whose letters would shrink below 7 points (drawing::smallest_letters) gets a page on its side.
/// Black on white: every meaning survives a printer without colour.
#include <functional>
#include <string>

#include "documents/document.h"

namespace voltsill::printing {

enum class Paper { a4, letter };  ///< ISO 216 A4, ANSI/ASME Y14.1 A (Letter)

struct PdfOptions {
    Paper paper = Paper::a4;
    std::string footer;  ///< left of the page number: name and version of the bench
    std::string subject, keywords;
    std::string created;  ///< ISO 8601 date and time; empty: none, and equal documents give equal bytes
};

struct Pdf {
    std::string bytes;
    int pages = 0;
    std::string trouble;  ///< no font found, a drawing too small to read; empty: none
};

Pdf render_pdf(const doc::Document& document, const PdfOptions& options = {});

}  // namespace voltsill::printing
