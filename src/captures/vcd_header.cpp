#include "captures/vcd_header.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "captures/reader.h"

namespace voltsill {
namespace {

constexpr int widest = 64;  ///< bits of one vector that become channels
constexpr std::size_t most_variables = 1u << 16, deepest_scope = 256, longest_name = 256;

/// IEEE Std 1364-2005, 18.2.3.8 (number from memory): what a variable may be.
constexpr std::array types_of_bits = {"integer", "parameter", "reg",   "supply0", "supply1", "time",
                                      "tri",     "triand",    "trior", "trireg",  "tri0",    "tri1",
                                      "wand",    "wire",      "wor",   "bit",     "logic",   "int"};

std::optional<int> whole(std::string_view text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size() ? std::optional(value) : std::nullopt;
}

/// "[3:0]" or "[3]"; false if it is something else.
bool read_range(std::string_view text, int& left, int& right) {
    if (!text.starts_with('[') || !text.ends_with(']')) return false;
    text = text.substr(1, text.size() - 2);
    const std::size_t colon = text.find(':');
    const auto a = whole(text.substr(0, colon)),
               b = colon == std::string_view::npos ? a : whole(text.substr(colon + 1));
    if (!a || !b) return false;
    left = *a;
    right = *b;
    return true;
}

}  // namespace

void VcdHeader::timescale(const std::vector<std::string>& words, std::uint64_t line) {
    std::string text;
    for (const std::string& word : words) text += word;
    static constexpr std::pair<std::string_view, double> units[] = {
        {"s", 1}, {"ms", 1e-3}, {"us", 1e-6}, {"ns", 1e-9}, {"ps", 1e-12}, {"fs", 1e-15}};
    const std::size_t digits = std::min(text.find_first_not_of("0123456789"), text.size());
    const auto number = whole(std::string_view(text).substr(0, digits));
    const auto unit = std::ranges::find(units, std::string_view(text).substr(digits),
                                        &std::pair<std::string_view, double>::first);
    if (!number || (*number != 1 && *number != 10 && *number != 100) || unit == std::end(units)) {
        complaints_.add(Severity::error, "vcd-timescale", line, "$timescale " + text, 11, text.size(),
                        fmt::format("\"{}\" is no time scale", text.substr(0, 40)),
                        "1, 10 or 100, and s, ms, us, ns, ps or fs");
        return;
    }
    has_timescale = true;
    seconds_per_tick = *number * unit->second;
}

void VcdHeader::section(std::string_view keyword, const std::vector<std::string>& words, std::uint64_t line) {
    if (keyword == "$timescale") return timescale(words, line);
    if (keyword == "$var") return variable(words, line);
    if (keyword == "$upscope") {
        if (!scopes_.empty()) scopes_.pop_back();
        return;
    }
    if (scopes_.size() >= deepest_scope) {
        complaints_.add(Severity::error, "vcd-scopes",
                        fmt::format("more than {} scopes lie in each other", deepest_scope));
        return;
    }
    scopes_.push_back(words.size() > 1 ? words[1].substr(0, longest_name) : std::string());
}

void VcdHeader::variable(const std::vector<std::string>& words, std::uint64_t line) {
    const auto refuse = [&](const std::string& message) {
        std::string text = "$var";
        for (const std::string& word : words) text.append(1, ' ').append(word, 0, longest_name);
        complaints_.add(Severity::error, "vcd-variable", line, text, 0, text.size(), message,
                        "$var, a type, a number of bits, an identifier, a name, $end");
    };
    if (words.size() < 4) return refuse("a declaration is not complete");
    const std::string &type = words[0], &id = words[2];
    const auto width = whole(words[1]);
    if (!width || *width < 1)
        return refuse(fmt::format("\"{}\" is no number of bits", words[1].substr(0, 40)));
    const bool real = type == "real" || type == "realtime" || type == "shortreal",
               bits = std::ranges::find(types_of_bits, type) != types_of_bits.end();
    if (!real && !bits && type != "event" && type != "string")
        complaints_.add(
            Severity::warning, "vcd-type", line, type, 0, type.size(),
            fmt::format("\"{}\" is a type of variable that IEEE 1364 does not know; its bits are read",
                        type.substr(0, 40)));
    std::string name = words[3];
    int left = *width - 1, right = 0;
    bool ranged = false;
    if (const std::size_t open = name.rfind('[');
        open != std::string::npos && open > 0 && words.size() == 4 &&
        read_range(std::string_view(name).substr(open), left, right)) {
        ranged = true;
        name.erase(open);
    }
    std::string range;
    for (std::size_t k = 4; k < words.size(); ++k) range += words[k];
    ranged |= read_range(range, left, right);
    std::string full;
    for (const std::string& scope : scopes_)
        if (!scope.empty()) full.append(scope).append(1, '.');
    full = (full + name).substr(0, 4 * longest_name);
    VcdVariable v{.kind = real                                  ? VcdVariable::Kind::real
                          : type == "event" || type == "string" ? VcdVariable::Kind::ignored
                                                                : VcdVariable::Kind::bits,
                  .width = *width};
    declare(id, std::move(v), full, left, right, ranged, line);
}

void VcdHeader::declare(const std::string& id, VcdVariable v, const std::string& name, int left, int right,
                        bool ranged, std::uint64_t line) {
    const bool rises = left < right;
    const auto bit_name = [&](int bit) {
        const std::int64_t index = rises ? std::int64_t{right} - bit : std::int64_t{right} + bit;
        return v.width == 1 && !ranged ? name : fmt::format("{}[{}]", name, index);
    };
    if (const int known = find(id); known >= 0) {
        const VcdVariable& old = variables[static_cast<std::size_t>(known)];
        if (old.width != v.width || old.kind != v.kind)
            complaints_.add(
                Severity::warning, "vcd-alias", line, name, 0, name.size(),
                fmt::format("\"{}\" has the identifier of another variable and is not like it", name));
        for (int bit = 0; bit < std::min(old.bits, v.width); ++bit)
            if (auto& aliases = channels[static_cast<std::size_t>(old.channel + bit)].aliases;
                aliases.size() < 16)
                aliases.push_back(old.kind == VcdVariable::Kind::bits ? bit_name(bit) : name);
        return;
    }
    if (variables.size() >= most_variables) {
        complaints_.add(Severity::warning, "vcd-variables",
                        fmt::format("only the first {} variables are known", most_variables));
        return;
    }
    int wanted =
        v.kind == VcdVariable::Kind::bits ? std::min(v.width, widest) : v.kind == VcdVariable::Kind::real;
    if (v.kind == VcdVariable::Kind::bits && v.width > widest)
        complaints_.add(Severity::warning, "vcd-wide", line, name, 0, name.size(),
                        fmt::format("\"{}\" has {} bits; the {} lowest are measured", name, v.width, widest));
    if (channels.size() + static_cast<std::size_t>(wanted) > most_channels) {
        complaints_.add(
            Severity::warning, "too-many-channels",
            fmt::format("\"{}\" is not measured: {} channels are as many as are", name, most_channels));
        wanted = 0;
    }
    v.channel = wanted > 0 ? static_cast<int>(channels.size()) : -1;
    v.bits = wanted;
    for (int bit = 0; bit < wanted; ++bit)
        channels.push_back(
            {.name = v.kind == VcdVariable::Kind::bits ? bit_name(bit) : name,
             .kind = v.kind == VcdVariable::Kind::real ? ChannelKind::stepped : ChannelKind::logic});
    const int index = static_cast<int>(variables.size());
    if (v.kind == VcdVariable::Kind::bits && v.width == 1 && wanted == 1 && id.size() == 1)
        channel_of_character[static_cast<unsigned char>(id[0])] = v.channel;
    variables.push_back(std::move(v));
    if (const int at = table_index(id); at >= 0)
        short_ids_[static_cast<std::size_t>(at)] = index;
    else
        long_ids_.emplace(id.substr(0, longest_name), index);
}

}  // namespace voltsill
