/// Dividers: which pair of a series works, and how high its tap goes.
///
///     highest tap = Vmax R2 (1 + t) / (R2 (1 + t) + R1 (1 - t))       elementary circuit theory
///
/// A pair works when the judge finds nothing worse than thin and there is room of 0.05 V to every limit. A
/// wrong option is out by 0.1 V or more; pairs in between are not offered.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/preferred.h"
#include "quantity/print.h"
#include "teaching/question_maker.h"

namespace voltsill {
namespace {

constexpr double tap_tolerance = 0.02;                     // V: half of 0.01 V, and what a pin leaks

const char* const no_step_down =
    "no link goes one way from an output that drives both levels down to an input on a lower rail";

std::vector<const Crossing*> step_downs(const VariedBench& varied) {
    std::vector<const Crossing*> out = pushed_crossings(varied);
    std::erase_if(out, [](const Crossing* c) {
        const auto pulled = [](const Side& s) { return !s.facts->pulls.empty(); };
        return !c->down() || std::ranges::any_of(c->from, pulled) || std::ranges::any_of(c->to, pulled);
    });
    return out;
}

enum class Worth { works, wrong, unclear };
Worth worth(const JudgedBuild& build) {
    if (build.verdict() == Verdict::unknown || !build.link().high_margin) return Worth::unclear;
    if (build.verdict() <= Verdict::thin) {
        const bool limits = build.worst && build.worst->dimension == Dimension::voltage &&
                            build.worst->code != "high-level" && build.worst->code != "low-level" &&
                            build.verdict() == Verdict::thin;
        return !limits && room_of(build) >= clear_room ? Worth::works : Worth::unclear;
    }
    const auto distance = distance_of(*build.worst);
    return distance && *distance >= clearly_wrong ? Worth::wrong : Worth::unclear;
}

QuestionOption option_of(const JudgedBuild& build, const std::string& text, bool right) {
    QuestionOption option{.text = text, .right = right, .solved = build.solved};
    option.distance = right ? room_of(build) : distance_of(*build.worst);
    option.why = right ? fmt::format("works: margins {} and {}, room {}", in_millivolts(*build.link().high_margin),
                                     in_millivolts(build.link().low_margin.value_or(0)), in_millivolts(room_of(build)))
                       : said(*build.worst);
    return option;
}

/// What a learner needs to know of the receiver: thresholds and what it stands.
void tell_receiver(TestQuestion& q, const JudgedBuild& build, const Crossing& c) {
    const Side& receiver = c.receiver();
    const Pin& pin = *receiver.facts;
    std::string text = receiver.label();
    if (const auto limits = thresholds_over(pin, receiver.volts)) {
        text +=
            fmt::format(" reads a high for sure from {} up", in_millivolts(limits->high.at(receiver.volts.hi).si()));
        cite(q, limits->origin);
    }
    if (pin.max) {
        text += fmt::format(" and stands {} at most (rail at its lowest)",
                            in_millivolts(pin.max->at(receiver.volts.lo).si()));
        cite(q, pin.limits_origin);
    }
    q.given.push_back(text + ".");
    for (const LevelBand& band : build.link().levels)
        if (band.high && band.point == c.driver().label())
            q.given.push_back(
                fmt::format("{} gives {} when high with such a divider behind it.", band.point,
                            print(Span<Volts>{Volts{to_millivolts(band.lo)}, Volts{to_millivolts(band.nominal)},
                                              Volts{to_millivolts(band.hi)}},
                                  {.digits = 4})));
}

const LevelBand* high_at(const JudgedBuild& build, const Side& side) {
    for (const LevelBand& band : build.link().levels)
        if (band.high && band.point == side.label()) return &band;
    return nullptr;
}

double tolerance_of(const QuestionCase& solved) {
    for (const WiredPart& part : solved.wiring.parts)
        if (part.added && part.type->kind == PartKind::resistor)
            return part.tolerance.value_or(std::get<ResistorModel>(part.type->model).tolerance);
    return 0;
}

}  // namespace

Drawn draw_divider_pair(QuestionMaker& maker, Random& random) {
    if (step_downs(maker.varied(0)).empty()) return std::unexpected(no_step_down);
    for (int attempt = 0; attempt < 10; ++attempt) {
        const VariedBench& varied = maker.varied(random.below(rail_variations));
        const Crossing& c = *one_of(random, step_downs(varied));
        const Series series = random.below(2) ? Series::E12 : Series::E6;
        const std::vector<double> parts = values(series, 1e3, 8.2e3);
        std::vector<std::pair<double, double>> pairs;
        for (const double upper : parts)
            for (const double lower : parts)
                if (upper != lower) pairs.emplace_back(upper, lower);
        shuffle(random, pairs);
        TestQuestion q{.link = c.link->name, .point = c.receiver().label()};
        const JudgedBuild* works = nullptr;
        for (std::size_t k = 0; k < std::min<std::size_t>(pairs.size(), 24) && (q.options.size() < 4 || !works); ++k) {
            const JudgedBuild& build = maker.judged(varied, c, divider_recipe(c, pairs[k].first, pairs[k].second));
            const Worth is = worth(build);
            if (is == Worth::unclear || (is == Worth::works && works)) continue;
            if (is == Worth::wrong && q.options.size() == (works ? 4u : 3u)) continue;
            if (is == Worth::works) works = &build;
            q.options.push_back(option_of(build, fmt::format("{} above, {} below", print(Ohms{pairs[k].first}),
                                                             print(Ohms{pairs[k].second})), is == Worth::works));
        }
        if (!works || q.options.size() < 4) continue;
        q.solved = works->solved;
        q.given = {rail_sentence(*varied.bench.rail(c.driver().rail)),
                   rail_sentence(*varied.bench.rail(c.receiver().rail))};
        tell_receiver(q, *works, c);
        q.text = fmt::format(
            "A divider of two resistors ({}, {}) is to bring {} to {}. Which pair works: read for sure, and "
            "nowhere more than the pin stands?",
            name_of(series), print_percent(tolerance_of(*q.solved)), c.driver().label(), c.receiver().label());
        if (!settle_options(q, random)) continue;
        q.arithmetic =
            "tap = V * lower / (upper + lower), at the highest rail for what the pin stands, at the lowest high for "
            "what it reads";
        return q;
    }
    return std::unexpected("no set of pairs was found of which one works and the others are clearly out");
}

Drawn draw_divider_level(QuestionMaker& maker, Random& random) {
    if (step_downs(maker.varied(0)).empty()) return std::unexpected(no_step_down);
    for (int attempt = 0; attempt < 40; ++attempt) {
        const VariedBench& varied = maker.varied(random.below(rail_variations));
        const Crossing& c = *one_of(random, step_downs(varied));
        const std::vector<double> parts = values(Series::E12, 1e3, 8.2e3);
        const double upper = one_of(random, parts), lower = one_of(random, parts);
        if (upper == lower) continue;
        const JudgedBuild& build = maker.judged(varied, c, divider_recipe(c, upper, lower));
        if (build.verdict() > Verdict::unreadable || build.verdict() == Verdict::unknown) continue;
        const LevelBand *given = high_at(build, c.driver()), *band = high_at(build, c.receiver());
        if (!given || !band) continue;
        const double t = tolerance_of(*build.solved), highest = to_millivolts(given->hi);
        const auto tap = [&](double volts, double up, double low) { return volts * low / (up + low); };
        const double worked = tap(highest, upper * (1 - t), lower * (1 + t));
        if (std::abs(worked - band->hi) > 0.5 * tap_tolerance) continue;
        TestQuestion q{.link = c.link->name, .point = c.receiver().label()};
        q.given = {
            fmt::format("{} of R1 from {} to {}, and {} of R2 from there to ground, both {}.", print(Ohms{upper}),
                        c.driver().label(), c.receiver().label(), print(Ohms{lower}), print_percent(t)),
            fmt::format("When high, {} gives {} with nominal figures and at most {} with its rail at the highest. What "
                        "{} draws is left out.",
                        c.driver().label(), in_millivolts(given->nominal), in_millivolts(highest),
                        c.receiver().label())};
        q.text = fmt::format(
            "How high can {} get when {} is high and every tolerance is at its worst? Give volts with two decimals.",
            c.receiver().label(), c.driver().label());
        q.arithmetic =
            fmt::format("{:.4g} V * {:.4g} kΩ / ({:.4g} kΩ + {:.4g} kΩ) = {}", highest, lower * (1 + t) / 1e3,
                        upper * (1 - t) / 1e3, lower * (1 + t) / 1e3, in_millivolts(worked));
        q.figures = {{"drive", highest}, {"R1", upper}, {"R2", lower}, {"t", t}};
        q.numeric =
            NumericAnswer{.value = worked,
                          .tolerance = tap_tolerance,
                          .unit = "V",
                          .wrong = {{"nominal voltage and resistors", tap(given->nominal, upper, lower)},
                                    {"nominal voltage", tap(given->nominal, upper * (1 - t), lower * (1 + t))},
                                    {"nominal resistors", tap(highest, upper, lower)},
                                    {"resistors changed round", tap(highest, lower * (1 + t), upper * (1 - t))}}};
        q.sources = {"elementary circuit theory: unloaded divider",
                     source_of(varied.bench.rail(c.driver().rail)->volts.origin)};
        q.solved = build.solved;
        if (settle_number(q)) return q;
    }
    return std::unexpected("no divider was found whose worst case differs clearly from its nominal one");
}

}  // namespace voltsill
