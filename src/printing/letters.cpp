#include "printing/letters.h"

#include <algorithm>
#include <cmath>

#include "drawing/text.h"

namespace voltsill::printing {
namespace {

constexpr const char* sans = "DejaVu Sans";
constexpr const char* monospaced = "DejaVu Sans Mono";

using FontPointer = std::unique_ptr<PangoFontDescription, void (*)(PangoFontDescription*)>;

FontPointer font_of(const Type& type) {
    FontPointer font(pango_font_description_new(), pango_font_description_free);
    pango_font_description_set_family_static(font.get(), type.mono ? monospaced : sans);
    const double size = std::isfinite(type.size) ? std::clamp(type.size, 0.5, 500.0) : 9;
    pango_font_description_set_size(font.get(), static_cast<int>(std::lround(size * PANGO_SCALE)));
    if (type.bold) pango_font_description_set_weight(font.get(), PANGO_WEIGHT_BOLD);
    if (type.italic) pango_font_description_set_style(font.get(), PANGO_STYLE_OBLIQUE);
    return font;
}

void insert(PangoAttrList* list, PangoAttribute* attribute, std::size_t begin, std::size_t end) {
    attribute->start_index = static_cast<guint>(begin);
    attribute->end_index = static_cast<guint>(end);
    pango_attr_list_insert(list, attribute);
}

/// Faces of the bytes from `begin` to `end`.
void dress(PangoAttrList* list, doc::Face face, std::size_t begin, std::size_t end) {
    switch (face) {
        case doc::Face::plain:
            break;
        case doc::Face::strong:
        case doc::Face::verdict:
            insert(list, pango_attr_weight_new(PANGO_WEIGHT_BOLD), begin, end);
            break;
        case doc::Face::code:
            insert(list, pango_attr_family_new(monospaced), begin, end);
            insert(list, pango_attr_scale_new(0.93), begin, end);
            break;
        case doc::Face::tick:
            insert(list, pango_attr_scale_new(1.3), begin, end);
    }
}

/// Families of fonts that exist. Pango also lists the names that stand for any font of a kind.
std::vector<std::string> families_of(PangoFontMap* fonts) {
    PangoFontFamily** families = nullptr;
    int count = 0;
    pango_font_map_list_families(fonts, &families, &count);
    std::vector<std::string> out;
    for (int k = 0; k < count; ++k) {
        const std::string name = pango_font_family_get_name(families[k]);
        const bool any = name == "Sans" || name == "Serif" || name == "Monospace" || name == "System-ui";
        if (!any) out.push_back(name);
    }
    g_free(families);
    return out;
}

Lines measured(std::shared_ptr<PangoLayout> layout, std::vector<Mark> marks) {
    PangoRectangle logical;
    pango_layout_get_extents(layout.get(), nullptr, &logical);
    return {std::move(layout), std::move(marks), points(logical.width), points(logical.height)};
}

using Attributes = std::unique_ptr<PangoAttrList, void (*)(PangoAttrList*)>;

/// No hyphen where a long word is broken: it would be typed as part of a name, and it leans over the margin.
Attributes without_hyphens() {
    Attributes out(pango_attr_list_new(), pango_attr_list_unref);
    pango_attr_list_insert(out.get(), pango_attr_insert_hyphens_new(FALSE));
    return out;
}

}  // namespace

Letters::Letters()
    : fonts_(pango_cairo_font_map_new(), g_object_unref) {
    const std::vector<std::string> installed = families_of(fonts_.get());
    const bool found = std::ranges::find(installed, sans) != installed.end();
    usable_ = !installed.empty();
    if (!usable_)
        trouble_ = "no font is installed; the package fonts-dejavu-core has those of Voltsill";
    else if (!found)
        trouble_ = "the font DejaVu Sans is not installed (package fonts-dejavu-core): another one stands in, "
                   "and words in drawings may touch";
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts_.get()), 72);  // a unit is a point
    context_.reset(pango_font_map_create_context(fonts_.get()), g_object_unref);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    pango_cairo_context_set_font_options(context_.get(), options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context_.get(), FALSE);
    pango_context_set_language(context_.get(), pango_language_from_string("en"));
    pango_context_set_base_dir(context_.get(), PANGO_DIRECTION_LTR);
}

std::shared_ptr<PangoLayout> Letters::layout(const std::string& text, const Type& type, double width) const {
    std::shared_ptr<PangoLayout> out(pango_layout_new(context_.get()), g_object_unref);
    pango_layout_set_font_description(out.get(), font_of(type).get());
    pango_layout_set_text(out.get(), text.data(), static_cast<int>(text.size()));
    pango_layout_set_auto_dir(out.get(), FALSE);
    pango_layout_set_attributes(out.get(), without_hyphens().get());
    if (width >= 0) {
        pango_layout_set_width(out.get(), static_cast<int>(std::lround(width * PANGO_SCALE)));
        pango_layout_set_wrap(out.get(), width > 0 ? PANGO_WRAP_WORD_CHAR : PANGO_WRAP_WORD);
    }
    pango_layout_set_alignment(out.get(), type.align == doc::Align::left    ? PANGO_ALIGN_LEFT
                                          : type.align == doc::Align::right ? PANGO_ALIGN_RIGHT
                                                                            : PANGO_ALIGN_CENTER);
    pango_layout_set_line_spacing(out.get(), 1.18F);
    return out;
}

Lines Letters::set(const doc::Text& text, const Type& type, double width) const {
    std::string all;
    std::vector<Mark> marks;
    const Attributes faces = without_hyphens();
    for (const doc::Run& run : text) {
        const std::size_t begin = all.size();
        std::string words = bind_units(clean(doc::plain_text(run)));
        if (run.face == doc::Face::verdict) {
            const std::size_t blank = words.find(' ');  // sign and word stay together
            if (blank != std::string::npos) words.replace(blank, 1, "\u00A0");
            const std::size_t sign = to_sign(run.verdict).size();
            marks.push_back({static_cast<int>(begin), static_cast<int>(begin + sign), {}, run.verdict});
        }
        all += words;
        dress(faces.get(), run.face, begin, all.size());
        if (!run.target.empty())
            marks.push_back({static_cast<int>(begin), static_cast<int>(all.size()), run.target, {}});
    }
    auto out = layout(all, type, width);
    pango_layout_set_attributes(out.get(), faces.get());
    return measured(std::move(out), std::move(marks));
}

Lines Letters::set_lines(std::string_view text, const Type& type, double width) const {
    return measured(layout(clean_lines(text), type, width), {});
}

std::shared_ptr<PangoLayout> Letters::word(std::string_view text, const Type& type, bool overline) const {
    auto out = layout(bind_units(clean(text)), type, -1);
    pango_layout_set_single_paragraph_mode(out.get(), TRUE);
    if (overline) {
        const std::unique_ptr<PangoAttrList, void (*)(PangoAttrList*)> list(pango_attr_list_new(),
                                                                            pango_attr_list_unref);
        pango_attr_list_insert(list.get(), pango_attr_overline_new(PANGO_OVERLINE_SINGLE));
        pango_layout_set_attributes(out.get(), list.get());
    }
    return out;
}

}  // namespace voltsill::printing
