#pragma once
/// The declarations of a value change dump: time unit, scopes, variables (IEEE Std 1364-2005, 18.2).
///
///     $timescale 1 ps $end
///     $scope module top $end   $var reg 4 % e_d [3:0] $end   $upscope $end
///     $enddefinitions $end
///
/// Every bit of a vector becomes a channel of its own, named with its index: "top.e_d[2]". An
/// identifier that is declared again names the same signal: the name becomes an alias.
#include <array>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "captures/complaints.h"
#include "captures/samples.h"

namespace voltsill {

struct VcdVariable {
    enum class Kind { bits, real, ignored } kind = Kind::bits;
    int width = 1;     ///< bits as declared
    int channel = -1;  ///< of its least significant bit; -1: not measured
    int bits = 0;      ///< of it that are channels, from the least significant one
    double value = std::numeric_limits<double>::quiet_NaN();  ///< of a real
};

class VcdHeader {
  public:
    explicit VcdHeader(Complaints& complaints) : complaints_(complaints) {}

    /// A section `$keyword words $end` that begins on that line.
    void section(std::string_view keyword, const std::vector<std::string>& words, std::uint64_t line);

    double seconds_per_tick = 1;
    bool has_timescale = false;
    std::vector<CaptureChannel> channels;
    std::vector<VcdVariable> variables;
    /// By identifier of one character, from '!': the channel of a variable of one bit, or -1.
    std::array<std::int32_t, 256> channel_of_character = filled();
    /// Index of the variable; -1: not declared.
    int find(std::string_view id) const;

  private:
    static constexpr std::size_t table_size = 94 + 94 * 94;
    static constexpr std::array<std::int32_t, 256> filled() {
        std::array<std::int32_t, 256> out{};
        out.fill(-1);
        return out;
    }
    static int table_index(std::string_view id);

    void timescale(const std::vector<std::string>& words, std::uint64_t line);
    void variable(const std::vector<std::string>& words, std::uint64_t line);
    void declare(const std::string& id, VcdVariable variable, const std::string& name, int left, int right,
                 bool ranged, std::uint64_t line);

    Complaints& complaints_;
    std::vector<std::string> scopes_;
    std::vector<int> short_ids_ = std::vector<int>(table_size, -1);  ///< of one or two characters
    std::unordered_map<std::string, int> long_ids_;
};

inline int VcdHeader::table_index(std::string_view id) {
    const auto place = [](char c) { return static_cast<unsigned char>(c) - 33u; };
    if (id.size() == 1 && place(id[0]) < 94) return static_cast<int>(place(id[0]));
    if (id.size() == 2 && place(id[0]) < 94 && place(id[1]) < 94)
        return static_cast<int>(94 + place(id[0]) * 94 + place(id[1]));
    return -1;
}

inline int VcdHeader::find(std::string_view id) const {
    if (const int at = table_index(id); at >= 0) return short_ids_[static_cast<std::size_t>(at)];
    const auto at = long_ids_.find(std::string(id));
    return at == long_ids_.end() ? -1 : at->second;
}

}  // namespace voltsill
