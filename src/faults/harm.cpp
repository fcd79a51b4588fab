#include "faults/harm.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <iterator>
#include <thread>
#include <unordered_map>

#include "faults/listing.h"
#include "placement/join_harm.h"

namespace voltsill {
namespace {

FaultHarm from_finding(const Finding& f, Verdict verdict) {
    return {.verdict = verdict, .part = f.part, .pin = f.pin, .code = f.code, .sentence = f.sentence};
}

FaultHarm worst_of(const Harm& harm) {
    const Verdict verdict = harm.harmful      ? Verdict::harmful
                            : harm.possible() ? Verdict::unknown
                                              : Verdict::safe;
    if (!harm.findings.empty()) return from_finding(harm.findings.front(), verdict);
    if (harm.trouble.empty()) return {.verdict = verdict};
    return {.verdict = verdict,
            .code = "not-solved",
            .sentence = "What this does could not be computed, so it may harm: " + harm.trouble + "."};
}

bool same_rails(const Bench& a, const Bench& b) {
    return std::ranges::equal(a.rails, b.rails, {}, [](const Rail& r) { return r.volts.span.nominal; },
                              [](const Rail& r) { return r.volts.span.nominal; });
}

}  // namespace

struct FaultJudge::Inside {
    const Bench& bench;
    const PlacedWiring& build;
    Wiring base;
    HarmJudge judge;

    Inside(const Bench& b, const PlacedWiring& p)
        : bench(b), build(p), base(is_placed(p) ? wiring_of(b, p.wiring, p.placement) : p.wiring), judge(b, base) {}

    /// What a change of wires or parts cannot reach need not be judged again; rails reach everything.
    bool is_cut(const FaultyBuild& faulty) const { return same_rails(bench, faulty.bench); }
};

FaultJudge::FaultJudge(const Bench& bench, const PlacedWiring& build)
    : inside_(std::make_unique<Inside>(bench, build)) {}
FaultJudge::~FaultJudge() = default;

FaultHarm FaultJudge::harm_of(const FaultyBuild& faulty, bool only_harm) const {
    if (!inside_->is_cut(faulty)) {
        const WholeHarm whole = inside_->judge.of_whole(faulty.bench, faulty.wiring);
        FaultHarm out = worst_of(whole.harm);
        return only_harm || out.verdict != Verdict::safe || !whole.failure
                   ? out
                   : from_finding(*whole.failure, whole.failure->verdict);
    }
    FaultHarm out = worst_of(inside_->judge.first_harm_of(faulty.wiring));
    if (only_harm || out.verdict != Verdict::safe) return out;
    const auto failure = inside_->judge.first_failure_of(faulty.wiring);
    return failure ? from_finding(*failure, failure->verdict) : out;
}

FaultHarm FaultJudge::harm_of(const Fault& fault, bool only_harm) const {
    return harm_of(with_fault(inside_->bench, inside_->build, fault), only_harm);
}

std::vector<Finding> FaultJudge::findings_of(const FaultyBuild& faulty) const {
    return inside_->is_cut(faulty) ? inside_->judge.harm_of(faulty.wiring).findings
                                   : inside_->judge.of_whole(faulty.bench, faulty.wiring).harm.findings;
}

std::string content_key(const PlacedWiring& base, const FaultyBuild& faulty) {
    std::string key;
    const auto out = std::back_inserter(key);
    const Wiring& wiring = faulty.wiring;
    for (const Rail& rail : faulty.bench.rails) fmt::format_to(out, "{};", rail.volts.span.nominal.si());
    for (const Rail& rail : faulty.bench.rails) fmt::format_to(out, "{},", wiring.rail(rail.name) >= 0);
    std::vector<int> number(wiring.nets.size(), -1), pins(wiring.nets.size());
    for (const WiredPart& part : wiring.parts)
        for (const NetId net : part.net_of_pin)
            if (net != unconnected) ++pins[net];
    int count = 0;
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        const WiredPart* planned = p < base.wiring.parts.size() ? &base.wiring.parts[p] : nullptr;
        if (!planned || planned->type != part.type) {  // made for a fault, perhaps: what differs is in its pins
            fmt::format_to(out, "|{}", part.type->name);
            for (const Pin& pin : part.type->pins) fmt::format_to(out, "{}", static_cast<int>(pin.role));
        }
        fmt::format_to(out, "|{}:{}", part.value.value_or(0), part.pulls_removed.size());
        for (const std::string& pin : part.pulls_removed) key += pin;
        for (const NetId net : part.net_of_pin) {
            if (net == unconnected || (!is_held(wiring, net) && pins[net] < 2)) {
                key += '-';
                continue;
            }
            const bool fresh = number[net] < 0;
            if (fresh) number[net] = count++;
            fmt::format_to(out, " {}", number[net]);
            if (!fresh) continue;
            if (wiring.nets[net].ground) key += 'g';
            if (!wiring.nets[net].rail.empty()) fmt::format_to(out, "r{}", wiring.nets[net].rail);
        }
    }
    return key;
}

std::vector<FaultHarm> judge_faults(const Bench& bench, const PlacedWiring& build, std::span<const Fault> faults,
                                    const FaultHarmOptions& options) {
    std::unordered_map<std::string, std::size_t> made_by;
    std::vector<std::size_t> like;  // by fault: the first that makes the same build
    for (std::size_t k = 0; k < faults.size(); ++k)
        like.push_back(
            made_by.try_emplace(content_key(build, with_fault(bench, build, faults[k])), k).first->second);

    std::vector<std::optional<FaultHarm>> harms(faults.size());
    std::atomic<std::size_t> next = 0, done = 0;
    std::atomic<bool> stopped = false;
    const int all = static_cast<int>(faults.size());
    const auto work = [&](bool tells) {
        const FaultJudge judge(bench, build);
        for (std::size_t k; !stopped && (k = next++) < faults.size(); ++done) {
            if (tells && options.progress && !options.progress(static_cast<int>(done), all)) {
                stopped = true;
                return;
            }
            if (like[k] == k) harms[k] = judge.harm_of(faults[k], options.only_harm);
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (int k = 1; k < options.threads; ++k) helpers.emplace_back(work, false);
        work(true);
    }
    std::vector<FaultHarm> out;
    for (std::size_t k = 0; k < faults.size() && harms[like[k]]; ++k) out.push_back(*harms[like[k]]);
    return out;
}

}  // namespace voltsill
