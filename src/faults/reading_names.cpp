#include "faults/reading_names.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>

#include "quantity/scan.h"
#include "wiring/part_words.h"

namespace voltsill {

std::unexpected<ReadingTrouble> no_reading(std::string code, std::string message, std::string expected,
                                           std::size_t at, std::size_t length, std::string nearest) {
    return std::unexpected(ReadingTrouble{
        {std::move(code), std::move(message), std::move(expected), at, length}, std::move(nearest)});
}

ReadingTrouble shifted(ReadingTrouble trouble, std::size_t by) {
    trouble.trouble.at += by;
    return trouble;
}

std::string_view without_blanks(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}

ReadingNames::ReadingNames(const Questions& questions) : questions_(questions) {
    add_pins();
    const Bench& bench = questions.bench();
    for (std::size_t r = 0; r < bench.rails.size(); ++r)
        for (const std::string& name : {"rail " + bench.rails[r].name, bench.rails[r].name})
            state_names_.push_back({.name = name, .rail = static_cast<int>(r)});
    const Wiring& wiring = questions.build().wiring;
    for (const Link& link : bench.links) {
        if (link.from.empty()) continue;
        const int part = wiring.part(link.from.front().part);
        if (part < 0) continue;
        state_names_.push_back(
            {.name = link.name, .part = part, .pin = wiring.parts[part].type->pin_index(link.from.front().pin)});
    }
    std::ranges::stable_sort(state_names_, std::ranges::greater{},
                             [](const StateName& n) { return n.name.size(); });
}

void ReadingNames::add_pins() {
    const auto& parts = questions_.build().wiring.parts;
    std::map<std::string, std::vector<StateName>> bare;
    for (std::size_t p = 0; p < parts.size(); ++p)
        for (std::size_t k = 0; k < parts[p].type->pins.size(); ++k) {
            const int part = static_cast<int>(p), pin = static_cast<int>(k);
            const std::string& name = parts[p].type->pins[k].name;
            if (const int point = questions_.point_of_pin(part, pin); point >= 0)
                bare_pins_[name].push_back(point);
            StateName full{.name = parts[p].name + "." + name, .part = part, .pin = pin};
            bare[name].push_back(full);
            if (const int number = number_of(parts[p], pin); number > 0)
                state_names_.push_back({fmt::format("{}.{}", parts[p].name, number), -1, part, pin});
            state_names_.push_back(std::move(full));
        }
    for (auto& [name, pins] : bare)
        if (pins.size() == 1) state_names_.push_back({name, -1, pins[0].part, pins[0].pin});
}

Looked<int> ReadingNames::unknown_pin(std::string_view text, std::size_t dot) const {
    const Wiring& wiring = questions_.build().wiring;
    const std::string_view name = text.substr(0, dot), pin = text.substr(dot + 1);
    const int part = wiring.part(name);
    if (part < 0) {
        std::vector<std::string> names;
        for (const WiredPart& p : wiring.parts) names.push_back(p.name);
        return no_reading("unknown-part", "there is no part " + in_quotes(name), "\"part.PIN\"", 0, dot,
                          nearest_name(name, names));
    }
    const PartType& type = *wiring.parts[part].type;
    if (const int index = type.pin_index(pin); index >= 0)
        return no_reading("no-probe-point", fmt::format("{} is on nothing: no probe gets there", text),
                          "a pin with a wire or a lead in a hole", 0, text.size());
    std::vector<std::string> names;
    for (const Pin& p : type.pins) names.push_back(p.name);
    return no_reading("unknown-pin", fmt::format("{} ({}) has no pin {}", name, type.name, in_quotes(pin)),
                      "its name, or its number in the package", dot + 1, pin.size(), nearest_name(pin, names));
}

Looked<int> ReadingNames::point(std::string_view text) const {
    if (const int point = questions_.point(text); point >= 0) return point;
    if (const auto bare = bare_pins_.find(std::string(text)); bare != bare_pins_.end()) {
        if (bare->second.size() == 1) return bare->second.front();
        std::vector<std::string> labels;
        for (const int p : bare->second) labels.push_back(questions_.points()[p].label);
        return no_reading("ambiguous-pin", fmt::format("{} parts have a pin {}", labels.size(), in_quotes(text)),
                          fmt::format("one of {}", fmt::join(labels, ", ")), 0, text.size());
    }
    if (const auto dot = text.rfind('.'); dot != std::string_view::npos && dot > 0) return unknown_pin(text, dot);
    std::vector<std::string> names;
    for (const ProbePoint& p : questions_.points()) {
        names.push_back(p.label);
        if (p.kind == ProbePoint::Kind::rail) names.push_back(p.rail);
    }
    for (const auto& [name, points] : bare_pins_) names.push_back(name);
    return no_reading("unknown-point", "there is no point " + in_quotes(text),
                      "\"part.PIN\", \"rail NAME\" or \"ground\"", 0, text.size(), nearest_name(text, names));
}

Looked<int> ReadingNames::rail(std::string_view text) const {
    std::vector<std::string> names;
    for (std::size_t k = 0; k < questions_.points().size(); ++k) {
        const ProbePoint& p = questions_.points()[k];
        if (p.kind != ProbePoint::Kind::rail && p.kind != ProbePoint::Kind::ground) continue;
        const int point = static_cast<int>(k);
        if ((p.label == text || p.rail == text) && !questions_.wires_along(point).empty()) return point;
        names.push_back(p.label);
        if (!p.rail.empty()) names.push_back(p.rail);
    }
    return no_reading("unknown-point", "there are no wires of " + in_quotes(text),
                      "a rail or the ground of a build on boards", 0, text.size(), nearest_name(text, names));
}

Looked<int> ReadingNames::supply(std::string_view text) const {
    std::vector<std::string> names;
    for (const Rail& rail : questions_.bench().rails) {
        if (rail.name == text && rail.from.empty()) return questions_.point("rail " + rail.name);
        if (rail.from.empty()) names.push_back(rail.name);
    }
    const bool made = questions_.bench().rail(std::string(text)) != nullptr;
    return no_reading("unknown-point",
                      made ? fmt::format("rail {} is made on the bench: no supply of its own feeds it", text)
                           : "there is no supply " + in_quotes(text),
                      fmt::format("one of {}", fmt::join(names, ", ")), 0, text.size(), nearest_name(text, names));
}

Looked<int> ReadingNames::wire(std::string_view text) const {
    std::string_view digits = text;
    if (digits.starts_with("wire ")) digits = without_blanks(digits.substr(5));
    int number = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
    const auto& wires = questions_.build().placement.wires;
    const bool is_number = !digits.empty() && error == std::errc{} && end == digits.data() + digits.size();
    if (is_number && std::ranges::find(wires, number, &LaidWire::number) != wires.end()) return number;
    return no_reading("unknown-wire", fmt::format("there is no wire {}", in_quotes(digits)),
                      wires.empty() ? "nothing: this build is not on boards, so its wires have no numbers"
                                    : fmt::format("{} to {}", wires.front().number, wires.back().number),
                      offset_in(text, digits), digits.size());
}

bool ReadingNames::is_part(std::string_view text) const { return questions_.build().wiring.part(text) >= 0; }

Looked<int> ReadingNames::part(std::string_view text) const {
    const Wiring& wiring = questions_.build().wiring;
    if (const int part = wiring.part(text); part >= 0) return part;
    std::vector<std::string> names;
    for (const WiredPart& p : wiring.parts) names.push_back(p.name);
    return no_reading("unknown-part", "there is no part " + in_quotes(text), "a part of the build", 0,
                      text.size(), nearest_name(text, names));
}

Looked<int> ReadingNames::link(std::string_view text) const {
    const std::vector<Link>& links = questions_.bench().links;
    if (const auto at = std::ranges::find(links, text, &Link::name); at != links.end())
        return static_cast<int>(at - links.begin());
    std::vector<std::string> names;
    for (const Link& l : links) names.push_back(l.name);
    return no_reading("unknown-link", "there is no link " + in_quotes(text), "a link of the bench", 0,
                      text.size(), nearest_name(text, names));
}

}  // namespace voltsill
