/// The names a bench gives to ends of wires, and the wanted wires of a wiring without holes.
#include "teaching/learner_build.h"

#include <fmt/format.h>

#include <algorithm>

#include "placement/slips.h"
#include "teaching/build_text.h"

namespace voltsill {

std::string small_letters(std::string_view text) {
    std::string out(text);
    for (char& c : out)
        if ('A' <= c && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

BuildReader::BuildReader(const Bench& bench, const PlacedWiring& build)
    : bench_(bench), build_(build), holes_(build.trouble.empty() && !build.placement.boards.empty()) {
    const Wiring& wiring = build.wiring;
    for (std::size_t p = 0; p < wiring.parts.size(); ++p) {
        const WiredPart& part = wiring.parts[p];
        parts_.emplace(small_letters(part.name), static_cast<int>(p));
        part_names_.push_back(part.name);
        for (std::size_t k = 0; k < part.type->pins.size(); ++k) {
            const int pin = static_cast<int>(k);
            const WireEnd end{.kind = WireEnd::Kind::pin, .part = static_cast<int>(p), .pin = pin};
            if (part.type->pin_index(part.type->pins[k].name) == pin)
                add_name(fmt::format("{}.{}", part.name, part.type->pins[k].name), end);
            if (part.type->pins[k].name.starts_with('/'))
                ends_.emplace(small_letters(fmt::format("{}.{}", part.name, part.type->pins[k].name.substr(1))), end);
        }
        if (part.package)
            for (std::size_t n = 0; n < part.package->pin_of_number.size(); ++n)
                if (const int pin = part.package->pin_of_number[n]; pin >= 0)
                    ends_.emplace(small_letters(fmt::format("{}.{}", part.name, n + 1)),
                                  WireEnd{.kind = WireEnd::Kind::pin, .part = static_cast<int>(p), .pin = pin});
    }
    for (const Rail& rail : bench.rails) {
        if (rail.from.empty()) {
            const WireEnd plus{.kind = WireEnd::Kind::supply, .rail = rail.name};
            const WireEnd zero{.kind = WireEnd::Kind::ground, .rail = rail.name};
            add_name("rail " + rail.name, plus);
            add_name(fmt::format("supply {} +", rail.name), plus);
            add_name(fmt::format("supply {} 0 V", rail.name), zero);
            ends_.emplace(small_letters(fmt::format("supply {} -", rail.name)), zero);
            zeros_.push_back(zero);
        } else if (const auto maker = ends_.find(small_letters(rail.from)); maker != ends_.end()) {
            add_name("rail " + rail.name, maker->second);
        }
    }
    ground_ = zeros_.empty() ? WireEnd{} : zeros_.front();
    for (std::size_t p = 0; p < wiring.parts.size() && zeros_.empty(); ++p)
        if (const int pin = wiring.parts[p].type->ground_pin(); pin >= 0) {
            ground_ = {.kind = WireEnd::Kind::pin, .part = static_cast<int>(p), .pin = pin};
            zeros_.push_back(ground_);
        }
    if (!zeros_.empty()) add_name("ground", ground_);
    for (const Link& link : bench.links)
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends)
                for (const char* level : {"high", "low", "released"})
                    states_.push_back(fmt::format("{}.{} {}", end.part, end.pin, level));
}

void BuildReader::add_name(const std::string& name, const WireEnd& end) {
    if (ends_.emplace(small_letters(name), end).second) names_.push_back(name);
}

Placement BuildReader::placement_of_nets() const {
    const Wiring& wiring = build_.wiring;
    Placement out;
    std::vector<std::optional<WireEnd>> last(wiring.nets.size());
    const auto join = [&](NetId net, const WireEnd& end) {
        if (net < 0) return;
        if (last[net])
            out.wires.push_back({.number = static_cast<int>(out.wires.size()) + 1,
                                 .from = *last[net],
                                 .to = end,
                                 .net = net});
        last[net] = end;
    };
    for (const WireEnd& zero : zeros_) join(wiring.ground(), zero);
    for (const Rail& rail : bench_.rails)
        if (rail.from.empty()) join(wiring.rail(rail.name), {.kind = WireEnd::Kind::supply, .rail = rail.name});
    for (std::size_t p = 0; p < wiring.parts.size(); ++p)
        for (std::size_t k = 0; k < wiring.parts[p].net_of_pin.size(); ++k)
            join(wiring.parts[p].net_of_pin[k],
                 {.kind = WireEnd::Kind::pin, .part = static_cast<int>(p), .pin = static_cast<int>(k)});
    return out;
}

std::optional<std::vector<Hole>> moved_to(const Placement& placement, int part, const std::optional<Hole>& first,
                                          bool turned) {
    const Slip turn{.kind = SlipKind::part_turned, .part = part};
    std::vector<Hole> holes =
        turned ? with_slip(placement, turn).parts[part].holes : placement.parts[part].holes;
    if (holes.empty()) return std::nullopt;
    if (!first) return holes;
    const BoardKind &old = *placement.boards[holes[0].board], &board = *placement.boards[first->board];
    const bool same = old.name == board.name;
    if (!same && board.columns[first->column].name != old.columns[holes[0].column].name) return std::nullopt;
    const int rows = first->row - holes[0].row, columns = same ? first->column - holes[0].column : 0;
    for (Hole& hole : holes) {
        hole.column = same ? hole.column + columns : board.column(old.columns[hole.column].name);
        hole.board = first->board, hole.row += rows;
        if (hole.column < 0 || hole.column >= static_cast<int>(board.columns.size()) ||
            !board.has_hole(hole.row, hole.column))
            return std::nullopt;
    }
    return holes;
}

}  // namespace voltsill
