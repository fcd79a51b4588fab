#include "signals/link_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <thread>

#include "signals/sampling.h"
#include "signals/statistics.h"

namespace voltsill {
namespace {

constexpr std::uint64_t samples_a_thread = 48;
constexpr std::size_t influences_shown = 5;

/// What one sample leaves behind.
struct Sample {
    RunEnd end = RunEnd::no_start;
    std::vector<double> figures;  ///< by planned measure; NaN: not there
    std::vector<double> values;   ///< of the varying parameters
    Waves waves;
};

class Runner {
  public:
    Runner(const TimedCircuit& timed, const Link& link, const LinkSetup& setup,
           const SimulateOptions& options, const LinkProgress& progress)
        : timed_(timed), link_(link), setup_(setup), options_(options), progress_(progress) {
        BitRate rate = bit_rate(link);
        rate.rate = options.rate.value_or(rate.rate);
        out_.link = link.name;
        out_.rate = rate.rate;
        out_.bits_a_cycle = rate.bits_a_cycle;
        out_.rate_assumed = !options.rate && rate.assumed;
        bit_time_ = rate.bit_time();
        out_.duration = static_cast<double>(setup.bits.size()) * bit_time_;
        out_.pattern = setup.bits;
        out_.analog = setup.analog;
        out_.points = setup.points;
        out_.seed = options.seed;
        plan_ = plan_measures(setup, timed, bit_time_);
    }

    LinkTrace run() {
        const TransientSolver solver(setup_.problem(bit_time_));
        if (!solver.trouble().empty()) return fail(solver.trouble());
        SampleRun nominal;
        solver.run(0, 1, {}, [&](const SampleRun& r) { nominal = r; });
        if (nominal.end != RunEnd::finished)
            return fail(fmt::format("{} {}", to_words(nominal.end), nominal.why));
        take_nominal(nominal.path);
        run_samples(solver);
        find_rate();
        for (Measured& m : part_powers(timed_, setup_, bit_time_)) out_.measures.push_back(std::move(m));
        say_what_it_leans_on();
        return std::move(out_);
    }

  private:
    LinkTrace fail(std::string why) {
        out_.trouble = std::move(why);
        return std::move(out_);
    }

    /// A highest or lowest voltage past its limit that is no ringing: the point rests there.
    bool rests_beyond(const MeasurePlan& m, const Waves& waves) const {
        if (!m.limit || (m.kind != MeasureKind::highest && m.kind != MeasureKind::lowest)) return false;
        const SwingLevels rest = settled(setup_, waves[m.point], bit_time_).levels;
        return m.limit_is_maximum ? rest.high > *m.limit : rest.low < *m.limit;
    }
    void take_nominal(const Path& path) {
        Waves waves = waves_of(setup_, path);
        const std::vector<Measurement> figures = measure(setup_, plan_, waves, bit_time_);
        for (std::size_t k = 0; k < plan_.size(); ++k) {
            Measured m{.kind = plan_[k].kind,
                       .point = plan_[k].point < 0 ? "" : setup_.points[plan_[k].point].label,
                       .limit = plan_[k].limit,
                       .limit_is_maximum = plan_[k].limit_is_maximum,
                       .limit_origin = plan_[k].limit_origin};
            if (figures[k])
                m.nominal = *figures[k];
            else
                m.why = figures[k].error();
            m.lasting = rests_beyond(plan_[k], waves);
            out_.measures.push_back(std::move(m));
        }
        for (std::size_t k = 0; k < waves.size(); ++k) {
            out_.points[k].inverted = settled(setup_, waves[k], bit_time_).inverted;
            out_.points[k].nominal = std::move(waves[k]);
        }
    }

    // Samples

    TransientSolver::Fill fill() const {
        return [this](std::uint64_t index, std::span<double> values) {
            draw(setup_.scope.net, setup_.scope.varying, options_.seed, index, values);
        };
    }
    void keep(const SampleRun& run, Sample& to) const {
        to.end = run.end;
        if (run.end != RunEnd::finished) return;
        for (ParamId p : setup_.scope.varying) to.values.push_back(run.values[p]);
        to.waves = waves_of(setup_, run.path);
        for (const Measurement& m : measure(setup_, plan_, to.waves, bit_time_))
            to.figures.push_back(m ? *m : NAN);
    }
    void run_samples(const TransientSolver& solver) {
        out_.asked = options_.replay ? 1 : options_.samples;
        if (out_.asked == 0) return;
        std::vector<EnvelopeOf> envelopes;
        for (const TracePoint& p : out_.points) envelopes.emplace_back(common_times(p.nominal));
        const std::uint64_t first = options_.replay.value_or(0),
                            end = first + static_cast<std::uint64_t>(out_.asked);
        const std::uint64_t threads = static_cast<std::uint64_t>(std::max(1, options_.threads)),
                            round = threads * samples_a_thread;
        for (std::uint64_t begin = first; begin < end && !out_.cancelled; begin += round) {
            std::vector<Sample> samples(std::min(round, end - begin));
            std::vector<std::jthread> workers;
            const auto work = [&](std::uint64_t from) {
                const std::uint64_t count = std::min<std::uint64_t>(samples_a_thread, samples.size() - from);
                solver.run(begin + from, count, fill(),
                           [&](const SampleRun& r) { keep(r, samples[r.index - begin]); });
            };
            for (std::uint64_t from = samples_a_thread; from < samples.size(); from += samples_a_thread)
                workers.emplace_back(work, from);
            work(0);
            workers.clear();
            for (std::size_t k = 0; k < samples.size(); ++k) collect(begin + k, samples[k], envelopes);
            const double share = static_cast<double>(begin + samples.size() - first) / out_.asked;
            if (progress_ && !progress_(share)) out_.cancelled = share < 1.0;
        }
        for (std::size_t k = 0; k < envelopes.size(); ++k) out_.points[k].envelope = envelopes[k].envelope();
        summarize();
        show_worst(solver);
    }
    void collect(std::uint64_t index, Sample& sample, std::vector<EnvelopeOf>& envelopes) {
        if (sample.end != RunEnd::finished) {
            ++out_.failed;
            return;
        }
        ++out_.samples;
        for (std::size_t k = 0; k < envelopes.size(); ++k) envelopes[k].add(sample.waves[k]);
        indices_.push_back(index);
        figures_.resize(plan_.size());
        values_.resize(setup_.scope.varying.size());
        for (std::size_t k = 0; k < plan_.size(); ++k) figures_[k].push_back(sample.figures[k]);
        for (std::size_t k = 0; k < values_.size(); ++k) values_[k].push_back(sample.values[k]);
    }
    void summarize() {
        if (out_.samples == 0) return;
        std::vector<std::string> names;
        for (ParamId p : setup_.scope.varying) names.push_back(setup_.scope.net.parameters[p].name);
        const RankTable table(names, values_);
        for (std::size_t k = 0; k < plan_.size(); ++k) {
            Measured& m = out_.measures[k];
            if (const auto spread = spread_of(figures_[k])) {
                m.lo = spread->lo;
                m.median = spread->median;
                m.hi = spread->hi;
            }
            if (m.limit) {
                for (double x : figures_[k]) {
                    if (std::isnan(x)) continue;
                    ++m.counted;
                    m.kept += m.limit_is_maximum ? x <= *m.limit : x >= *m.limit;
                }
                const Interval yield = wilson(m.kept, m.counted);
                m.yield_lo = yield.lo;
                m.yield_hi = yield.hi;
            }
            m.influences = table.influences(figures_[k]);
            if (m.influences.size() > influences_shown) m.influences.resize(influences_shown);
        }
    }
    /// The sample with the least set-up left, or the slowest to settle; without either, the highest voltage.
    void show_worst(const TransientSolver& solver) {
        std::optional<std::size_t> by;
        for (const MeasureKind kind : {MeasureKind::setup_left, MeasureKind::settling, MeasureKind::highest})
            for (std::size_t k = 0; k < plan_.size() && !by; ++k)
                if (plan_[k].kind == kind && out_.measures[k].median) by = k;
        if (!by) return;
        const bool smallest = plan_[*by].kind == MeasureKind::setup_left;
        std::size_t worst = 0;
        for (std::size_t k = 0; k < indices_.size(); ++k) {
            const double x = figures_[*by][k], y = figures_[*by][worst];
            if (std::isnan(x) ? !std::isnan(y) : smallest ? x < y : x > y) worst = k;
        }
        out_.worst_sample = indices_[worst];
        out_.worst_by = fmt::format("{} at {}", to_word(plan_[*by].kind), out_.measures[*by].point);
        solver.run(*out_.worst_sample, 1, fill(), [&](const SampleRun& r) {
            worst_values_.assign(r.values.begin(), r.values.end());
            Waves waves = waves_of(setup_, r.path);
            for (std::size_t k = 0; k < waves.size(); ++k) out_.points[k].worst = std::move(waves[k]);
        });
    }

    // The highest rate

    /// True if every receiver has read every bit before its end, at a bit time.
    bool fits(double bit_time, const std::vector<double>& values) const {
        const TransientSolver solver(setup_.problem(bit_time));
        bool good = false;
        solver.run(
            0, 1,
            [&](std::uint64_t, std::span<double> v) {
                if (!values.empty()) std::ranges::copy(values, v.begin());
            },
            [&](const SampleRun& r) {
                if (r.end != RunEnd::finished) return;
                const Measurement left = least_setup(setup_, waves_of(setup_, r.path), bit_time);
                good = left && *left >= 0.0;
            });
        return good;
    }
    /// Shortest bit time that fits, within 1 %, between `least` and a thousand times the stated one.
    std::optional<double> shortest_bit(const std::vector<double>& values) const {
        constexpr double least = 1e-10;
        double good = bit_time_;
        while (!fits(good, values))
            if ((good *= 2) > 1000 * bit_time_) return std::nullopt;
        double bad = good;
        do {
            good = bad;
            bad = good / 4;
        } while (bad > least && fits(bad, values));
        while (good / bad > 1.01) {
            const double middle = std::sqrt(good * bad);
            (fits(middle, values) ? good : bad) = middle;
        }
        return good;
    }
    void find_rate() {
        if (setup_.analog || std::ranges::none_of(plan_, [](const MeasurePlan& m) {
                return m.kind == MeasureKind::setup_left;
            }))
            return;
        Measured m{.kind = MeasureKind::highest_rate,
                   .limit = out_.rate,
                   .limit_is_maximum = false,
                   .limit_origin = {out_.rate_assumed ? Certainty::assumed : Certainty::guaranteed,
                                    "the rate that the bench asks for"}};
        if (const auto bit = shortest_bit({}))
            m.nominal = 1 / (*bit * out_.bits_a_cycle);
        else
            m.why = "no rate was found at which every bit is read";
        if (!worst_values_.empty())
            if (const auto bit = shortest_bit(worst_values_)) m.lo = 1 / (*bit * out_.bits_a_cycle);
        out_.measures.push_back(std::move(m));
    }

    void list_figures(const char* what, bool (*soft)(const Provenance&)) {
        std::size_t count = 0;
        std::string list;
        for (ParamId p : setup_.scope.varying) {
            const Parameter& q = setup_.scope.net.parameters[p];
            if (!soft(q.origin)) continue;
            if (++count <= 4) list += (list.empty() ? "" : ", ") + q.name;
        }
        if (count > 0)
            out_.leans_on.push_back(fmt::format("{} of {} varying figures {}: {}{}", count,
                                                setup_.scope.varying.size(), what, list,
                                                count > 4 ? " ..." : ""));
    }

    void say_what_it_leans_on() {
        list_figures("are not guaranteed",
                     [](const Provenance& o) { return o.certainty >= Certainty::typical; });
        list_figures("were entered from memory",
                     [](const Provenance& o) { return o.certainty < Certainty::typical && o.from_memory; });
        for (const std::string& sentence : setup_.sentences) out_.leans_on.push_back(sentence);
    }

    const TimedCircuit& timed_;
    const Link& link_;
    const LinkSetup& setup_;
    const SimulateOptions& options_;
    const LinkProgress& progress_;
    double bit_time_ = 0;
    std::vector<MeasurePlan> plan_;
    LinkTrace out_;
    std::vector<std::uint64_t> indices_;
    std::vector<std::vector<double>> figures_, values_;  ///< by measure, by parameter: one a sample
    std::vector<double> worst_values_;
};

}  // namespace

LinkTrace run_link(const TimedCircuit& timed, const Link& link, const LinkSetup& setup,
                   const SimulateOptions& options, const LinkProgress& progress) {
    return Runner(timed, link, setup, options, progress).run();
}

}  // namespace voltsill
