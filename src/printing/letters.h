#pragma once
/// Text as Pango lays it out: a document's runs in their faces, broken into lines of a width.
#include <pango/pangocairo.h>

#include <memory>
#include <string>
#include <vector>

#include "documents/document.h"

namespace voltsill::printing {

struct Type {
    double size = 9;  ///< points
    bool bold = false, italic = false, mono = false;
    doc::Align align = doc::Align::left;
};

/// Bytes of a laid-out text that are more than letters.
struct Mark {
    int begin = 0, end = 0;
    std::string target;                 ///< anchor they lead to; empty: they are the sign of `verdict`
    Verdict verdict = Verdict::safe;
};

/// One text of one width. Lengths are points.
struct Lines {
    std::shared_ptr<PangoLayout> layout;
    std::vector<Mark> marks;
    double width = 0, height = 0;  ///< of the letters, not of the room they were given
};

class Letters {
public:
    Letters();
    /// Why words cannot be set as meant; empty: they can.
    const std::string& trouble() const { return trouble_; }
    bool usable() const { return usable_; }
    PangoContext* context() const { return context_.get(); }

    /// `width` < 0: one line however long; 0: broken at every blank.
    Lines set(const doc::Text& text, const Type& type, double width) const;
    /// With its own line ends.
    Lines set_lines(std::string_view text, const Type& type, double width) const;
    /// One line of an inscription, cleaned; no width.
    std::shared_ptr<PangoLayout> word(std::string_view text, const Type& type, bool overline = false) const;

private:
    std::shared_ptr<PangoLayout> layout(const std::string& text, const Type& type, double width) const;
    std::shared_ptr<PangoFontMap> fonts_;
    std::shared_ptr<PangoContext> context_;
    std::string trouble_;
    bool usable_ = false;
};

inline double points(int pango_units) { return static_cast<double>(pango_units) / PANGO_SCALE; }

}  // namespace voltsill::printing
