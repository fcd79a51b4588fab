#pragma once
/// What rows of levels cannot mean, and what they hardly mean.
///
/// A sheet prints, at a supply V:
///
///     0 <= VIL <= VIH <= V       0 <= VOL <= V / 2        VOH <= V, VOH >= 0.3 V
///
/// 0.3 V is below VOH of bipolar logic, 2.4 V at 5.25 V (common practice, no source). At more current a level lies
/// no nearer to its rail. Thresholds that cross and levels beyond an absolute maximum current are refused, all else
/// is taken as written with a warning: an exchange of rows, a slip of a prefix, or figures of another part.
#include "parts/part_records.h"
#include "records/reader.h"

namespace voltsill {

void check_threshold(const Value& table, ThresholdRecord& row, Reader& reader);
/// Rules between the keys of a pin.
void check_pin_rows(const Value& table, PinRecord& pin, Reader& reader);

}  // namespace voltsill
