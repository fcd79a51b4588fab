#include "planning/circuit_kind.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "quantity/preferred.h"
#include "quantity/print.h"
#include "quantity/rise.h"
#include "wiring/assumed.h"

namespace voltsill {

std::vector<CircuitKind> in_place(std::vector<CircuitKind> circuits) {
    std::ranges::sort(circuits, {}, &CircuitKind::place);
    return circuits;
}

bool Crossing::open_drain_driver() const {
    return std::ranges::all_of(from, [](const Side& s) {
        return s.facts->role == PinRole::open_drain || s.facts->role == PinRole::open_drain_io;
    });
}

double Crossing::load_capacitance() const {
    double c = bench->wishes.wire_capacitance.si();
    for (const Side& s : to)
        c += s.facts->capacitance.known() ? s.facts->capacitance.span.hi.si() : assumed::pin_capacitance.si();
    return c;
}

namespace {

/// The first word of a text, which then begins after it; empty at the end.
std::string_view take_word(std::string_view& text) {
    text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size());
    return word;
}

bool same_letters(std::string_view a, std::string_view b) {
    const auto small = [](char c) { return std::tolower(static_cast<unsigned char>(c)); };
    return std::ranges::equal(a, b, {}, small, small);
}

}  // namespace

bool names_type(std::string_view item, std::string_view type) {
    for (std::string_view word; !(word = take_word(type)).empty();)
        if (!same_letters(take_word(item), word)) return false;
    return true;
}

bool in_stock(const Bench& bench, std::string_view type_name) {
    if (!bench.has_stock) return true;
    return std::ranges::any_of(bench.stock, [&](const StockItem& item) {
        return names_type(item.name, type_name) && item.count.value_or(1) > 0;
    });
}

ResistorStock resistor_stock(const Bench& bench) {
    ResistorStock stock;
    for (const StockItem& item : bench.stock) {
        if (!names_type(item.name, "resistor")) continue;
        std::string_view name = item.name;
        for (std::string_view word; !(word = take_word(name)).empty();)
            if (same_letters(word.substr(0, 1), "e"))
                if (const auto series = find_series("E" + std::string(word.substr(1)))) stock.series = *series;
        if (item.span) stock.span = *item.span;
    }
    if (const auto types = types_of(bench, PartKind::resistor); !types.empty())
        stock.tolerance = std::get<ResistorModel>(types.front()->model).tolerance;
    stock.tolerance = std::min(stock.tolerance, tolerance(stock.series));
    return stock;
}

double resistor_at_least(const Bench& bench, double ohms) {
    const auto [series, span, tolerance] = resistor_stock(bench);
    return std::clamp(at_least(series, ohms).value_or(ohms), span.lo.si(), span.hi.si());
}

double resistor_at_most(const Bench& bench, double ohms) {
    const auto [series, span, tolerance] = resistor_stock(bench);
    return std::clamp(at_most(series, ohms).value_or(ohms), span.lo.si(), span.hi.si());
}

std::vector<std::shared_ptr<const PartType>> types_of(const Bench& bench, PartKind kind,
                                                      const Accept& accept) {
    std::vector<std::pair<bool, std::shared_ptr<const PartType>>> found;  // not in stock, type
    for (const auto& type : bench.catalogue->types())
        if (type->kind == kind && (!accept || accept(*type))) found.emplace_back(!in_stock(bench, type->name), type);
    std::ranges::stable_sort(found, {}, [](const auto& f) { return std::pair(f.first, f.second->price); });
    std::vector<std::shared_ptr<const PartType>> types;
    for (auto& [missing, type] : found) types.push_back(std::move(type));
    return types;
}

void add_resistor(const Bench& bench, Wiring& wiring, double ohms, NetId a, NetId b, std::string purpose) {
    const auto types = types_of(bench, PartKind::resistor);
    if (types.empty()) return;  // hidden by a type of the bench: the judge sees the circuit without it
    const int part = wiring.add_part("R", types.front(), std::move(purpose));
    wiring.parts[part].value = ohms;
    wiring.parts[part].tolerance = resistor_stock(bench).tolerance;
    wiring.parts[part].net_of_pin = {a, b};
}

void add_pull_up(const Bench& bench, Wiring& wiring, double ohms, std::string_view rail, NetId net,
                 const std::string& link) {
    const NetId top = wiring.rail(rail);
    const bool there = std::ranges::any_of(wiring.parts, [&](const WiredPart& p) {
        return p.added && p.type->kind == PartKind::resistor &&
               std::ranges::find(p.net_of_pin, net) != p.net_of_pin.end() &&
               std::ranges::find(p.net_of_pin, top) != p.net_of_pin.end();
    });
    if (!there) add_resistor(bench, wiring, ohms, top, net, "pull-up of " + link);
}

int add_discrete(Wiring& wiring, const std::shared_ptr<const PartType>& type, std::string_view prefix,
                 const std::vector<std::pair<std::string, NetId>>& pins, std::string purpose) {
    const int part = wiring.add_part(prefix, type, std::move(purpose));
    for (const auto& [pin, net] : pins) {
        const int k = type->pin_index(pin);
        if (k >= 0) wiring.parts[part].net_of_pin[k] = net;
    }
    return part;
}

double pull_up_for(const Crossing& crossing) {
    const double edge = crossing.rate() > 0 ? 0.2 / crossing.rate() : 1e-6;
    const double most = std::clamp(edge / (rise_factor * crossing.load_capacitance()), 1e3, 10e3);
    return resistor_at_most(*crossing.bench, most);
}

Volts surely_high(const Side& side) {
    const Volts rail = side.volts.lo;
    const auto curve = drive_curve(*side.facts, true, rail);
    if (!curve || curve->points.size() < 2) return rail - Volts{0.4};
    return rail - curve->points[1].drop;
}

bool pulls_up(const Side& side, const Pull& pull) {
    const auto& removed = side.bench_part->pulls_removed;
    const bool taken_off = pull.removable && std::ranges::find(removed, side.facts->name) != removed.end();
    return pull.up && !pull.at_reset && !taken_off;
}

const Pull* own_pull_up(const std::vector<Side>& sides) {
    for (const Side& s : sides)
        for (const Pull& p : s.facts->pulls)
            if (pulls_up(s, p)) return &p;
    return nullptr;
}

std::string hold_safe_level(const Crossing& c, Recipe& r) {
    if (!c.link->safe_level || c.both_ways() || c.link->kind == LinkKind::analog) return {};
    const bool wanted_high = *c.link->safe_level == "high";
    if (r.rests_high || c.open_drain_driver())
        return wanted_high ? "" : "its pull-up rests the line high while nothing drives; low is wanted at reset";
    if (c.driver().rail.empty()) return {};
    const Bench& bench = *c.bench;
    const bool high = wanted_high != r.inverts;
    const double ohms = resistor_at_most(bench, 4.7e3);
    const std::string rail = c.driver().rail, name = c.link->name, level = *c.link->safe_level;
    const Assemble rest = r.assemble;
    r.assemble = [&bench, ohms, high, rail, name, level, rest](Wiring& w, NetId d, NetId rx) {
        if (high)
            add_pull_up(bench, w, ohms, rail, d, name);
        else
            add_resistor(bench, w, ohms, d, w.ground(),
                         fmt::format("keeps the receiver of {} {} at reset", name, level));
        if (rest) rest(w, d, rx);
    };
    r.title +=
        fmt::format(", {} at reset by {} to {}", level, print(Ohms{ohms}), high ? "rail " + rail : "ground");
    return {};
}

}  // namespace voltsill
