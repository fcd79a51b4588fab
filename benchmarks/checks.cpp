/// How fast a bench is judged: the demo bench, and 200 generated links. Answers come first: the
/// verdicts must be those the tests hold, or nothing is timed.
///
///     ratio NAME VALUE TARGET      larger is better; VALUE = limit / time, TARGET = 1
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "answers.h"
#include "engine/engine.h"

namespace {
using namespace voltsill;
using namespace measured;

/// Pairs of a 5 V output and a 3.3 V input, every other one the other way round.
std::string generated(int links) {
    std::string text =
        "title = \"generated\"\n[rails]\nfive = { volts = \"4.75..5.25 V\" }\nthree = { volts = \"3.3 V ± 3 "
        "%\" }\n"
        "[types.five]\ntitle = \"five\"\nsource = \"invented\"\ncertainty = \"assumed\"\ninvented = true\n"
        "supplies.VCC = { range = \"4.5..5.5 V\", max = \"-0.3..6 V\" }\npins.OUT = { like = \"push-pull "
        "output, 5 V\" }\n"
        "pins.IN = { like = \"TTL input, 5 V\" }\npins.GND = { is = \"ground\" }\n"
        "[types.three]\ntitle = \"three\"\nsource = \"invented\"\ncertainty = \"assumed\"\ninvented = true\n"
        "supplies.VCC = { range = \"3.0..3.6 V\", max = \"-0.3..4 V\" }\npins.OUT = { like = \"push-pull "
        "output, 3.3 V\" }\n"
        "pins.IN = { like = \"LVTTL input, 3.3 V\" }\npins.GND = { is = \"ground\" }\n[parts]\n";
    for (int k = 0; k < links; ++k)
        text += fmt::format(
            "a{0} = {{ type = \"five\", supply = \"five\" }}\nb{0} = {{ type = \"three\", supply = \"three\" "
            "}}\n",
            k);
    for (int k = 0; k < links; ++k)
        text += fmt::format(
            "[[links]]\nname = \"link {0}\"\nfrom = \"{1}{0}.OUT\"\nto = \"{2}{0}.IN\"\nrate = \"10 kHz\"\n",
            k, k % 2 ? "b" : "a", k % 2 ? "a" : "b");
    return text;
}

}  // namespace

int main() {
    const Includer none;
    const std::string demo = bytes_of(std::string(VOLTSILL_ROOT) + "/examples/rain-garden.toml");
    const CheckResult first = check(demo, "rain-garden.toml", none);
    if (!first.bench) wrong("the demo bench is refused");
    const auto verdict = [&](const CheckResult& r, const std::string& link) {
        for (const LinkJudgement& j : r.judgement.links)
            if (j.link == link) return j.verdict;
        wrong("no link " + link);
    };
    if (verdict(first, "tank echo") != Verdict::harmful ||
        verdict(first, "strip data") != Verdict::unreadable)
        wrong("tank echo should be harmful and strip data unreadable when joined directly");

    const Bench& bench = *first.bench;
    const Wiring wiring = wire_directly(bench);
    const double demo_time = seconds_of(7, [&] { (void)judge(bench, wiring); });
    fmt::print("demo bench: {} solves in {:.2f} ms\n", first.judgement.states_solved, demo_time * 1e3);

    double time[3];
    const int sizes[3] = {50, 200, 800};
    for (int k = 0; k < 3; ++k) {
        const CheckResult r = check(generated(sizes[k]), "generated.toml", none);
        if (!r.bench) wrong("the generated bench is refused");
        for (int link = 0; link < sizes[k]; ++link)  // down: harmful; up into TTL thresholds: not
            if ((r.judgement.links[link].verdict == Verdict::harmful) != (link % 2 == 0) &&
                r.judgement.links[link].high_margin.value_or(-1) < 0)
                wrong(fmt::format("generated link {}", link));
        const Wiring w = wire_directly(*r.bench);
        time[k] = seconds_of(7, [&] { (void)judge(*r.bench, w); });
        fmt::print("{} links: {:.1f} ms\n", sizes[k], time[k] * 1e3);
    }
    fmt::print("growth from 50 to 800 links: {:.1f} for a factor of 16\n", time[2] / time[0]);
    fmt::print("ratio demo-bench-check {:.3f} 1\n", 0.020 / demo_time);
    fmt::print("ratio 200-links-check {:.3f} 1\n", 0.300 / time[1]);
    fmt::print("ratio near-linear-growth {:.3f} 1\n", 16 * 1.5 / (time[2] / time[0]));
}
