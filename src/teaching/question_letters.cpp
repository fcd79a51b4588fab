/// Which letters of a part number work, and what is harmless while a rail is off.
///
/// Every option is a part on the receiver's rail (or no part, or a divider), wired and judged. It is right
/// when nothing is worse than thin, with room of 0.05 V; wrong when a number is out by 0.1 V or more; anything
/// in between, or that leans on a figure nobody states, is not offered.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "quantity/print.h"
#include "teaching/question_maker.h"

namespace voltsill {
namespace {

const char* const no_crossing =
    "no link goes one way from an output that drives both levels to an input on another rail";

std::string function_words(const PartType& type) { return type.family + " " + type.function; }

bool limit_touched(const JudgedBuild& build) {
    return std::ranges::any_of(build.solved->judgement.findings, [](const Finding& f) {
        return f.verdict > Verdict::safe && (f.code.starts_with("over-voltage") || f.code == "above-recommended" ||
                                             f.code == "back-powering");
    });
}

void describe_ends(TestQuestion& q, const VariedBench& varied, const Crossing& c) {
    q.given = {rail_sentence(*varied.bench.rail(c.driver().rail)), rail_sentence(*varied.bench.rail(c.receiver().rail)),
               fmt::format("{} drives from rail {}; {} reads on rail {}.", c.driver().label(), c.driver().rail,
                           c.receiver().label(), c.receiver().rail)};
}

/// The worst harm while `rail` is down; null: none.
const Finding* harm_without(const JudgedBuild& build, const std::string& rail, bool& grey) {
    const Finding* worst = nullptr;
    for (const Finding& f : build.solved->judgement.findings) {
        if (f.state.find(rail + " down") == std::string::npos) continue;
        grey |= f.verdict == Verdict::unknown || f.verdict == Verdict::thin;
        if (f.verdict == Verdict::harmful && (!worst || f.margin < worst->margin)) worst = &f;
    }
    return worst;
}

std::vector<Recipe> joins_of(const Crossing& c, Random& random) {
    std::vector<Recipe> out = buffer_recipes(c, "541");
    const std::vector<Recipe> more = buffer_recipes(c, "125");
    out.insert(out.end(), more.begin(), more.end());
    for (Recipe& r : out) r.title = fmt::format("{} on rail {}", r.title, c.receiver().rail);
    out.push_back(direct_recipe());
    if (c.down()) out.push_back(divider_recipe(c, 2.2e3, 3.3e3));
    shuffle(random, out);
    return out;
}

}  // namespace

Drawn draw_letters(QuestionMaker& maker, Random& random) {
    if (pushed_crossings(maker.varied(0)).empty()) return std::unexpected(no_crossing);
    static const std::vector<std::string> functions{"541", "125", "244", "245"};
    for (int attempt = 0; attempt < 24; ++attempt) {
        const VariedBench& varied = maker.varied(random.below(rail_variations));
        const Crossing& c = *one_of(random, pushed_crossings(varied));
        std::vector<Recipe> recipes = buffer_recipes(c, one_of(random, functions));
        shuffle(random, recipes);
        TestQuestion q{.link = c.link->name, .point = c.receiver().label()};
        bool works = false;
        for (const Recipe& recipe : recipes) {
            const JudgedBuild& build = maker.judged(varied, c, recipe);
            QuestionOption option{.text = function_words(*recipe.ic), .solved = build.solved};
            if (build.verdict() <= Verdict::thin && !works && !limit_touched(build) && room_of(build) >= clear_room) {
                works = option.right = true;
                option.distance = room_of(build);
                option.why = fmt::format("margins {} and {}", in_millivolts(build.link().high_margin.value_or(0)),
                                         in_millivolts(build.link().low_margin.value_or(0)));
                q.solved = build.solved;
                cite(q, recipe.ic->origin);
            } else if (build.verdict() > Verdict::unknown && q.options.size() - works < 3) {
                option.distance = distance_of(*build.worst);
                if (!option.distance || *option.distance < clearly_wrong) continue;
                option.why = said(*build.worst);
                cite(q, build.worst->limit->origin);
            } else {
                continue;
            }
            q.options.push_back(std::move(option));
        }
        if (!works || q.options.size() < 3) continue;
        describe_ends(q, varied, c);
        q.given.push_back(
            fmt::format("A {} stands between, supplied by rail {}; enables and direction are strapped as they "
                        "should be. The tables of the families are at hand.",
                        recipes.front().ic->function, c.receiver().rail));
        q.text =
            "With which letters does it work: read for sure, and no pin above what it stands, "
            "in every state of the rails?";
        q.arithmetic =
            "High margin = lowest high - VIH at the highest supply; an input stands supply + 0.5 V or so with a "
            "diode to its supply, a fixed voltage without";
        if (settle_options(q, random)) return q;
    }
    return std::unexpected("no function was found of which one family works and others are clearly out");
}

Drawn draw_rail_off(QuestionMaker& maker, Random& random) {
    if (pushed_crossings(maker.varied(0)).empty()) return std::unexpected(no_crossing);
    for (int attempt = 0; attempt < 24; ++attempt) {
        const VariedBench& varied = maker.varied_apart(random.below(rail_variations));
        const Crossing& c = *one_of(random, pushed_crossings(varied));
        const std::string& rail = c.receiver().rail;
        TestQuestion q{.link = c.link->name, .point = c.receiver().label()};
        bool works = false;
        std::set<std::string> families;
        for (const Recipe& recipe : joins_of(c, random)) {
            if (recipe.ic && !families.insert(recipe.ic->family).second) continue;
            const JudgedBuild& build = maker.judged(varied, c, recipe);
            bool grey = false;
            const Finding* harm = harm_without(build, rail, grey);
            QuestionOption option{.text = recipe.title, .right = !harm, .solved = build.solved};
            if (!harm) {
                if (grey || works || build.verdict() > Verdict::thin) continue;
                works = true;
                option.why = "nothing is taken beyond what it stands";
                q.solved = build.solved;
                if (recipe.ic) cite(q, recipe.ic->origin);
            } else {
                option.distance = distance_of(*harm);
                if (!option.distance || *option.distance < clearly_wrong || q.options.size() - works == 3) continue;
                option.why = said(*harm);
                cite(q, harm->limit->origin);
            }
            q.options.push_back(std::move(option));
        }
        if (!works || q.options.size() < 3) continue;
        describe_ends(q, varied, c);
        q.given.push_back("Here each rail comes from a supply of its own.");
        q.text = fmt::format(
            "Rail {} is off, the other rails stay on, and {} is high. Which of these joins {} to {} without harm?",
            rail, c.driver().label(), c.driver().label(), c.receiver().label());
        q.arithmetic =
            "Without supply a pin with a diode to its supply stands some 0.5 V; what comes in lifts the dead rail";
        if (settle_options(q, random)) return q;
    }
    return std::unexpected(
        "with one rail off, no set of joins was found of which one is harmless and the others clearly harm");
}

}  // namespace voltsill
