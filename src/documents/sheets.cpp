#include "documents/sheets.h"

#include "documents/sheets_teaching.h"

namespace voltsill {
namespace {

/// Build and test on one run of pages; the windows are there, the answers are not.
doc::Document learner_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Learner's sheets: " + bench.title, {}};
    out.blocks.push_back(
        doc::paragraph({"Name: ..............................   Seat: ........   Date: ................"}));
    append_sheet(out.blocks, build_sheet(bench, sheets));
    out.blocks.push_back(doc::PageBreak{});
    append_sheet(out.blocks, test_sheet(bench, sheets, false));
    return out;
}

}  // namespace

bool has_answers(Audience audience) { return audience == Audience::all || audience == Audience::instructor; }

bool is_about_faults(Audience audience) {
    return audience == Audience::faults || audience == Audience::fault_causes || audience == Audience::planted;
}

bool has_questions(Audience audience) { return audience == Audience::learner || has_answers(audience); }

std::vector<NamedDocument> sheets_for(Audience audience, const Bench& bench, const Sheets& sheets,
                                      const std::optional<ChangeList>& changes) {
    std::vector<NamedDocument> out;
    const bool all = audience == Audience::all, instructor = has_answers(audience);
    if (instructor || audience == Audience::build) out.push_back({"build", build_sheet(bench, sheets)});
    if (all || audience == Audience::test) out.push_back({"test", test_sheet(bench, sheets, false)});
    if (all || audience == Audience::learner) out.push_back({"learner", learner_sheet(bench, sheets)});
    if (instructor) out.push_back({"answers", test_sheet(bench, sheets, true)});
    if (all || audience == Audience::learner) out.push_back({"lesson", lesson_sheet(bench, sheets, false)});
    if (has_questions(audience) && !sheets.questions.learners.empty())
        out.push_back({"questions", question_sheet(bench, sheets, false)});
    if (instructor) {
        out.push_back({"lesson-notes", lesson_sheet(bench, sheets, true)});
        out.push_back({"question-key", question_sheet(bench, sheets, true)});
    }
    if (instructor || audience == Audience::learner) out.push_back({"card", bench_card(bench, sheets)});
    if (audience == Audience::faults) out.push_back({"faults", fault_sheet(bench, sheets, false)});
    if (audience == Audience::fault_causes) out.push_back({"fault-causes", fault_sheet(bench, sheets, true)});
    if (audience == Audience::planted) {
        out.push_back({"planted", planted_sheet(bench, sheets)});
        out.push_back({"find-the-fault", fault_finding_sheet(bench, sheets)});
    }
    if (instructor) {
        out.push_back({"parts", kit_sheet(bench, sheets)});
        out.push_back({"count-out", count_out_sheet(bench, sheets)});
        out.push_back({"count-back", count_back_sheet(bench, sheets)});
        out.push_back({"labels", label_sheet(bench, sheets)});
        out.push_back({"exercises", exercise_sheet(bench, sheets)});
    }
    if (changes) out.push_back({"changes", change_sheet(bench, sheets, *changes)});
    return out;
}

}  // namespace voltsill
