#pragma once
/// Values into documents: what was judged, planned, predicted or looked up, for people to read.
///
/// Links stand worst first and safe ones are short. Every number comes with both its sources and
/// their certainty, and a verdict that leans on a figure nobody guarantees says so. Nothing is
/// computed here but the order of the page.
#include "documents/document.h"
#include "planning/plan.h"

namespace voltsill {

/// `wiring`, when given, is the one that was judged: it tells the supplies of added parts.
doc::Document check_report(const Bench& bench, const Judgement& judgement, const Wiring* wiring = nullptr);

/// Before and after each interface circuit, how it was sized, what was rejected and why; then
/// wires and parts.
doc::Document plan_report(const Bench& bench, const Plan& plan);

/// `readings` in the order of `voltsill::readings`; `planned` if they are those of a plan, not of
/// the bench's own [wiring].
doc::Document readings_report(const Bench& bench, const std::vector<StateReading>& readings,
                              bool planned = false);

/// Every figure of a part with its source and certainty; pins that are alike stand together.
doc::Document part_report(const PartType& type);

doc::Document wire_list_report(const Bench& bench, const Wiring& wiring);
doc::Document parts_list_report(const Bench& bench, const Wiring& wiring);

}  // namespace voltsill
