/// Names: which are allowed, and the pins they lead to.
#include <utf8proc.h>

#include <charconv>

#include "bench/bench_work.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

/// Control characters, line separators and characters that turn the writing direction: they
/// make a name look like another, or break the line it is shown in.
bool is_unseen(std::string_view name) {
    while (!name.empty()) {
        utf8proc_int32_t code_point = -1;
        const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(name.data()),
                                             static_cast<utf8proc_ssize_t>(name.size()), &code_point);
        if (length <= 0) return true;
        name.remove_prefix(static_cast<std::size_t>(length));
        const auto category = utf8proc_category(code_point);
        if (category == UTF8PROC_CATEGORY_CC || category == UTF8PROC_CATEGORY_ZL ||
            category == UTF8PROC_CATEGORY_ZP)
            return true;
        const bool turns =
            (code_point >= 0x202A && code_point <= 0x202E) || (code_point >= 0x2066 && code_point <= 0x2069);
        if (turns) return true;
    }
    return false;
}

/// The index of pin `number` in the package; -1: no such number or not connected.
int numbered_pin(const BenchPart& part, std::string_view text, bool& is_number) {
    int number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    is_number = !text.empty() && error == std::errc{} && end == text.data() + text.size();
    if (!is_number || !part.package) return -1;
    const auto& pins = part.package->pin_of_number;
    const bool there = number >= 1 && number <= static_cast<int>(pins.size());
    return there ? pins[static_cast<std::size_t>(number - 1)] : -1;
}

void report_pin(BenchWork& work, const BenchPart& part, const Text& text, std::size_t dot, bool is_number) {
    const std::string pin = text.text.substr(dot + 1);
    const Spot spot = work.reader.inside(*text.at, dot + 1, pin.size());
    if (is_number && part.package) {
        work.reader.error(
            spot, "unknown-pin",
            "pin " + pin + " of " + part.type->name + " in " + part.package->name +
                " does not exist or is not connected",
            "1 to " + std::to_string(part.package->pin_of_number.size()) + ", or the name of a pin");
        return;
    }
    NameList names;
    for (const Pin& p : part.type->pins) names.push_back(p.name);
    work.reader.unknown_name(spot, "unknown-pin",
                             in_quotes(part.name) + " (" + part.type->name + ") has no pin " + in_quotes(pin),
                             pin, names);
}

}  // namespace

Spot spot_of(const Place& place) { return {0, 0, place.line, place.column, place.width}; }

Spot spot_of(const FieldPlaces& keys, std::string_view key, const Place& record) {
    const FieldPlaces::One* one = keys.find(key);
    return one ? one->value_spot : spot_of(record);
}

void BenchWork::warn(const Spot& spot, std::string code, std::string message, std::string expected) {
    Problem problem = reader.source().problem(spot, std::move(code), std::move(message), std::move(expected));
    problem.severity = Severity::warning;
    reader.add(std::move(problem));
}

NameList BenchWork::rail_names() const {
    NameList names;
    for (const Rail& rail : bench.rails) names.push_back(rail.name);
    return names;
}

NameList BenchWork::part_names() const {
    NameList names;
    for (const auto& [name, part] : parts) names.push_back(name);
    return names;
}

std::string one_of(const NameList& names) {
    std::string text;
    for (const std::string& name : names) text += (text.empty() ? "one of " : ", ") + name;
    return text;
}

bool good_name(BenchWork& work, std::string_view name, const Spot& spot, std::string_view what) {
    const auto refuse = [&](std::string why, std::string expected) {
        work.reader.error(spot, "bad-name", "the name of a " + std::string(what) + ' ' + std::move(why),
                          std::move(expected));
        return false;
    };
    if (name.find_first_not_of(" \t\n\r") == std::string_view::npos)
        return refuse("is empty", "a name such as \"gauge\"");
    if (is_unseen(name))
        return refuse("holds a control character", "letters, digits and signs that can be seen");
    if (name.front() == ' ' || name.back() == ' ')
        return refuse("begins or ends with a blank", "the name without it");
    if (what != "part") return true;
    if (name.find('.') != std::string_view::npos)
        return refuse("holds a point, which separates part and pin in \"part.PIN\"", "a name without points");
    if (name == "ground" || name.starts_with("rail "))
        return refuse("means something else in a list of wires", "another name");
    return true;
}

std::optional<PinFound> find_pin(BenchWork& work, const Text& text) {
    if (!text.at) return std::nullopt;
    const std::size_t dot = text.text.find('.');
    if (dot == std::string::npos || dot == 0 || dot + 1 == text.text.size()) {
        work.reader.error(text.at->spot, "not-a-pin", in_quotes(text.text) + " does not name a pin of a part",
                          "\"part.PIN\", such as \"gauge.ECHO\"");
        return std::nullopt;
    }
    const std::string_view name = std::string_view(text.text).substr(0, dot);
    const auto found = work.parts.find(name);
    if (found == work.parts.end()) {
        work.reader.unknown_name(work.reader.inside(*text.at, 0, dot), "unknown-part",
                                 "there is no part " + in_quotes(name), name, work.part_names());
        return std::nullopt;
    }
    const BenchPart& part = *found->second;
    if (!part.type) return std::nullopt;
    const std::string_view pin = std::string_view(text.text).substr(dot + 1);
    int index = part.type->pin_index(pin);
    bool is_number = false;
    if (index < 0) index = numbered_pin(part, pin, is_number);
    if (index >= 0) return PinFound{&part, index, &text};
    report_pin(work, part, text, dot, is_number);
    return std::nullopt;
}

}  // namespace voltsill
