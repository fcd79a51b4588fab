#pragma once
/// A learner's build as a file: what was joined, which parts sit elsewhere, and what a meter showed.
///
/// A CSV table (records/csv_table.h) with the columns kind, from, to, value, note in any order, `from` and
/// `to` at least; a row without kind is a wire:
///
///     kind,from,to,value,note
///     wire,12c,gauge.ECHO,,yellow
///     part,U1,5e,,                            pin 1 of U1 is in 5e, the rest of it moves along
///     part,C1.2,5s,,                          lead 2 of C1 is in 5s, the rest of it stays
///     part,U2,,turned,                        or: missing
///     reading,controller.D4,gauge.ECHO high,3.28 V ± 0.02 V,
///     remark,,,,anything
///
/// Ends are holes ("12c", "B 12c", strips "12s"), pins ("gauge.ECHO", "U1.13", "U1.Y1"), terminals
/// ("supply usb +", "supply usb 0 V"), "rail usb" or "ground". Parts sit where the plan puts them unless a
/// row says otherwise. All mistakes are reported at once; a row with one is left out.
#include <unordered_map>

#include "judging/settled_levels.h"
#include "placement/place.h"
#include "quantity/parse.h"
#include "records/csv_table.h"

namespace voltsill {

struct LearnerReading {
    std::string point, state;  ///< as on the sheets: "U1.4 (2Y)", "sender.OUT high"; empty state: nothing driven
    int part = -1, pin = -1;   ///< of the wiring
    std::string rail;          ///< of a reading at a rail
    std::vector<Told> told;
    Span<Volts> volts;
    bool own_error = false;    ///< the file states the error
    Place place;
};

struct LearnerBuild {
    Placement placement;  ///< the plan's boards and parts, with what the file changes; the file's wires
    std::vector<Place> places;  ///< of the wires
    bool by_holes = false;  ///< some end is a hole
    bool moved = false;     ///< some part is elsewhere, turned or missing
    std::vector<int> missing;  ///< parts
    std::vector<LearnerReading> readings;
    Problems problems;
    bool readable = false;  ///< it is a table with the right columns
};

class BuildReader {
  public:
    /// `build`: the wanted one; with a `trouble` there are no holes, and ends are pins. Both must outlive it.
    BuildReader(const Bench& bench, const PlacedWiring& build);
    LearnerBuild read(std::string_view bytes, const std::string& file) const;

    /// The plan's wires without a placement: from pin to pin, net by net.
    Placement placement_of_nets() const;

  private:
    friend class BuildFile;
    using Ends = std::unordered_map<std::string, WireEnd>;
    void add_name(const std::string& name, const WireEnd& end);

    const Bench& bench_;
    const PlacedWiring& build_;
    bool holes_;
    Ends ends_;  ///< by name in small letters
    std::unordered_map<std::string, int> parts_;
    std::vector<std::string> names_, part_names_, states_;  ///< for help
    WireEnd ground_;                    ///< what "ground" is
    std::vector<WireEnd> zeros_;        ///< of supplies: "ground" joins them all
};

/// Where a part lies with pin 1 in a hole, shifted as a whole; nothing where it leaves the board. Without a
/// hole: where it lies anyway, perhaps turned.
std::optional<std::vector<Hole>> moved_to(const Placement& placement, int part, const std::optional<Hole>& first,
                                          bool turned);

}  // namespace voltsill
