#pragma once
/// A circuit read back from its drawing: which leads the lines join, by nothing but the places of
/// lines, leads and junction dots. Shares no code with what draws it.
#include <map>
#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace voltsill::drawn {

/// Rules of reading (IEC 61082-1, from memory): lines join where their ends meet and where a dot lies
/// on them; lines that cross without a dot do not; three ends never meet without a dot.
struct Circuit {
    std::map<std::string, std::vector<int>> pins;    ///< name -> joined set, one entry for every lead drawn
    std::map<std::string, std::vector<int>> rails;   ///< rail symbols
    std::map<std::string, std::vector<int>> inside;  ///< inner ends of what a module holds, by its pin
    std::map<std::string, std::vector<int>> flags;   ///< nets that are only named
    std::vector<int> grounds;
    std::vector<std::string> faults;  ///< what a reader could take in two ways
};
Circuit read(const drawing::Drawing& drawing);

/// Symbols or words on top of each other, lines through symbols or words, small letters, things over the
/// edge: one sentence each.
std::vector<std::string> overlaps(const drawing::Drawing& drawing);

/// Words of every group that has `key`, by its value.
std::multimap<std::string, std::vector<std::string>> words_by(const drawing::Drawing& drawing,
                                                              const std::string& key);

}  // namespace voltsill::drawn
