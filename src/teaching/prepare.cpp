/// What marking needs of a bench, found once.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "teaching/marking_inside.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

PlacedWiring without_useless_holes(PlacedWiring build) {
    if (!build.trouble.empty()) build.placement = {};
    return build;
}

}  // namespace

PreparedMarking::Inside::Inside(Bench the_bench, PlacedWiring the_build)
    : bench(std::move(the_bench)),
      build(without_useless_holes(std::move(the_build))),
      holes(!build.placement.boards.empty()),
      reader(bench, build),
      joints(bench, build.wiring),
      nodes_(bench, build.wiring) {
    if (!holes) build.placement = reader.placement_of_nets();
    key = key_of(build.placement);
    wanted = WantedNets(joints.of(key));
    base = wiring_of(bench, build.wiring, build.placement);
    equal = equal_units(bench, build.wiring, joints);
    for (const Slip& slip : slips_of(bench, build.wiring, build.placement))
        slips.emplace(key_of(with_slip(build.placement, slip)), slip);
    held_.resize(wanted.joints.size(), false);
    for (int j = joints.ground(); joints.is_held(j); ++j) held_[wanted.net[j]] = true;
    find_sources();
    find_links();
    find_readings();
}

/// Terminals of supplies, and the pins of parts that make a rail; of a ground without a supply of its own the
/// ground pins of those parts.
void PreparedMarking::Inside::find_sources() {
    sources.resize(wanted.joints.size());
    for (int t = 0; t < joints.terminals(); ++t) sources[wanted.net[joints.terminal(t)]].push_back(joints.terminal(t));
    for (const Rail& rail : bench.rails) {
        const std::size_t dot = rail.from.find('.');
        const int part = dot == std::string::npos ? -1 : build.wiring.part(rail.from.substr(0, dot));
        if (part < 0) continue;
        const PartType& type = *build.wiring.parts[part].type;
        const int port = type.supply_index(rail.from.substr(dot + 1));
        for (std::size_t k = 0; k < type.pins.size(); ++k) {
            const int joint = joints.pin(part, static_cast<int>(k));
            const bool makes = type.pins[k].role == PinRole::supply && type.pins[k].supply == port;
            const bool zero = type.pins[k].role == PinRole::ground && joints.terminals() == 0;
            if ((makes || zero) && held_[wanted.net[joint]]) sources[wanted.net[joint]].push_back(joint);
        }
    }
}

void PreparedMarking::Inside::find_readings() {
    std::unordered_map<std::string, std::pair<int, int>> at;
    for (std::size_t p = 0; p < build.wiring.parts.size(); ++p)
        for (std::size_t k = 0; k < build.wiring.parts[p].net_of_pin.size(); ++k)
            at.emplace(pin_label(build.wiring.parts[p], static_cast<int>(k)),
                       std::pair(static_cast<int>(p), static_cast<int>(k)));
    for (LinkReading& level : link_readings(bench, base)) {
        const auto point = at.find(level.reading.point), driver = at.find(level.driver);
        if (point == at.end() || driver == at.end()) continue;
        const auto l = std::ranges::find(bench.links, level.link, &Link::name);
        if (l != bench.links.end()) {
            const int net = wanted.net[joints.pin(point->second.first, point->second.second)];
            std::vector<int>& nets = links[l - bench.links.begin()].nets;
            if (!held_[net] && std::ranges::find(nets, net) == nets.end()) nets.push_back(net);
        }
        if (!level.receiver || level.set == 'A' || level.reading.level == 'Z') continue;
        const auto& [part, pin] = driver->second;
        const WiredPart& wired = build.wiring.parts[part];
        const bool high = level.set != '0';
        readings.push_back({point->second.first,
                            point->second.second,
                            {{wired.name, wired.type->pins[pin].name, high}},
                            fmt::format("{} {}", level.driver, level.set == '0'   ? "low"
                                                               : level.set == 'Z' ? "released"
                                                                                  : "high"),
                            std::move(level)});
    }
    links_of_net.resize(wanted.joints.size());
    for (std::size_t l = 0; l < links.size(); ++l) {
        std::set<int> powered;
        for (const int net : links[l].nets) {
            links_of_net[net].push_back(static_cast<int>(l));
            for (const int j : wanted.joints[net]) {
                if (!joints.is_pin(j)) continue;
                const WiredPart& part = build.wiring.parts[joints.part_of(j)];
                const auto need = [&](int pin) {
                    const int joint = joints.pin(joints.part_of(j), pin);
                    if (pin >= 0 && held_[wanted.net[joint]]) powered.insert(joint);
                };
                const bool whole = part.added && part.type->channels.empty();
                for (std::size_t k = 0; k < part.type->pins.size(); ++k) {
                    const PinRole role = part.type->pins[k].role;
                    if (whole || role == PinRole::supply || role == PinRole::ground) need(static_cast<int>(k));
                }
                for (const Channel& c : part.type->channels) {
                    if (c.output != joints.pin_of(j) && std::ranges::find(c.inputs, joints.pin_of(j)) == c.inputs.end())
                        continue;
                    for (const int pin : c.enables) need(pin);
                    if (c.direction >= 0) need(c.direction);
                }
            }
        }
        links[l].held.assign(powered.begin(), powered.end());
    }
}

/// Nets of the ends; what lies between comes with the readings along the link.
void PreparedMarking::Inside::find_links() {
    links.resize(bench.links.size());
    for (std::size_t l = 0; l < bench.links.size(); ++l)
        for (const auto* ends : {&bench.links[l].from, &bench.links[l].to})
            for (const PinRef& end : *ends) {
                const int p = build.wiring.part(end.part);
                const int k = p < 0 ? -1 : build.wiring.parts[p].type->pin_index(end.pin);
                if (k < 0) continue;
                const int net = wanted.net[joints.pin(p, k)];
                if (!held_[net] && std::ranges::find(links[l].nets, net) == links[l].nets.end())
                    links[l].nets.push_back(net);
            }
}

std::string PreparedMarking::Inside::words(int joint) const {
    if (joint == joints.ground()) return "ground";
    if (joints.is_held(joint)) return "rail " + bench.rails[joint - joints.rail(0)].name;
    int t = joint - joints.terminal(0);
    for (const Rail& rail : bench.rails)
        if (!joints.is_pin(joint) && rail.from.empty()) {
            if (t < 2) return fmt::format("supply {} {}", rail.name, t == 0 ? "+" : "0 V");
            t -= 2;
        }
    return pin_label(build.wiring.parts[joints.part_of(joint)], joints.pin_of(joint));
}

/// After what holds it, else an end of a link or another pin of the bench, else its first pin.
std::string PreparedMarking::Inside::net_words(int net) const {
    const auto& all = wanted.joints[net];
    int best = all.front();
    for (const int j : all)
        if (joints.is_held(j)) return words(j);
    for (const int j : all) {
        if (!joints.is_pin(j)) return words(j);
        const auto added = [&](int joint) { return build.wiring.parts[joints.part_of(joint)].added; };
        if (added(best) && !added(j)) best = j;
    }
    return words(best);
}

std::vector<std::string> PreparedMarking::Inside::links_on(const std::vector<int>& nets) const {
    std::set<int> found;
    for (const int net : nets) found.insert(links_of_net[net].begin(), links_of_net[net].end());
    std::vector<std::string> out;
    for (const int l : found) out.push_back(bench.links[l].name);
    return out;
}

int gate_of(const PreparedMarking::Inside& in, const std::vector<int>& nets, Verdict harm) {
    if (std::ranges::any_of(nets, [&](int net) { return in.is_held(net); })) return 1;
    return harm == Verdict::safe ? 0 : 3;
}

}  // namespace voltsill
