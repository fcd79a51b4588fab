#pragma once
/// The words of a part file for roles, kinds and logic; one table each, for reading and printing.
#include <string>
#include <utility>
#include <vector>

#include "parts/model.h"

namespace voltsill {

template <class E>
using Words = std::vector<std::pair<std::string, E>>;

const Words<PinRole>& role_words();
const Words<PartKind>& kind_words();
const Words<ChannelLogic>& logic_words();
const Words<Certainty>& certainty_words();

}  // namespace voltsill
