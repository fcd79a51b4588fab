#pragma once
/// Sheets for the bench: how to build it, how to check it, what to hand out. All of them are made from
/// one set of values, so that a sheet cannot say what another one does not.
///
/// The order of building and checking is that of the trade: power off, grounds and strips, packages,
/// supplies, straps, decoupling, one channel complete, then the rest; then resistance, limited power,
/// static levels, function (common practice, no source). Nothing is computed here that is a voltage:
/// levels are readings of the judge, windows are those of judging/power_off.h.
#include <optional>
#include <string>
#include <vector>

#include "documents/sheets_changes.h"
#include "documents/sheets_exercise.h"
#include "documents/sheets_kit.h"
#include "documents/sheets_ohms.h"
#include "documents/sheets_steps.h"
#include "documents/sheets_wrong.h"
#include "faults/fault_chart.h"
#include "faults/planted.h"
#include "judging/power_order.h"
#include "judging/rail_currents.h"
#include "placement/place.h"
#include "placement/slips.h"
#include "teaching/kits.h"
#include "teaching/questions.h"
#include "teaching/time_plan.h"

namespace voltsill {

/// Everything the sheets of one bench say.
struct Sheets {
    std::string version;   ///< of the bench's bytes: eight hexadecimal digits
    bool planned = false;  ///< wired by the plan, not by [wiring]
    bool with_answers = false;  ///< for readers who get answers: instructors
    int seats = 1;
    SlipReport slips;     ///< only what may harm; none without holes
    PlacedWiring placed;  ///< the wiring with its holes; `trouble`: no holes, pins only
    Judgement judgement;
    Judgement direct;  ///< with the ends of every link joined as they are
    std::vector<std::string> unwired;  ///< links for which no interface circuit was found
    std::vector<BuildWire> wires;      ///< by number
    std::vector<BuildPhase> phases;
    std::vector<OhmCheck> ohms;
    std::vector<LinkReading> levels;
    std::vector<std::vector<WrongReading>> wrong;  ///< by level: what else it may read, and why
    std::optional<FaultChart> faults;   ///< where somebody asks for it: it takes as long as all else together
    std::optional<PlantedSet> planted;  ///< one a seat; where somebody asks for it
    PowerOrder order;
    std::vector<RailCurrent> currents;  ///< by rail; empty: the network has no solution
    std::vector<KitEntry> kit;
    std::vector<Exercise> exercises;
    QuestionSet questions;  ///< one learner a seat; empty where nobody asks for them
    TimePlan time;
    StockReport stock;  ///< for instructors
    SpareRates spares;

    const Wiring& wiring() const { return placed.wiring; }
    bool has_holes() const { return placed.trouble.empty() && !placed.placement.boards.empty(); }
};

struct NamedDocument {
    std::string name;  ///< "build": of a file, without its ending
    doc::Document document;
};

/// Who reads: decides which sheets there are and whether they hold the answers.
enum class Audience {
    build,
    test,
    learner,
    instructor,
    all,           ///< all above
    faults,        ///< who looks for a fault
    fault_causes,  ///< who helps: the same chart with what each answer means
    planted        ///< who plants faults for a class, and the sheet to find one by
};
inline constexpr std::pair<const char*, Audience> audience_words[] = {{"build", Audience::build},
                                                                      {"test", Audience::test},
                                                                      {"learner", Audience::learner},
                                                                      {"instructor", Audience::instructor},
                                                                      {"all", Audience::all},
                                                                      {"faults", Audience::faults},
                                                                      {"fault-causes", Audience::fault_causes},
                                                                      {"planted", Audience::planted}};

/// Instructors, and those who want everything.
bool has_answers(Audience audience);
/// Only sheets about faults, which nobody else gets.
bool is_about_faults(Audience audience);
/// Learners, and those with answers.
bool has_questions(Audience audience);

/// `changes`: since an older version, when one was given.
std::vector<NamedDocument> sheets_for(Audience audience, const Bench& bench, const Sheets& sheets,
                                      const std::optional<ChangeList>& changes = {});

doc::Document build_sheet(const Bench& bench, const Sheets& sheets);
/// With `answers`: nominal values and what wrong readings mean; without: windows to fill and tick.
doc::Document test_sheet(const Bench& bench, const Sheets& sheets, bool answers);
/// With `causes` and what each answer means; without: what to read, for those who shall find it.
doc::Document fault_sheet(const Bench& bench, const Sheets& sheets, bool causes);
/// The key per seat, and how each fault is planted and found; and a sheet for a learner to find one by.
doc::Document planted_sheet(const Bench& bench, const Sheets& sheets);
doc::Document fault_finding_sheet(const Bench& bench, const Sheets& sheets);
doc::Document bench_card(const Bench& bench, const Sheets& sheets);
doc::Document kit_sheet(const Bench& bench, const Sheets& sheets);
doc::Document label_sheet(const Bench& bench, const Sheets& sheets);
doc::Document exercise_sheet(const Bench& bench, const Sheets& sheets);
doc::Document change_sheet(const Bench& bench, const Sheets& sheets, const ChangeList& changes);

}  // namespace voltsill
