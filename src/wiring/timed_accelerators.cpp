/// Auto-direction parts: an edge on either side lets both sides drive for a while.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"
#include "wiring/assumed.h"
#include "wiring/timing_steps.h"

namespace voltsill {
namespace {

struct Accelerators {
    Timing& t;

    struct Side {
        int pin;
        Node supply;
    };
    Node supply_node(int part, int supply) const {
        const PartType& type = *t.wiring.parts[part].type;
        for (std::size_t k = 0; k < type.pins.size(); ++k)
            if (type.pins[k].role == PinRole::supply && type.pins[k].supply == supply)
                return t.out.circuit.site(part, static_cast<int>(k)).node;
        return -1;
    }
    Node ground_node_of(int part) const {
        const int pin = t.wiring.parts[part].type->ground_pin();
        const Node node = pin < 0 ? -1 : t.out.circuit.site(part, pin).node;
        return node < 0 ? ground_node : node;
    }

    void add_part(int part) {
        const PartType& type = *t.wiring.parts[part].type;
        for (const Channel& c : type.channels) {
            const bool both = c.logic == ChannelLogic::auto_push_pull;
            if (!both && c.logic != ChannelLogic::auto_open_drain) continue;
            // Side A follows the first supply, side B the second.
            const Side sides[] = {{c.inputs[0], supply_node(part, 0)},
                                  {c.output, supply_node(part, static_cast<int>(type.supplies.size()) - 1)}};
            if (std::ranges::any_of(sides, [](const Side& s) { return s.supply < 0; })) continue;
            for (const Side& drives : sides) {
                const StageId high = boost(part, drives, true), low = both ? boost(part, drives, false) : -1;
                for (const Side& sees : sides) {
                    accelerate(part, sees, high, true);
                    if (both) accelerate(part, sees, low, false);
                }
            }
        }
    }
    StageId boost(int part, const Side& side, bool up) {
        const PinSite& site = t.out.circuit.site(part, side.pin);
        const std::string name =
            fmt::format("{} accelerator {}", t.out.circuit.label(site), up ? "up" : "down");
        const auto& ohms = assumed::accelerator_ohms;
        const int table = t.net().add_table({{0.0, 1.0}, {0.0, 1.0 / ohms.nominal}});
        const ParamId strength =
            t.parameter(name, {ohms.nominal / ohms.hi, 1.0, ohms.nominal / ohms.lo}, assumed::guess);
        Stage stage{.name = name, .pin = site.node, .supply = side.supply, .ground = ground_node_of(part)};
        (up ? stage.up_table : stage.down_table) = table;
        (up ? stage.up_strength : stage.down_strength) = strength;
        const StageId id = t.net().add_stage(std::move(stage));
        const ParamId edge = t.parameter(name + " edge", assumed::accelerator_edge, assumed::guess);
        t.out.dynamics.stages.resize(id + 1);
        t.out.dynamics.stages[id] = {.rise = edge, .fall = edge};
        return id;
    }
    void accelerate(int part, const Side& side, StageId stage, bool rise) {
        const PinSite& site = t.out.circuit.site(part, side.pin);
        const double supply = t.volts_of(side.supply);
        const std::string name = t.out.circuit.label(site) + " accelerator";
        const ParamId at = t.parameter(name + " threshold",
                                       scaled(assumed::accelerator_threshold_share, supply), assumed::guess);
        t.out.dynamics.accelerators.push_back(
            {.name = name,
             .pin = site.node,
             .ground = ground_node_of(part),
             .point = {at, at},
             .stage = stage,
             .on_rise = rise,
             .delay = t.parameter(name + " delay", assumed::accelerator_delay, assumed::guess),
             .lasts = t.parameter(name + " time", assumed::accelerator_seconds, assumed::guess)});
    }
};

}  // namespace

void add_accelerators(Timing& t) {
    for (std::size_t p = 0; p < t.wiring.parts.size(); ++p) Accelerators{t}.add_part(static_cast<int>(p));
}

}  // namespace voltsill
