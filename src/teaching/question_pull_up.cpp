/// The window of a pull-up on an I2C bus.
///
///     Rp min = (VDD max - VOL) / IOL        Rp max = tr / (0.8473 Cb)        UM10204 rev 7.0, 7.1
///
/// tr from 30 % to 70 %: ln(0.7 / 0.3) = 0.8473. Cb is what the judge counts (pins and wires), VDD the rail's
/// with its tolerance. Both ends are held against the judge: five per cent beyond, it finds a bus that is too
/// slow, or a sink that takes too much; five per cent within, it does not.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "quantity/rise.h"
#include "teaching/question_maker.h"

namespace voltsill {
namespace {

constexpr double low_level = 0.4, sink = 3e-3;  // V, A: UM10204 rev 7.0, table 10
constexpr double beyond = 1.05, within = 0.95;

struct Mode {
    const char* name;
    double rate, rise;
};
constexpr Mode modes[] = {{"Standard-mode, 100 kHz", 100e3, 1000e-9}, {"Fast-mode, 400 kHz", 400e3, 300e-9}};
constexpr double wires[] = {40e-12, 60e-12, 80e-12, 120e-12, 160e-12};  // F: a few to some twenty decimetres

/// Ends of a bus on one rail, with nothing of their own to pull up that stays.
struct Segment {
    Bench bench;
    std::string rail;
};

std::vector<Segment> segments_of(const Bench& bench) {
    std::vector<Segment> out;
    for (const Link& link : bench.links) {
        if (link.kind != LinkKind::open_drain || link.bus != "I2C") continue;
        std::vector<PinRef> ends = link.from;
        ends.insert(ends.end(), link.to.begin(), link.to.end());
        for (const Rail& rail : bench.rails) {
            Segment s{.bench = bench, .rail = rail.name};
            Link part = link;
            part.from.clear(), part.to.clear();
            s.bench.parts.clear();
            bool fixed = false;
            for (const PinRef& end : ends) {
                BenchPart p = *bench.part(end.part);
                const Pin& pin = p.type->pins[p.type->pin_index(end.pin)];
                if (pin.supply < 0) continue;
                const std::string& port = p.type->supplies[pin.supply].name;
                const bool here = rail.from == p.name + "." + port ||
                                  std::ranges::find(p.supplies, std::pair{port, rail.name}) != p.supplies.end();
                if (!here) continue;
                for (const Pull& pull : pin.pulls) fixed |= !pull.removable;
                if (std::ranges::find(p.pulls_removed, end.pin) == p.pulls_removed.end() && !pin.pulls.empty())
                    p.pulls_removed.push_back(end.pin);
                (part.from.empty() ? part.from : part.to).push_back(end);
                if (!s.bench.part(p.name)) s.bench.parts.push_back(std::move(p));
            }
            if (part.from.empty() || fixed) continue;
            s.bench.links = {part};
            out.push_back(std::move(s));
        }
    }
    return out;
}

CasePtr with_pull_up(const Bench& bench, const std::string& rail, double ohms) {
    auto out = std::make_shared<QuestionCase>(QuestionCase{bench, wire_directly(bench), {}});
    const PinRef& driver = bench.links[0].from.front();
    NetId line = out->wiring.net_at(driver.part, driver.pin);
    if (line < 0) {  // alone on its segment: the wire that the rest of the bus will hang on
        line = out->wiring.add_net(bench.links[0].name);
        out->wiring.connect(out->wiring.part(driver.part), driver.pin, line);
    }
    add_pull_up(bench, out->wiring, ohms, rail, line, bench.links[0].name);
    out->wiring.parts.back().tolerance = 0.0;  // asked is the resistance itself
    out->judgement = judge(out->bench, out->wiring);
    return out;
}

const Finding* finding_of(const QuestionCase& solved, const char* code) {
    const auto f = std::ranges::find(solved.judgement.findings, code, &Finding::code);
    return f == solved.judgement.findings.end() ? nullptr : &*f;
}

bool bad(const QuestionCase& solved, const char* code) {
    const Finding* f = finding_of(solved, code);
    return f && f->verdict > Verdict::thin;
}

/// The judge changes its mind between these two resistances.
bool judge_agrees(const Bench& bench, const std::string& rail, double good, double wrong, const char* code) {
    return !bad(*with_pull_up(bench, rail, good), code) && bad(*with_pull_up(bench, rail, wrong), code);
}

double three_digits(double x) {
    const double step = std::pow(10.0, std::floor(std::log10(x)) - 2);
    return std::round(x / step) * step;
}

NumericAnswer ohms_answer(double ohms) {
    return {.dimension = Dimension::resistance,
            .value = ohms,
            .tolerance = 0.01 * ohms,
            .unit = "Ω",
            .unit_size = 1,
            .decimals = 0};
}

}  // namespace

Drawn draw_pull_up(QuestionMaker& maker, Random& random) {
    if (segments_of(maker.varied(0).bench).empty())
        return std::unexpected("no I2C bus has a stretch whose pull-ups can all be taken off");
    for (int attempt = 0; attempt < 12; ++attempt) {
        Segment s = one_of(random, segments_of(maker.varied(random.below(rail_variations)).bench));
        const Mode& mode = modes[random.below(2)];
        s.bench.wishes.wire_capacitance = Farads{wires[random.below(5)]};
        s.bench.links[0].rate = Hertz{mode.rate};
        const Rail& rail = *s.bench.rail(s.rail);
        const bool least = random.below(2) == 0;
        TestQuestion q{.link = s.bench.links[0].name,
                   .point = s.bench.links[0].from[0].part + "." + s.bench.links[0].from[0].pin};
        q.given = {rail_sentence(rail), fmt::format("The line {} is an I2C bus, {}. Its pull-ups go to rail {}.",
                                                    q.link, mode.name, s.rail)};
        if (least) {
            const double ohms = (rail.volts.span.hi.si() - low_level) / sink;
            if (!judge_agrees(s.bench, s.rail, beyond * ohms, within * ohms, "sink-current")) continue;
            q.solved = with_pull_up(s.bench, s.rail, beyond * ohms);
            q.given.push_back("An output that pulls low takes 3 mA at 0.4 V, and no more is asked of it.");
            q.text =
                "What is the least resistance that all pull-ups together may have, with the rail at its worst? "
                "Give whole ohms.";
            q.arithmetic = fmt::format("({:.4g} V - 0.4 V) / 3 mA = {:.0f} Ω", rail.volts.span.hi.si(), ohms);
            q.figures = {{"rail", rail.volts.span.hi.si()}, {"VOL", low_level}, {"IOL", sink}};
            q.numeric = ohms_answer(ohms);
            q.numeric->wrong = {{"nominal rail", (rail.volts.span.nominal.si() - low_level) / sink},
                                {"0.4 V of the output left out", rail.volts.span.hi.si() / sink}};
        } else {
            const CasePtr probe = with_pull_up(s.bench, s.rail, 2.2e3);
            const Finding* rise = finding_of(*probe, "bus-rise-time");
            if (!rise || !rise->value) continue;
            const double farads = three_digits(rise->value->value / (std::log(7.0 / 3.0) * 2.2e3));
            const double ohms = mode.rise / (std::log(7.0 / 3.0) * farads);
            if (!judge_agrees(s.bench, s.rail, within * ohms, beyond * ohms, "bus-rise-time")) continue;
            q.solved = with_pull_up(s.bench, s.rail, within * ohms);
            q.given.push_back(fmt::format("Pins and wires of the line come to {} in all.", print(Farads{farads})));
            q.given.push_back(
                fmt::format("This mode allows {} from 30 % to 70 % of the swing.", print(Seconds{mode.rise})));
            q.text = "What is the largest resistance that all pull-ups together may have? Give whole ohms.";
            q.arithmetic = fmt::format("{} / (ln(0.7 / 0.3) * {}) = {:.0f} Ω", print(Seconds{mode.rise}),
                                       print(Farads{farads}), ohms);
            q.figures = {{"tr", mode.rise}, {"Cb", farads}};
            q.numeric = ohms_answer(ohms);
            q.numeric->wrong = {{"10 % to 90 %: ln 9 in place of ln(0.7 / 0.3)", mode.rise / (rise_factor * farads)},
                                {"one time constant", mode.rise / farads}};
        }
        q.sources = {"standard: UM10204 rev 7.0, tables 10 and 11, section 7.1"};
        if (settle_number(q)) return q;
    }
    return std::unexpected("no pull-up was found on whose limits the judge and the standard's two formulas agree");
}

}  // namespace voltsill
