/// Mistakes that a learner's file itself says of parts: turned, in other holes, missing.
#include <fmt/format.h>

#include <algorithm>

#include "placement/slips.h"
#include "teaching/naming.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// A part as a whole, or one lead of it.
struct PartMistake {
    MistakeKind kind{};
    Slip slip;
    std::vector<Hole> holes;  ///< where it sits, with this mistake alone
};

/// One shift that brings all holes from one place to the other; its rows and columns are those of the first hole.
std::optional<Hole> shift_between(const std::vector<Hole>& from, const std::vector<Hole>& to) {
    if (from.empty() || from.size() != to.size()) return std::nullopt;
    const auto shift = [&](std::size_t k) {
        return Hole{to[k].board - from[k].board, to[k].row - from[k].row, to[k].column - from[k].column};
    };
    for (std::size_t k = 1; k < from.size(); ++k)
        if (shift(k) != shift(0)) return std::nullopt;
    return shift(0);
}

class PartNaming {
  public:
    PartNaming(PreparedMarking::Inside& in, const LearnerBuild& build) : in_(in), build_(build) {}

    std::vector<Mistake> run() {
        std::vector<Mistake> out;
        for (std::size_t p = 0; p < build_.placement.parts.size(); ++p)
            for (const PartMistake& m : of_part(static_cast<int>(p))) {
                Placement changed = in_.build.placement;
                changed.parts[p].holes = m.holes;
                const SlipNets::Key key = in_.key_of(changed);
                if (key != in_.key) out.push_back(named_alone(m, key, changed));
            }
        return out;
    }

  private:
    std::vector<PartMistake> of_part(int part) const {
        const std::vector<Hole>&was = in_.build.placement.parts[part].holes, &is = build_.placement.parts[part].holes;
        if (was == is) return {};
        if (is.empty()) return {{MistakeKind::part_missing, {.part = part}, is}};
        const Slip turn{.kind = SlipKind::part_turned, .part = part};
        if (shift_between(with_slip(in_.build.placement, turn).parts[part].holes, is) && !shift_between(was, is))
            return {{MistakeKind::part_turned, turn, is}};
        if (const auto shift = shift_between(was, is)) {
            const bool next = shift->board == 0 && shift->column == 0 && std::abs(shift->row) == 1;
            return {{next ? MistakeKind::part_one_row_off : MistakeKind::wrong_place,
                     {.kind = SlipKind::part_one_row_off, .part = part, .rows = shift->row},
                     is}};
        }
        return of_leads(part, was, is);
    }

    std::vector<PartMistake> of_leads(int part, const std::vector<Hole>& was, const std::vector<Hole>& is) const {
        std::vector<PartMistake> out;
        for (std::size_t k = 0; k < was.size() && k < is.size(); ++k) {
            if (was[k] == is[k]) continue;
            const WireEnd right{.kind = WireEnd::Kind::hole, .hole = was[k]},
                here{.kind = WireEnd::Kind::hole, .hole = is[k]};
            std::vector<Hole> holes = was;
            holes[k] = is[k];
            out.push_back({kind_of_end(in_, right, here),
                           {.kind = SlipKind::one_row_off, .part = part, .lead = static_cast<int>(k) + 1, .to = here},
                           std::move(holes)});
        }
        return out;
    }

    Mistake named_alone(const PartMistake& m, const SlipNets::Key& key, const Placement& changed) const {
        const Placement& plan = in_.build.placement;
        const std::string& name = in_.build.wiring.parts[m.slip.part].name;
        const std::vector<Hole>& was = plan.parts[m.slip.part].holes;
        Mistake out{.kind = m.kind};
        if (m.kind == MistakeKind::part_missing)
            out.words = name + " is missing";
        else if (m.kind == MistakeKind::wrong_place && m.slip.lead < 0)
            out.words = fmt::format("{} with pin 1 in {} in place of {}", name, words(plan, m.holes.front()),
                                    words(plan, was.front()));
        else
            out.words = words(in_.build.wiring, plan, m.slip);
        out.remedy = m.slip.lead > 0 ? fmt::format("Put lead {} of {} into {}.", m.slip.lead, name,
                                                   words(plan, was[m.slip.lead - 1]))
                                     : fmt::format("Put pin 1 of {} into {}.", name, words(plan, was.front()));
        std::vector<int> nets;
        for (std::size_t k = 0; k < in_.build.wiring.parts[m.slip.part].net_of_pin.size(); ++k)
            nets.push_back(in_.wanted.net[in_.joints.pin(m.slip.part, static_cast<int>(k))]);
        const auto harm = in_.harm_of(key, [&] { return wiring_of(in_.bench, in_.build.wiring, changed); });
        set_harm(in_, out, *harm, nets);
        return out;
    }

    PreparedMarking::Inside& in_;
    const LearnerBuild& build_;
};

}  // namespace

std::vector<Mistake> mistakes_of_parts(PreparedMarking::Inside& in, const LearnerBuild& build) {
    return PartNaming(in, build).run();
}

}  // namespace voltsill
