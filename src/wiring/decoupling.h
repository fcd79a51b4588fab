#pragma once
/// Which part a capacitor decouples, as its purpose says it: "decouples U1 at VCC".
#include <string>

#include "wiring/wiring.h"

namespace voltsill {

/// The purpose of a capacitor at a supply of a part.
std::string decoupling_purpose(const std::string& part, const std::string& supply);

/// Whether this is the purpose of `capacitor`, at whichever supply of the part.
bool is_decoupling_of(const WiredPart& capacitor, const std::string& part);

}  // namespace voltsill
