#include "teaching/question_maker.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "parts/words.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

void set_tolerances(Bench& bench, int variation) {
    for (std::size_t k = 0; k < bench.rails.size(); ++k) {
        Span<Volts>& volts = bench.rails[k].volts.span;
        const double nominal = std::round(volts.nominal.si() * 100) / 100;
        volts = Span<Volts>::within(
            Volts{nominal}, rail_tolerances[(static_cast<std::size_t>(variation) + 2 * k) % rail_variations]);
    }
}

/// Rails that parts make become supplies of their own, joined to the same pins and switched apart.
void set_apart(Bench& bench) {
    for (Rail& rail : bench.rails) {
        rail.switch_group = rail.name;
        const std::size_t dot = rail.from.find('.');
        if (dot == std::string::npos) continue;
        for (BenchPart& part : bench.parts)
            if (part.name == rail.from.substr(0, dot)) part.supplies.emplace_back(rail.from.substr(dot + 1), rail.name);
        rail.from.clear();
    }
}

bool pushes_both_ways(const Side& side) {
    const PinRole role = side.facts->role;
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::io;
}

}  // namespace

const VariedBench& QuestionMaker::made(int variation, bool apart) {
    const int key = variation + (apart ? rail_variations : 0);
    auto& made = varied_[key];
    if (!made) {
        made = std::make_unique<VariedBench>(VariedBench{key, bench_, {}});
        set_tolerances(made->bench, variation);
        if (apart) set_apart(made->bench);
        made->crossings = crossings_of(made->bench);
    }
    return *made;
}

const VariedBench& QuestionMaker::varied(int variation) { return made(variation, false); }
const VariedBench& QuestionMaker::varied_apart(int variation) { return made(variation, true); }

const JudgedBuild& QuestionMaker::judged(const VariedBench& from, const Crossing& crossing, const Recipe& recipe,
                                         int channel) {
    const std::string key = fmt::format("{}|{}|{}|{}|{}|{}", from.variation, crossing.link->name,
                                        crossing.driver().label(), crossing.receiver().label(), recipe.title, channel);
    if (const auto at = judged_.find(key); at != judged_.end()) return at->second;
    const CrossingBuild build = build_on(crossing, recipe, channel);
    auto solved =
        std::make_shared<QuestionCase>(QuestionCase{build.bench, build.wiring, judge(build.bench, build.wiring)});
    JudgedBuild out{solved, {}};
    if (const Finding* worst = worst_of(solved->judgement, build, recipe)) out.worst = *worst;
    if (!out.worst && !solved->judgement.trouble.empty())
        out.worst = Finding{.code = "not-solved", .verdict = Verdict::unknown, .sentence = solved->judgement.trouble};
    return judged_.emplace(key, std::move(out)).first->second;
}

const QuestionMaker::Read& QuestionMaker::read(int variation) {
    const auto at = read_.find(variation);
    if (at != read_.end()) return at->second;
    const Bench& bench = varied(variation).bench;
    Read out{std::make_shared<QuestionCase>(QuestionCase{bench, wiring_, {}}), link_readings(bench, wiring_)};
    return read_.emplace(variation, std::move(out)).first->second;
}

std::vector<const Crossing*> pushed_crossings(const VariedBench& varied) {
    std::vector<const Crossing*> out;
    for (const Crossing& c : varied.crossings) {
        if (c.link->kind != LinkKind::logic || !c.refusal.empty() || c.from.size() != 1) continue;
        if (c.driver().rail.empty() || c.receiver().rail.empty() || c.driver().rail == c.receiver().rail) continue;
        if (!pushes_both_ways(c.driver()) || c.receiver().facts->load ||
            c.receiver().facts->role == PinRole::analog_input)
            continue;
        out.push_back(&c);
    }
    return out;
}

std::vector<Recipe> buffer_recipes(const Crossing& crossing, std::string_view function) {
    std::vector<Recipe> out;
    for (const auto& type : crossing.bench->catalogue->types()) {
        if (type->kind != PartKind::logic || type->supplies.size() != 1 || type->channels.empty()) continue;
        if (!function.empty() && type->function != function) continue;
        const Channel& first = type->channels.front();
        if ((first.logic != ChannelLogic::buffer && first.logic != ChannelLogic::transceiver) || first.output < 0 ||
            first.inputs.size() != 1 || type->pins[first.output].role == PinRole::open_drain)
            continue;
        if (std::ranges::none_of(type->packages, &Package::fits_board)) continue;
        out.push_back({.title = type->name,
                       .ic = type,
                       .ic_rails = {{type->supplies[0].name, crossing.receiver().rail}}});
    }
    return out;
}

Recipe direct_recipe() {
    Recipe recipe{.title = "one wire"};
    recipe.assemble = [](Wiring& w, NetId driver, NetId receiver) { w.merge(driver, receiver); };
    return recipe;
}

Recipe divider_recipe(const Crossing& crossing, double upper, double lower) {
    Recipe recipe{.title = fmt::format("{} over {}", print(Ohms{upper}), print(Ohms{lower}))};
    recipe.assemble = [bench = crossing.bench, upper, lower](Wiring& w, NetId driver, NetId receiver) {
        add_resistor(*bench, w, upper, driver, receiver, "upper resistor");
        add_resistor(*bench, w, lower, receiver, w.ground(), "lower resistor");
    };
    return recipe;
}

const Rail* rail_of(const QuestionCase& solved, const WiredPart& part, const Pin& pin) {
    for (std::size_t k = 0; k < part.type->pins.size(); ++k) {
        const Pin& supply = part.type->pins[k];
        if (supply.role != PinRole::supply || supply.supply != pin.supply || part.net_of_pin[k] < 0) continue;
        return solved.bench.rail(solved.wiring.nets[part.net_of_pin[k]].rail);
    }
    return nullptr;
}

std::optional<double> distance_of(const Finding& finding) {
    if (finding.dimension != Dimension::voltage || !finding.value || !finding.limit) return std::nullopt;
    return std::abs(finding.margin);
}

double room_of(const JudgedBuild& build) {
    const LinkJudgement& link = build.link();
    double room = std::min(link.high_margin.value_or(0), link.low_margin.value_or(0));
    for (const LevelBand& band : link.levels)
        if (band.limit_max && band.threshold) room = std::min(room, *band.limit_max - band.hi);
    return room;
}

std::string said(const Finding& finding) {
    if (finding.arithmetic.empty()) return finding.sentence;
    return fmt::format("{} ({})", finding.sentence, finding.arithmetic);
}

std::string source_of(const Provenance& origin) {
    for (const auto& [word, certainty] : certainty_words())
        if (certainty == origin.certainty)
            return fmt::format("{}{}{}{}", word, origin.source.empty() ? "" : ": ", origin.source,
                               origin.from_memory ? " (from memory)" : "");
    return origin.source;
}

void cite(TestQuestion& question, const Provenance& origin) {
    const std::string source = source_of(origin);
    if (std::ranges::find(question.sources, source) == question.sources.end()) question.sources.push_back(source);
}

std::string rail_sentence(const Rail& rail) { return fmt::format("Rail {}: {}.", rail.name, print(rail.volts.span)); }

std::string in_millivolts(double volts) { return fmt::format("{:.3f} V", to_millivolts(volts)); }
double to_millivolts(double volts) { return std::round(volts * 1e3) / 1e3 + 0.0; }

bool settle_options(TestQuestion& question, Random& random) {
    std::set<std::string> texts;
    for (const QuestionOption& option : question.options) texts.insert(option.text);
    if (texts.size() != question.options.size() || question.options.size() < 2) return false;
    if (std::ranges::count_if(question.options, &QuestionOption::right) != 1) return false;
    shuffle(random, question.options);
    double nearest = 1e9;
    for (std::size_t k = 0; k < question.options.size(); ++k) {
        question.options[k].letter = std::string(1, static_cast<char>('A' + k));
        if (question.options[k].distance) nearest = std::min(nearest, *question.options[k].distance);
        if (question.options[k].right && !question.solved) question.solved = question.options[k].solved;
    }
    question.distance = nearest < 1e9 ? nearest : 0;
    return true;
}

bool settle_number(TestQuestion& question) {
    const NumericAnswer& answer = *question.numeric;
    question.distance = 1e300;
    for (const WrongPath& wrong : answer.wrong)
        question.distance = std::min(question.distance, std::abs(wrong.value - answer.value));
    return question.distance > 2 * answer.tolerance;
}

std::string answer_words(const NumericAnswer& answer) {
    return fmt::format("{:.{}f} {}", answer.value / answer.unit_size + 0.0, answer.decimals, answer.unit);
}

std::string right_letter(const TestQuestion& question) {
    const auto right = std::ranges::find_if(question.options, &QuestionOption::right);
    return right == question.options.end() ? "" : right->letter;
}

}  // namespace voltsill
