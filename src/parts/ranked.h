#pragma once
/// Part types by what somebody says of them: "open collector sensor with pull-up to 5 V".
///
/// Words that say nothing ("with", "to") are left out; the rest is looked for in names, titles, what pins are
/// electrically, notes, and a voltage in the ranges of supplies. A word counts the more the fewer types have it:
///
///     score = sum over words found of  w(field) ln(1 + N / n(word))
///
/// (inverse document frequency, Spärck Jones 1972, from memory). Types that hold fewer than half of the words are
/// left out; more words found go before a higher score, and a part that cannot be had at a voltage asked for
/// goes behind.
#include <string_view>
#include <vector>

#include "parts/catalogue.h"

namespace voltsill {

/// Best first; all types, in the order of the catalogue, when the query says nothing.
std::vector<const PartType*> ranked_types(const Catalogue& catalogue, std::string_view query);

/// What somebody may have meant whose words no type and no trait holds: the nearest name, then the best of
/// `ranked_types`, each word spelled as the nearest one that the catalogue has. At most `most`.
std::vector<std::string> near_names(const Catalogue& catalogue, std::string_view query, std::size_t most = 5);

}  // namespace voltsill
