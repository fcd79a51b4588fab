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
/// How many spares to keep for `count` parts of a type, rounded up, by the share that breaks or gets lost
/// after common practice, no source: integrated circuits and transistors 20 %, LEDs and diodes 50 %,
/// modules, resistors and capacitors 10 %.
int spares_of(const PartType& type, int count);
/// The same for a share: 0.1 of 12 is 2.
int spares_of(double share, int count);

}  // namespace voltsill
