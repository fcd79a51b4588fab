#pragma once
/// Values into documents: what was judged, planned, predicted or looked up, for people to read.
///
/// Links stand worst first and safe ones are short. Every number comes with both its sources and
/// their certainty, and a verdict that leans on a figure nobody guarantees says so. Nothing is
/// computed here but the order of the page.
#include "documents/document.h"
#include "parts/pin_traits.h"
#include "planning/plan.h"
#include "signals/link_trace.h"

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

/// Each link over time, worst first: what it says in one sentence, its waves, measures against
/// limits with yields, the tolerances that matter most, and how to run the worst sample again.
doc::Document trace_report(const Bench& bench, const std::vector<LinkTrace>& traces);
/// "every limit is kept, in all of 256 samples."
std::string sentence_of(const LinkTrace& trace);
doc::WaveChart wave_chart(const LinkTrace& trace);
/// RFC 4180, units in the header row: time, then every point's nominal, worst, lowest, median and
/// highest voltage, as far as there are any. A step takes two rows.
std::string trace_csv(const LinkTrace& trace);
/// The waves as an SVG file that needs no page around it.
std::string trace_svg(const LinkTrace& trace);

/// Every figure of a part with its source and certainty; pins that are alike stand together.
doc::Document part_report(const PartType& type);
/// Every figure that a pin gets from a trait, and how to write that.
doc::Document trait_report(const PinTrait& trait);
/// What there is under that title, a row each: part types, then traits.
doc::Document catalogue_report(const std::string& title, const std::vector<const PartType*>& types,
                               const std::vector<PinTrait>& traits);

}  // namespace voltsill
