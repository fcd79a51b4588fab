/// Letters as they are printed: every sheet of every example and of benches made at random, on both papers.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "drawing/drawing.h"
#include "engine/sheets.h"
#include "poppler.h"
#include "printing/pdf.h"
#include "support/how_many.h"
#include "support/made_bench.h"

namespace voltsill::printing {
namespace {

/// Height of a word's box in Poppler over the size of its letters: ascent and descent of DejaVu Sans and its
/// mono face (fonts-dejavu 2.37, table hhea: 1901 and 483 of 2048 units).
constexpr double box_over_size = (1901.0 + 483.0) / 2048;

std::string example_text(const std::string& name) {
    std::ifstream in(VOLTSILL_ROOT "/examples/" + name + ".toml", std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

void expect_readable(const std::string& name, const std::string& text, Audience audience) {
    SheetsOptions options{.audience = audience, .threads = 2};
    options.place.effort = 0.02;
    const SheetsResult made = make_sheets(text, name, {}, options);
    ASSERT_FALSE(made.documents.empty()) << name;
    for (const NamedDocument& sheet : made.documents)
        for (const Paper paper : {Paper::a4, Paper::letter}) {
            const Pdf pdf = render_pdf(sheet.document, {.paper = paper});
            EXPECT_EQ(pdf.trouble, "") << name << ", " << sheet.name;
            for (const auto& word : Printed(pdf.bytes).words()) {
                // Words along a body are turned: their box lies on its side.
                const double size = std::max(word.x1 - word.x0, word.y1 - word.y0) / box_over_size;
                EXPECT_GT(size, drawing::smallest_letters - 0.05) << name << ", " << sheet.name << ": " << word.text;
            }
        }
}

TEST(PrintedSheets, LettersOfEveryExampleAreReadable) {
    for (const char* name :
         {"first-bench", "up-shift", "two-way-bus", "unknown-module", "existing-build", "eight-pairs", "rain-garden"})
        expect_readable(name, example_text(name), Audience::learner);
}

/// Letters that no font of a machine has become boxes with small digits in them: Pango's, not ours to measure.
std::string in_letters_of_dejavu(std::string text) {
    const std::string han = "数据";
    for (size_t at = 0; (at = text.find(han, at)) != std::string::npos;) text.replace(at, han.size(), "Größe");
    return text;
}

TEST(PrintedSheets, LettersOfMadeBenchesAreReadable) {
    for (unsigned seed = 1; seed <= made::how_many(10); ++seed)
        expect_readable("made " + std::to_string(seed), in_letters_of_dejavu(made::bench(seed, 1 + int(seed % 5))),
                        Audience::learner);
}

}  // namespace
}  // namespace voltsill::printing
