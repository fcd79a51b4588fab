#pragma once
/// What is filled in where a part file says nothing, in one table. Everything else that is not
/// given stays unknown.
#include "parts/model.h"

namespace voltsill::defaults {

inline const Provenance assumed{Certainty::assumed, "assumed, the part file gives no figure"};
inline const Provenance practice{Certainty::common_practice, "common practice, no source"};
/// Of a record that names no source.
inline const Provenance unstated{Certainty::assumed, "no source given"};

/// Silicon junction at about 1 mA, over temperature and makers.
inline constexpr Span<Volts> clamp_forward{Volts{0.5}, Volts{0.65}, Volts{0.9}};
/// Base-emitter junction at some milliamperes.
inline constexpr Span<Volts> base_emitter{Volts{0.55}, Volts{0.65}, Volts{0.85}};
/// Body diode of a small MOSFET at some milliamperes.
inline constexpr Span<Volts> body_diode{Volts{0.5}, Volts{0.7}, Volts{1.0}};

enum class Clamps { none, ground, both };
/// Protection diodes of a pin that does not state them. A rating that follows the supply, or none
/// at all, means a diode to the supply; a fixed one or an open-drain output means none.
Clamps clamps_of(const Pin& pin);

/// Fills in `pin`. `clamps_stated`: the part file says which diodes there are.
void complete(Pin& pin, bool clamps_stated);
void complete(PartType& type);

}  // namespace voltsill::defaults
