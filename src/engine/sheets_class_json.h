#pragma once
/// The part of the sheets document that is about a class.
#include "engine/json_pieces.h"
#include "engine/sheets.h"

namespace voltsill {

/// Without `answers`: nothing that gives one away.
Json questions_json(const QuestionSet& set, bool answers);
Json time_json(const TimePlan& plan);
Json stock_json(const StockReport& report);

}  // namespace voltsill
