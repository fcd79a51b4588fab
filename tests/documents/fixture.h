#pragma once
/// A small bench with its judgements and plan, entered by hand: every figure is invented, and
/// nothing of it was computed by the rooms that are tested elsewhere.
#include "documents/reports.h"

namespace voltsill::fixture {

/// Two links of the demo bench: a 5 V gauge into a 3.3 V controller, and a 3.3 V output into a
/// 5 V strip.
Bench bench();
/// The links joined directly: one harmful, one thin, one safe.
Judgement direct();
Plan plan();
/// A 5 V buffer gate, hand-made, one input figure from memory.
PartType part();

}  // namespace voltsill::fixture
