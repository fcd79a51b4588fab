#pragma once
/// I/O buffer models as makers publish them: IBIS, ANSI/EIA-656-B (version 3.2, also IEC 62014-1) and
/// the open standard's later versions up to 7.x. The rules below are from memory; their text was not
/// at hand.
///
/// A file holds components (pins with a package), models (how a pin behaves) and selectors (one name
/// for several models). Figures come as typical, minimum (slow, weak) and maximum (fast, strong); NA
/// in the latter two means "not known", then the typical figure stands in and `remarks` says so.
///
///     [Pulldown], [GND Clamp]    volts = V(pin) - V(reference)
///     [Pullup], [POWER Clamp]    volts = V(reference) - V(pin)
///     amps positive INTO the pin
///
/// Numbers end in a scale factor T G M k m u n p f (case counts: M mega, m milli), letters after it
/// are ignored. Capitals do not count in keywords, where a blank equals an underscore.
///
///     Problems problems;
///     const IbisFile file = read_ibis(bytes, "gate.ibs", problems);
///     if (const IbisModel* m = file.model("OUT_24")) ...
#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "parts/model.h"

namespace voltsill {

/// Typical, minimum, maximum: the order of the columns.
enum IbisCorner : int { ibis_typ, ibis_min, ibis_max };
inline constexpr std::array ibis_corners{ibis_typ, ibis_min, ibis_max};

struct IbisTriple {
    std::array<double, 3> value{};  ///< SI; a typical figure that stands in is repeated
    std::array<bool, 3> given{true, true, true};
    double at(IbisCorner corner) const { return value[corner]; }
};

/// From the lowest to the highest of the three; the nominal is the typical one.
template <class Q>
Span<Q> over_corners(const std::array<double, 3>& si) {
    return {Q{std::ranges::min(si)}, Q{si[ibis_typ]}, Q{std::ranges::max(si)}};
}

/// Rows of a table, a curve for each corner. Volts (seconds in waveforms) strictly rise; rows whose
/// entry is NA are left out, a column of nothing else repeats the typical one.
struct IbisTable {
    std::array<IvCurve, 3> corner;
    int line = 0;
    bool empty() const { return corner[ibis_typ].volts.empty(); }
};

/// Volts at the die over seconds while a fixture of R to V loads the output.
struct IbisWaveform {
    bool rising = true;
    double r_fixture = 0, c_fixture = 0;
    IbisTriple v_fixture;
    bool other_parts = false;  ///< inductance or parts of the package in the fixture: not modelled
    std::array<std::vector<double>, 3> seconds, volts;
    std::array<bool, 3> own{};  ///< false: the typical column stands in
    int line = 0;
};

/// Volts over seconds between 20 and 80 % of an edge into `r_load`.
struct IbisRamp {
    IbisTriple rise_volts, rise_seconds, fall_volts, fall_seconds;
    double r_load = 50;
    int line = 0;
};

enum class IbisType {
    input,
    output,
    io,
    three_state,
    open_drain,  ///< and Open_sink
    open_source,
    io_open_drain,  ///< and I/O_open_sink
    io_open_source,
    terminator,
    unsupported
};

struct IbisModel {
    std::string name;
    int line = 0;
    IbisType type = IbisType::unsupported;
    std::string type_word, not_supported;  ///< as written; why such a type cannot be used here
    bool inverting = false;
    std::optional<IbisTriple> vinl, vinh;                 ///< [Model Spec] wins over [Model]
    std::optional<IbisTriple> rising_low, rising_high;    ///< Vinh-, Vinh+: VT+ of a hysteresis
    std::optional<IbisTriple> falling_low, falling_high;  ///< Vinl-, Vinl+: VT-
    std::optional<IbisTriple> c_comp;                     ///< the whole, or the sum of the four below
    std::array<std::optional<IbisTriple>, 4> c_comp_to;   ///< pullup, pulldown, power and gnd clamp
    std::optional<IbisTriple> temperature, voltage;       ///< degrees Celsius; volts
    std::optional<IbisTriple> pullup_ref, pulldown_ref, power_ref, gnd_ref;
    std::optional<IbisTable> pulldown, pullup, gnd_clamp, power_clamp;
    std::optional<IbisRamp> ramp;
    std::vector<IbisWaveform> waveforms;
    std::optional<IbisTriple> rgnd, rpower, rac, cac;  ///< of a Terminator
    std::vector<std::string> remarks;                  ///< what stands in for what, with lines

    double supply(IbisCorner corner) const;  ///< [Voltage Range], else [Pullup Reference] ...
    std::optional<double> capacitance(IbisCorner corner) const;  ///< C_comp, or the sum of its parts
    bool drives_up() const;
    bool drives_down() const;
    bool drives() const { return drives_up() || drives_down(); }
    bool receives() const;
};

struct IbisPackage {
    std::optional<IbisTriple> ohms, henries, farads;
};

struct IbisPin {
    std::string number, signal, model;  ///< model also POWER, GND, NC, or a selector
    IbisPackage package;                ///< columns R_pin L_pin C_pin
    int line = 0;
};

struct IbisComponent {
    std::string name, manufacturer;
    IbisPackage package;
    std::vector<IbisPin> pins;
    int line = 0;
};

struct IbisSelector {
    std::string name;
    struct Choice {
        std::string model, text;
        int line = 0;
    };
    std::vector<Choice> choices;  ///< the first is the default
    int line = 0;

    bool offers(std::string_view model) const;
};

/// A keyword that is not used here, with its line.
struct IbisUnused {
    std::string keyword;
    int line = 0;
    std::string reason;
};

struct IbisFile {
    std::string file, version, file_name, revision, date, source, notes;
    std::vector<IbisComponent> components;
    std::vector<IbisSelector> selectors;
    std::vector<IbisModel> models;
    std::vector<IbisUnused> unused;
    bool ended = false;  ///< [End] was found

    const IbisModel* model(std::string_view name) const;
    const IbisSelector* selector(std::string_view name) const;
    std::vector<std::string> model_names() const;  ///< selectors first
};

/// Reads what can be read; never throws, time and memory grow with the length of `bytes` only.
/// Problems with their places: mistakes as errors, oddities that do not change a figure as warnings.
/// After 200 problems the rest is counted only.
IbisFile read_ibis(std::string_view bytes, std::string_view file, Problems& problems);

}  // namespace voltsill
