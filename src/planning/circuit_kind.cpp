#include "planning/circuit_kind.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "quantity/preferred.h"
#include "wiring/assumed.h"

namespace voltsill {

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

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words;
    std::string word;
    for (char c : text) {
        if (c == ' ') {
            if (!word.empty()) words.push_back(word);
            word.clear();
        } else {
            word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        }
    }
    if (!word.empty()) words.push_back(word);
    return words;
}

/// "LVC 541 DIP-20" names the type "LVC 541"; "resistor E24" the type "resistor".
bool names_type(std::string_view item, std::string_view type) {
    const auto stocked = words_of(item), wanted = words_of(type);
    return stocked.size() >= wanted.size() && std::equal(wanted.begin(), wanted.end(), stocked.begin());
}

}  // namespace

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
        for (const std::string& word : words_of(item.name))
            for (int series : {6, 12, 24, 48, 96, 192})
                if (word == fmt::format("e{}", series)) stock.series = series;
        if (item.span) stock.span = *item.span;
    }
    return stock;
}

namespace {

Series series_of(const Bench& bench) { return *find_series(fmt::format("E{}", resistor_stock(bench).series)); }

}  // namespace

double resistor_at_least(const Bench& bench, double ohms) {
    const auto span = resistor_stock(bench).span;
    return std::clamp(at_least(series_of(bench), ohms).value_or(ohms), span.lo.si(), span.hi.si());
}

double resistor_at_most(const Bench& bench, double ohms) {
    const auto span = resistor_stock(bench).span;
    return std::clamp(at_most(series_of(bench), ohms).value_or(ohms), span.lo.si(), span.hi.si());
}

std::vector<std::shared_ptr<const PartType>> types_of(const Bench& bench, PartKind kind, const Accept& accept) {
    std::vector<std::shared_ptr<const PartType>> found;
    for (const auto& type : bench.catalogue->types())
        if (type->kind == kind && (!accept || accept(*type))) found.push_back(type);
    std::ranges::stable_sort(found, [&](const auto& a, const auto& b) {
        const bool sa = in_stock(bench, a->name), sb = in_stock(bench, b->name);
        return sa != sb ? sa : a->price < b->price;
    });
    return found;
}

void add_resistor(const Bench& bench, Wiring& wiring, double ohms, NetId a, NetId b, std::string purpose) {
    const auto types = types_of(bench, PartKind::resistor);
    if (types.empty()) return;
    const int part = wiring.add_part("R", types.front(), std::move(purpose));
    wiring.parts[part].value = ohms;
    wiring.parts[part].net_of_pin = {a, b};
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
    const double most = std::clamp(edge / (2.2 * crossing.load_capacitance()), 1e3, 10e3);
    return resistor_at_most(*crossing.bench, most);
}

}  // namespace voltsill
