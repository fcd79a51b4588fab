#pragma once
/// Kits of a class: what the stock lacks for all seats and spares, and what may stand in.
///
///     needed = per seat x seats + spares,   lacking = max(0, needed - in stock)
///
/// A substitute is a part of the same kind and function that fits the same places. It is put into the wiring in
/// place of every part of the wanted type, and the wiring is judged: it works when nothing at these parts
/// and on the links through them is worse than thin, and nothing else gets worse; the number that decides is said.
#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "judging/finding.h"
#include "records/problem.h"
#include "wiring/spares.h"

namespace voltsill {

/// What is needed of one kind of part.
struct PartNeed {
    std::string type;  ///< "HCT 541"
    int per_seat = 0, needed = 0;
    std::optional<int> stock;  ///< none: enough, or the bench has no [stock]
    int lacking() const { return stock ? std::max(0, needed - *stock) : 0; }
};

struct Substitute {
    std::string wanted, instead;
    bool works = false;
    Verdict verdict = Verdict::safe;  ///< of the links it touches, and of the parts put in
    std::string because;              ///< the number that decides
    std::optional<int> stock;         ///< of what stands in; none: not counted
};

struct StockReport {
    bool counted = false;  ///< the bench has a [stock]
    std::vector<PartNeed> needs;
    std::vector<Substitute> substitutes;  ///< those that work first
};

/// Parts added by the wiring; modules are the learners' own and are not counted against the drawer.
StockReport stock_report(const Bench& bench, const Wiring& wiring, int seats, const SpareRates& rates = {});

/// The wiring with another type in place of every added part of type `wanted`; nothing when pins or package do
/// not fit.
std::optional<Wiring> with_substitute(const Wiring& wiring, std::string_view wanted,
                                      const std::shared_ptr<const PartType>& instead);

/// "integrated circuit", "transistor", "diode", "module", "resistor", "capacitor", "board", "wire"
std::vector<std::string> spare_kinds();
/// A file of columns kind, share: 0.2 is a fifth. Kinds that it does not name keep common practice.
SpareRates read_spare_rates(std::string_view bytes, const std::string& file, Problems& problems);

}  // namespace voltsill
