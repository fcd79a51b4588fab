#pragma once
/// The drawings of a bench as SVG elements, for a page: the map of its rails, of each link its levels before and
/// after the interface circuit and its circuit, its packages, its boards. All show the wiring of the bench if there
/// is one, else the plan; "before" is always the ends joined directly.
///
/// The elements carry classes and no colours (drawing/svg.h): the page holds `drawing::style_sheet()`.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/sheets.h"

namespace voltsill {

struct LinkPictures {
    std::string link;
    std::string before, after;  ///< level charts; empty: nothing is known of the link so
    std::string circuit;        ///< empty: nothing to draw
};
struct PackagePicture {
    std::string part, words;  ///< "U1", "HCT 541 in DIP-20"
    std::string svg;
};

struct PicturesResult {
    std::optional<Bench> bench;
    Problems problems;
    bool planned = false;
    std::string rail_map;
    std::vector<LinkPictures> links;  ///< in the order of the bench
    std::vector<PackagePicture> packages;
};

/// `links`: names of those to draw; empty: all. A name that the bench does not have is left out.
PicturesResult draw_bench(std::string_view bytes, const std::string& file, const Includer& include,
                          const std::vector<std::string>& links = {});
std::string to_json(const PicturesResult& result);  ///< "voltsill-drawings-1"

/// What the sheets say, the boards with parts and wires, and the packages with the channels that these boards use:
/// "voltsill-build-1".
std::string build_to_json(const SheetsResult& result);

/// The sheets as pages of HTML: "voltsill-sheet-pages-1".
std::string pages_to_json(const SheetsResult& result);

}  // namespace voltsill
