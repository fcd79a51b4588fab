#pragma once
/// What is wrong with a build, from readings taken at it, and what to read next.
///
///     DiagnoseOptions ask{.lines = {"U1.13 = 0.02 V when D4 high"}, .memory = memory};
///     DiagnoseResult r = diagnose(bench_bytes, "station.toml", include, readings_bytes, "readings.toml", ask);
///
/// The build is that of the sheets: [wiring] of the bench or the plan, placed with the same options, so wires
/// have the numbers of the sheet. What takes time is made once for a content of the bench, its includes, the
/// placement and the weights, and kept in `memory`; a further reading then costs one diagnosis.
#include <memory>

#include "documents/diagnosis_report.h"
#include "engine/engine.h"
#include "faults/readings_file.h"
#include "faults/suspect_members.h"

namespace voltsill {

/// Benches made ready; safe for several threads.
struct DiagnoseMemory;
/// Of so many benches the latest ones are kept.
std::shared_ptr<DiagnoseMemory> diagnose_memory(int most = 4);

struct DiagnoseOptions {
    std::vector<std::string> lines;  ///< readings as lines, after those of the file
    DiagnosisOptions how;            ///< its errors count where the file says none
    bool pairs = false;              ///< two faults at once as well; the file may say so, too
    PlaceOptions place;              ///< as the sheets were made
    int threads = 1;                 ///< the result is the same for any number
    std::shared_ptr<DiagnoseMemory> memory;
};

/// How a further reading is given back as a line.
struct AskedReading {
    LineForm line;        ///< the answer goes between its halves
    std::string answers;  ///< "a voltage such as \"3.3 V\", or \"drifts\""
    Means means{};
};

/// What may be read at this build, for those who choose by themselves.
struct Askable {
    struct Point {
        std::string label, place;
    };
    std::vector<Point> points;
    std::vector<Point> posts;  ///< of supplies: ohms only
    std::vector<int> wires;
    std::vector<std::string> parts, links, rails, drivers;  ///< drivers: "gauge.ECHO" can be told high or low
    struct Kind {
        FaultKind kind{};
        double weight = 0;  ///< how often it is met, as it was reckoned with here
        int faults = 0;     ///< of this kind that were thought of
    };
    std::vector<Kind> kinds;  ///< all of them; weights: docs/failure-modes.md
};

struct DiagnoseResult {
    std::optional<Bench> bench;  ///< nothing: the bench was refused
    Problems problems;           ///< of the bench file
    Problems reading_problems;   ///< of the readings file and of the lines
    Problems misused;            ///< of the options: "unknown-board"
    bool cancelled = false;
    std::string version;  ///< of the bench's bytes, as on its sheets
    bool planned = false;
    std::string not_placed;  ///< why there are no holes and wires; empty: there are
    int faults = 0;          ///< single faults that were thought of
    long long pairs = 0, pairs_left_out = 0;
    Askable askable;
    ReadingsFile given;         ///< the file's readings, then the lines
    std::string readings_file;  ///< the same as a file
    Diagnosis diagnosis;
    std::vector<std::vector<SuspectMember>> members;  ///< by suspect
    std::vector<AskedReading> asked;                  ///< by reading of `diagnosis.next`
    std::optional<Damage> damage;  ///< by the likeliest fault, where it could harm

    bool accepted() const;
};

/// `readings` may be empty. `progress` may return false: the result is then `cancelled`.
DiagnoseResult diagnose(std::string_view bytes, const std::string& file, const Includer& include,
                        std::string_view readings, const std::string& readings_file,
                        const DiagnoseOptions& options = {}, const Progress& progress = {});

/// 0 as planned, or nothing read; 1 a fault is likelier; 3 refused.
int exit_code(const DiagnoseResult& result);
/// For people; with `hint` 1 to 3 only that depth of the hints for learners.
doc::Document report_of(const DiagnoseResult& result, int hint = 0);
std::string to_json(const DiagnoseResult& result);  ///< "voltsill-diagnose-1"

}  // namespace voltsill
