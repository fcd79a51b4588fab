#pragma once
/// What a part of a wiring is called in lists, and how many spares of it a course keeps.
#include <string>

#include "wiring/wiring.h"

namespace voltsill {

/// "HCT 541 DIP-20", "resistor 10 kΩ 5 %"
std::string part_words(const WiredPart& part);
/// Share of a kind of part that breaks or gets lost, after common practice, no source: integrated
/// circuits and transistors 20 %, LEDs and diodes 50 %, resistors and capacitors 10 %, modules none.
double spare_rate(const PartType& type);

}  // namespace voltsill
