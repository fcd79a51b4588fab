#pragma once
/// A drawing as vectors and letters on a Cairo context.
#include "drawing/drawing.h"
#include "printing/letters.h"

namespace voltsill::printing {

/// With its upper left corner at (x, y), `scale` times its own size, cut at its edges.
void draw(cairo_t* cr, const Letters& letters, const drawing::Drawing& drawing, double x, double y, double scale);

/// Units; of a drawing without words: a size that is always readable.
double smallest_letters(const drawing::Drawing& drawing);

}  // namespace voltsill::printing
