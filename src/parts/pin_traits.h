#pragma once
/// Traits: the words that can stand after `like` in a pin.
#include <string>
#include <string_view>
#include <vector>

#include "parts/catalogue.h"

namespace voltsill {

/// A trait as a part of one supply and one pin that is built on it. Role `passive`: a base, which
/// leaves to its users what the pin is.
struct PinTrait {
    std::string name;
    std::string like;  ///< trait it builds on itself; empty: none
    PartType part;     ///< named and titled like the trait

    const Pin& pin() const { return part.pins.front(); }
};

/// All of a catalogue, those of files that were added included, by name.
std::vector<PinTrait> pin_traits(const Catalogue& catalogue);
/// Those whose name, title or note hold all words of `query` (case ignored).
std::vector<PinTrait> pin_traits(const Catalogue& catalogue, std::string_view query);

}  // namespace voltsill
