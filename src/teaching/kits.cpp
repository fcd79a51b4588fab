#include "teaching/kits.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "planning/circuit_kind.h"
#include "teaching/named_numbers.h"

namespace voltsill {
namespace {

struct SpareRow {
    const char* kind;
    double SpareRates::*share;
};
constexpr SpareRow spare_rows[] = {{"integrated circuit", &SpareRates::integrated_circuit},
                                   {"transistor", &SpareRates::transistor},
                                   {"diode", &SpareRates::diode},
                                   {"module", &SpareRates::module},
                                   {"resistor", &SpareRates::resistor},
                                   {"capacitor", &SpareRates::capacitor},
                                   {"board", &SpareRates::board},
                                   {"wire", &SpareRates::wire}};

/// Pieces of a type in the drawer; none: as many as wanted.
std::optional<int> stocked(const Bench& bench, const std::string& type) {
    if (!bench.has_stock) return std::nullopt;
    int count = 0;
    for (const StockItem& item : bench.stock) {
        if (!names_type(item.name, type)) continue;
        if (!item.count) return std::nullopt;
        count += *item.count;
    }
    return count;
}

bool drives_signals(const PartType& type) {
    return type.kind == PartKind::logic || type.kind == PartKind::mosfet || type.kind == PartKind::bjt ||
           type.kind == PartKind::diode;
}

bool may_replace(const PartType& a, const PartType& b) {
    const auto* p = std::get_if<DiodeModel>(&a.model);
    const auto* q = std::get_if<DiodeModel>(&b.model);
    if (p && q && p->led != q->led) return false;
    const auto* m = std::get_if<MosfetModel>(&a.model);
    const auto* n = std::get_if<MosfetModel>(&b.model);
    if (m && n && m->p_channel != n->p_channel) return false;
    const auto* s = std::get_if<BjtModel>(&a.model);
    const auto* t = std::get_if<BjtModel>(&b.model);
    if (s && t && s->pnp != t->pnp) return false;
    return a.name != b.name && a.kind == b.kind && a.function == b.function && a.supplies.size() == b.supplies.size();
}

const LinkJudgement* of_link(const Judgement& j, const std::string& name) {
    const auto at = std::ranges::find(j.links, name, &LinkJudgement::link);
    return at == j.links.end() ? nullptr : &*at;
}

bool differs(const LinkJudgement& a, const LinkJudgement& b) {
    return a.verdict != b.verdict || a.high_margin != b.high_margin || a.low_margin != b.low_margin;
}

/// The smallest margin of the links that are not as before.
std::string margin_that_decides(const Judgement& before, const Judgement& after) {
    const LinkJudgement* least = nullptr;
    double margin = 1e9;
    bool high = false;
    for (const LinkJudgement& link : after.links) {
        const LinkJudgement* was = of_link(before, link.link);
        if (was && !differs(*was, link)) continue;
        for (const bool h : {true, false})
            if (const auto& m = h ? link.high_margin : link.low_margin; m && *m < margin)
                least = &link, margin = *m, high = h;
    }
    if (!least) return "every margin as before";
    return fmt::format("smallest margin {:.3f} V ({}, {})", margin, least->link, high ? "high" : "low");
}

/// The worst that is above thin: at the parts put in and on the links through them whatever was there before,
/// elsewhere what is new.
const Finding* worst_of_swap(const Judgement& before, const Judgement& after, const std::set<std::string>& put_in) {
    std::set<std::string> links;
    for (const Finding& f : after.findings)
        if (put_in.contains(f.part) && !f.link.empty()) links.insert(f.link);
    const Finding* worst = nullptr;
    for (const Finding& f : after.findings) {
        if (f.verdict <= Verdict::thin || (worst && f.verdict <= worst->verdict)) continue;
        const bool ours = put_in.contains(f.part) || links.contains(f.link);
        const bool old = std::ranges::any_of(before.findings, [&](const Finding& o) {
            return o.code == f.code && o.link == f.link && o.part == f.part && o.pin == f.pin && o.verdict >= f.verdict;
        });
        if (ours || !old) worst = &f;
    }
    return worst;
}

Substitute tried(const Bench& bench, const Judgement& before, const Wiring& wiring, const std::string& wanted,
                 const PartType& instead) {
    Substitute out{.wanted = wanted, .instead = instead.name, .stock = stocked(bench, instead.name)};
    const Judgement after = judge(bench, wiring);
    std::set<std::string> put_in;
    for (const WiredPart& part : wiring.parts)
        if (part.added && part.type.get() == &instead) put_in.insert(part.name);
    if (const Finding* worst = worst_of_swap(before, after, put_in)) {
        out.verdict = worst->verdict;
        out.because = worst->sentence;
    } else if (!after.trouble.empty()) {
        out.verdict = Verdict::unknown;
        out.because = after.trouble;
    } else {
        out.works = true;
        for (const LinkJudgement& link : after.links)
            if (const LinkJudgement* was = of_link(before, link.link); was && differs(*was, link))
                out.verdict = worse(out.verdict, link.verdict);
        out.because = margin_that_decides(before, after);
    }
    return out;
}

}  // namespace

std::optional<Wiring> with_substitute(const Wiring& wiring, std::string_view wanted,
                                      const std::shared_ptr<const PartType>& instead) {
    Wiring out = wiring;
    bool any = false;
    for (WiredPart& part : out.parts) {
        if (!part.added || part.type->name != wanted) continue;
        const Package* package = nullptr;
        for (const Package& p : instead->packages)
            if (part.package ? p.name == part.package->name : p.fits_board) package = &p;
        if (part.package && !package) return std::nullopt;
        std::vector<NetId> nets(instead->pins.size(), unconnected);
        for (std::size_t k = 0; k < part.net_of_pin.size(); ++k) {
            const int pin = instead->pin_index(part.type->pins[k].name);
            if (pin < 0 && part.net_of_pin[k] != unconnected) return std::nullopt;
            if (pin >= 0) nets[static_cast<std::size_t>(pin)] = part.net_of_pin[k];
        }
        part.type = instead;
        part.package = package;
        part.net_of_pin = std::move(nets);
        any = true;
    }
    if (!any) return std::nullopt;
    return out;
}

StockReport stock_report(const Bench& bench, const Wiring& wiring, int seats, const SpareRates& rates) {
    StockReport out{.counted = bench.has_stock};
    std::map<std::string, std::pair<std::shared_ptr<const PartType>, int>> used;
    for (const WiredPart& part : wiring.parts)
        if (part.added && part.type->kind != PartKind::module) {
            used[part.type->name].first = part.type;
            ++used[part.type->name].second;
        }
    if (used.empty()) return out;
    const Judgement before = judge(bench, wiring);
    for (const auto& [name, entry] : used) {
        const auto& [type, count] = entry;
        out.needs.push_back(
            {name, count, count * seats + spares_of(*type, count * seats, rates), stocked(bench, name)});
        if (!drives_signals(*type)) continue;
        for (const auto& other : bench.catalogue->types()) {
            if (!may_replace(*type, *other)) continue;
            if (const auto changed = with_substitute(wiring, name, other))
                out.substitutes.push_back(tried(bench, before, *changed, name, *other));
        }
    }
    std::ranges::stable_sort(out.substitutes, std::ranges::greater{}, &Substitute::works);
    std::ranges::stable_sort(out.substitutes, std::ranges::less{}, &Substitute::wanted);
    return out;
}

std::vector<std::string> spare_kinds() {
    std::vector<std::string> out;
    for (const SpareRow& row : spare_rows) out.emplace_back(row.kind);
    return out;
}

SpareRates read_spare_rates(std::string_view bytes, const std::string& file, Problems& problems) {
    SpareRates rates;
    for (const NamedNumber& n : read_named_numbers(bytes, file, spare_kinds(), 0, 10, problems))
        for (const SpareRow& row : spare_rows)
            if (n.name == row.kind) rates.*row.share = n.value;
    return rates;
}

}  // namespace voltsill
