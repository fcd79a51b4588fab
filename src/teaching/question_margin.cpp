/// Noise margins.
///
///     high margin = lowest high - VIH,   VIH = ratio * highest supply + offset
///     low margin  = VIL - highest low,   VIL = ratio * lowest supply + offset
///
/// Asked only where the level and the supply that sets the threshold do not move together, so that both
/// worst cases can happen at once; the judge's margin has to agree to a millivolt.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "teaching/question_maker.h"

namespace voltsill {
namespace {

constexpr double tolerance_asked = 0.012;  // V: half of 0.01 V, and a millivolt for each of two given figures

std::string threshold_words(const Level& level) {
    if (level.ratio == 0) return in_millivolts(level.offset.si());
    if (std::abs(level.offset.si()) < 5e-4) return fmt::format("{:.4g} of its supply", level.ratio);
    return fmt::format("{:.4g} of its supply {} {}", level.ratio, level.offset.si() < 0 ? "less" : "and",
                       in_millivolts(std::abs(level.offset.si())));
}

std::string threshold_arithmetic(const Level& level, Volts supply) {
    if (level.ratio == 0) return "";
    const std::string offset =
        std::abs(level.offset.si()) < 5e-4
            ? ""
            : fmt::format(" {} {:.3f} V", level.offset.si() < 0 ? "-" : "+", std::abs(level.offset.si()));
    return fmt::format("{:.4g} * {}{} = {}\n", level.ratio, in_millivolts(supply.si()), offset,
                       in_millivolts(level.at(supply).si()));
}

const LevelBand* band_at(const LinkJudgement& link, const Finding& f, bool high) {
    for (const LevelBand& band : link.levels)
        if (band.high == high && f.value->what.ends_with(" at " + band.point)) return &band;
    return nullptr;
}

std::optional<TestQuestion> asked_of(const JudgedBuild& build, const Finding& f) {
    const QuestionCase& solved = *build.solved;
    const bool high = f.code == "high-level";
    const int p = solved.wiring.part(f.part);
    if (p < 0 || !f.value || !f.limit) return std::nullopt;
    const WiredPart& part = solved.wiring.parts[p];
    const Pin& pin = part.type->pins[part.type->pin_index(f.pin)];
    const Rail* rail = rail_of(solved, part, pin);
    const LevelBand* band = band_at(build.link(), f, high);
    if (!rail || !band) return std::nullopt;
    const auto thresholds = thresholds_over(pin, rail->volts.span);
    if (!thresholds) return std::nullopt;
    const Level& level = high ? thresholds->high : thresholds->low;
    const Volts worst_supply = high ? rail->volts.span.hi : rail->volts.span.lo;
    const double arrives = to_millivolts(f.value->value), limit = level.at(worst_supply).si();
    const double sign = high ? 1 : -1, margin = sign * (arrives - limit);
    if (std::abs(margin - f.margin) > 1.5e-3) return std::nullopt;  // level and supply move together

    TestQuestion q{.link = build.link().link, .point = band->point};
    const char* word = high ? "high" : "low";
    for (const Rail& r : solved.bench.rails)
        if (r.name == rail->name) q.given.push_back(rail_sentence(r));
    q.given.push_back(fmt::format("With every tolerance at its worst, a {} at {} is never {} {}.", word, band->point,
                                  high ? "below" : "above", in_millivolts(arrives)));
    q.given.push_back(fmt::format("{} ({}) runs from rail {}. It reads a {} for sure from {} {}.", part.name,
                                  part.type->name, rail->name, word, threshold_words(level), high ? "up" : "down"));
    q.text = fmt::format("How large is the {} margin at {} in the worst case? Give volts with two decimals.", word,
                         band->point);
    q.arithmetic =
        threshold_arithmetic(level, worst_supply) +
        (high ? fmt::format("{} - {} = {}", in_millivolts(arrives), in_millivolts(limit), in_millivolts(margin))
              : fmt::format("{} - {} = {}", in_millivolts(limit), in_millivolts(arrives), in_millivolts(margin)));
    q.figures = {
        {"level", arrives}, {"ratio", level.ratio}, {"offset", level.offset.si()}, {"supply", worst_supply.si()}};
    NumericAnswer answer{.value = f.margin, .tolerance = tolerance_asked, .unit = "V"};
    if (level.ratio > 0)
        answer.wrong.push_back({"nominal rail in place of the worst one",
                                sign * (arrives - level.at(rail->volts.span.nominal).si())});
    answer.wrong.push_back({"nominal level in place of the worst one", sign * (band->nominal - limit)});
    if (limit > 0) answer.wrong.push_back({"threshold left out", arrives});
    q.numeric = std::move(answer);
    cite(q, f.value->origin);
    cite(q, f.limit->origin);
    q.solved = build.solved;
    if (!settle_number(q)) return std::nullopt;
    return q;
}

/// Nothing is wrong with the build but, maybe, its levels: a part that its rail does not suit is no example.
bool only_levels_matter(const JudgedBuild& build) {
    return std::ranges::none_of(build.solved->judgement.findings, [&](const Finding& f) {
        const int p = build.solved->wiring.part(f.part);
        const bool ours = f.link == build.link().link || (p >= 0 && build.solved->wiring.parts[p].added);
        return ours && f.verdict > Verdict::thin && f.code != "high-level" && f.code != "low-level";
    });
}

}  // namespace

Drawn draw_noise_margin(QuestionMaker& maker, Random& random) {
    if (pushed_crossings(maker.varied(0)).empty())
        return std::unexpected(
            "no link goes one way from an output that drives both levels to an input on another rail");
    for (int attempt = 0; attempt < 120; ++attempt) {
        const VariedBench& varied = maker.varied(random.below(rail_variations));
        const Crossing& c = *one_of(random, pushed_crossings(varied));
        std::vector<Recipe> recipes = buffer_recipes(c);
        if (!c.down()) recipes.insert(recipes.end(), 3, direct_recipe());
        if (recipes.empty()) continue;
        const JudgedBuild& build = maker.judged(varied, c, one_of(random, recipes));
        if (!only_levels_matter(build)) continue;
        std::vector<const Finding*> levels;
        for (const Finding& f : build.solved->judgement.findings)
            if (f.link == c.link->name && (f.code == "high-level" || f.code == "low-level")) levels.push_back(&f);
        if (levels.empty()) continue;
        if (auto question = asked_of(build, *one_of(random, levels))) return std::move(*question);
    }
    return std::unexpected("no variation was found whose margin differs clearly from what the nominal figures give");
}

}  // namespace voltsill
