#pragma once
/// What a change of wires can reach, cut out of a wiring: as small a bench as gives the same answer.
///
/// A voltage depends on the nets that share an island (island.h) with it, and on what the stages there
/// can say; these follow the inputs of their units. So a change moves the islands it touches and,
/// through channels, those behind them; to know these, everything before them is needed:
///
///     cut = before*(moved),  moved = behind*(touched)
///
/// with * the closure over devices (both ways) and channels (one way). Rails and ground separate
/// islands where they are held; a rail that some scene takes down is followed like any net. Parts
/// outside the cut keep their supplies, grounds and decoupling, so that sums over a rail stay whole.
#include <map>

#include "judging/finding.h"

namespace voltsill {

struct WiringCut {
    Wiring wiring;
    std::vector<int> part_of;  ///< part of the whole, by part of the cut
    std::vector<char> inside;  ///< by pin of the whole, `WiringCutter::pin`: its level is as in the whole
    std::vector<char> moved;   ///< by pin of the whole: it may read differently than in the base
    std::vector<int> links;    ///< of the bench: an end may read differently
    bool same = false;         ///< the nets are those of the base
};

class WiringCutter {
  public:
    /// `loose_rails`: by rail of the bench, whether some scene takes it down. All must outlive this.
    WiringCutter(const Bench& bench, const Wiring& base, std::vector<bool> loose_rails);

    /// `changed`: the parts of the base in the same order, perhaps others behind them; a part of another
    /// type or value has changed at all its pins. `whole_links`: every link with an end that may read
    /// differently is in the cut from its drivers on.
    WiringCut cut(const Wiring& changed, bool whole_links) const;
    /// The base itself, as if something had changed at these pins (`pin`).
    WiringCut around(const std::vector<int>& pins) const;
    /// Whether an end of a link of the bench is in the cut.
    bool reads(const WiringCut& cut, int link) const;
    int pin(int part, int pin_index) const { return frame_.pin(part, pin_index); }

  private:
    struct Way {
        std::vector<int> from, to;
    };
    /// Which pins of a part type share devices, and which read others through a channel.
    struct Coupling {
        std::vector<std::vector<std::vector<int>>> groups_of;  ///< by pin
        std::vector<std::vector<int>> behind, before;          ///< by pin: channels' far pins
        std::vector<char> powers;                              ///< by pin: a supply or a ground
    };
    /// Pins of all parts by number. Those of the base keep theirs; parts behind it, and parts of another
    /// type, whose pins may be others, come after.
    struct Frame {
        std::vector<int> first, part_of_pin;
        std::vector<const Coupling*> coupling_of_part;
        std::vector<std::unique_ptr<const Coupling>> own;
        int pin(int part, int pin_index) const { return first[part] + pin_index; }
    };
    friend struct Closure;

    static Coupling coupling_of(const PartType& type);
    int held_label(const Wiring& wiring, NetId net) const;
    Frame frame_of(const Wiring& changed) const;
    bool is_replaced(const Wiring& changed, std::size_t part) const;
    std::vector<char> moved_pins(const Wiring& changed, const Frame& frame, bool& same) const;
    WiringCut cut_from(const Wiring& changed, const Frame& frame, const std::vector<char>& moved,
                       bool whole_links) const;
    Wiring build(const Wiring& changed, const Frame& frame, const std::vector<char>& inside,
                 std::vector<int>& part_of) const;
    std::shared_ptr<const PartType> bare(const std::shared_ptr<const PartType>& type) const;
    std::shared_ptr<const PartType> reduced(const std::shared_ptr<const PartType>& type,
                                            const std::vector<bool>& channels) const;

    const Bench& bench_;
    const Wiring& base_;
    std::vector<bool> loose_;
    std::map<const PartType*, Coupling> couplings_;
    Frame frame_;  ///< of the base
    std::vector<std::vector<int>> ends_of_link_;  ///< pins, by link of the bench
    std::vector<int> base_label_, base_size_;     ///< by net of the base
    mutable std::map<std::pair<const PartType*, std::vector<bool>>, std::shared_ptr<const PartType>> types_;
};

}  // namespace voltsill
