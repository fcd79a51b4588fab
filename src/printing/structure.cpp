#include "printing/structure.h"

#include <algorithm>

namespace voltsill::printing {

void Structure::words_in(const Elements& within) {
    Elements wanted = {{"Document"}};
    wanted.insert(wanted.end(), within.begin(), within.end());
    const auto common = std::ranges::mismatch(open_, wanted).in1 - open_.begin();
    if (static_cast<std::size_t>(common) == wanted.size() && in_words_) return;
    close_to(static_cast<std::size_t>(common));
    for (std::size_t k = open_.size(); k < wanted.size(); ++k) {
        cairo_tag_begin(cr_, wanted[k].type.c_str(), nullptr);
        open_.push_back(wanted[k]);
    }
    in_words_ = true;
}

void Structure::pause() {
    if (in_words_) close_to(open_.size() - 1);
}

void Structure::close_to(std::size_t depth) {
    in_words_ = false;
    for (; open_.size() > depth; open_.pop_back()) cairo_tag_end(cr_, open_.back().type.c_str());
}

void Structure::end() { close_to(0); }

}  // namespace voltsill::printing
