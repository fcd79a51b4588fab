#pragma once
/// Sheets of a class: the lesson, the questions, the kits, the time it takes.
#include "documents/sheets_pieces.h"

namespace voltsill {

/// One question; with `key` its answer, how it is worked, and its sources.
Blocks question_blocks(const TestQuestion& question, std::size_t number, bool key);
/// The questions of every learner.
doc::Document question_sheet(const Bench& bench, const Sheets& sheets, bool key);

/// Aims, the idea, one or two links worked, wiring, checks, a self-test, cautions. For the instructor with
/// answers, the time plan, and what goes wrong.
doc::Document lesson_sheet(const Bench& bench, const Sheets& sheets, bool instructor);
Blocks time_blocks(const TimePlan& plan);

/// Bags for every seat, box by box; what comes back.
doc::Document count_out_sheet(const Bench& bench, const Sheets& sheets);
doc::Document count_back_sheet(const Bench& bench, const Sheets& sheets);
/// What the drawer lacks, and what may stand in.
Blocks stock_blocks(const StockReport& report);

/// What there is to do at one seat.
WorkCounts work_counts(const Sheets& sheets);

}  // namespace voltsill
