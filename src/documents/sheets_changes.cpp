#include "documents/sheets_changes.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <utility>

#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// Name and description of everything of one sort, in order.
using Things = std::vector<std::pair<std::string, std::string>>;

void compare(std::vector<Change>& out, const std::string& what, const Things& before, const Things& now) {
    const auto find = [](const Things& things, const std::string& name) {
        return std::ranges::find(things, name, &std::pair<std::string, std::string>::first);
    };
    for (const auto& [name, words] : before)
        if (find(now, name) == now.end()) out.push_back({Change::Kind::removed, what, name, words, {}});
    for (const auto& [name, words] : now) {
        const auto was = find(before, name);
        if (was == before.end())
            out.push_back({Change::Kind::added, what, name, {}, words});
        else if (was->second != words)
            out.push_back({Change::Kind::changed, what, name, was->second, words});
    }
}

Things rails_of(const Bench& bench) {
    Things out;
    for (const Rail& rail : bench.rails) {
        std::string words = print(rail.volts.span);
        if (rail.limit) words += ", up to " + print(*rail.limit);
        if (!rail.from.empty()) words += ", from " + rail.from;
        if (rail.switch_group != rail.name) words += ", switch " + rail.switch_group;
        out.emplace_back(rail.name, words);
    }
    return out;
}

Things parts_of(const Bench& bench) {
    Things out;
    for (const BenchPart& part : bench.parts) {
        std::string words = part.type_name;
        for (const auto& [port, rail] : part.supplies) words += fmt::format(", {} on {}", port, rail);
        if (part.value) words += fmt::format(", value {:g}", *part.value);
        for (const std::string& pin : part.pulls_removed) words += ", pull at " + pin + " taken off";
        out.emplace_back(part.name, words);
    }
    return out;
}

std::string ends(const std::vector<PinRef>& pins) {
    std::vector<std::string> out;
    for (const PinRef& pin : pins) out.push_back(pin.part + "." + pin.pin);
    return fmt::format("{}", fmt::join(out, ", "));
}

Things links_of(const Bench& bench) {
    Things out;
    for (const Link& link : bench.links) {
        std::string words = fmt::format("{}, {} to {}", to_word(link.kind), ends(link.from), ends(link.to));
        if (link.rate) words += ", " + print(*link.rate);
        if (!link.bus.empty()) words += ", " + link.bus;
        if (!link.interface.empty()) words += ", interface " + link.interface;
        if (link.safe_level) words += ", safe level " + *link.safe_level;
        out.emplace_back(link.name, words);
    }
    return out;
}

Things added_of(const Wiring& wiring) {
    Things out;
    for (const WiredPart& part : wiring.parts)
        if (part.added)
            out.emplace_back(part.name, part_words(part) + (part.purpose.empty() ? "" : ", " + part.purpose));
    return out;
}

/// A wire is known by its ends; what else is said of it may change.
Things wires_of(const std::vector<BuildWire>& wires) {
    Things out;
    for (const BuildWire& wire : wires) {
        const auto& [a, b] = std::minmax(wire.from, wire.to);
        out.emplace_back(a + " to " + b,
                         fmt::format("{}{}{}", wire.net, wire.colour.empty() ? "" : ", ", wire.colour));
    }
    std::ranges::sort(out);
    return out;
}

}  // namespace

std::vector<Change> changes_between(const BenchVersion& before, const BenchVersion& now) {
    std::vector<Change> out;
    if (before.bench.title != now.bench.title)
        out.push_back({Change::Kind::changed, "title", "title", before.bench.title, now.bench.title});
    compare(out, "rail", rails_of(before.bench), rails_of(now.bench));
    compare(out, "part", parts_of(before.bench), parts_of(now.bench));
    compare(out, "link", links_of(before.bench), links_of(now.bench));
    compare(out, "circuit part", added_of(before.wiring), added_of(now.wiring));
    compare(out, "wire", wires_of(before.wires), wires_of(now.wires));
    return out;
}

}  // namespace voltsill
