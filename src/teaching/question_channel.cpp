/// Which pin carries channel n.
///
/// Options are pins of the package: the channel's output, the pin that faces its input (N + 1 - n), the pin
/// beside the output, the output of the next channel. For each the receiver's wire is moved to that pin and
/// the wiring judged: one of them gets the signal there.
#include <fmt/format.h>

#include <algorithm>

#include "teaching/question_maker.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// The receiver's pin, moved to another pin of the package.
CasePtr moved(const QuestionCase& from, const Crossing& c, int ic, int output, int pin) {
    auto out = std::make_shared<QuestionCase>(from);
    Wiring& w = out->wiring;
    NetId& source = w.parts[ic].net_of_pin[output];
    const NetId receivers = source;
    if (pin != output) {
        source = unconnected;
        NetId& wanted = w.parts[ic].net_of_pin[pin];
        if (wanted == unconnected)
            wanted = receivers;
        else
            for (const Side& side : c.to) w.connect(w.part(side.bench_part->name), side.facts->name, wanted);
    }
    out->judgement = judge(out->bench, w);
    return out;
}

bool arrives(const QuestionCase& solved) { return solved.judgement.links[0].verdict <= Verdict::thin; }

/// Those that are built, if any of them is wanted and there.
std::vector<Recipe> packages_with_channels(const QuestionMaker& maker, const Crossing& c, bool as_built) {
    std::vector<Recipe> all = buffer_recipes(c), built;
    std::erase_if(all, [](const Recipe& r) { return r.ic->channels.size() < 4; });
    for (const Recipe& r : all)
        for (const WiredPart& part : maker.wiring().parts)
            if (part.added && part.type->name == r.ic->name) built.push_back(r);
    return built.empty() || !as_built ? all : built;
}

}  // namespace

Drawn draw_channel_pin(QuestionMaker& maker, Random& random) {
    if (pushed_crossings(maker.varied(0)).empty())
        return std::unexpected(
            "no link goes one way from an output that drives both levels to an input on another rail");
    const VariedBench& varied = maker.varied(0);
    for (int attempt = 0; attempt < 40; ++attempt) {
        const Crossing& c = *one_of(random, pushed_crossings(varied));
        const std::vector<Recipe> recipes = packages_with_channels(maker, c, attempt < 20);
        if (recipes.empty()) continue;
        const Recipe& recipe = one_of(random, recipes);
        const int n = random.below(static_cast<int>(recipe.ic->channels.size()));
        const JudgedBuild& build = maker.judged(varied, c, recipe, n);
        if (build.verdict() > Verdict::thin) continue;
        const QuestionCase& solved = *build.solved;
        const int ic = solved.wiring.part("U1");
        if (ic < 0 || !solved.wiring.parts[ic].package) continue;
        const WiredPart& part = solved.wiring.parts[ic];
        const Channel& channel = part.type->channels[n];
        const int pins = static_cast<int>(part.package->pin_of_number.size());
        const int in = number_of(part, channel.inputs[0]), out = number_of(part, channel.output);
        const auto output_after = [&](int more) {
            return number_of(part, part.type->channels[(n + more) % part.type->channels.size()].output);
        };
        const auto wrap = [&](int number) { return (number - 1 + pins) % pins + 1; };
        std::vector<int> numbers{
            out, pins + 1 - in, wrap(out + 1), wrap(out - 1), output_after(1), output_after(2), output_after(3)};
        TestQuestion q{.link = c.link->name,
                   .point = c.receiver().label()};
        for (const int number : numbers) {
            const std::string text = fmt::format("pin {}", number);
            if (q.options.size() == 4 || std::ranges::find(q.options, text, &QuestionOption::text) != q.options.end())
                continue;
            const int pin = number < 1 ? -1 : part.package->pin_of_number[static_cast<std::size_t>(number - 1)];
            if (pin < 0) continue;
            const CasePtr tried = moved(solved, c, ic, channel.output, pin);
            const bool right = arrives(*tried);
            q.options.push_back({.text = text,
                                 .right = right,
                                 .why = right
                                            ? fmt::format("{} is the output of this channel", part.type->pins[pin].name)
                                            : fmt::format("pin {} is {}: the signal does not get there{}", number,
                                                          part.type->pins[pin].name,
                                                          number == pins + 1 - in ? "; it only faces the input" : ""),
                                 .solved = tried});
        }
        if (q.options.size() < 4) continue;
        q.given = {
            fmt::format(
                "U1 is {} in a {}, on rail {}. Seen from above with the notch up, pin 1 is at the upper left, and "
                "numbers run down that side and up the other.",
                part.type->name, part.package->name, c.receiver().rail),
            fmt::format("{} goes into pin {}.", c.driver().label(), in)};
        q.text = fmt::format("To which pin does the wire from {} go?", c.receiver().label());
        q.arithmetic = fmt::format("pin {} is {}; its output {} is pin {}. Facing pin {} is pin {} + 1 - {} = {}.", in,
                                   part.type->pins[channel.inputs[0]].name, part.type->pins[channel.output].name, out,
                                   in, pins, in, pins + 1 - in);
        q.figures = {{"in", static_cast<double>(in)}, {"pins", static_cast<double>(pins)}};
        cite(q, part.type->origin);
        if (settle_options(q, random)) return q;
    }
    return std::unexpected("no buffer with four channels or more carries a link of this bench");
}

}  // namespace voltsill
