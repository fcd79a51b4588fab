#include "placement/join_harm.h"

#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include "judging/cut.h"
#include "judging/partial.h"
#include "judging/solution_memory.h"

namespace voltsill {
namespace {

/// What makes a finding the same in two wirings: code and place.
std::string key_of(const Finding& f) {
    std::string key = f.code + '\n' + f.part + '\n' + f.pin;
    return f.part.empty() ? key + '\n' + f.net : key;
}

}  // namespace

struct HarmJudge::Inside {
    const Bench& bench;
    const Wiring& base_wiring;
    Judgement base;
    std::vector<Share> shares;               ///< of the base
    std::set<std::string> harmful, unknown;  ///< keys of findings of the base
    std::map<std::string, Verdict> verdict;  ///< by link and key, of the base
    std::unique_ptr<WiringCutter> cutter;
    mutable Bench lean;  ///< the bench with the links at hand
    mutable SolutionMemory memory;

    Inside(const Bench& b, const Wiring& w) : bench(b), base_wiring(w), base(judge(b, w)), lean(b) {
        const HarmFindings found = judge_harm(b, w, nullptr, &shares);
        for (const Finding& f : base.findings) {
            if (f.verdict == Verdict::harmful) harmful.insert(key_of(f));
            if (f.verdict == Verdict::unknown) unknown.insert(key_of(f));
            for (const std::string& link : {f.link, std::string{}}) {  // supplies are judged before links
                Verdict& known = verdict[link + '\n' + key_of(f)];
                known = worse(known, f.verdict);
            }
        }
        cutter = std::make_unique<WiringCutter>(b, w, found.loose_rails);
        lean.links.clear();
    }

    /// Harm, or a figure missing, where the base has none.
    bool is_new(const Finding& f) const {
        const std::string key = key_of(f);
        return !harmful.contains(key) && !(f.verdict == Verdict::unknown && unknown.contains(key));
    }

    bool is_worse(const Finding& f) const {
        const auto known = verdict.find(f.link + '\n' + key_of(f));
        return known == verdict.end() || f.verdict > known->second;
    }
    /// A cut knows of links that are whole in it, of pins that the change can move, and of sums over rails.
    bool concerns(const Finding& f, const WiringCut& cut) const {
        if (!f.link.empty())
            return std::ranges::any_of(cut.links, [&](int l) { return bench.links[l].name == f.link; });
        if (f.part.empty()) return true;
        const int part = base_wiring.part(f.part);
        if (part < 0) return true;  // behind the parts of the base
        const int pin = base_wiring.parts[part].type->pin_index(f.pin);
        const int first = pin < 0 ? 0 : pin;  // without a pin: of the part
        const int last = pin < 0 ? static_cast<int>(base_wiring.parts[part].type->pins.size()) - 1 : pin;
        for (int k = first; k <= last; ++k)
            if (cut.moved[cutter->pin(part, k)]) return true;
        return false;
    }

    /// Sums of what the change leaves as it is: islands of the base outside the cut.
    Elsewhere elsewhere(const WiringCut& cut) const {
        Elsewhere rest{.driven_by_part = std::vector<double>(cut.part_of.size())};
        std::vector<int> here(base_wiring.parts.size(), -1);
        for (size_t p = 0; p < cut.part_of.size(); ++p)
            if (cut.part_of[p] < static_cast<int>(here.size())) here[cut.part_of[p]] = static_cast<int>(p);
        for (const Share& share : shares) {
            if (share.site.first < 0 || cut.inside[cutter->pin(share.site.first, share.site.second)])
                continue;
            if (share.part < 0)
                rest.fed_into_rail[share.rail] += share.amps;
            else if (here[share.part] >= 0)
                rest.driven_by_part[here[share.part]] += share.amps;
        }
        return rest;
    }

    /// Links that a stage of the cut looks up to know whether it is told to drive.
    void take_links(const WiringCut& cut, const std::vector<int>& also) const {
        lean.links.clear();
        for (size_t l = 0; l < bench.links.size(); ++l)
            if (std::ranges::find(also, static_cast<int>(l)) != also.end() ||
                cutter->reads(cut, static_cast<int>(l)))
                lean.links.push_back(bench.links[l]);
    }

    Harm first(const Wiring& changed, bool worst_case) const;

    Harm harm_among(std::vector<Finding> findings, std::string trouble) const {
        Harm harm{.trouble = base.trouble.empty() ? std::move(trouble) : std::string{}};
        for (const Verdict wanted : {Verdict::harmful, Verdict::unknown})
            for (Finding& f : findings) {
                if (f.verdict != wanted || !is_new(f)) continue;
                (wanted == Verdict::harmful ? harm.harmful : harm.unknown) = true;
                harm.findings.push_back(std::move(f));
            }
        return harm;
    }
};

HarmJudge::HarmJudge(const Bench& bench, const Wiring& base)
    : inside_(std::make_unique<Inside>(bench, base)) {}
HarmJudge::~HarmJudge() = default;

const Judgement& HarmJudge::base() const { return inside_->base; }

Harm HarmJudge::harm_of(const Wiring& changed) const {
    const WiringCut cut = inside_->cutter->cut(changed, false);
    if (cut.same) return {};
    const Elsewhere rest = inside_->elsewhere(cut);
    inside_->take_links(cut, {});
    HarmFindings found = judge_harm(inside_->lean, cut.wiring, &rest, nullptr, &inside_->memory);
    return inside_->harm_among(std::move(found.findings), std::move(found.trouble));
}

Harm HarmJudge::Inside::first(const Wiring& changed, bool worst_case) const {
    const WiringCut cut = cutter->cut(changed, false);
    if (cut.same) return {};
    take_links(cut, {});
    AnyHarm any = judge_any_harm(
        lean, cut.wiring, elsewhere(cut), [&](const Finding& f) { return is_new(f); }, worst_case, memory);
    Harm harm{.trouble = base.trouble.empty() ? std::move(any.trouble) : std::string{}};
    if (!any.first) return harm;
    harm.harmful = any.first->verdict == Verdict::harmful;
    harm.unknown = !harm.harmful;
    harm.findings.push_back(std::move(*any.first));
    return harm;
}

Harm HarmJudge::first_harm_of(const Wiring& changed) const { return inside_->first(changed, true); }
bool HarmJudge::may_harm(const Wiring& changed) const { return inside_->first(changed, false).possible(); }

std::optional<Finding> HarmJudge::first_failure_of(const Wiring& changed) const {
    const WiringCut cut = inside_->cutter->cut(changed, true);
    if (cut.same) return std::nullopt;
    inside_->take_links(cut, cut.links);
    std::vector<Finding> found =
        judge_until_unreadable(
            inside_->lean, cut.wiring, inside_->elsewhere(cut),
            [&](const Finding& f) {
                const bool failure = f.verdict == Verdict::thin || f.verdict == Verdict::unreadable;
                return failure && inside_->concerns(f, cut) && inside_->is_worse(f);
            },
            inside_->memory);
    if (found.empty()) return std::nullopt;
    return std::move(found.front());
}

WholeHarm HarmJudge::of_whole(const Bench& bench, const Wiring& changed) const {
    Judgement judged = judge(bench, changed);
    WholeHarm out;
    for (const Finding& f : judged.findings) {
        const bool failure = f.verdict == Verdict::thin || f.verdict == Verdict::unreadable;
        if (failure && inside_->is_worse(f) && (!out.failure || f.verdict > out.failure->verdict)) out.failure = f;
    }
    out.harm = inside_->harm_among(std::move(judged.findings), std::move(judged.trouble));
    return out;
}

WorseThanBase HarmJudge::worse_than_base(const Wiring& changed, const std::vector<std::string>& asked) const {
    const Inside& in = *inside_;
    const WiringCut cut = in.cutter->cut(changed, true);
    WorseThanBase out;
    if (cut.same) return out;
    Harm harm = first_harm_of(changed);
    if (!harm.findings.empty())
        out.first = std::move(harm.findings.front());
    else if (!harm.trouble.empty())
        out.first = Finding{.code = "not-solved",
                            .verdict = Verdict::unknown,
                            .sentence = "What this does could not be computed, so it may harm: " + harm.trouble + "."};
    const bool harms = out.first.has_value();  // what harms is said first, whatever else fails
    if (harms && asked.empty()) return out;
    const auto found = [&](const Finding& f) {
        const auto link = std::ranges::find(in.base.links, f.link, &LinkJudgement::link);
        if (link != in.base.links.end() && f.verdict > link->verdict &&
            std::ranges::find(asked, f.link) != asked.end() &&
            std::ranges::find(out.failing, f.link) == out.failing.end())
            out.failing.push_back(f.link);
    };
    in.take_links(cut, cut.links);
    judge_until_unreadable(
        in.lean, cut.wiring, in.elsewhere(cut),
        [&](const Finding& f) {
            found(f);
            const bool failure = f.verdict == Verdict::thin || f.verdict == Verdict::unreadable;
            if (harms) return out.failing.size() == asked.size();
            if (failure && in.concerns(f, cut) && in.is_worse(f) &&
                (!out.first || f.verdict > out.first->verdict))
                out.first = f;
            return f.verdict == Verdict::unreadable && out.failing.size() == asked.size() && out.first &&
                   out.first->verdict == Verdict::unreadable;
        },
        in.memory);
    return out;
}

Wiring JoinHarm::joined(NetId a, NetId b) const {
    Wiring out = wiring_;
    const bool turned = out.nets[b].ground || (b < a && !out.nets[a].ground);
    const NetId kept = turned ? b : a, gone = turned ? a : b;
    out.merge(kept, gone);
    out.nets[gone].rail.clear();  // of two supplies one has no net of its own any more
    return out;
}

Harm JoinHarm::of(NetId a, NetId b) const {
    return a == b || a < 0 || b < 0 ? Harm{} : judge_.harm_of(joined(a, b));
}

bool JoinHarm::harmful(NetId a, NetId b) {
    if (a == b || a < 0 || b < 0) return false;
    if (a > b) std::swap(a, b);
    const auto [at, fresh] = known_.try_emplace((static_cast<long long>(a) << 32) | static_cast<unsigned>(b));
    if (fresh) at->second = judge_.may_harm(joined(a, b));
    return at->second;
}

}  // namespace voltsill
