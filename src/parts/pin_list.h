#pragma once
/// Lists of pin names, and the names of packages.
///
///     "/OE1 A1..A8 GND Y8..Y1 /OE2 VCC"     A1..A8 counts, up or down; "-" is not connected
///     "DIP-20"  "SOT-23-5"  "HEADER-4"      kind of package, then the number of its pins
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "records/field_types.h"

namespace voltsill {

/// A word of a list and where it stands.
struct Word {
    std::string text;
    Place place;
};

/// Names separated by blanks, counted ranges written out.
struct PinList {
    std::vector<Word> words;
    Place place;  ///< of the whole text
    bool empty() const { return words.empty(); }
};
/// Words separated by blanks.
struct WordList {
    std::vector<Word> words;
};

/// "A1..A8" -> A1 .. A8, "Y8..Y1" -> Y8 .. Y1, "GND" -> GND; none if the ends do not belong together.
std::optional<std::vector<std::string>> expand_pins(std::string_view word);

/// The same for a list with blanks, as in the key of a row of pins: "SCL SDA D2..D13".
std::optional<std::vector<std::string>> expand_pin_list(std::string_view text);
/// Words between blanks.
std::vector<std::string> split_words(std::string_view text);

/// "DIP-20" -> "DIP", "SOT-23-5" -> "SOT-23", "TO-92" -> "TO-92".
std::string_view package_kind(std::string_view package);
/// The number of pins that the name says: 20, 5, none for "TO-92".
std::optional<int> package_pin_count(std::string_view package);
/// Pushes into a solderless board (pitch 2.54 mm) without an adapter.
bool fits_solderless_board(std::string_view package);

template <>
struct TypeOf<PinList> {
    static Type<PinList> get();
};
template <>
struct TypeOf<WordList> {
    static Type<WordList> get();
};

}  // namespace voltsill
