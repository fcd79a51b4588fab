#include "drawing/look.h"

#include <algorithm>
#include <cmath>

#include "bench/bench.h"

namespace voltsill::drawing {
namespace {

Rgb rgb(int hex) {
    return {((hex >> 16) & 0xFF) / 255.0, ((hex >> 8) & 0xFF) / 255.0, (hex & 0xFF) / 255.0};
}

/// Hue in degrees, the others in percent (CSS Color Module Level 3, section 4.2.4).
Rgb from_hsl(double hue, double saturation, double lightness) {
    const double l = lightness / 100, a = saturation / 100 * std::min(l, 1 - l);
    const auto channel = [&](double n) {
        const double k = std::fmod(n + hue / 30, 12);
        return l - a * std::max(-1.0, std::min({k - 3, 9 - k, 1.0}));
    };
    return {channel(0), channel(8), channel(4)};
}

}  // namespace

const std::vector<ToneLook>& tone_looks() {
    static const std::vector<ToneLook> looks{
        {Tone::paper, "paper", {0xfbfaf5, 0x171b21, 0xffffff}},
        {Tone::ink, "ink", {0x1d2430, 0xe8e6df, 0x000000}},
        {Tone::soft, "soft", {0x4c5666, 0xb4b9c2, 0x000000}},
        {Tone::line, "line", {0x7f8692, 0x7d8592, 0x000000}},
        {Tone::hair, "hair", {0xd9d8d0, 0x343b46, 0xbbbbbb}},
        {Tone::wash, "wash", {0xf2f0e8, 0x1f252d, 0xffffff}},
        {Tone::range, "range", {0xc9d8e8, 0x33475d, 0xdddddd}},
        {Tone::alarm, "alarm", {0x9c3f00, 0xff9a52, 0x000000}},
        {Tone::safe, "safe", {0x009e73, 0x00694c, 0x009e73}},
        {Tone::thin, "thin", {0xe69f00, 0x7d5600, 0xe69f00}},
        {Tone::unknown, "unknown", {0x56b4e9, 0x1c6390, 0x56b4e9}},
        {Tone::unreadable, "unreadable", {0xcc79a7, 0x8a4169, 0xcc79a7}},
        {Tone::harmful, "harmful", {0xd55e00, 0x9a4400, 0xd55e00}},
    };
    return looks;
}

double volts_share(double volts) {
    const double top = highest_bench_volts.si(), knee = 0.9;
    return std::log1p(std::clamp(volts, 0.0, top) / knee) / std::log1p(top / knee);
}

Rgb rgb_of(const Colour& colour, Medium medium, bool line) {
    if (colour.tone == Tone::volts) {
        const double share = volts_share(colour.volts);
        const VoltsLook look = line ? volts_line(medium) : volts_fill;
        return from_hsl(volts_hue, volts_saturation + volts_saturation_rise * share, look.from - look.fall * share);
    }
    const auto& looks = tone_looks();
    const auto at = std::ranges::find(looks, colour.tone, &ToneLook::tone);
    return at == looks.end() ? Rgb{} : rgb(at->by_medium[static_cast<std::size_t>(medium)]);
}

std::vector<double> dash_lengths(Dash dash) {
    switch (dash) {
        case Dash::solid:
            return {};
        case Dash::dashed:
            return {4, 2.5};
        case Dash::dotted:
            return {0.8, 2.2};
        case Dash::chain:
            return {8, 2, 1.2, 2};
    }
    return {};
}

}  // namespace voltsill::drawing
