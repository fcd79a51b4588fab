/// What every part and rail needs, once everything is known: supplies for parts, users for rails.
#include <algorithm>
#include <set>

#include "bench/bench_work.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

bool fed(const BenchPart& part, const SupplyPort& port) {
    return std::ranges::any_of(part.supplies, [&](const auto& s) { return s.first == port.name; });
}

/// Parts that make a rail of this bench.
std::set<std::string, std::less<>> makers(const BenchWork& work) {
    std::set<std::string, std::less<>> names;
    for (const Rail& rail : work.bench.rails)
        if (!rail.from.empty()) names.insert(rail.from.substr(0, rail.from.find('.')));
    return names;
}

/// Supply ports whose level the pins of links follow.
std::set<std::pair<std::string, int>> ports_in_use(const BenchWork& work) {
    std::set<std::pair<std::string, int>> ports;
    for (const Link& link : work.bench.links)
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends) {
                const PartType& type = *work.parts.find(end.part)->second->type;
                const Pin& pin = type.pins[static_cast<std::size_t>(type.pin_index(end.pin))];
                if (pin.supply >= 0) ports.emplace(end.part, pin.supply);
            }
    return ports;
}

void report_unfed(BenchWork& work, const BenchPart& part, const SupplyPort& port, bool makes_rail) {
    const std::string head = "supply " + port.name + " of " + in_quotes(part.name);
    const auto other = std::ranges::find_if(
        work.bench.rails, [&](const Rail& rail) { return !rail.from.starts_with(part.name + '.'); });
    const std::string example = in_quotes(other == work.bench.rails.end() ? "usb" : other->name);
    if (port.provides)
        work.reader.error(spot_of(part.place), "unnamed-rail",
                          head + " sets the level of pins in links, but no rail is made from it",
                          "in [rails]: NAME = { volts = " + in_quotes(print(*port.provides)) +
                              ", from = " + in_quotes(part.name + '.' + port.name) + " }");
    else if (makes_rail)
        work.warn(spot_of(part.place), "fed-from-outside",
                  head + " is on no rail: it is taken as fed from outside this bench", "supply = " + example);
    else
        work.reader.error(spot_of(part.place), "no-rail", head + " is on no rail", "supply = " + example);
}

}  // namespace

void check_supplies(BenchWork& work) {
    const auto making = makers(work);
    const auto in_use = ports_in_use(work);
    std::map<std::string, const Rail*, std::less<>> made;
    for (const Rail& rail : work.bench.rails)
        if (!rail.from.empty()) made.emplace(rail.from, &rail);
    // A rail whose maker is not known may be the one that seems to be missing.
    const bool unsure = std::ranges::any_of(work.file.rails, [&](const Named<RailRecord>& named) {
        return named.value.from && work.rails.find(named.name)->second->from.empty();
    });
    for (std::size_t i = 0; i < work.bench.parts.size(); ++i) {
        const BenchPart& part = work.bench.parts[i];
        if (!part.type) continue;
        // A supply whose entry could not be read is not missing as well.
        const PartRecord& record = work.file.parts[i].value;
        if (record.supply && !record.supply->at) continue;
        for (std::size_t k = 0; k < part.type->supplies.size(); ++k) {
            const SupplyPort& port = part.type->supplies[k];
            const auto rail = made.find(part.name + '.' + port.name);
            if (rail != made.end() && fed(part, port))
                work.reader.conflict(
                    spot_of(part.place), spot_of(rail->second->place), "one-source",
                    "supply " + port.name + " of " + in_quotes(part.name) + " is fed by a rail and makes one",
                    "either `supplies` or `from`");
            if (rail != made.end() || fed(part, port)) continue;
            if (port.provides && unsure) continue;
            if (port.provides && !in_use.contains({part.name, static_cast<int>(k)})) continue;
            report_unfed(work, part, port, making.contains(part.name));
        }
    }
}

void check_use(BenchWork& work) {
    std::set<std::string, std::less<>> rails, parts = makers(work);
    for (const BenchPart& part : work.bench.parts)
        for (const auto& [port, rail] : part.supplies) rails.insert(rail);
    for (const Link& link : work.bench.links)
        for (const auto* ends : {&link.from, &link.to})
            for (const PinRef& end : *ends) parts.insert(end.part);
    // A rail in use by the pins of the part that makes it.
    for (const Rail& rail : work.bench.rails)
        if (!rail.from.empty()) {
            const std::string maker = rail.from.substr(0, rail.from.find('.'));
            for (const auto& [part, port] : ports_in_use(work))
                if (part == maker) rails.insert(rail.name);
        }
    if (work.bench.wiring)
        for (const Wire& wire : work.bench.wiring->wires)
            for (const std::string* end : {&wire.from, &wire.to}) {
                if (end->starts_with("rail "))
                    rails.insert(end->substr(5));
                else
                    parts.insert(end->substr(0, end->find('.')));
            }
    for (const Rail& rail : work.bench.rails)
        if (!rails.contains(rail.name))
            work.warn(spot_of(rail.place), "unused-rail",
                      "rail " + in_quotes(rail.name) + " supplies nothing");
    for (const BenchPart& part : work.bench.parts)
        if (!parts.contains(part.name))
            work.warn(spot_of(part.place), "unused-part", "part " + in_quotes(part.name) + " is in no link");
}

}  // namespace voltsill
