/// Inputs left open and straps that are missing, on the wrong level or on the wrong rail.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "judging/steady.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

enum class Duty { signal, enable, direction, none };

struct Role {
    Duty duty = Duty::none;
    bool active_high = true;
    std::vector<const Channel*> channels = {};  ///< that it enables or directs
};

Role role_of(const PartType& type, int pin) {
    Role role;
    for (const Channel& c : type.channels) {
        const auto enable = std::ranges::find(c.enables, pin);
        const bool directs = c.direction == pin, enables = !directs && enable != c.enables.end();
        if (directs || enables) role.channels.push_back(&c);
        if (role.duty != Duty::none) continue;
        if (directs) role.duty = Duty::direction;
        if (enables) role.duty = Duty::enable, role.active_high = c.enable_high[enable - c.enables.begin()];
    }
    const auto hears = [&](const Channel& c) { return std::ranges::find(c.inputs, pin) != c.inputs.end(); };
    if (role.duty == Duty::none && std::ranges::any_of(type.channels, hears)) role.duty = Duty::signal;
    return role;
}

/// Is the pin's node defined by anything: a rail, a driver that never lets go, or a resistance?
bool defined(Inspection& in, const Scene& scene, const PinSite& site) {
    if (site.node < 0) return false;
    const int index = scene.island_of_node[site.node];
    if (index < 0) return true;
    const Island& island = scene.islands[index];
    for (StageId s : island.stage_of)
        if (scene.reach[s] & (can_zero | can_one)) return true;
    const Levels none(island.stage_of.size(), Logic::Z);
    return resistance_at(island, none, island.local(site.node), in.effort) < open_ohms;
}

/// Does anything hang on a channel that this pin controls?
bool in_use(const Inspection& in, const PinSite& site, const Role& role) {
    const WiredPart& part = in.part(site);
    return std::ranges::any_of(role.channels, [&](const Channel* c) {
        if (part.net_of_pin[c->output] >= 0) return true;
        return std::ranges::any_of(c->inputs, [&](int i) { return part.net_of_pin[i] >= 0; });
    });
}

/// A finding at a control pin belongs to the links that pass through the channels it controls: not to one that
/// ends at an input of them.
void add_for_channels(Inspection& in, const Finding& finding, const PinSite& site, const Role& role) {
    const WiredPart& part = in.part(site);
    const auto links_on = [&](int pin) -> std::vector<std::string> {
        return part.net_of_pin[pin] >= 0 ? in.links_of_net[part.net_of_pin[pin]] : std::vector<std::string>{};
    };
    std::set<std::string> links;
    for (const Channel* c : role.channels)
        for (const std::string& after : links_on(c->output))
            for (const int i : c->inputs)
                if (std::ranges::count(links_on(i), after) > 0) links.insert(after);
    if (links.empty()) in.add(finding, site);
    for (const std::string& link : links) {
        Finding copy = finding;
        copy.link = link;
        in.add(std::move(copy));
    }
}

void report_open(Inspection& in, const PinSite& site, const Role& role) {
    const bool control = role.duty == Duty::enable || role.duty == Duty::direction;
    Finding f{.code = control ? "control-open" : "input-open",
              .verdict = control ? Verdict::unreadable : Verdict::thin,
              .dimension = Dimension::resistance};
    f.part = in.part(site).name;
    f.pin = in.pin(site).name;
    f.state = "all rails up";
    f.arithmetic = "no path to any rail: the level is not defined";
    f.sentence =
        control
            ? fmt::format("{} is open: whether the part passes signals on is left to chance.", in.label(site))
            : fmt::format("{} is open: a CMOS input that floats draws current and picks up noise.",
                          in.label(site));
    f.advice = role.duty == Duty::enable ? fmt::format("Tie it {}, to its own supply's rail.",
                                                       role.active_high ? "high" : "low (to ground)")
               : role.duty == Duty::direction
                   ? "Tie it high or low, to the rail its levels follow."
                   : "Tie unused inputs to ground or supply; leave unused outputs open.";
    add_for_channels(in, f, site, role);
}

/// A control pin on a steady level of which nobody can say what it makes of it.
void strap_unknown(Inspection& in, const Scene& scene, const PinSite& site, const Role& role, const Evidence& level) {
    Finding f{.code = "threshold-unknown", .verdict = Verdict::unknown};
    f.part = in.part(site).name;
    f.pin = in.pin(site).name;
    f.state = scene.words;
    f.value = level;
    f.arithmetic = fmt::format("{} at the pin", say(Volts{level.value}));
    f.sentence = fmt::format("Nobody has said which voltages {} reads as high and low.", in.label(site));
    f.advice = "Find its VIH and VIL; in the built circuit see whether its channels pass a signal on.";
    add_for_channels(in, f, site, role);
}

/// A control pin on a steady level that its thresholds do not take for 0 or 1, or that keeps its channels off.
void strap_level(Inspection& in, const Scene& scene, const PinSite& site, const Role& role) {
    if (role.duty == Duty::signal || role.duty == Duty::none || !scene.powered(site.supply)) return;
    const auto steady = steady_volts(in, scene, site);
    if (!steady) return;
    const double volts = steady->volts;
    const Volts supply = supply_volts(scene, site);
    const Logic level = read_level(in.pin(site), Volts{volts}, supply);
    if (level != Logic::X &&
        !(role.duty == Duty::enable && level != (role.active_high ? Logic::one : Logic::zero)))
        return;
    const Evidence value{volts, steady->origin, "voltage at " + in.label(site)};
    const auto limits = thresholds_at(in.pin(site), supply);
    const bool idle = level != Logic::X;
    if ((idle || !limits) && !in_use(in, site, role)) return;
    if (!limits) return strap_unknown(in, scene, site, role, value);
    Finding f{.code = idle ? "strap-off" : "strap-level", .verdict = Verdict::unreadable};
    f.part = in.part(site).name;
    f.pin = in.pin(site).name;
    f.state = scene.words;
    f.value = value;
    f.limit = Evidence{limits->high.at(supply).si(), limits->origin, "VIH min"};
    f.margin = volts - limits->high.at(supply).si();
    f.arithmetic = fmt::format("{} at the pin, low below {}, high above {}", say(Volts{volts}),
                               say(limits->low.at(supply)), say(limits->high.at(supply)));
    f.sentence = idle ? fmt::format("{} is tied so that its channels stay off.", in.label(site))
                      : fmt::format("{} is neither high nor low for sure.", in.label(site));
    f.advice =
        fmt::format("Tie it to {}.",
                    role.duty == Duty::enable && !role.active_high ? "ground" : "the rail its levels follow");
    add_for_channels(in, f, site, role);
}

/// Outputs that take turns on a line (a shared data line of several devices): while none is selected
/// nothing defines it, unless a resistor does.
void shared_line(Inspection& in, const Scene& scene, const Island& island) {
    std::vector<std::string> names;
    for (StageId s : island.stage_of) {
        const StageSite& owner = in.circuit.stages[s];
        const PinSite& site = in.circuit.site(owner.part, owner.pin);
        if (scene.reach[s] == can_z) continue;
        if (in.pin(site).role != PinRole::three_state || !(scene.reach[s] & can_z)) return;
        names.push_back(in.label(site));
    }
    if (names.size() < 2) return;
    const Levels none(island.stage_of.size(), Logic::Z);
    for (int s : island.pins) {
        const PinSite& site = in.circuit.pins[s];
        const bool reads = in.pin(site).role == PinRole::input || in.pin(site).role == PinRole::io;
        if (!reads || resistance_at(island, none, island.local(site.node), in.effort) < open_ohms) continue;
        Finding f{
            .code = "floats-between-drivers", .verdict = Verdict::thin, .dimension = Dimension::resistance};
        f.state = fmt::format("{}; none of its drivers is selected", scene.words);
        f.arithmetic = "no path to any rail: the level is not defined";
        f.sentence =
            fmt::format("{} floats while neither {} nor {} drives it.", in.label(site), names[0], names[1]);
        f.advice =
            "Select one driver at a time, never two; 10 kΩ to the receiver's rail gives the line a level of "
            "its own (common practice).";
        in.add(std::move(f), site);
    }
}

}  // namespace

void check_open_pins(Inspection& in) {
    const Scene& scene = in.scenes[0];
    for (const Island& island : scene.islands) shared_line(in, scene, island);
    for (const PinSite& site : in.circuit.pins) {
        const Pin& pin = in.pin(site);
        const PartType& type = *in.part(site).type;
        if (type.supplies.empty()) continue;
        const Role role = role_of(type, site.pin);
        const bool reads = pin.role == PinRole::input || (role.duty != Duty::none && pin.role != PinRole::io);
        if (!reads && !pin.must_be_tied) continue;
        const bool wanted = role.duty != Duty::none || pin.must_be_tied;
        if (wanted && !defined(in, scene, site)) {
            const bool controls = role.duty == Duty::enable || role.duty == Duty::direction;
            report_open(in, site, controls && !in_use(in, site, role) ? Role{.duty = Duty::signal} : role);
        } else {
            strap_level(in, scene, site, role);
        }
    }
}

}  // namespace voltsill
