#pragma once
/// The logical structure of a document beside its look, so that it can be read aloud: headings, paragraphs, lists and
/// tables as elements (ISO 32000-1:2008, 14.7 and 14.8.4) around the words that are printed.
///
/// Cairo 1.16 keeps the words of an element only where no other stands in it, so that words with links beside them
/// need one of their own ("Span"). What is painted while no words are open (rules, frames, heads of tables that come
/// again, feet of pages) belongs to no element.
#include <cairo.h>

#include <string>
#include <vector>

namespace voltsill::printing {

/// An element by its standard structure type; `number` tells it from others of its type within the same element.
struct Element {
    std::string type;
    int number = 0;
    bool operator==(const Element&) const = default;
};
using Elements = std::vector<Element>;  ///< from the outermost in

class Structure {
  public:
    explicit Structure(cairo_t* cr) : cr_(cr) {}
    /// Words that follow are in the last of these elements; those that are open already go on.
    void words_in(const Elements& within);
    /// What follows belongs to no element until words come.
    void pause();
    /// Nothing is open any more.
    void end();

  private:
    void close_to(std::size_t depth);

    cairo_t* cr_;
    Elements open_;
    bool in_words_ = false;
};

}  // namespace voltsill::printing
