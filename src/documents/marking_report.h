#pragma once
/// What marking found, for people to read: a sheet for each learner and one for the class.
#include "documents/document.h"
#include "teaching/class_summary.h"

namespace voltsill {

/// Points, then what to mend first, readings, lines of the file that could not be read.
doc::Document learner_sheet(const std::string& title, const MarkedBuild& marked);
/// Marks of all, how they lie, and which mistakes the class made. `listed` at most stand in the tables.
doc::Document class_sheet(const MarkedClass& marked, std::size_t listed = 500);

}  // namespace voltsill
