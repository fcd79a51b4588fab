#pragma once
/// Marking a class: a bench prepared once, then any number of builds.
///
///     const MarkingReady ready = prepare_marking(bench_bytes, "station.toml", include, {});
///     if (ready.prepared) MarkedBuild marked = mark_build(*ready.prepared, bytes, "anna.csv");
///
/// The wanted wiring is that of the sheets: [wiring] of the bench or the plan, placed with the same
/// options. Marking again under a changed rubric is the same call with another rubric.
#include <memory>

#include "engine/engine.h"
#include "teaching/class_summary.h"
#include "teaching/marking.h"

namespace voltsill {

struct MarkingOptions {
    PlaceOptions place;                 ///< as the sheets were made
    std::optional<std::string> rubric;  ///< bytes of a rubric file; nothing: the built-in one
    std::string rubric_file;            ///< its name for messages
};

struct MarkingReady {
    std::shared_ptr<const PreparedMarking> prepared;  ///< null: refused, misused or cancelled
    Problems problems;                                ///< of the bench file
    Problems rubric_problems;
    Problems misused;  ///< of the options: "unknown-board"
    bool cancelled = false;
};
/// `progress` may return false: the result is then `cancelled`.
MarkingReady prepare_marking(std::string_view bytes, const std::string& file, const Includer& include,
                             const MarkingOptions& options, const Progress& progress = {});

/// Marks entered by the instructor, by learner: CSV with the columns learner,criterion,points,note.
struct HandMarks {
    std::map<std::string, std::vector<HandMark>, std::less<>> of;
    Problems problems;
};
HandMarks read_hand_marks(std::string_view bytes, const std::string& file, const Rubric& rubric);

/// Names replaced by pseudonyms, builds in their order, nothing left that a learner typed. A pseudonym is the
/// beginning of SHA-256 over seed and name: the same for a seed; who knows the seed can try names.
MarkedClass without_names(MarkedClass marked, std::uint64_t seed);

/// Judged safe or thin and every file read: 0; else 1.
int exit_code(const MarkedClass& marked);
std::string to_json(const MarkedClass& marked);  ///< "voltsill-marking-1"
/// The same of one build alone, for a page: "voltsill-marked-build-1".
std::string to_json(const MarkedBuild& marked);
/// RFC 4180, a row a learner: points by criterion, what is wrong, whether to stop.
std::string marks_csv(const MarkedClass& marked);

}  // namespace voltsill
