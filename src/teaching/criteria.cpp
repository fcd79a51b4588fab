/// Points by criterion, each with what is missing for the rest.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "teaching/marking_inside.h"

namespace voltsill {
namespace {

constexpr std::size_t most_reasons = 8;
/// A link whose wires are all there but one is not worth almost a link that works (common practice, no source).
constexpr double most_without_function = 0.5;

struct Share {
    double right = 0;
    int of = 0;
    std::vector<std::string> reasons;
    double value() const { return of == 0 ? 1 : right / of; }
};

/// Supply, ground and strap pins, and both leads of capacitors between rails and ground.
bool is_supply_work(const PreparedMarking::Inside& in, int j) {
    const WiredPart& part = in.build.wiring.parts[in.joints.part_of(j)];
    const PinRole role = part.type->pins[in.joints.pin_of(j)].role;
    return role == PinRole::supply || role == PinRole::ground || part.type->kind == PartKind::capacitor ||
           !part.type->channels.empty();
}

std::string purpose_of(const PreparedMarking::Inside& in, int j) {
    const WiredPart& part = in.build.wiring.parts[in.joints.part_of(j)];
    return part.purpose.empty() || part.type->kind != PartKind::capacitor ? "" : fmt::format(" ({})", part.purpose);
}

/// "not on", or "on rail usb in place of" where it is on what another source holds.
std::string place_of(const PreparedMarking::Inside& in, const NetsJudged& judged, int j) {
    for (std::size_t n = 0; n < in.sources.size(); ++n)
        for (const int k : in.sources[n])
            if (judged.nets[k] == judged.nets[j])
                return fmt::format("on {} in place of", in.net_words(static_cast<int>(n)));
    return "not on";
}

Share supplies_share(const PreparedMarking::Inside& in, const NetsJudged& judged) {
    Share share;
    for (std::size_t n = 0; n < in.wanted.joints.size(); ++n) {
        const int net = static_cast<int>(n);
        if (!in.is_held(net)) continue;
        const bool shorted = judged.shorted_with[n] >= 0;
        if (shorted)
            share.reasons.push_back(fmt::format("{} is joined with {}: nothing on it counts", in.net_words(net),
                                                in.net_words(judged.shorted_with[n])));
        std::set<int> pieces;  // of the sources: all of them have to be one node
        for (const int j : in.sources[n]) pieces.insert(judged.nets[j]);
        if (!pieces.empty()) {
            share.of += static_cast<int>(in.sources[n].size()) - 1;
            if (!shorted) share.right += static_cast<double>(in.sources[n].size() - pieces.size());
            if (pieces.size() > 1)
                share.reasons.push_back(
                    fmt::format("{}: {} sources that are not joined", in.net_words(net), pieces.size()));
        }
        for (const int j : in.wanted.joints[n]) {
            if (!in.joints.is_pin(j) || !is_supply_work(in, j)) continue;
            ++share.of;
            if (shorted) continue;
            if (is_on_source(in, judged.nets, j))
                ++share.right;
            else
                share.reasons.push_back(fmt::format("{} is {} {}{}", in.words(j), place_of(in, judged, j),
                                                    in.net_words(net), purpose_of(in, j)));
        }
    }
    return share;
}

Share function_share(const PreparedMarking::Inside& in, const NetsJudged& judged) {
    Share share{.of = static_cast<int>(in.links.size())};
    for (std::size_t l = 0; l < in.links.size(); ++l) {
        const std::string& name = in.bench.links[l].name;
        const LinkState& state = judged.links[l];
        const bool fails = std::ranges::find(judged.failing, name) != judged.failing.end();
        if (state.as_wanted() || !fails) {
            ++share.right;
            continue;
        }
        if (state.of > 0) share.right += most_without_function * state.right / state.of;
        share.reasons.push_back(fmt::format("{} does not work: {} of {} joins are right{}", name, state.right, state.of,
                                            state.clean ? "" : ", and it is joined with something else"));
    }
    return share;
}

Share readings_share(const PreparedMarking::Inside& in, const Rubric& rubric, const MarkedBuild& marked) {
    Share share{.of = static_cast<int>(in.readings.size())};
    int missing = 0;
    for (int k = 0; k < share.of; ++k) {
        const MarkedReading& r = marked.readings[k];
        share.right += r.mark == ReadingMark::right ? 1 : r.mark == ReadingMark::plausible ? rubric.plausible : 0;
        missing += r.mark == ReadingMark::missing;
        if (!r.reason.empty() && r.mark != ReadingMark::missing) share.reasons.push_back(r.reason);
    }
    if (missing == share.of && share.of > 0)
        share.reasons.push_back(fmt::format("no readings came with this build; the test sheet asks for {}", share.of));
    else if (missing > 0)
        share.reasons.push_back(
            fmt::format("{} of {} readings are missing, the first: {}", missing, share.of,
                        std::ranges::find(marked.readings, ReadingMark::missing, &MarkedReading::mark)->reason));
    return share;
}

/// A mistake is found when an honest reading on one of its links shows it.
Share faults_share(const MarkedBuild& marked) {
    Share share{.of = static_cast<int>(marked.mistakes.size())};
    for (const Mistake& m : marked.mistakes) {
        const bool shown = std::ranges::any_of(marked.readings, [&](const MarkedReading& r) {
            return r.mark == ReadingMark::plausible &&
                   (m.links.empty() || std::ranges::find(m.links, r.link) != m.links.end());
        });
        share.right += shown;
        if (!shown) share.reasons.push_back("no reading shows: " + m.words);
    }
    return share;
}

void by_hand_mark(CriterionMark& out, std::span<const HandMark> by_hand) {
    const auto mark = std::ranges::find(by_hand, out.id, &HandMark::criterion);
    out.by_hand = true;
    out.open = mark == by_hand.end();
    if (out.open) {
        out.reasons.push_back("marked by hand, not yet entered");
        return;
    }
    out.points = std::clamp(mark->points, 0.0, out.of);
    if (!mark->note.empty()) out.reasons.push_back(mark->note);
}

}  // namespace

bool is_on_source(const PreparedMarking::Inside& in, const JointNets& nets, int joint) {
    return std::ranges::any_of(in.sources[in.wanted.net[joint]], [&](int k) { return nets[k] == nets[joint]; });
}

void find_states(const PreparedMarking::Inside& in, NetsJudged& judged) {
    std::vector<bool> clean(in.wanted.joints.size(), true);
    judged.shorted_with.assign(in.wanted.joints.size(), -1);
    std::unordered_map<int, int> first, held;  // made net -> a wanted one on it; one whose source is on it
    for (int j = 0; j < in.joints.count(); ++j) {
        if (in.joints.is_held(j)) continue;
        const int net = in.wanted.net[j];
        const int other = first.emplace(judged.nets[j], net).first->second;
        if (other != net) clean[other] = clean[net] = false;
    }
    for (std::size_t n = 0; n < in.sources.size(); ++n)
        for (const int j : in.sources[n]) {
            const int net = static_cast<int>(n);
            if (!in.is_held(net)) continue;
            const int rail = held.emplace(judged.nets[j], net).first->second;
            if (rail != net) judged.shorted_with[rail] = net, judged.shorted_with[net] = rail;
        }
    for (const LinkNets& link : in.links) {
        LinkState& state = judged.links.emplace_back();
        for (const int net : link.nets) {
            std::set<int> pieces;
            for (const int j : in.wanted.joints[net]) pieces.insert(judged.nets[j]);
            const int pins = static_cast<int>(in.wanted.joints[net].size());
            state.of += pins - 1;
            state.right += pins - static_cast<int>(pieces.size());
            state.clean = state.clean && clean[net];
        }
        for (const int j : link.held) {
            ++state.of;
            state.right += is_on_source(in, judged.nets, j);
            state.clean = state.clean && judged.shorted_with[in.wanted.net[j]] < 0;
        }
    }
}

std::vector<CriterionMark> criterion_marks(const PreparedMarking::Inside& in, const Rubric& rubric,
                                           const NetsJudged* judged, const MarkedBuild& marked,
                                           std::span<const HandMark> by_hand) {
    std::vector<CriterionMark> out;
    for (const Criterion& c : rubric.criteria) {
        CriterionMark& mark = out.emplace_back(CriterionMark{.id = c.id, .words = c.words, .of = c.points});
        if (c.by == MarkedBy::hand) {
            by_hand_mark(mark, by_hand);
            continue;
        }
        if (!judged) {
            mark.reasons.push_back("the file could not be read");
            continue;
        }
        Share share = c.by == MarkedBy::supplies   ? supplies_share(in, *judged)
                      : c.by == MarkedBy::function ? function_share(in, *judged)
                      : c.by == MarkedBy::readings ? readings_share(in, rubric, marked)
                                                   : faults_share(marked);
        mark.points = c.points * share.value();
        if (share.reasons.size() > most_reasons) {
            const std::size_t more = share.reasons.size() - most_reasons;
            share.reasons.resize(most_reasons);
            share.reasons.push_back(fmt::format("and {} more", more));
        }
        mark.reasons = std::move(share.reasons);
    }
    return out;
}

}  // namespace voltsill
