#pragma once
/// A capture as a document: what each channel shows, and how that compares with the wiring.
#include "captures/compare.h"
#include "documents/document.h"

namespace voltsill {

/// `planned` if the predictions are those of a plan, not of the bench's own [wiring].
doc::Document capture_report(const Bench& bench, const Capture& capture,
                             const std::vector<MappedChannel>& mapped, bool planned);

}  // namespace voltsill
