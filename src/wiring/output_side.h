#pragma once
/// The pull-up or the pull-down of an output as tables of current over the voltage lost across it.
#include "wiring/lower.h"

namespace voltsill {

struct OutputSide {
    int table;
    ParamId strength;
    int strong_table = -1;
};

/// `supply`: of the rail, or where it is on none one point.
OutputSide output_side(Lowering& lowering, const Pin& pin, bool high_side, const Span<Volts>& supply,
                       const std::string& name);

}  // namespace voltsill
