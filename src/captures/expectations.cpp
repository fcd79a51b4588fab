#include <algorithm>

#include "captures/compare.h"

namespace voltsill {
namespace {

bool is_receiver(const Link& link, const std::string& point) {
    return std::ranges::any_of(link.to, [&](const PinRef& r) { return r.part + "." + r.pin == point; });
}

void take(Expectation& out, const LevelBand& band) {
    (band.high ? out.high : out.low) = Span<double>{band.lo, band.nominal, band.hi};
    if (band.threshold) (band.high ? out.limits.vih : out.limits.vil) = band.threshold;
    if (band.limit_max) out.limits.limit_max = band.limit_max;
    if (band.limit_min) out.limits.limit_min = band.limit_min;
    out.certainty =
        out.certainty == Certainty::unknown ? band.certainty : std::max(out.certainty, band.certainty);
}

}  // namespace

std::vector<Expectation> expectations(const Bench& bench, const Judgement& judgement) {
    std::vector<Expectation> out;
    for (const LinkJudgement& judged : judgement.links) {
        const Link* link = bench.link(judged.link);
        if (!link) continue;
        std::vector<Expectation> points;
        for (const LevelBand& band : judged.levels) {
            auto at = std::ranges::find(points, band.point, &Expectation::point);
            if (at == points.end()) {
                points.push_back({.link = judged.link, .point = band.point});
                at = std::prev(points.end());
                if (link->rate) at->rate = link->rate->si();
            }
            take(*at, band);
        }
        std::ranges::stable_partition(points,
                                      [&](const Expectation& e) { return is_receiver(*link, e.point); });
        std::ranges::move(points, std::back_inserter(out));
    }
    return out;
}

std::optional<Expectation> expectation_of_pin(const std::string& pin,
                                              const std::vector<StateReading>& readings) {
    Expectation out{.point = pin};
    bool there = false;
    for (const StateReading& r : readings) {
        if (r.point != pin || !r.state.starts_with("all rails up")) continue;
        there = true;
        if (r.level != '0' && r.level != '1') continue;
        auto& level = r.level == '1' ? out.high : out.low;
        level = level ? Span<double>{std::min(level->lo, r.lo), level->nominal, std::max(level->hi, r.hi)}
                      : Span<double>{r.lo, r.nominal, r.hi};
        out.certainty = Certainty::assumed;  // readings do not tell what they lean on
    }
    return there ? std::optional(out) : std::nullopt;
}

}  // namespace voltsill
