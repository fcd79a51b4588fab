#include "placement/wrong_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "judging/cut.h"
#include "placement/join_harm.h"
#include "placement/slip_nets.h"

namespace voltsill {
namespace {

/// Closer than this two readings of a hand meter are one (common practice: contact, meter, parts).
constexpr double alike = 0.15;

/// A network that hangs together beyond this is one whose common ground or supply is gone; what a single
/// pin of it reads tells little, and a sheet checks supplies first.
constexpr std::size_t most_unknowns = 40;

bool likely(const Slip& slip) {
    return slip.kind == SlipKind::wire_missing || slip.kind == SlipKind::header_pin_off ||
           (slip.kind == SlipKind::one_row_off && slip.wire >= 0);
}

bool reads_as(const MeterReading& a, const MeterReading& b) {
    if (!a.solved || !b.solved) return a.solved == b.solved;
    if (a.floats || b.floats) return a.floats && b.floats;
    return a.lo <= b.hi + alike && b.lo <= a.hi + alike && std::abs(a.nominal - b.nominal) < 2 * alike;
}

void widen(MeterReading& to, const MeterReading& by) {
    to.lo = std::min(to.lo, by.lo), to.hi = std::max(to.hi, by.hi);
}

bool alike_told(const std::vector<Told>& a, const std::vector<Told>& b) {
    return std::ranges::equal(a, b, [](const Told& x, const Told& y) {
        return x.part == y.part && x.pin == y.pin && x.high == y.high;
    });
}

class Meter {
  public:
    Meter(const Bench& bench, const Wiring& wiring, const Placement& placement,
          const std::vector<Checkpoint>& checkpoints)
        : bench_(bench),
          wiring_(wiring),
          placement_(placement),
          checkpoints_(checkpoints),
          base_(wiring_of(bench, wiring, placement)),
          cutter_(bench, base_, std::vector<bool>(bench.rails.size())),
          harm_(bench, base_),
          out_(checkpoints.size()) {
        SettledLevels good(bench_, base_);
        for (std::size_t c = 0; c < checkpoints.size(); ++c) {
            good.tell(checkpoints[c].told);
            out_[c].good = good.at(checkpoints[c].part, checkpoints[c].pin);
        }
    }

    std::vector<CheckpointReading> run() {
        const SlipNets nets(bench_, wiring_);
        std::map<SlipNets::Key, std::vector<const Slip*>> alike_slips;
        const std::vector<Slip> slips = slips_of(bench_, wiring_, placement_);
        std::vector<const std::vector<const Slip*>*> order;
        for (const Slip& slip : slips)
            if (likely(slip)) {
                auto& same = alike_slips[nets.of(with_slip(placement_, slip))];
                if (same.empty()) order.push_back(&same);
                same.push_back(&slip);
            }
        // What is left out is likelier than what is misplaced.
        std::ranges::stable_sort(
            order, {}, [](const auto* same) { return same->front()->kind != SlipKind::wire_missing; });
        for (const auto* same : order) mistake(*same);
        for (CheckpointReading& c : out_)
            std::ranges::stable_sort(c.wrong, [](const WrongReading& a, const WrongReading& b) {
                return std::pair(a.reading.floats, a.reading.nominal) <
                       std::pair(b.reading.floats, b.reading.nominal);
            });
        return std::move(out_);
    }

  private:
    void mistake(const std::vector<const Slip*>& same) {
        const Wiring made = wiring_of(bench_, wiring_, with_slip(placement_, *same.front()));
        const WiringCut cut = cutter_.cut(made, false);
        std::vector<int> here(made.parts.size(), -1);
        for (std::size_t p = 0; p < cut.part_of.size(); ++p) here[cut.part_of[p]] = static_cast<int>(p);
        std::optional<SettledLevels> levels;
        std::optional<bool> harms;
        const Checkpoint* told = nullptr;  // the last one: neighbours often say the same
        for (std::size_t c = 0; c < checkpoints_.size(); ++c) {
            const Checkpoint& at = checkpoints_[c];
            if (!cut.moved[cutter_.pin(at.part, at.pin)] || here[at.part] < 0) continue;
            if (!levels) levels.emplace(bench_, cut.wiring);
            if (levels->largest() > most_unknowns) return;
            if (!told || !alike_told(told->told, at.told)) levels->tell(at.told);
            told = &at;
            const MeterReading read = levels->at(here[at.part], at.pin);
            if (reads_as(read, out_[c].good)) continue;
            if (!harms) harms = harm_.may_harm(made);
            note(out_[c], read, same, *harms);
        }
    }
    void note(CheckpointReading& at, const MeterReading& read, const std::vector<const Slip*>& same,
              bool harms) {
        auto group =
            std::ranges::find_if(at.wrong, [&](const WrongReading& w) { return reads_as(w.reading, read); });
        if (group == at.wrong.end()) group = at.wrong.insert(group, WrongReading{.reading = read});
        widen(group->reading, read);
        group->possibly_harmful |= harms;
        for (const Slip* slip : same) group->causes.push_back(cause(*slip));
    }
    std::string cause(const Slip& slip) const {
        const std::string& reason = placement_.wires[slip.wire].reason;
        return words(wiring_, placement_, slip) + (reason.empty() ? "" : fmt::format(" ({})", reason));
    }

    const Bench& bench_;
    const Wiring& wiring_;
    const Placement& placement_;
    const std::vector<Checkpoint>& checkpoints_;
    Wiring base_;
    WiringCutter cutter_;
    HarmJudge harm_;
    std::vector<CheckpointReading> out_;
};

}  // namespace

std::vector<CheckpointReading> what_wrong_readings_mean(const Bench& bench, const Wiring& wiring,
                                                        const Placement& placement,
                                                        const std::vector<Checkpoint>& checkpoints) {
    return Meter(bench, wiring, placement, checkpoints).run();
}

}  // namespace voltsill
