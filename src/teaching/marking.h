#pragma once
/// Marking of a build: a learner's wires become a wiring, and that is judged.
///
///     build -> nets of its holes and pins -> equal channels and parts exchanged until they agree most
///           with the wanted nets -> what still differs, named as slips; harm and links by the judge
///
/// A wiring that makes the same nets gets full marks, whatever its holes, the order of its chains, and
/// which of equal channels, gates or resistors it uses. Shares, for wanted nets and made ones:
///
///     joins of a net = pins - 1,  made joins = pins - pieces it has fallen into;  a net is clean when
///     no piece of it is joined with another net
///
/// so that one more right wire never takes a share away. Prepared once for a bench, a build costs the
/// reading of its file; what distinct wrong nets do is judged once and kept.
#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "judging/finding.h"
#include "placement/place.h"
#include "quantity/parse.h"
#include "teaching/rubric.h"

namespace voltsill {

enum class MistakeKind {
    wire_missing,
    one_row_off,
    one_column_off,
    exchanged,  ///< ends of two wires, or two pins
    facing_pin,
    wrong_strip,
    header_pin_off,
    wrong_place,  ///< an end further off than a slip of the hand
    part_one_row_off,
    part_turned,
    part_missing,
    extra_wire,
};
inline constexpr int mistake_kinds = static_cast<int>(MistakeKind::extra_wire) + 1;
std::string_view to_word(MistakeKind kind);  ///< "one row off"
std::string_view to_key(MistakeKind kind);   ///< "one-row-off"

struct Mistake {
    MistakeKind kind{};
    std::string words;   ///< "wire 12 in 14c in place of 13c"
    std::string remedy;  ///< "Put this end of wire 12 into 13c."
    /// Of this mistake alone, on a build that is right otherwise. harmful; unknown: it may harm;
    /// unreadable: something does not work; thin: works with less margin; safe: works all the same.
    Verdict harm = Verdict::safe;
    std::string part, pin, code;     ///< of the worst finding; may be empty
    std::string sentence;            ///< of the judge; empty: nothing changes for the worse
    std::vector<std::string> links;  ///< that run through it
    std::vector<int> wires;          ///< numbers on the sheet
    /// Where a class meets it: 1 power off, by continuity; 3 static levels; 0: by eye only.
    int gate = 0;
};

enum class ReadingMark {
    right,       ///< what the right build shows, and this one too
    plausible,   ///< what this build shows, wrong as it is wired: measured honestly
    impossible,  ///< this build does not show it
    missing,     ///< wanted, not handed in
};
std::string_view to_word(ReadingMark mark);

struct MarkedReading {
    std::string point, state;  ///< "receiver.IN", "sender.OUT high"
    std::optional<Span<Volts>> read;  ///< with the error of the meter; nothing: missing
    double lo = 0, nominal = 0, hi = 0;  ///< wanted, V
    ReadingMark mark = ReadingMark::missing;
    std::string reason;  ///< for the learner; empty: right
    std::string link;    ///< empty: of none
    Place place;         ///< line 0: missing
};

struct CriterionMark {
    std::string id, words;
    double points = 0, of = 0;
    bool by_hand = false;
    bool open = false;                 ///< by hand, and nobody has marked it yet
    std::vector<std::string> reasons;  ///< why points are missing, in words for the learner
};

struct MarkedBuild {
    std::string learner;  ///< name of the file without folder and ending
    bool readable = false;
    Problems problems;  ///< of the file; lines with an error are not counted
    int wires = 0;      ///< read
    bool as_planned = false;  ///< the wanted nets, perhaps with equal channels or parts exchanged
    std::vector<Mistake> mistakes;
    std::vector<MarkedReading> readings;
    std::vector<CriterionMark> criteria;
    double points = 0, of = 0, open = 0;  ///< open: of criteria nobody has marked yet
    Verdict harm = Verdict::safe;         ///< of the build as it stands, against the right one
    std::vector<std::string> failing;     ///< links that do not work as in the right build
    std::string stop;            ///< why to switch off and go back to gate 1; empty: no reason
    std::string rubric_version;  ///< which rubric marked it
};

/// Points of one criterion from the instructor.
struct HandMark {
    std::string criterion;
    double points = 0;
    std::string note;
};

/// A bench ready to mark builds of; shared by threads.
class PreparedMarking {
  public:
    /// `build`: the wanted wiring, with holes where it has a placement (`trouble` empty).
    PreparedMarking(Bench bench, PlacedWiring build, Rubric rubric = default_rubric());
    ~PreparedMarking();
    PreparedMarking(const PreparedMarking&) = delete;
    PreparedMarking& operator=(const PreparedMarking&) = delete;

    const Bench& bench() const;
    const PlacedWiring& build() const;
    const Rubric& rubric() const;

    struct Inside;
    Inside& inside() const { return *inside_; }

  private:
    std::unique_ptr<Inside> inside_;
    Rubric rubric_;
};

/// Marks the bytes of a learner's file (docs/marking.md). May be called from many threads at once.
MarkedBuild mark_build(const PreparedMarking& prepared, std::string_view bytes, const std::string& file,
                       std::span<const HandMark> by_hand = {});

/// The learner's name: a file's name without folder and ending.
std::string learner_of(std::string_view file);

}  // namespace voltsill
