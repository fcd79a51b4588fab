/// Readings against predictions: of the wanted build, and of the build as it is wired.
///
///     right: [read] meets [wanted] and [as wired];  plausible: [read] meets [as wired];  else impossible
///
/// with [read] widened by the error of the meter, so that a value copied from the sheet is not right for a
/// build that cannot show it. Where nothing defines a point any value is honest. The wanted window is that of the test
/// sheet (judging/link_readings.h) where it asks for the reading, else of the settled levels.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/fixed.h"
#include "teaching/marking_inside.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// To the millivolt: what is below is leakage and rounding.
constexpr double meter_step = 1e-3;

bool meets(const Span<Volts>& read, double lo, double hi) {
    return read.hi.si() >= lo - meter_step && read.lo.si() <= hi + meter_step;
}

std::string volts_words(double lo, double hi) {
    const auto one = [](double v) { return hundredths(v) + " V"; };
    return one(lo) == one(hi) ? one(lo) : one(lo) + " to " + one(hi);
}

Span<Volts> with_error(const LearnerReading& reading, const Rubric& rubric) {
    if (reading.own_error) return reading.volts;
    const double v = reading.volts.nominal.si();
    const double error = std::abs(v) * rubric.meter_share + rubric.meter_floor.si();
    return {Volts{v - error}, Volts{v}, Volts{v + error}};
}

/// Levels of the build at hand, found when first asked for.
class AsWired {
  public:
    AsWired(PreparedMarking::Inside& in, const LearnerBuild& build, const NetsJudged& judged)
        : in_(in), build_(build), judged_(judged) {}

    MeterReading at(int part, int pin, const std::vector<Told>& told, const std::string& state) {
        const std::string key = fmt::format("{}.{} {}", part, pin, state);
        const std::scoped_lock lock(judged_.reading);
        if (const auto known = judged_.readings.find(key); known != judged_.readings.end()) return known->second;
        if (!levels_) {
            wiring_ = wiring_of(in_.bench, in_.build.wiring, build_.placement);
            levels_ = std::make_unique<SettledLevels>(in_.bench, wiring_);
        }
        levels_->tell(told);
        constexpr std::size_t most_readings = 4096;
        if (judged_.readings.size() >= most_readings) judged_.readings.clear();
        return judged_.readings[key] = levels_->at(part, pin);
    }

  private:
    PreparedMarking::Inside& in_;
    const LearnerBuild& build_;
    const NetsJudged& judged_;
    Wiring wiring_;
    std::unique_ptr<SettledLevels> levels_;
};

bool same_state(const std::vector<Told>& a, const std::vector<Told>& b) {
    return std::ranges::is_permutation(a, b, [](const Told& x, const Told& y) {
        return x.part == y.part && x.pin == y.pin && x.high == y.high;
    });
}

class ReadingMarks {
  public:
    ReadingMarks(PreparedMarking::Inside& in, const Rubric& rubric, const LearnerBuild& build, const NetsJudged& judged)
        : in_(in), rubric_(rubric), build_(build), as_wired_(in, build, judged), planned_(judged.apart.both() == 0) {}

    std::vector<MarkedReading> run() {
        std::vector<char> used(build_.readings.size(), 0);
        for (const WantedReading& wanted : in_.readings) {
            MarkedReading best = of_level(wanted);
            for (std::size_t k = 0; k < build_.readings.size(); ++k) {
                const LearnerReading& reading = build_.readings[k];
                if (reading.part != wanted.part || reading.pin != wanted.pin || !same_state(reading.told, wanted.told))
                    continue;
                used[k] = 1;
                MarkedReading marked = of_level(wanted);
                mark(marked, reading);
                if (marked.mark < best.mark) best = std::move(marked);
            }
            out_.push_back(std::move(best));
        }
        for (std::size_t k = 0; k < used.size(); ++k)
            if (!used[k]) out_.push_back(extra(build_.readings[k]));
        return std::move(out_);
    }

  private:
    MarkedReading of_level(const WantedReading& wanted) const {
        const StateReading& level = wanted.level.reading;
        return {.point = level.point,
                .state = wanted.state,
                .lo = level.lo,
                .nominal = level.nominal,
                .hi = level.hi,
                .reason = fmt::format("no reading of {} with {}", level.point, wanted.state),
                .link = wanted.level.link};
    }

    MarkedReading extra(const LearnerReading& reading) {
        MarkedReading out{.point = reading.point, .state = reading.state};
        if (!reading.rail.empty()) {
            const Span<Volts>& volts = in_.bench.rail(reading.rail)->volts.span;
            out.lo = volts.lo.si(), out.nominal = volts.nominal.si(), out.hi = volts.hi.si();
            out.read = with_error(reading, rubric_);
            out.place = reading.place;
            const bool right = meets(*out.read, out.lo, out.hi);
            decide(out, right, right, "");
            return out;
        }
        if (!wanted_) wanted_ = std::make_unique<SettledLevels>(in_.bench, in_.base);
        wanted_->tell(reading.told);
        const MeterReading right = wanted_->at(reading.part, reading.pin);
        out.lo = right.lo, out.nominal = right.nominal, out.hi = right.hi;
        if (right.floats) out.lo = -most_volts, out.hi = most_volts;
        mark(out, reading);
        return out;
    }

    void mark(MarkedReading& out, const LearnerReading& reading) {
        out.read = with_error(reading, rubric_);
        out.place = reading.place;
        const bool right = meets(*out.read, out.lo, out.hi);
        if (right && planned_) return decide(out, true, true, "");
        const MeterReading now = as_wired_.at(reading.part, reading.pin, reading.told, reading.state);
        const bool honest = now.floats || !now.solved || meets(*out.read, now.lo, now.hi);
        decide(out, (right || planned_) && honest, honest, now.floats ? "nothing steady" : volts_words(now.lo, now.hi));
    }

    void decide(MarkedReading& out, bool right, bool honest, const std::string& shows) const {
        out.mark = right ? ReadingMark::right : honest ? ReadingMark::plausible : ReadingMark::impossible;
        const std::string read = volts_words(out.read->nominal.si(), out.read->nominal.si());
        const std::string at = out.state.empty() ? out.point : fmt::format("{} with {}", out.point, out.state);
        const std::string sheet = volts_words(out.lo, out.hi);
        out.reason.clear();
        if (right) return;
        if (honest)
            out.reason = fmt::format("{} at {} is what this build shows; the right build shows {}", read, at, sheet);
        else if (planned_ || shows.empty())
            out.reason = fmt::format("{} at {}: {} is right; measure again", read, at, sheet);
        else
            out.reason =
                fmt::format("{} at {}: this build shows {}, the right one {}; measure again", read, at, shows, sheet);
    }

    static constexpr double most_volts = highest_bench_volts.si();

    PreparedMarking::Inside& in_;
    const Rubric& rubric_;
    const LearnerBuild& build_;
    AsWired as_wired_;
    bool planned_;
    std::unique_ptr<SettledLevels> wanted_;
    std::vector<MarkedReading> out_;
};

}  // namespace

std::vector<MarkedReading> marked_readings(PreparedMarking::Inside& in, const Rubric& rubric,
                                           const LearnerBuild& build, const NetsJudged& judged) {
    return ReadingMarks(in, rubric, build, judged).run();
}

}  // namespace voltsill
