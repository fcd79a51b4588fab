/// A build from its file to its marks; what distinct nets do is judged once and kept.
#include "teaching/marking.h"

#include <fmt/format.h>

#include <algorithm>

#include "teaching/marking_inside.h"

namespace voltsill {
namespace {

/// Entries kept of each kind: builds of one class make few distinct nets, uploads of a stranger many.
constexpr std::size_t most_kept = 20'000;

struct KindNames {
    MistakeKind kind;
    std::string_view word, key;
};
constexpr KindNames kind_names[] = {{MistakeKind::wire_missing, "wire missing", "wire-missing"},
                                    {MistakeKind::one_row_off, "one row off", "one-row-off"},
                                    {MistakeKind::one_column_off, "one column off", "one-column-off"},
                                    {MistakeKind::exchanged, "exchanged", "exchanged"},
                                    {MistakeKind::facing_pin, "facing pin", "facing-pin"},
                                    {MistakeKind::wrong_strip, "wrong strip", "wrong-strip"},
                                    {MistakeKind::header_pin_off, "one header pin off", "header-pin-off"},
                                    {MistakeKind::wrong_place, "wrong place", "wrong-place"},
                                    {MistakeKind::part_one_row_off, "part one row off", "part-one-row-off"},
                                    {MistakeKind::part_turned, "part turned", "part-turned"},
                                    {MistakeKind::part_missing, "part missing", "part-missing"},
                                    {MistakeKind::extra_wire, "extra wire", "extra-wire"}};
static_assert(std::size(kind_names) == mistake_kinds);

std::string stop_sentence(const Rubric& rubric, const WhatHarms& harm) {
    const bool stops = (rubric.stop != Stop::never && harm.verdict == Verdict::harmful) ||
                       (rubric.stop == Stop::may_harm && harm.verdict == Verdict::unknown);
    if (!stops) return {};
    return fmt::format("Stop and switch off. {} Mend it, then pass gate 1 again before power.", harm.sentence);
}

/// Every pin that powers or enables what the link passes is on its source, and all sources of it are one node.
bool is_powered(const PreparedMarking::Inside& in, const LinkNets& link, const JointNets& nets) {
    return std::ranges::all_of(link.held, [&](int j) {
        return std::ranges::all_of(in.sources[in.wanted.net[j]], [&](int k) { return nets[k] == nets[j]; });
    });
}

/// Some supply of what the link passes is joined with another or with ground.
bool is_shorted(const PreparedMarking::Inside& in, const LinkNets& link, const NetsJudged& judged) {
    return std::ranges::any_of(link.held, [&](int j) { return judged.shorted_with[in.wanted.net[j]] >= 0; });
}

/// Pins that carry the signal are one node net by net, and none of them hangs alone: ends of links, channels and
/// transistors. A pull-up or a capacitor that is missing is for the judge.
bool is_whole(const PreparedMarking::Inside& in, const LinkNets& link, const JointNets& nets) {
    return std::ranges::all_of(link.nets, [&](int net) {
        int node = -1;
        return std::ranges::all_of(in.wanted.joints[net], [&](int j) {
            if (!in.joints.is_pin(j)) return true;
            const PartKind kind = in.build.wiring.parts[in.joints.part_of(j)].type->kind;
            if (kind == PartKind::resistor || kind == PartKind::capacitor) return true;
            if (node < 0) node = nets[j];
            const auto& all = in.wanted.joints[net];
            return node == nets[j] && (all.size() < 2 || std::ranges::any_of(all, [&](int k) {
                                           return k != j && nets[k] == node;
                                       }));
        });
    });
}

/// A link that is open somewhere does not work, even where the judge finds nothing wrong with what is left of it.
void tell_open_links(MarkedBuild& marked) {
    if (marked.failing.empty()) return;
    marked.harm = worse(marked.harm, Verdict::unreadable);
    for (Mistake& m : marked.mistakes) {
        const auto open = std::ranges::find_if(m.links, [&](const std::string& link) {
            return std::ranges::find(marked.failing, link) != marked.failing.end();
        });
        if (open == m.links.end() || m.harm > Verdict::thin || m.gate == 1) continue;
        m.harm = Verdict::unreadable;
        m.sentence = fmt::format("A pin of {} is not joined with the rest of it.", *open);
        m.gate = 3;
    }
}

std::vector<Mistake> mistakes_of(PreparedMarking::Inside& in, const LearnerBuild& build, const SlipNets::Key& key,
                                 const NetsJudged& judged);

/// Begins with what the file says of parts; the rest is named as if they sat where they belong.
std::optional<std::vector<Mistake>> mistakes_with_parts(PreparedMarking::Inside& in, const LearnerBuild& build,
                                                        const SlipNets::Key& key) {
    LearnerBuild put_right = build;
    put_right.placement.parts = in.build.placement.parts;
    put_right.missing.clear(), put_right.moved = false;
    const SlipNets::Key rest = in.key_of(put_right.placement);
    if (rest == key) return std::nullopt;
    std::vector<Mistake> out = mistakes_of_parts(in, build);
    const auto judged = in.judged(rest, put_right.placement);
    if (judged->apart.both() != 0) {
        std::vector<Mistake> others = mistakes_of(in, put_right, rest, *judged);
        std::ranges::move(others, std::back_inserter(out));
    }
    if (out.empty()) return std::nullopt;
    return out;
}

/// Of several ways to name it that of the fewest slips.
std::vector<Mistake> mistakes_of(PreparedMarking::Inside& in, const LearnerBuild& build, const SlipNets::Key& key,
                                 const NetsJudged& judged) {
    std::optional<std::vector<Mistake>> named;
    const bool by_plan = in.holes == build.by_holes;
    if (by_plan && build.moved) named = mistakes_with_parts(in, build, key);
    if (by_plan && !build.moved && !judged.exchanged) named = mistakes_by_wires(in, build, key);
    if (by_plan && (!named || named->size() > 1))
        if (auto slip = mistake_by_slip(in, key)) named = std::move(slip);
    if (named) return std::move(*named);
    std::call_once(judged.named, [&] { judged.mistakes = mistakes_by_nets(in, judged); });
    return judged.mistakes;
}

void name_mistakes(PreparedMarking::Inside& in, const LearnerBuild& build, const SlipNets::Key& key,
                   const NetsJudged& judged, MarkedBuild& marked) {
    marked.mistakes = mistakes_of(in, build, key, judged);
    const auto rank = [](const Mistake& m) {
        return m.harm == Verdict::harmful ? 0 : m.harm == Verdict::unknown ? 1 : m.harm == Verdict::unreadable ? 2 : 3;
    };
    std::ranges::sort(marked.mistakes, [&](const Mistake& a, const Mistake& b) {
        return std::pair(rank(a), std::string_view(a.words)) < std::pair(rank(b), std::string_view(b.words));
    });
}

}  // namespace

std::string_view to_word(MistakeKind kind) { return kind_names[static_cast<int>(kind)].word; }
std::string_view to_key(MistakeKind kind) { return kind_names[static_cast<int>(kind)].key; }

std::string_view to_word(ReadingMark mark) {
    switch (mark) {
        case ReadingMark::right:
            return "right";
        case ReadingMark::plausible:
            return "right for this build";
        case ReadingMark::impossible:
            return "impossible";
        case ReadingMark::missing:
            break;
    }
    return "missing";
}

std::string learner_of(std::string_view file) {
    if (const std::size_t slash = file.find_last_of("/\\"); slash != std::string_view::npos)
        file.remove_prefix(slash + 1);
    if (const std::size_t dot = file.rfind('.'); dot != std::string_view::npos && dot > 0) file = file.substr(0, dot);
    return std::string(file);
}

PreparedMarking::PreparedMarking(Bench bench, PlacedWiring build, Rubric rubric)
    : inside_(std::make_unique<Inside>(std::move(bench), std::move(build))), rubric_(std::move(rubric)) {}
PreparedMarking::~PreparedMarking() = default;
const Bench& PreparedMarking::bench() const { return inside_->bench; }
const PlacedWiring& PreparedMarking::build() const { return inside_->build; }
const Rubric& PreparedMarking::rubric() const { return rubric_; }

std::shared_ptr<const WhatHarms> PreparedMarking::Inside::harm_of(const SlipNets::Key& key_of_nets,
                                                                  const std::function<Wiring()>& wiring) {
    {
        const std::shared_lock lock(memory_lock_);
        if (const auto found = harms_.find(key_of_nets); found != harms_.end()) return found->second;
    }
    std::vector<std::string> none;
    auto harm = std::make_shared<const WhatHarms>(judge_once(wiring(), {}, none));
    const std::unique_lock lock(memory_lock_);
    if (harms_.size() >= most_kept) harms_.clear();
    return harms_.emplace(key_of_nets, std::move(harm)).first->second;
}

WhatHarms PreparedMarking::Inside::judge_once(const Wiring& changed, const std::vector<std::string>& asked,
                                              std::vector<std::string>& failing) {
    std::unique_ptr<HarmJudge> judge;
    {
        const std::scoped_lock lock(judges_lock_);
        if (!judges_.empty()) judge = std::move(judges_.back()), judges_.pop_back();
    }
    if (!judge) judge = std::make_unique<HarmJudge>(bench, base);
    WorseThanBase found = judge->worse_than_base(changed, asked);
    failing = std::move(found.failing);
    WhatHarms out;
    if (found.first) {
        out.verdict = found.first->verdict;
        out.part = found.first->part, out.pin = found.first->pin, out.code = found.first->code;
        out.sentence = std::move(found.first->sentence);
    }
    const std::scoped_lock lock(judges_lock_);
    judges_.push_back(std::move(judge));
    return out;
}

std::shared_ptr<const NetsJudged> PreparedMarking::Inside::judged(const SlipNets::Key& made,
                                                                  const Placement& placement) {
    {
        const std::shared_lock lock(memory_lock_);
        if (const auto found = judged_.find(made); found != judged_.end()) return found->second;
    }
    auto out = std::make_shared<NetsJudged>();
    out->nets = joints.of(made);
    out->exchanged = exchange_equals(wanted, equal, out->nets);
    out->apart = voltsill::apart(wanted, out->nets);
    find_states(*this, *out);
    if (out->apart.both() == 0) {
        out->harm = std::make_shared<const WhatHarms>();
    } else {
        std::vector<std::string> asked;
        for (std::size_t l = 0; l < out->links.size(); ++l)
            if (!out->links[l].as_wanted()) asked.push_back(bench.links[l].name);
        out->harm = std::make_shared<const WhatHarms>(
            judge_once(wiring_of(bench, build.wiring, placement), asked, out->failing));
        // What the judge says of a part without power or ground it says of no link; of a bus with an end that hangs
        // on nothing it says that the rest works.
        for (std::size_t l = 0; l < links.size(); ++l) {
            const bool dead = out->harm->verdict > Verdict::thin &&
                              (!is_powered(*this, links[l], out->nets) || is_shorted(*this, links[l], *out));
            if (!out->links[l].as_wanted() && (dead || !is_whole(*this, links[l], out->nets)) &&
                std::ranges::find(out->failing, bench.links[l].name) == out->failing.end())
                out->failing.push_back(bench.links[l].name);
        }
    }
    const std::unique_lock lock(memory_lock_);
    if (judged_.size() >= most_kept) judged_.clear();
    if (harms_.size() < most_kept) harms_.emplace(made, out->harm);
    return judged_.emplace(made, std::move(out)).first->second;
}

MarkedBuild mark_build(const PreparedMarking& prepared, std::string_view bytes, const std::string& file,
                       std::span<const HandMark> by_hand) {
    PreparedMarking::Inside& in = prepared.inside();
    const Rubric& rubric = prepared.rubric();
    MarkedBuild out{.learner = learner_of(file), .rubric_version = rubric.version};
    LearnerBuild build = in.reader.read(bytes, file);
    out.readable = build.readable;
    out.wires = static_cast<int>(std::ranges::count_if(build.places, [](const Place& p) { return p.line > 0; }));
    std::shared_ptr<const NetsJudged> judged;
    if (build.readable) {
        const SlipNets::Key key = in.key_of(build.placement);
        judged = in.judged(key, build.placement);
        out.as_planned = judged->apart.both() == 0;
        out.harm = judged->harm->verdict;
        out.failing = judged->failing;
        out.stop = stop_sentence(rubric, *judged->harm);
        if (!out.as_planned) name_mistakes(in, build, key, *judged, out);
        tell_open_links(out);
        out.readings = marked_readings(in, rubric, build, *judged);
    }
    out.criteria = criterion_marks(in, rubric, judged.get(), out, by_hand);
    for (const CriterionMark& c : out.criteria) {
        out.points += c.points, out.of += c.of;
        if (c.open) out.open += c.of;
    }
    out.problems = std::move(build.problems);
    return out;
}

}  // namespace voltsill
