#include "parts/ibis_toml.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "parts/ibis_curves.h"
#include "parts/level_text.h"
#include "quantity/print.h"
#include "records/edit.h"

namespace voltsill {
namespace {

constexpr double clamp_amps = 1e-3;  // clamp_forward is told at this current
constexpr double clamp_reach = 2.0;  // volts: a clamp that carries less by then is none
constexpr std::array load_milliamps{1, 2, 4, 8, 12, 16, 24, 32, 48};

/// Where a function that never rises crosses zero between lo and hi; nullopt if it does not.
template <class F>
std::optional<double> falls_through(const F& f, double lo, double hi) {
    if (f(lo) < 0 || f(hi) > 0) return std::nullopt;
    for (int i = 0; i < 60; ++i) {
        const double middle = (lo + hi) / 2;
        (f(middle) > 0 ? lo : hi) = middle;
    }
    return (lo + hi) / 2;
}

PinRole role_of(const IbisModel& m) {
    switch (m.type) {
        case IbisType::output:
            return PinRole::push_pull;
        case IbisType::io:
            return PinRole::io;
        case IbisType::three_state:
            return PinRole::three_state;
        case IbisType::open_drain:
            return PinRole::open_drain;
        case IbisType::open_source:
        case IbisType::io_open_source:
            return PinRole::open_source;
        case IbisType::io_open_drain:
            return PinRole::open_drain_io;
        default:
            return PinRole::input;
    }
}

std::string toml_quoted(std::string_view text) { return toml_text(ibis_plain(text)); }

template <class Q>
std::string span_text(const Span<Q>& span) {
    return fmt::format("\"{}\"", print(span, {.digits = 6}));
}

Span<Volts> supply_of(const IbisModel& m) {
    return over_corners<Volts>({m.supply(ibis_typ), m.supply(ibis_min), m.supply(ibis_max)});
}

std::string thresholds(const IbisModel& m, std::vector<std::string>& remarks) {
    if (!m.receives()) return {};
    const Span<Volts> range = supply_of(m);
    const std::string supply = span_text(Span<Volts>::between(range.lo, range.hi));
    if (m.rising_low && m.rising_high && m.falling_low && m.falling_high) {
        const auto band = [](const IbisTriple& low, const IbisTriple& high) {
            return span_text(Span<Volts>::between(Volts{std::ranges::min(low.value)},
                                                  Volts{std::ranges::max(high.value)}));
        };
        return fmt::format("thresholds = [{{ supply = {}, rising = {}, falling = {} }}]\n", supply,
                           band(*m.rising_low, *m.rising_high), band(*m.falling_low, *m.falling_high));
    }
    std::string origin;
    if (!m.vinl || !m.vinh) {
        remarks.push_back("Vinl or Vinh is not given: 0.8 V and 2.0 V stand in, as the standard has it");
        origin =
            ", source = \"ANSI/EIA-656-B, where Vinl and Vinh are not given\", certainty = \"assumed\", "
            "from_memory = true";
    }
    const double low = m.vinl ? std::ranges::min(m.vinl->value) : 0.8,
                 high = m.vinh ? std::ranges::max(m.vinh->value) : 2.0;
    return fmt::format("thresholds = [{{ supply = {}, low = \"{}\", high = \"{}\"{} }}]\n", supply,
                       print(Volts{std::min(low, high)}, {.digits = 6}),
                       print(Volts{std::max(low, high)}, {.digits = 6}), origin);
}

/// VOH or VOL at usual currents, one set of rows for each corner with a supply of its own.
std::string drive_rows(const OutputCurves& curves, bool high) {
    std::string rows;
    std::set<double> told;
    for (const OutputCorner* c : {&curves.slow, &curves.typical, &curves.fast}) {
        const double supply = c->supply.si();
        if ((high ? c->pull_up : c->pull_down).volts.empty() || !told.insert(supply).second) continue;
        for (const int milliamps : load_milliamps) {
            const double amps = milliamps * (high ? 1e-3 : -1e-3);
            const auto v = falls_through([&](double at) { return output_amps(*c, high, !high, at) - amps; },
                                         high ? supply / 2 : 0, high ? supply : supply / 2);
            if (!v) continue;
            const double drop = std::round((high ? supply - *v : *v) * 1e4) / 1e4;
            const Level level = high ? Level{1, Volts{-drop}} : Level{0, Volts{drop}};
            rows += fmt::format("    {{ supply = \"{}\", at = \"{} mA\", level = \"{}\" }},\n",
                                print(c->supply, {.digits = 6}), milliamps, print(level));
        }
    }
    return rows.empty() ? "" : fmt::format("{} = [\n{}]\n", high ? "high" : "low", rows);
}

std::string clamps(const OutputCurves& curves, std::vector<std::string>& remarks) {
    std::vector<double> ground, supply;
    for (const OutputCorner* c : {&curves.slow, &curves.typical, &curves.fast}) {
        if (const auto v = falls_through(
                [&](double at) { return clamp_amps + amps_at(c->ground_clamp, -at); }, 0, clamp_reach))
            ground.push_back(*v);
        if (const auto v = falls_through([&](double at) { return clamp_amps - amps_at(c->supply_clamp, at); },
                                         0, clamp_reach))
            supply.push_back(*v);
    }
    if (ground.empty() && !supply.empty())
        remarks.push_back(
            "a clamp to the supply alone: a part file has no word for it, one to ground is taken as well");
    std::string text = fmt::format("clamps = \"{}\"\n", !supply.empty()   ? "both"
                                                        : !ground.empty() ? "ground"
                                                                          : "none");
    ground.insert(ground.end(), supply.begin(), supply.end());
    if (!ground.empty())
        text += fmt::format("clamp_forward = {}\n",
                            span_text(Span<Volts>::between(Volts{std::ranges::min(ground)},
                                                           Volts{std::ranges::max(ground)})));
    return text;
}

std::string capacitance(const IbisPart& part, std::vector<std::string>& remarks) {
    if (!part.driver.capacitance) return {};
    Span<Farads> c = *part.driver.capacitance;
    if (const auto& package = part.package.farads) {
        const auto more = over_corners<Farads>(package->value);
        c = {c.lo + more.lo, c.nominal + more.nominal, c.hi + more.hi};
        remarks.push_back("the capacitance is that of the die and of the package");
    }
    return fmt::format("capacitance = {}\n", span_text(c));
}

std::string terminator(const IbisModel& m, std::vector<std::string>& remarks) {
    if (m.type != IbisType::terminator) return {};
    std::string pulls;
    const auto add = [&](const std::optional<IbisTriple>& ohms, const char* to) {
        if (!ohms) return;
        pulls += fmt::format("{}{{ to = \"{}\", ohms = {} }}", pulls.empty() ? "" : ", ", to,
                             span_text(over_corners<Ohms>(ohms->value)));
    };
    add(m.rpower, "supply");
    add(m.rgnd, "ground");
    if (m.rac || m.cac)
        remarks.push_back("[Rac] and [Cac] are not used: a pin has no resistor in series with a capacitor");
    return pulls.empty() ? "" : fmt::format("pulls = [{}]\n", pulls);
}

std::string curve_text(const std::string& head, const char* name, const IvCurve& curve) {
    if (curve.volts.empty()) return {};
    std::vector<std::string> volts, milliamps;
    for (std::size_t i = 0; i < curve.volts.size(); ++i) {
        std::string v = fmt::format("{:.9g}", curve.volts[i]);
        if (!volts.empty() && volts.back() == v) continue;
        volts.push_back(std::move(v));
        milliamps.push_back(fmt::format("{:.9g}", curve.amps[i] * 1e3));
    }
    if (volts.size() < 2) return {};
    return fmt::format("\n[{}.{}]\nvolts = [{}]\nmilliamps = [{}]\n", head, name, fmt::join(volts, ", "),
                       fmt::join(milliamps, ", "));
}

std::string switching_text(const std::string& head, const char* name,
                           const std::optional<SwitchingCurve>& curve) {
    if (!curve || curve->duration <= 0) return {};
    const auto listed = [](const std::vector<double>& values) {
        std::vector<std::string> words;
        for (const double v : values) words.push_back(fmt::format("{:.4g}", v));
        return fmt::format("{}", fmt::join(words, ", "));
    };
    return fmt::format("\n[{}.{}]\nduration = \"{}\"\nup = [{}]\ndown = [{}]\n", head, name,
                       print(Seconds{curve->duration}, {.digits = 6}), listed(curve->up),
                       listed(curve->down));
}

std::string corner_text(const std::string& pin, const char* name, const OutputCorner& c) {
    const std::string head = fmt::format("{}.curves.{}", pin, name);
    return fmt::format("\n[{}]\nsupply = \"{}\"\n", head, print(c.supply, {.digits = 6})) +
           curve_text(head, "pull_up", c.pull_up) + curve_text(head, "pull_down", c.pull_down) +
           curve_text(head, "supply_clamp", c.supply_clamp) +
           curve_text(head, "ground_clamp", c.ground_clamp) + switching_text(head, "rising", c.rising) +
           switching_text(head, "falling", c.falling);
}

std::string pin_text(const IbisPart& part, std::vector<std::string>& remarks) {
    const IbisModel& m = *part.model;
    const OutputCurves& curves = part.driver.curves;
    std::string text = fmt::format("is = \"{}\"\n", to_word(role_of(m)));
    text += thresholds(m, remarks);
    if (m.drives_up()) text += drive_rows(curves, true);
    if (m.drives_down()) text += drive_rows(curves, false);
    text += clamps(curves, remarks) + capacitance(part, remarks) + terminator(m, remarks);
    if (part.driver.rise && m.drives_up())
        text += fmt::format("rise_time = {}\n", span_text(*part.driver.rise));
    if (part.driver.fall && m.drives_down())
        text += fmt::format("fall_time = {}\n", span_text(*part.driver.fall));
    return text;
}

}  // namespace

std::string ibis_plain(std::string_view text, std::size_t longest) {
    std::string out;
    for (const char c : text.substr(0, longest)) out += c >= ' ' && c <= '~' ? c : c == '\t' ? ' ' : '?';
    return out;
}

std::string ibis_part_text(const IbisPart& part, std::vector<std::string>& remarks) {
    const std::string head = fmt::format("types.{}", toml_quoted(part.type));
    const std::string pin = fmt::format("{}.pins.{}", head, toml_quoted(part.pin));
    std::string text = fmt::format("[{}]\ntitle = {}\nsource = {}\ncertainty = \"typical\"\n", head,
                                   toml_quoted(part.title), toml_quoted(part.source));
    text += fmt::format("supplies.VCC = {{ range = {} }}\n\n[{}]\n", span_text(supply_of(*part.model)), pin);
    text += pin_text(part, remarks);
    if (part.model->drives()) {
        const OutputCurves& curves = part.driver.curves;
        text += corner_text(pin, "typical", curves.typical);
        if (!(curves.slow == curves.typical)) text += corner_text(pin, "slow", curves.slow);
        if (!(curves.fast == curves.typical)) text += corner_text(pin, "fast", curves.fast);
    }
    return text + fmt::format("\n[{}.pins.GND]\nis = \"ground\"\n", head);
}

}  // namespace voltsill
