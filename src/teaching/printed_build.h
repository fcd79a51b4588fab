#pragma once
/// The wanted build as a learner's file (docs/marking.md): its wires, and a row for each reading that the test
/// sheet asks for, its value left open. Read back it is as planned.
#include <string>

#include "teaching/marking.h"

namespace voltsill {

std::string printed_build(const PreparedMarking& prepared);

}  // namespace voltsill
