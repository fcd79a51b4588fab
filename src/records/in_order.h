#pragma once
/// Problems in the order in which a person mends them.
#include <string_view>

#include "records/problem.h"

namespace voltsill {

/// The files in the order of their first problem, `first` before all others; in each file by line and
/// column, and last what concerns it as a whole.
void put_in_order(Problems& problems, std::string_view first = {});

/// Puts what one file is about behind what is there, in that order.
void append_in_order(Problems& to, Problems found, std::string_view file);

}  // namespace voltsill
