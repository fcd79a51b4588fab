#pragma once
/// What an IBIS model is electrically, corner by corner, in SI.
///
/// Tables are taken as the standard gives them: where a model has clamp tables, [Pullup] and [Pulldown]
/// are difference curves, so the current of a pin is the sum
///
///     i(v) = Kd * pulldown(v) - Ku * pullup(Vsupply - v) + gnd_clamp(v) + supply_clamp(v - Vsupply)
///
/// and nothing is subtracted. References other than supply and ground shift the voltages. Curves that
/// fall somewhere are replaced by the nearest that do not; the change is told in `remarks`.
///
/// Switching curves Ku, Kd (0 off, 1 on) follow from [Rising Waveform] and [Falling Waveform]: with
/// C = C_comp + C_fixture every waveform v(t) gives at each time one equation
///
///     Ku * up(Vsupply - v) - Kd * down(v) = clamps(v) + C dv/dt + (v - V_fixture) / R_fixture
///
/// Two waveforms with different fixtures give two equations for the two unknowns, more are fitted by
/// least squares. With one, or where the equations depend on each other, Kd = 1 - Ku is assumed.
/// Both methods are common practice, no source. A one-sided output has one unknown.
#include <optional>
#include <string>
#include <vector>

#include "parts/ibis.h"

namespace voltsill {

struct IbisDriver {
    OutputCurves curves;                      ///< slow, typical, fast: minimum, typical, maximum
    std::optional<Span<Seconds>> rise, fall;  ///< 10 to 90 %: [Ramp] x 8/6, else of a waveform; loaded
    std::optional<Span<Farads>> capacitance;  ///< C_comp or the sum of its parts
    std::vector<std::string> remarks;         ///< what was repaired, thinned or assumed
};

inline constexpr std::size_t ibis_most_points = 24;       ///< of an I-V curve
inline constexpr std::size_t ibis_switching_points = 16;  ///< of a switching curve

IbisDriver ibis_driver(const IbisModel& model, const Provenance& origin);

/// The tables alone at one corner, rising, all points.
OutputCorner ibis_tables(const IbisModel& model, IbisCorner corner, std::vector<std::string>& remarks);

/// Current into the net with nothing but the output on it, at v: Ku * up - Kd * down - clamps.
double output_amps(const OutputCorner& corner, double ku, double kd, double volts);

/// Where the output rests in a fixture of `ohms` to `to_volts`.
double rest_volts(const OutputCorner& corner, double ku, double kd, double ohms, double to_volts);

/// Ku and Kd of one kind of edge; nullopt without waveforms of it at this corner or without an edge in them.
std::optional<SwitchingCurve> switching_from(const IbisModel& model, const OutputCorner& tables,
                                             IbisCorner corner, bool rising,
                                             std::vector<std::string>& remarks);

}  // namespace voltsill
