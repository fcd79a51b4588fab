/// Parts whose names are near: the letters of the family ignored, one digit of the function misread, another
/// transistor, amplifier or translator in the same package (failure modes F10 and F11 of docs/failure-modes.md).
#include <algorithm>
#include <numeric>

#include "faults/listing.h"

namespace voltsill {
namespace {

/// Insertions, deletions and changes of a letter (V. I. Levenshtein, Soviet Physics Doklady 10, 1966).
std::size_t letters_apart(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0]++;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t changed = diagonal + (a[i] != b[j]);
            diagonal = row[j + 1];
            row[j + 1] = std::min({changed, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

bool is_amplifier(PartKind kind) { return kind == PartKind::comparator || kind == PartKind::op_amp; }
bool is_led(const PartType& type) {
    const auto* diode = std::get_if<DiodeModel>(&type.model);
    return diode && diode->led;
}
bool is_regulator(const PartType& type) {
    const auto is_power = [](const Pin& p) { return p.role == PinRole::supply || p.role == PinRole::ground; };
    return std::ranges::all_of(type.pins, is_power) &&
           std::ranges::any_of(type.supplies, [](const SupplyPort& s) { return s.provides.has_value(); });
}

/// Families are printed as two to five letters, so two letters apart is near; of functions one digit.
bool near_name(const PartType& a, const PartType& b) {
    if (a.kind == PartKind::logic && b.kind == PartKind::logic) {
        if (a.function == b.function) return a.family != b.family && letters_apart(a.family, b.family) <= 2;
        return a.family == b.family && a.function.size() == b.function.size() &&
               letters_apart(a.function, b.function) == 1;
    }
    if (is_amplifier(a.kind)) return is_amplifier(b.kind);
    if (a.kind != b.kind) return false;
    switch (a.kind) {
        case PartKind::diode:
            return is_led(a) == is_led(b);
        case PartKind::bjt:
        case PartKind::mosfet:
        case PartKind::opto:
        case PartKind::translator:
            return true;
        case PartKind::module:
            return is_regulator(a) && is_regulator(b);
        default:
            return false;
    }
}

/// The package of `type` that goes into the holes of `wanted`: the same, else one with as many leads.
int package_like(const PartType& type, const Package& wanted) {
    int found = -1;
    for (std::size_t k = 0; k < type.packages.size(); ++k) {
        if (type.packages[k].pin_of_number.size() != wanted.pin_of_number.size()) continue;
        if (type.packages[k].name == wanted.name) return static_cast<int>(k);
        if (found < 0) found = static_cast<int>(k);
    }
    return found;
}

}  // namespace

std::vector<Namesake> namesakes_of(const Catalogue& catalogue, const WiredPart& part) {
    std::vector<Namesake> out;
    if (!part.package) return out;
    for (const auto& type : catalogue.types()) {
        if (type->name == part.type->name || !near_name(*part.type, *type)) continue;
        if (const int package = package_like(*type, *part.package); package >= 0) out.push_back({type, package});
    }
    return out;
}

WiredPart in_place_of(const WiredPart& part, const Namesake& other) {
    WiredPart out = part;
    out.type = other.type;
    out.package = &other.type->packages[other.package];
    out.net_of_pin.assign(other.type->pins.size(), unconnected);
    const auto &old = part.package->pin_of_number, &fresh = out.package->pin_of_number;
    for (std::size_t n = 0; n < std::min(old.size(), fresh.size()); ++n)
        if (old[n] >= 0 && fresh[n] >= 0 && part.net_of_pin[old[n]] != unconnected)
            out.net_of_pin[fresh[n]] = part.net_of_pin[old[n]];
    return out;
}

}  // namespace voltsill
