/// Expected readings: between which voltages a meter reads at a point while a driver is held.
///
/// The right window is the reading of the wiring that is built, with other rail tolerances. The others are
/// readings too: the same point for the other level, the driver itself, points of other links. They stand
/// 0.15 V or more apart from it, and from each other, so that a value belongs to one window.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "teaching/question_maker.h"

namespace voltsill {
namespace {

constexpr double window_gap = 0.15;  // V

double down_to_centivolt(double v) { return std::floor(v * 100 + 1e-6) / 100 + 0.0; }
double up_to_centivolt(double v) { return std::ceil(v * 100 - 1e-6) / 100 + 0.0; }

bool steady(const LinkReading& r) { return r.set != 'A' && r.reading.level != 'Z' && r.reading.level != 'X'; }

const char* held(char set) { return set == '1' ? "held high" : set == '0' ? "held low" : "let go"; }

double gap(const StateReading& a, const StateReading& b) { return std::max(a.lo - b.hi, b.lo - a.hi); }

QuestionOption window_of(const LinkReading& r, bool right) {
    QuestionOption option{.right = right, .lo = down_to_centivolt(r.reading.lo), .hi = up_to_centivolt(r.reading.hi)};
    option.hi = std::max(option.hi, option.lo + 0.01);
    option.text = fmt::format("{:.2f} V to {:.2f} V", option.lo, option.hi);
    option.why = right ? fmt::format("the reading: {} nominal, all tolerances within the window",
                                     in_millivolts(r.reading.nominal))
                       : fmt::format("that is {} with {} {}", r.reading.point, r.driver, held(r.set));
    return option;
}

}  // namespace

Drawn draw_reading(QuestionMaker& maker, Random& random) {
    for (int attempt = 0; attempt < 12; ++attempt) {
        const QuestionMaker::Read& read = maker.read(random.below(rail_variations));
        std::vector<const LinkReading*> asked, all;
        for (const LinkReading& r : read.readings) {
            if (!steady(r)) continue;
            all.push_back(&r);
            if (r.receiver) asked.push_back(&r);
        }
        if (asked.empty()) break;
        const LinkReading& r = *one_of(random, asked);
        shuffle(random, all);
        // The same point and its driver first: what a wrong idea of this link would read.
        std::ranges::stable_partition(all, [&](const LinkReading* o) { return o->link == r.link; });
        std::vector<const LinkReading*> taken{&r};
        for (const LinkReading* o : all)
            if (taken.size() < 4 && std::ranges::all_of(taken, [&](const LinkReading* t) {
                    return gap(o->reading, t->reading) >= window_gap;
                }))
                taken.push_back(o);
        if (taken.size() < 3) continue;
        TestQuestion q{.link = r.link, .point = r.reading.point};
        double nearest = 1e9;
        for (const LinkReading* t : taken) {
            q.options.push_back(window_of(*t, t == &r));
            if (t != &r) nearest = std::min(nearest, gap(t->reading, r.reading));
        }
        for (QuestionOption& option : q.options)
            if (option.right) option.distance = nearest;
        for (const Rail& rail : read.solved->bench.rails) q.given.push_back(rail_sentence(rail));
        q.given.push_back(
            fmt::format("The bench is wired as on the build sheet, all rails up. {} is {}; nobody else drives {}.",
                        r.driver, held(r.set), r.link));
        q.text = fmt::format("Between which voltages does a meter read at {} against ground, all tolerances included?",
                             r.reading.point);
        q.arithmetic =
            fmt::format("{}: {} nominal, {} at least, {} at most", r.reading.point, in_millivolts(r.reading.nominal),
                        in_millivolts(r.reading.lo), in_millivolts(r.reading.hi));
        q.figures = {{"lo", r.reading.lo},
                     {"hi", r.reading.hi},
                     {"set", r.set == '1'   ? 1.0
                             : r.set == '0' ? 0.0
                                            : 2.0}};
        q.sources = {fmt::format("computed for this wiring, state \"{}\"", r.reading.state)};
        q.solved = read.solved;
        if (settle_options(q, random)) return q;
    }
    return std::unexpected("no point of this bench has readings that differ clearly between levels and points");
}

}  // namespace voltsill
