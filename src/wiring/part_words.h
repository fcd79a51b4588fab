#pragma once
/// What a part of a wiring is called in lists, and how many spares of it a course keeps.
#include <string>
#include <string_view>

#include "wiring/wiring.h"

namespace voltsill {

/// Number of a pin in its package, from 1; 0: none.
int number_of(const WiredPart& part, int pin);
/// Pin at a lead, from 0: by the package, or in their order where there is none. -1: no connection.
/// An adapter may have more leads than the package on it.
int pin_of_lead(const WiredPart& part, int lead);
/// "U1.18 (Y1)" for added parts with numbered packages, "gauge.ECHO" for the rest; `more` goes behind the
/// name of a numbered pin.
std::string pin_label(const WiredPart& part, int pin, std::string_view more = {});
/// "HCT 541 DIP-20", "resistor 10 kΩ 5 %"
std::string part_words(const WiredPart& part);
/// Share of a kind of part that breaks or gets lost, after common practice, no source: integrated
/// circuits and transistors 20 %, LEDs and diodes 50 %, resistors and capacitors 10 %, modules none.
double spare_rate(const PartType& type);

}  // namespace voltsill
