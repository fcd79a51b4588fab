#pragma once
/// Files in one archive without compression: the ZIP file format, method 0 (stored), APPNOTE.TXT 6.3.x of its
/// publisher, sections 4.3.7, 4.3.12 and 4.3.16; ISO/IEC 21320-1 (all from memory).
///
/// Names are UTF-8 (general purpose bit 11). The date of every entry is 1 January 1980, the first the format
/// has, so that the same files give the same bytes. Below 65535 files and 4 GiB.
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace voltsill {

/// CRC-32 of ISO 3309 and ITU-T V.42: "123456789" gives 0xCBF43926 (the check value of the usual tables).
std::uint32_t crc32_of(std::string_view bytes);

/// `files`: path with '/' and bytes, in the order in which they stand.
std::string stored_zip(const std::vector<std::pair<std::string, std::string>>& files);

}  // namespace voltsill
