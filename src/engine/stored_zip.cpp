#include "engine/stored_zip.h"

#include <array>

namespace voltsill {
namespace {

constexpr std::uint16_t version_needed = 20, utf8_names = 1u << 11, stored = 0;
constexpr std::uint16_t dos_time = 0, dos_date = 1u << 5 | 1u;  // 1980-01-01 00:00
constexpr std::uint32_t local_mark = 0x04034b50, central_mark = 0x02014b50, end_mark = 0x06054b50;

constexpr std::array<std::uint32_t, 256> crc_table = [] {
    std::array<std::uint32_t, 256> table{};
    for (std::uint32_t n = 0; n < 256; ++n) {
        std::uint32_t c = n;
        for (int bit = 0; bit < 8; ++bit) c = c & 1 ? 0xEDB88320u ^ (c >> 1) : c >> 1;
        table[n] = c;
    }
    return table;
}();

/// Little-endian numbers, one after the other.
struct Bytes {
    std::string out;
    Bytes& two(std::uint32_t x) {
        out += static_cast<char>(x & 0xff);
        out += static_cast<char>(x >> 8 & 0xff);
        return *this;
    }
    Bytes& four(std::uint32_t x) { return two(x & 0xffff).two(x >> 16); }
};

/// What local header and central directory have in common, from the version needed on.
void common_fields(Bytes& to, const std::string& name, std::string_view bytes, std::uint32_t crc) {
    const auto size = static_cast<std::uint32_t>(bytes.size());
    to.two(version_needed).two(utf8_names).two(stored).two(dos_time).two(dos_date);
    to.four(crc).four(size).four(size).two(static_cast<std::uint32_t>(name.size())).two(0);
}

}  // namespace

std::uint32_t crc32_of(std::string_view bytes) {
    std::uint32_t crc = 0xffffffffu;
    for (const char b : bytes) crc = crc_table[(crc ^ static_cast<unsigned char>(b)) & 0xff] ^ (crc >> 8);
    return crc ^ 0xffffffffu;
}

std::string stored_zip(const std::vector<std::pair<std::string, std::string>>& files) {
    Bytes body, directory;
    for (const auto& [name, bytes] : files) {
        const auto at = static_cast<std::uint32_t>(body.out.size());
        const std::uint32_t crc = crc32_of(bytes);
        body.four(local_mark);
        common_fields(body, name, bytes, crc);
        body.out += name;
        body.out += bytes;
        directory.four(central_mark).two(version_needed);
        common_fields(directory, name, bytes, crc);
        directory.two(0).two(0).two(0).four(0).four(at);  // comment, disk, inside and outside attributes
        directory.out += name;
    }
    const auto at = static_cast<std::uint32_t>(body.out.size());
    const auto size = static_cast<std::uint32_t>(directory.out.size()),
               count = static_cast<std::uint32_t>(files.size());
    directory.four(end_mark).two(0).two(0).two(count).two(count).four(size).four(at).two(0);
    return body.out + directory.out;
}

}  // namespace voltsill
