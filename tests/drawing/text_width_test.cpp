// Widths of words held against what Pango makes of DejaVu Sans.
#include <gtest/gtest.h>
#include <pango/pangocairo.h>

#include <memory>

#include "drawing/drawing.h"

namespace voltsill::drawing {
namespace {

/// Units, in a face of 100 units, without hinting.
double pango_width(const std::string& text, const char* face) {
    const std::unique_ptr<PangoFontMap, void (*)(gpointer)> fonts(pango_cairo_font_map_new(), g_object_unref);
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts.get()), 72);
    const std::unique_ptr<PangoContext, void (*)(gpointer)> context(pango_font_map_create_context(fonts.get()),
                                                                    g_object_unref);
    const std::unique_ptr<cairo_font_options_t, void (*)(cairo_font_options_t*)> options(
        cairo_font_options_create(), cairo_font_options_destroy);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
    pango_cairo_context_set_font_options(context.get(), options.get());
    pango_context_set_round_glyph_positions(context.get(), FALSE);
    const std::unique_ptr<PangoLayout, void (*)(gpointer)> layout(pango_layout_new(context.get()), g_object_unref);
    const std::unique_ptr<PangoFontDescription, void (*)(PangoFontDescription*)> font(
        pango_font_description_from_string(face), pango_font_description_free);
    pango_layout_set_font_description(layout.get(), font.get());
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    int width = 0;
    pango_layout_get_size(layout.get(), &width, nullptr);
    return static_cast<double>(width) / PANGO_SCALE;
}

const char* const phrases[] = {
    "tank echo",
    "controller.D4",
    "4.7 kΩ ± 5 %, 10 µA, 40 °C",
    "Füllstand, Ångström, Łódź, žluťoučký kůň",
    "AVAVA To Te Yo fi ffi fl",
    "ΑΒΓΔ αβγδ Ωω",
    "Привет, мир",
    "✓ safe ~ thin ? unknown ≠ unreadable ✗ harmful",
    "→ ← ↔ ≤ ≥ ≈ · × − – — … ☐ ▸ •",
    "“quoted” ‘words’ \uFFFD",
    "0123456789 abcdefghijklmnopqrstuvwxyz ABCDEFGHIJKLMNOPQRSTUVWXYZ !\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~",
    "iiiiilllll.....",
    "MMMMMWWWWW@@@@@"};

TEST(TextWidth, IsNeverBelowWhatPangoMeasuresByMoreThanAPercent) {
    for (const std::string text : phrases) {
        for (const auto& [face, bold, mono] : {std::tuple{"DejaVu Sans 100", false, false},
                                               {"DejaVu Sans Bold 100", true, false},
                                               {"DejaVu Sans Oblique 100", false, false},
                                               {"DejaVu Sans Mono 100", false, true}}) {
            const double ours = text_width(text, 100, bold, mono), theirs = pango_width(text, face);
            EXPECT_GE(ours, 0.99 * theirs) << face << ": " << text;
            EXPECT_LE(ours, 1.2 * theirs) << face << ": " << text;  // no kerning, and signs that Mono may lack
        }
    }
}

TEST(TextWidth, LeavesRoomForLettersOfOtherFonts) {
    for (const std::string text : {"水位計", "שלום", "こんにちは", "한국어", "ภาษาไทย", "e\u0301"})
        EXPECT_GE(text_width(text, 100), 0.99 * pango_width(text, "DejaVu Sans 100")) << text;
}

}  // namespace
}  // namespace voltsill::drawing
