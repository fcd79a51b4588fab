#pragma once
/// Sheets of a bench: its wiring given or planned, placed, judged, read, and put in words.
///
/// The version of a bench is the first eight hexadecimal digits of SHA-256 (FIPS 180-4) over the bytes of
/// the bench file and then of every file it includes, in the order in which they are read: for a bench
/// without includes what `sha256sum BENCH | cut -c1-8` prints.
#include <optional>
#include <string>
#include <vector>

#include "documents/sheets.h"
#include "engine/engine.h"

namespace voltsill {

struct SheetsOptions {
    Audience audience = Audience::all;
    int seats = 1;  ///< 1..most_seats
    PlaceOptions place;
    std::uint64_t question_seed = 1;  ///< of the questions and of the planted faults
    SpareRates spares;
    std::vector<LoggedMinutes> time_rates, time_logs;  ///< of phases (teaching/time_plan.h)
    bool slips = true;  ///< look for single slips that harm: the longest part of the work
    int threads = 1;    ///< the result is the same for any number
    /// An older version of the bench: its bytes, its name for messages, its includes.
    std::optional<std::string> since;
    std::string since_file;
    Includer since_include;
};
inline constexpr int most_seats = 1000;

struct SheetsResult {
    std::optional<Bench> bench;
    Problems problems;        ///< of the bench file
    Problems since_problems;  ///< of the older one
    Problems misused;         ///< of the options: "unknown-board"
    bool cancelled = false;
    Sheets sheets;
    std::optional<ChangeList> changes;
    std::vector<NamedDocument> documents;
    std::string script;  ///< the exercises, for a shell
};

/// `progress` may return false: the result is then `cancelled` and holds no documents.
SheetsResult make_sheets(std::string_view bytes, const std::string& file, const Includer& include,
                         const SheetsOptions& options, const Progress& progress = {});

std::string to_json(const SheetsResult& result);  ///< "voltsill-sheets-1"

/// The first hexadecimal digits of SHA-256 over the bytes; at most 64.
std::string version_of(std::string_view bytes, std::size_t digits = 8);

}  // namespace voltsill
