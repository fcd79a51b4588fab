/// Contradictions inside an IBIS model: signs of tables, thresholds, waveforms against tables.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "parts/ibis_curves.h"
#include "parts/ibis_driver.h"
#include "parts/ibis_reader.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Waveforms may end this far from where the tables rest, as a share of the supply, before it is told.
constexpr double allowed_difference = 0.05;

/// A table may fall by this share of its largest current before it is told; what is repaired below it is small.
constexpr double allowed_fall = 0.2;
/// A row so many times larger than both beside it has lost its prefix: "4" for "4m".
constexpr double lost_prefix = 10;
/// A die and its pin stay below this (common practice): a C_comp in microfarads is a slip.
constexpr double most_capacitance = 1e-9;
/// A buffer switches in less (common practice, no source).
constexpr double most_ramp = 10e-6;

void check_capacitance(const IbisModel& m, IbisLines& lines) {
    const double typ = *m.capacitance(ibis_typ), min = m.capacitance(ibis_min).value_or(typ),
                 max = m.capacitance(ibis_max).value_or(typ);
    if (const double most = std::max({typ, min, max}); most > most_capacitance)
        lines.warning_on(m.line, "unlikely",
                         fmt::format("C_comp of {} is {}, which is hardly meant", m.name, print(Farads{most})),
                         "at most " + print(Farads{most_capacitance}));
    else if (typ < std::min(min, max) || typ > std::max(min, max))
        lines.warning_on(m.line, "range-out-of-order",
                         fmt::format("C_comp of {} is typically {}, outside {} and {}", m.name, print(Farads{typ}),
                                     print(Farads{min}), print(Farads{max})),
                         "C_comp typ min max");
}

void check_ranges(const IbisModel& m, IbisLines& lines) {
    const bool all_references = m.pullup_ref && m.pulldown_ref && m.power_ref && m.gnd_ref;
    if (!m.voltage && !all_references)
        lines.error_on(m.line, "no-voltage", fmt::format("model {} does not say its supply voltage", m.name),
                       "[Voltage Range] typ min max");
    if (m.voltage && !(m.voltage->at(ibis_min) <= m.voltage->at(ibis_typ) &&
                       m.voltage->at(ibis_typ) <= m.voltage->at(ibis_max)))
        lines.error_on(m.line, "range-out-of-order",
                       fmt::format("[Voltage Range] of {} is not typ, min, max: {:g} {:g} {:g} V", m.name,
                                   m.voltage->at(ibis_typ), m.voltage->at(ibis_min), m.voltage->at(ibis_max)),
                       "min <= typ <= max");
    if (m.supply(ibis_min) <= 0 && (m.voltage || all_references))
        lines.error_on(m.line, "no-voltage", fmt::format("the supply of model {} is not above zero", m.name));
    if (!m.capacitance(ibis_typ))
        lines.warning_on(m.line, "no-capacitance",
                         fmt::format("model {} has no C_comp: its capacitance stays unknown", m.name),
                         "C_comp typ min max");
    else if (std::min(m.capacitance(ibis_min).value_or(0), m.capacitance(ibis_max).value_or(0)) < 0)
        lines.error_on(m.line, "negative-capacitance", fmt::format("C_comp of {} is negative", m.name));
    else
        check_capacitance(m, lines);
}

void check_thresholds(const IbisModel& m, IbisLines& lines) {
    const auto crossed = [&](const std::optional<IbisTriple>& low, const std::optional<IbisTriple>& high,
                             const char* low_name, const char* high_name) {
        if (!low || !high) return;
        for (const IbisCorner c : ibis_corners)
            if (low->at(c) > high->at(c)) {
                lines.error_on(m.line, "crossed-thresholds",
                               fmt::format("{} of {} is {:g} V, above {} of {:g} V", low_name, m.name,
                                           low->at(c), high_name, high->at(c)),
                               "the lower threshold at most as high as the upper");
                return;
            }
    };
    crossed(m.vinl, m.vinh, "Vinl", "Vinh");
    crossed(m.rising_low, m.rising_high, "Vinh-", "Vinh+");
    crossed(m.falling_low, m.falling_high, "Vinl-", "Vinl+");
    crossed(m.falling_high, m.rising_high, "Vinl+", "Vinh+");
}

/// [Ramp] gives 20 to 80 % of the supply: 0.6m for 0.6n is a slip.
void check_ramp(const IbisModel& m, IbisLines& lines) {
    if (!m.ramp) return;
    const auto check = [&](const IbisTriple& seconds, const char* name) {
        double most = 0;
        for (const IbisCorner c : ibis_corners) most = std::max(most, seconds.at(c));
        if (most > most_ramp)
            lines.warning_on(
                m.ramp->line, "unlikely",
                fmt::format("{} of {} takes {}, which is hardly meant", name, m.name, print(Seconds{most})),
                "at most " + print(Seconds{most_ramp}));
    };
    check(m.ramp->rise_seconds, "dV/dt_r");
    check(m.ramp->fall_seconds, "dV/dt_f");
}

/// Direction of the current where a table conducts, typical column.
void check_signs(const IbisModel& m, IbisLines& lines) {
    const double supply = m.supply(ibis_typ);
    const auto hold = [&](const IbisTable& table, const char* name, double volts, double amps, bool positive,
                          const char* where) {
        if (positive ? amps > 0 : amps < 0) return;
        lines.error_on(table.line, "wrong-sign",
                       fmt::format("{} carries {} at {:g} V, where it should carry current {} the pin", name,
                                   print(Amps{amps}), volts, positive ? "into" : "out of"),
                       fmt::format("currents are positive into the pin; {}", where));
    };
    const auto drive = [&](const std::optional<IbisTable>& table, const char* name, double at, bool positive,
                           const char* where) {
        if (!table || table->empty()) return;
        const IvCurve& curve = table->corner[ibis_typ];
        const double volts = std::clamp(at, curve.volts.front(), curve.volts.back());
        const bool none = std::ranges::all_of(curve.amps, [](double i) { return i == 0; });
        if (!none) hold(*table, name, volts, amps_at(curve, volts), positive, where);
    };
    const char* below = "volts count down from the supply: Vtable = Vsupply - Vpin";
    const char* above = "volts count up from ground";
    if (supply > 0) {
        drive(m.pulldown, "[Pulldown]", supply, true, above);
        drive(m.pullup, "[Pullup]", supply, false, below);
    }
    const auto clamp = [&](const std::optional<IbisTable>& table, const char* name, bool positive,
                           const char* where) {
        if (!table || table->empty()) return;
        const IvCurve& curve = table->corner[ibis_typ];
        if (curve.amps.front() != 0)
            hold(*table, name, curve.volts.front(), curve.amps.front(), positive, where);
    };
    clamp(m.gnd_clamp, "[GND Clamp]", false, above);
    clamp(m.power_clamp, "[POWER Clamp]", true, below);
}

const char* word_of(IbisCorner corner) {
    return corner == ibis_typ ? "typical" : corner == ibis_min ? "minimum" : "maximum";
}

/// Rows that cannot belong to a table: it is told where, before the table is made never to fall.
void check_steps(const IbisTable& table, const char* name, double sign, IbisLines& lines) {
    for (const IbisCorner c : ibis_corners) {
        const IvCurve& curve = table.corner[c];
        double largest = 0;
        for (const double i : curve.amps) largest = std::max(largest, std::abs(i));
        std::vector<double> rising = curve.amps;
        for (double& i : rising) i *= sign;
        const double fall = make_rising(rising);
        if (fall <= allowed_fall * largest || fall == 0) continue;
        std::size_t at = 0;
        for (std::size_t k = 1; k + 1 < curve.amps.size(); ++k)
            if (std::abs(curve.amps[k] * sign - rising[k]) > std::abs(curve.amps[at] * sign - rising[at])) at = k;
        const auto beside = [&](std::size_t k) { return std::abs(curve.amps[std::min(k, curve.amps.size() - 1)]); };
        const double nearest = std::max(beside(at == 0 ? 1 : at - 1), beside(at + 1));
        const std::string what = fmt::format("{}, {} column, at {:g} V: {} does not follow from the rows beside it",
                                             name, word_of(c), curve.volts[at], print(Amps{curve.amps[at]}));
        const std::string wanted = sign > 0 ? "currents that rise with the volts" : "currents that fall with the volts";
        if (std::abs(curve.amps[at]) > lost_prefix * nearest)
            lines.error_on(table.line, "wrong-row", what, wanted + "; a prefix may be missing, as 4 for 4m");
        else
            lines.warning_on(table.line, "falls-in-places", what, wanted);
    }
}

void check_falls(const IbisModel& m, IbisLines& lines) {
    if (m.pulldown) check_steps(*m.pulldown, "[Pulldown]", 1, lines);
    if (m.pullup) check_steps(*m.pullup, "[Pullup]", -1, lines);
    if (m.gnd_clamp) check_steps(*m.gnd_clamp, "[GND Clamp]", 1, lines);
    if (m.power_clamp) check_steps(*m.power_clamp, "[POWER Clamp]", -1, lines);
}

void check_tables(const IbisModel& m, IbisLines& lines) {
    const auto missing = [&](const std::optional<IbisTable>& table, bool wanted, const char* name) {
        if (wanted && !table)
            lines.error_on(m.line, "missing-table",
                           fmt::format("model {} of type {} has no usable {}", m.name, m.type_word, name),
                           fmt::format("{} with rows of volts and amps", name));
        if (!wanted && table && m.drives() &&
            std::ranges::any_of(table->corner[ibis_typ].amps, [](double i) { return i != 0; }))
            lines.warning_on(
                table->line, "extra-table",
                fmt::format("{} is not used: a model of type {} does not drive that way", name, m.type_word));
    };
    missing(m.pullup, m.drives_up(), "[Pullup]");
    missing(m.pulldown, m.drives_down(), "[Pulldown]");
    if (m.drives() && !m.ramp && m.waveforms.empty())
        lines.warning_on(m.line, "no-edge", fmt::format("model {} does not say how fast it switches", m.name),
                         "[Ramp], or waveforms");
    if (m.type == IbisType::terminator && !m.rgnd && !m.rpower && !m.rac && !m.gnd_clamp && !m.power_clamp)
        lines.error_on(m.line, "empty-terminator", fmt::format("terminator {} has no parts", m.name),
                       "[Rgnd], [Rpower], or [Rac] with [Cac]");
    for (const auto* r : {&m.rgnd, &m.rpower, &m.rac, &m.cac})
        if (*r && std::ranges::min((*r)->value) <= 0)
            lines.error_on(m.line, "not-positive",
                           fmt::format("the parts of terminator {} must be above zero", m.name));
}

void check_waveform(const IbisModel& m, const IbisWaveform& w, const std::array<OutputCorner, 3>& tables,
                    IbisLines& lines) {
    double worst = 0, told_wave = 0, told_rest = 0;
    bool at_end = false;
    for (const IbisCorner c : ibis_corners)
        for (const bool end : {false, true}) {
            if (!w.own[c]) continue;
            const bool high = end == w.rising;
            const double rest = rest_volts(tables[c], high, !high, w.r_fixture, w.v_fixture.at(c));
            const double wave = end ? w.volts[c].back() : w.volts[c].front();
            if (std::abs(wave - rest) > worst)
                worst = std::abs(wave - rest), told_wave = wave, told_rest = rest, at_end = end;
        }
    if (worst <= allowed_difference * m.supply(ibis_typ)) return;
    lines.warning_on(
        w.line, "waveform-off-tables",
        fmt::format("this waveform {} at {:.3g} V; in its fixture the I-V tables rest at {:.3g} V",
                    at_end ? "ends" : "begins", told_wave, told_rest),
        fmt::format("within {:.0f} % of the supply", 100 * allowed_difference));
}

}  // namespace

void check_ibis_model(const IbisModel& m, IbisLines& lines) {
    if (m.type_word.empty())
        lines.error_on(m.line, "no-model-type", fmt::format("model {} has no Model_type", m.name),
                       "Model_type Input, Output, I/O ...");
    if (m.type == IbisType::unsupported) return;
    check_ranges(m, lines);
    check_thresholds(m, lines);
    check_ramp(m, lines);
    check_signs(m, lines);
    check_falls(m, lines);
    check_tables(m, lines);
    if (m.waveforms.empty() || !m.drives() || m.supply(ibis_typ) <= 0) return;
    std::vector<std::string> unsaid;
    std::array<OutputCorner, 3> tables;
    for (const IbisCorner c : ibis_corners) tables[c] = ibis_tables(m, c, unsaid);
    for (const IbisWaveform& w : m.waveforms)
        if (!w.other_parts && !lines.full()) check_waveform(m, w, tables, lines);
}

}  // namespace voltsill
