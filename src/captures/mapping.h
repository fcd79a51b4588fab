#pragma once
/// Which channel of a file was probed where, and through what.
#include <optional>
#include <string>
#include <vector>

#include "captures/compare.h"

namespace voltsill {

/// Place of a mistake in an option.
inline constexpr const char* command_line = "command line";

struct ChannelWish {
    std::string channel;  ///< name, last part of a name, or number from 1
    std::string target;   ///< of --map: a link, or a pin "controller.D2"
};
struct ScaleWish {
    std::string channel;
    double factor = 1;
};

/// "CH1=tank echo"; quotes around either side are taken off. Nothing without '=' or with an empty side.
std::optional<ChannelWish> read_wish(std::string_view text);

/// Index of the channel that a word names, or -1: by name or alias, whatever the capitals; by the last
/// part of a hierarchical name if only one has it; by number. Otherwise a problem with the nearest name.
int find_channel(const std::string& word, const std::vector<CaptureChannel>& channels,
                 const std::string& option, Problems& problems);

/// The target that a name stands for, or -1: a link's first receiver, or a point by its label.
int find_target(const std::string& name, const std::vector<Expectation>& targets);

}  // namespace voltsill
