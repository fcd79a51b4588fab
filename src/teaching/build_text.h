#pragma once
/// Small things that reading and marking a build share.
#include <string>
#include <string_view>

namespace voltsill {

std::string small_letters(std::string_view text);  ///< of ASCII; the rest as it is

}  // namespace voltsill
