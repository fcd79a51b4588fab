/// Rails: their voltages, and which part makes which.
#include <algorithm>
#include <cmath>

#include "bench/bench_work.h"
#include "quantity/print.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

/// Extra-low voltage above ground, or a refusal that says why.
void check_volts(BenchWork& work, const Span<Volts>& volts, const Spot& spot) {
    if (volts.lo < Volts{0})
        work.reader.error(
            spot, "negative-rail",
            "a rail below ground: every rail here is a positive supply against the common ground",
            "a voltage above 0 V");
    else if (volts.hi > highest_bench_volts)
        work.reader.error(spot, "extra-low-voltage",
                          "extra-low voltage only: " + print(volts.hi) + " is more than " +
                              print(highest_bench_volts) + "; this tool is not for mains",
                          "at most " + print(highest_bench_volts));
    else if (!(volts.nominal > Volts{0}))
        work.reader.error(spot, "zero-rail", "a rail of 0 V is the ground, which every bench has already",
                          "a voltage above 0 V");
}

Provenance origin_of(const RailRecord& record) {
    return inherited({Certainty::guaranteed, "stated in the bench file"}, record, "volts");
}

void take_rail(BenchWork& work, const Named<RailRecord>& named) {
    const RailRecord& record = named.value;
    const Spot name = spot_of(named.place);
    good_name(work, named.name, name, "rail");
    Rail rail{.name = named.name, .switch_group = named.name, .sinks = record.sinks, .place = named.place};
    if (!record.switch_group.empty()) rail.switch_group = record.switch_group;
    if (record.volts) {
        rail.volts = {*record.volts, origin_of(record)};
        check_volts(work, *record.volts, spot_of(record.keys, "volts", named.place));
    } else if (!record.keys.find("volts") && !record.from) {
        work.reader.error(name, "missing-key", "rail " + in_quotes(named.name) + " has no \"volts\"",
                          "volts = \"3.3 V ± 3 %\"");
    }
    if (record.limit && !(*record.limit > Amps{0}))
        work.reader.error(spot_of(record.keys, "limit", named.place), "out-of-range",
                          "a source that can deliver " + print(*record.limit), "a current above 0 A");
    else
        rail.limit = record.limit;
    work.bench.rails.push_back(std::move(rail));
}

NameList provided_pins(const BenchPart& part) {
    NameList names;
    for (const SupplyPort& port : part.type->supplies)
        if (port.provides) names.push_back(part.name + '.' + port.name);
    return names;
}

/// What the part says about the supply it makes, where the bench says nothing.
void adopt(BenchWork& work, const RailRecord& record, const SupplyPort& port, Rail& rail) {
    if (!record.volts && !record.keys.find("volts")) {
        rail.volts = {*port.provides, port.origin};
        check_volts(work, *port.provides, record.from->at->spot);
    } else if (record.volts &&
               (record.volts->hi < port.provides->lo || record.volts->lo > port.provides->hi)) {
        work.warn(spot_of(record.keys, "volts", rail.place), "not-as-provided",
                  "rail " + in_quotes(rail.name) + " is " + print(*record.volts) + ", but " + rail.from +
                      " makes " + print(*port.provides),
                  print(*port.provides));
    }
    if (!record.keys.find("limit") && port.provides_limit.known()) rail.limit = port.provides_limit.span.lo;
}

void take_source(BenchWork& work, const RailRecord& record, Rail& rail) {
    const auto found = find_pin(work, *record.from);
    if (!found) return;
    const Pin& pin = found->get();
    const bool is_supply = pin.role == PinRole::supply && pin.supply >= 0;
    const SupplyPort* port =
        is_supply ? &found->part->type->supplies[static_cast<std::size_t>(pin.supply)] : nullptr;
    if (!port || !port->provides) {
        const NameList makes = provided_pins(*found->part);
        work.reader.error(record.from->at->spot, "not-a-source",
                          in_quotes(record.from->text) + " is no pin at which " +
                              in_quotes(found->part->name) + " makes a supply",
                          makes.empty() ? "a part whose type says `provides`" : one_of(makes));
        return;
    }
    rail.from = found->part->name + '.' + port->name;
    adopt(work, record, *port, rail);
}

const BenchPart* maker_of(const BenchWork& work, const Rail& rail) {
    if (rail.from.empty()) return nullptr;
    const auto found = work.parts.find(std::string_view(rail.from).substr(0, rail.from.find('.')));
    return found == work.parts.end() ? nullptr : found->second;
}

/// Rails that feed the part which makes `rail`, in the order of its supplies.
std::vector<const Rail*> feeders(const BenchWork& work, const Rail& rail) {
    std::vector<const Rail*> result;
    const BenchPart* maker = maker_of(work, rail);
    if (!maker || !maker->type) return result;
    for (const auto& [port, name] : maker->supplies) {
        const int index = maker->type->supply_index(port);
        const auto found = work.rails.find(name);
        if (index < 0 || maker->type->supplies[static_cast<std::size_t>(index)].provides) continue;
        if (found != work.rails.end()) result.push_back(found->second);
    }
    return result;
}

/// Switches of made rails, from the supplies that come from outside towards those they feed.
/// What is left feeds itself.
std::vector<Rail*> follow_feeders(BenchWork& work) {
    std::map<const Rail*, bool> live;
    std::vector<Rail*> left;
    for (Rail& rail : work.bench.rails) {
        const bool outside = rail.from.empty() || feeders(work, rail).empty();
        live[&rail] = outside;
        if (!outside) left.push_back(&rail);
    }
    for (bool moved = true; moved;) {
        moved = false;
        std::erase_if(left, [&](Rail* rail) {
            for (const Rail* feeder : feeders(work, *rail)) {
                if (!live[feeder]) continue;
                if (rail->switch_group == rail->name) rail->switch_group = feeder->switch_group;
                return moved = live[rail] = true;
            }
            return false;
        });
    }
    return left;
}

/// The rails from `start` along the first feeders up to the one that comes again, and that one.
std::vector<const Rail*> loop_behind(const BenchWork& work, const Rail* start) {
    std::vector<const Rail*> chain;
    const Rail* at = start;
    // A rail that is left has only feeders that are left: the walk must close.
    while (std::ranges::find(chain, at) == chain.end()) {
        chain.push_back(at);
        at = feeders(work, *at).front();
    }
    chain.erase(chain.begin(), std::ranges::find(chain, at));
    chain.push_back(at);
    return chain;
}

void report_loops(BenchWork& work, const std::vector<Rail*>& left) {
    std::vector<const Rail*> told;
    for (const Rail* start : left) {
        const auto chain = loop_behind(work, start);
        if (std::ranges::find(told, chain.front()) != told.end()) continue;
        told.insert(told.end(), chain.begin(), chain.end());
        std::string words;
        for (const Rail* rail : chain) words += (words.empty() ? "" : ", fed by ") + rail->name;
        const auto named = std::ranges::find(work.file.rails, chain.front()->name, &Named<RailRecord>::name);
        work.reader.error(spot_of(named->value.keys, "from", named->place), "feeding-loop",
                          "rails that feed each other: " + words,
                          "a rail that comes from outside, without `from`");
    }
}

}  // namespace

void take_rails(BenchWork& work) {
    work.bench.rails.reserve(work.file.rails.size());
    for (const Named<RailRecord>& named : work.file.rails) take_rail(work, named);
    for (const Rail& rail : work.bench.rails) work.rails.emplace(rail.name, &rail);
}

void take_rail_sources(BenchWork& work) {
    std::map<std::string, const Named<RailRecord>*> made;
    for (std::size_t i = 0; i < work.file.rails.size(); ++i) {
        const Named<RailRecord>& named = work.file.rails[i];
        Rail& rail = work.bench.rails[i];
        if (!named.value.from || !named.value.from->at) continue;
        take_source(work, named.value, rail);
        if (rail.from.empty()) continue;
        const auto [other, first] = made.emplace(rail.from, &named);
        if (!first)
            work.reader.conflict(named.value.from->at->spot, other->second->value.from->at->spot,
                                 "one-source", rail.from + " makes two rails, which would be one",
                                 "one name for this rail");
    }
    report_loops(work, follow_feeders(work));
}

}  // namespace voltsill
