#include "parts/ibis_driver.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "parts/ibis_curves.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

const char* corner_word(IbisCorner corner) {
    return corner == ibis_typ ? "typical" : corner == ibis_min ? "minimum" : "maximum";
}

/// A table with its volts as sign * volts + shift and its amps times `amps_sign`, rising.
IvCurve turned(const std::optional<IbisTable>& table, IbisCorner corner, double sign, double shift,
               double amps_sign, const char* name, std::vector<std::string>& remarks) {
    if (!table || table->empty()) return {};
    IvCurve curve = table->corner[corner];
    for (double& v : curve.volts) v = sign * v + shift;
    for (double& i : curve.amps) i = 0.0 + amps_sign * i;  // no negative zeros
    if (sign < 0) {
        std::ranges::reverse(curve.volts);
        std::ranges::reverse(curve.amps);
    }
    // Two places that differ in the last bit only can fall together when shifted.
    for (std::size_t i = 1; i < curve.volts.size();)
        if (curve.volts[i] > curve.volts[i - 1])
            ++i;
        else
            curve.volts.erase(curve.volts.begin() + static_cast<std::ptrdiff_t>(i)),
                curve.amps.erase(curve.amps.begin() + static_cast<std::ptrdiff_t>(i));
    if (curve.volts.size() < 2) return {};
    const double change = make_rising(curve.amps);
    if (change > 0)
        remarks.push_back(
            fmt::format("line {}: {}, {} column: falls in places; replaced by the nearest curve that does "
                        "not, largest change {}",
                        table->line, name, corner_word(corner), print(Amps{change})));
    return curve;
}

std::optional<Span<Seconds>> edge_of_ramp(const IbisTriple& seconds) {
    if (seconds.at(ibis_typ) <= 0) return std::nullopt;
    // 20 to 80 % are six tenths of the swing, 10 to 90 % are eight.
    std::array<double, 3> edge = seconds.value;
    for (double& s : edge) s = s * 8 / 6;
    return over_corners<Seconds>(edge);
}

std::optional<double> crossing(const std::vector<double>& t, const std::vector<double>& v, double level,
                               bool rising) {
    for (std::size_t i = 1; i < t.size(); ++i)
        if (rising ? v[i] >= level : v[i] <= level) {
            if (v[i] == v[i - 1]) return t[i];
            return t[i - 1] +
                   (t[i] - t[i - 1]) * std::clamp((level - v[i - 1]) / (v[i] - v[i - 1]), 0.0, 1.0);
        }
    return std::nullopt;
}

/// 10 to 90 % of the waveform with the largest swing.
std::optional<Span<Seconds>> edge_of_waveforms(const IbisModel& model, bool rising) {
    const IbisWaveform* best = nullptr;
    double swing = 0;
    for (const IbisWaveform& w : model.waveforms) {
        const auto& v = w.volts[ibis_typ];
        if (w.rising == rising && std::abs(v.back() - v.front()) > swing)
            best = &w, swing = std::abs(v.back() - v.front());
    }
    if (!best) return std::nullopt;
    std::array<double, 3> seconds{};
    for (const IbisCorner c : ibis_corners) {
        const auto &t = best->seconds[c], &v = best->volts[c];
        const double from = v.front(), by = v.back() - v.front();
        const auto begin = crossing(t, v, from + 0.1 * by, by > 0),
                   end = crossing(t, v, from + 0.9 * by, by > 0);
        if (by == 0 || !begin || !end || *end <= *begin) return std::nullopt;
        seconds[c] = *end - *begin;
    }
    return over_corners<Seconds>(seconds);
}

std::optional<Span<Farads>> capacitance_of(const IbisModel& m) {
    const auto typ = m.capacitance(ibis_typ), min = m.capacitance(ibis_min), max = m.capacitance(ibis_max);
    if (!typ || !min || !max) return std::nullopt;
    return over_corners<Farads>({*typ, *min, *max});
}

void thin(IvCurve& curve, const char* name, IbisCorner corner, std::vector<std::string>& remarks) {
    const std::size_t before = curve.volts.size();
    double error = 0, largest = 0;
    curve = thinned(curve, ibis_most_points, error);
    for (const double i : curve.amps) largest = std::max(largest, std::abs(i));
    if (error > 1e-9 * largest)
        remarks.push_back(fmt::format(
            "{}, {} column: {} of {} points kept, within {} ({:.2g} % of the largest current)", name,
            corner_word(corner), curve.volts.size(), before, print(Amps{error}), 100 * error / largest));
}

}  // namespace

double IbisModel::supply(IbisCorner corner) const {
    for (const auto* range : {&voltage, &pullup_ref, &power_ref})
        if (*range) return (*range)->at(corner);
    return 0;
}

std::optional<double> IbisModel::capacitance(IbisCorner corner) const {
    if (c_comp) return c_comp->at(corner);
    std::optional<double> sum;
    for (const auto& part : c_comp_to)
        if (part) sum = sum.value_or(0) + part->at(corner);
    return sum;
}

bool IbisModel::drives_up() const {
    return type == IbisType::output || type == IbisType::io || type == IbisType::three_state ||
           type == IbisType::open_source || type == IbisType::io_open_source;
}

bool IbisModel::drives_down() const {
    return type == IbisType::output || type == IbisType::io || type == IbisType::three_state ||
           type == IbisType::open_drain || type == IbisType::io_open_drain;
}

bool IbisModel::receives() const {
    return type == IbisType::input || type == IbisType::io || type == IbisType::io_open_drain ||
           type == IbisType::io_open_source;
}

OutputCorner ibis_tables(const IbisModel& m, IbisCorner c, std::vector<std::string>& remarks) {
    const double supply = m.supply(c);
    const auto reference = [&](const std::optional<IbisTriple>& own, double otherwise) {
        return own ? own->at(c) : otherwise;
    };
    const double up = reference(m.pullup_ref, supply), down = reference(m.pulldown_ref, 0);
    const double power = reference(m.power_ref, up), gnd = reference(m.gnd_ref, down);
    OutputCorner out{.supply = Volts{supply}};
    if (m.drives_up()) out.pull_up = turned(m.pullup, c, 1, supply - up, -1, "[Pullup]", remarks);
    if (m.drives_down()) out.pull_down = turned(m.pulldown, c, 1, down, 1, "[Pulldown]", remarks);
    out.supply_clamp = turned(m.power_clamp, c, -1, power - supply, 1, "[POWER Clamp]", remarks);
    out.ground_clamp = turned(m.gnd_clamp, c, 1, gnd, 1, "[GND Clamp]", remarks);
    return out;
}

double output_amps(const OutputCorner& c, double ku, double kd, double volts) {
    const double supply = c.supply.si();
    return ku * amps_at(c.pull_up, supply - volts) - kd * amps_at(c.pull_down, volts) -
           amps_at(c.ground_clamp, volts) - amps_at(c.supply_clamp, volts - supply);
}

double rest_volts(const OutputCorner& c, double ku, double kd, double ohms, double to_volts) {
    double lo = std::min(0.0, to_volts) - 1, hi = std::max(c.supply.si(), to_volts) + 1;
    const auto excess = [&](double v) { return output_amps(c, ku, kd, v) - (v - to_volts) / ohms; };
    for (int i = 0; i < 60 && excess(lo) < 0; ++i) lo -= hi - lo;
    for (int i = 0; i < 60 && excess(hi) > 0; ++i) hi += hi - lo;
    for (int i = 0; i < 100; ++i) {
        const double middle = lo + (hi - lo) / 2;
        (excess(middle) > 0 ? lo : hi) = middle;
    }
    return lo + (hi - lo) / 2;
}

IbisDriver ibis_driver(const IbisModel& model, const Provenance& origin) {
    IbisDriver out;
    out.curves.origin = origin;
    out.capacitance = capacitance_of(model);
    const std::array<OutputCorner*, 3> corners{&out.curves.typical, &out.curves.slow, &out.curves.fast};
    for (const IbisCorner c : ibis_corners) {
        OutputCorner& corner = *corners[c];
        corner = ibis_tables(model, c, out.remarks);
        if (model.drives()) {
            corner.rising = switching_from(model, corner, c, true, out.remarks);
            corner.falling = switching_from(model, corner, c, false, out.remarks);
        }
        // Without waveforms of its own a corner switches as the typical one does.
        if (!corner.rising) corner.rising = out.curves.typical.rising;
        if (!corner.falling) corner.falling = out.curves.typical.falling;
        thin(corner.pull_up, "[Pullup]", c, out.remarks);
        thin(corner.pull_down, "[Pulldown]", c, out.remarks);
        thin(corner.supply_clamp, "[POWER Clamp]", c, out.remarks);
        thin(corner.ground_clamp, "[GND Clamp]", c, out.remarks);
    }
    if (!model.drives()) return out;
    if (model.ramp) {
        out.rise = edge_of_ramp(model.ramp->rise_seconds);
        out.fall = edge_of_ramp(model.ramp->fall_seconds);
        out.remarks.push_back(
            fmt::format("edge times are those of [Ramp], into {}", print(Ohms{model.ramp->r_load})));
    } else if (!model.waveforms.empty()) {
        out.rise = edge_of_waveforms(model, true);
        out.fall = edge_of_waveforms(model, false);
        out.remarks.push_back("edge times are those of the waveform with the largest swing, in its fixture");
    }
    return out;
}

}  // namespace voltsill
