// How effort grows with the bench: judging, planning and readings of generated benches of 10, 50, 200 and
// 1,000 links. Answers come first: every plan judges all of its links, and none of them is harmful or
// unreadable.
//
//     ratio NAME VALUE TARGET      larger is better; VALUE = 1.5 x factor of links / factor of time, TARGET =
//     1
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdlib>

#include "answers.h"
#include "engine/engine.h"
#include "support/generated_bench.h"

namespace {
using namespace voltsill;
using namespace measured;

constexpr std::array sizes = {10, 50, 200, 1000};

struct Times {
    double check = 0, plan = 0, readings = 0;
};

Times timed(int links) {
    const Includer none;
    const std::string text = test::generated_bench(7, links);
    const CheckResult checked = check(text, "generated.toml", none);
    if (!checked.bench || checked.judgement.links.size() != static_cast<std::size_t>(links))
        wrong(fmt::format("{} links are not all judged", links));
    const Bench& bench = *checked.bench;
    const Plan first = plan(bench);
    if (first.judgement.links.size() != static_cast<std::size_t>(links))
        wrong("links are missing in the plan");
    for (const LinkJudgement& link : first.judgement.links)
        if (link.verdict == Verdict::harmful || link.verdict == Verdict::unreadable)
            wrong(fmt::format("{} of {} links is planned {}", link.link, links, to_word(link.verdict)));

    const int repeats = links <= 50 ? 7 : links <= 200 ? 3 : 1;
    const Wiring direct = wire_directly(bench);
    return {.check = seconds_of(repeats, [&] { (void)judge(bench, direct); }),
            .plan = seconds_of(std::max(1, repeats / 3), [&] { (void)plan(bench); }),
            .readings = seconds_of(repeats, [&] { (void)readings(bench, first.wiring); })};
}

}  // namespace

int main() {
    std::array<Times, sizes.size()> times;
    fmt::print("{:>6}  {:>12}  {:>12}  {:>12}\n", "links", "check, ms", "plan, ms", "readings, ms");
    for (std::size_t k = 0; k < sizes.size(); ++k) {
        times[k] = timed(sizes[k]);
        fmt::print("{:>6}  {:>12.1f}  {:>12.0f}  {:>12.1f}\n", sizes[k], 1e3 * times[k].check,
                   1e3 * times[k].plan, 1e3 * times[k].readings);
        std::fflush(stdout);
    }
    // From 50 links on: below, what any bench costs weighs as much as its links.
    const auto line = [&](const char* name, double Times::*of) {
        const double factor = sizes.back() / static_cast<double>(sizes[1]),
                     more = times.back().*of / times[1].*of;
        fmt::print("{}: time grows as links to the power of {:.2f}\n", name,
                   std::log(more) / std::log(factor));
        return 1.5 * factor / more;
    };
    const double check_growth = line("check", &Times::check), plan_growth = line("plan", &Times::plan),
                 readings_growth = line("readings", &Times::readings);
    fmt::print("ratio check-growth {:.3f} 1\n", check_growth);
    fmt::print("ratio plan-growth {:.3f} 1\n", plan_growth);
    fmt::print("ratio readings-growth {:.3f} 1\n", readings_growth);
}
