#include "documents/sheets_kit.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <map>
#include <tuple>

#include "quantity/colour_code.h"
#include "quantity/print.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

/// Jumper wires are bought in lengths (common practice, no source);
/// one that is longer than any of these stays as it is.
int bought_length(double metres) {
    for (const int mm : {20, 50, 75, 100, 150, 200, 300})
        if (metres * 1e3 <= mm) return mm;
    return static_cast<int>(std::ceil(metres * 1e3));
}

/// A module is found in a box by what it is, beside the name of its type.
std::string found_as(const WiredPart& part) {
    const std::string& title = part.type->title;
    return part.type->kind == PartKind::module && !title.empty() ? fmt::format("{}: {}", part_words(part), title)
                                                                 : part_words(part);
}

/// Rails that no part makes come from supplies of their own; those alike are one entry.
std::map<std::string, KitEntry> supplies_of(const Bench& bench) {
    std::map<std::string, KitEntry> out;
    for (const Rail& rail : bench.rails) {
        if (!rail.from.empty()) continue;
        std::string what = "supply " + print(rail.volts.span);
        if (rail.limit) what += fmt::format(", {} at most", print(*rail.limit));
        KitEntry& entry = out[what];
        entry.what = std::move(what);
        ++entry.per_seat;
        entry.names += (entry.names.empty() ? "rail " : ", rail ") + rail.name;
    }
    return out;
}

}  // namespace

std::vector<KitEntry> kit_list(const Bench& bench, const PlacedWiring& placed, const std::vector<BuildWire>& wires,
                               int seats, const SpareRates& rates) {
    std::map<std::string, KitEntry> parts;
    std::map<std::string, const PartType*> type;
    for (const WiredPart& part : placed.wiring.parts) {
        const std::string what = found_as(part);
        KitEntry& entry = parts[what];
        entry.what = what;
        ++entry.per_seat;
        entry.names += (entry.names.empty() ? "" : ", ") + part.name;
        type[entry.what] = part.type.get();
    }
    std::map<std::tuple<std::string, int>, KitEntry> cut;
    for (const BuildWire& wire : wires) {
        const int mm = wire.metres > 0 ? bought_length(wire.metres) : 0;
        KitEntry& entry = cut[{wire.colour, mm}];
        entry.what = wire.colour.empty()
                         ? "jumper wire"
                         : fmt::format("wire {} ({}), {} mm", wire.colour, colour_name(wire.colour), mm);
        ++entry.per_seat;
        entry.names += fmt::format("{}{}", entry.names.empty() ? "" : ", ", wire.number);
    }
    std::map<std::string, KitEntry> boards;
    for (const auto& board : placed.placement.boards) {
        KitEntry& entry = boards[board->name];
        entry.what = fmt::format("solderless board, {}: {}", board->name, board->title);
        ++entry.per_seat;
    }
    std::vector<KitEntry> out;
    const auto take = [&](KitEntry entry, int spares) {
        entry.seats = seats;
        entry.spares = spares;
        out.push_back(std::move(entry));
    };
    for (auto& [what, entry] : supplies_of(bench)) take(entry, spares_of(rates.module, entry.per_seat * seats));
    for (auto& [name, entry] : boards) take(entry, spares_of(rates.board, entry.per_seat * seats));
    for (auto& [name, entry] : parts) take(entry, spares_of(*type[name], entry.per_seat * seats, rates));
    for (auto& [key, entry] : cut) take(entry, spares_of(rates.wire, entry.per_seat * seats));
    return out;
}

}  // namespace voltsill
