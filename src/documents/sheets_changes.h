#pragma once
/// What changed between two versions of a bench, in words.
#include <string>
#include <vector>

#include "documents/document.h"
#include "documents/sheets_steps.h"

namespace voltsill {

struct Change {
    enum class Kind { added, removed, changed } kind = Kind::changed;
    std::string what;     ///< "rail", "part", "link", "circuit part", "wire"
    std::string name;     ///< "usb"
    std::string was, is;  ///< in words; empty where there was or is none
    bool operator==(const Change&) const = default;
};

/// One version: the bench, its wiring, its wires.
struct BenchVersion {
    const Bench& bench;
    const Wiring& wiring;
    const std::vector<BuildWire>& wires;
};

struct ChangeList {
    std::string old_version;
    std::vector<Change> changes;
    std::vector<std::string> sheets;  ///< names of sheets that read differently
    std::vector<std::string> steps;   ///< steps of the build sheet that are new
};

/// What `now` has in place of `before`. Swapped, it swaps added with removed and was with is.
std::vector<Change> changes_between(const BenchVersion& before, const BenchVersion& now);

}  // namespace voltsill
