#include "signals/link_setup.h"

#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "quantity/print.h"

namespace voltsill {
namespace {

/// Rate of a link that states none: that of a slow bus.
constexpr double usual_rate = 100e3;

class Setup {
  public:
    Setup(const Bench& bench, const TimedCircuit& timed, const Partition& partition, const Link& link,
          const PinRef& from)
        : bench_(bench),
          timed_(timed),
          circuit_(timed.circuit),
          partition_(partition),
          link_(link),
          from_(from) {}

    LinkSetup run() {
        const int site_index = site_of(from_);
        if (site_index < 0) return fail(fmt::format("{}.{} is not on the wiring", from_.part, from_.pin));
        const PinSite& site = circuit_.pins[site_index];
        if (site.node < 0)
            return fail(fmt::format(
                "{} is open: nothing is wired to it. If no circuit was found for the link, interface = "
                "\"direct\" or a [wiring] lets it be traced as it stands",
                circuit_.label(site)));
        if (!partition_.trouble().empty()) return fail(partition_.trouble());
        if (partition_.held(site.node))
            return fail(fmt::format("{} lies on a rail or on ground", circuit_.label(site)));
        if (site.stage < 0 && site.analog_source < 0)
            return fail(fmt::format("{} has no output that could be switched", circuit_.label(site)));
        out_.scope = scope_of(timed_, partition_, std::array{site.node});
        out_.start.levels.assign(out_.scope.net.stages.size(), Logic::Z);
        out_.analog = site.stage < 0;
        if (out_.analog)
            step_source(site);
        else
            take_driver(site.stage);
        settle_others();
        out_.start.levels[out_.driver] = out_.low;
        note_left_out();
        list_points(site_index);
        if (std::ranges::none_of(out_.points,
                                 [](const TracePoint& p) { return p.role == PointRole::receiver; }))
            return fail(fmt::format("the signal of {} reaches no end of the link", circuit_.label(site)));
        return std::move(out_);
    }

  private:
    LinkSetup fail(std::string why) {
        out_.trouble = std::move(why);
        return std::move(out_);
    }
    int site_of(const PinRef& end) const {
        const int part = circuit_.wiring->part(end.part);
        const int pin = part < 0 ? -1 : circuit_.wiring->parts[part].type->pin_index(end.pin);
        return pin < 0 ? -1 : circuit_.site_of[part][pin];
    }
    const Pin& pin(int site) const { return circuit_.pin(circuit_.pins[site]); }
    /// Of parts that touch what moves.
    void note_left_out() {
        for (const LeftOut& l : timed_.left_out) {
            bool touches = false;
            for (std::size_t k = 0; k < circuit_.wiring->parts[l.part].type->pins.size(); ++k) {
                const Node node = circuit_.site(l.part, static_cast<int>(k)).node;
                touches = touches || (node >= 0 && !partition_.held(node) && out_.scope.has(node));
            }
            if (!touches) continue;
            out_.left_out += l.seconds;
            out_.sentences.push_back(l.sentence);
        }
    }

    void take_driver(StageId stage) {
        const StageSite& owner = circuit_.stages[stage];
        out_.bits = logic_bits;
        out_.driver = out_.scope.local_of_stage[stage];
        out_.high = owner.can_pull_up ? Logic::one : Logic::Z;
        out_.low = owner.can_pull_down ? Logic::zero : Logic::Z;
    }
    /// An analogue output steps over its whole range, at once: a stage between the ends of the range,
    /// with the output's resistance.
    void step_source(const PinSite& site) {
        Netlist& net = out_.scope.net;
        Device& source = net.devices[out_.scope.local_of_device[site.analog_source]];
        const Parameter volts = net.parameters[source.params[0]], ohms = net.parameters[source.params[1]];
        const Node pin_node = source.nodes[0], ground = source.nodes[1];
        source.kind = DeviceKind::current;
        source.params = {net.add_constant(0.0), no_param, no_param, no_param};
        const Node top = net.add_node(volts.name + " top"), bottom = net.add_node(volts.name + " bottom");
        net.source("top", top, ground, net.add_constant(volts.hi));
        net.source("bottom", bottom, ground, net.add_constant(volts.lo));
        const int table = net.add_table({{0.0, 1.0}, {0.0, 1.0 / ohms.nominal}});
        const ParamId strength =
            net.add_parameter(ohms.name, ohms.nominal / ohms.hi, 1.0, ohms.nominal / ohms.lo, ohms.origin);
        if (ohms.lo < ohms.hi) out_.scope.varying.push_back(strength);
        out_.bits = analog_bits;
        out_.driver = net.add_stage({.name = circuit_.label(site),
                                     .pin = pin_node,
                                     .supply = top,
                                     .ground = bottom,
                                     .up_table = table,
                                     .down_table = table,
                                     .up_strength = strength,
                                     .down_strength = strength});
        out_.scope.dynamics.stages.resize(out_.driver + 1);
        out_.start.levels.resize(out_.driver + 1, Logic::Z);
    }

    /// Everyone else lets go where he can; who holds an enable or a direction holds it for this signal.
    void settle_others() {
        for (std::size_t s = 0; s < out_.scope.stage_of.size(); ++s) {
            const StageId stage = out_.scope.stage_of[s];
            if (stage >= static_cast<StageId>(circuit_.stages.size())) continue;  // an accelerator
            const StageSite& owner = circuit_.stages[stage];
            if (owner.unit < 0 && !owner.can_release) out_.start.levels[s] = Logic::zero;
        }
        for (const int u : out_.scope.units_of) {
            const UnitSite& unit = circuit_.units[u];
            const PartType& type = *circuit_.wiring->parts[unit.part].type;
            const Channel& channel = type.channels[unit.channel];
            for (std::size_t e = 0; e < channel.enables.size(); ++e)
                hold(unit.part, channel.enables[e], channel.enable_high[e]);
            if (channel.direction >= 0) hold(unit.part, channel.direction, comes_from_a(unit.part, channel));
        }
    }
    bool comes_from_a(int part, const Channel& channel) const {
        const Node a = circuit_.site(part, channel.inputs[0]).node,
                   drives = circuit_.pins[site_of(from_)].node;
        return a >= 0 && partition_.block_of(a) == partition_.block_of(drives);
    }
    void hold(int part, int pin_index, bool high) {
        const Node node = circuit_.site(part, pin_index).node;
        const int block = node < 0 ? -1 : partition_.block_of(node);
        if (block < 0) return;
        for (std::size_t s = 0; s < out_.scope.stage_of.size(); ++s) {
            const StageId stage = out_.scope.stage_of[s];
            if (stage >= static_cast<StageId>(circuit_.stages.size()) ||
                static_cast<StageId>(s) == out_.driver)
                continue;
            if (circuit_.stages[stage].unit < 0 &&
                partition_.block_of(circuit_.netlist.stages[stage].pin) == block)
                out_.start.levels[s] = high ? Logic::one : Logic::zero;
        }
    }

    bool receives(int site) const {
        const auto among = [&](const std::vector<PinRef>& ends) {
            return std::ranges::any_of(ends, [&](const PinRef& end) { return site_of(end) == site; });
        };
        const bool both_ways = link_.kind == LinkKind::open_drain || link_.kind == LinkKind::two_way;
        return among(link_.to) || (both_ways && among(link_.from));
    }
    void add_point(int index, PointRole role) {
        const PinSite& site = circuit_.pins[index];
        const Pin& p = pin(index);
        TracePoint point{
            .label = circuit_.label(site), .role = role, .supply = rail_volts(bench_, circuit_, site.supply)};
        point.reads = role == PointRole::receiver && !out_.analog && !p.load && link_.kind != LinkKind::load;
        const bool input =
            role == PointRole::receiver || (role == PointRole::passed && site.input_of_unit >= 0);
        if (input && point.supply > 0)
            if (const auto t = thresholds_at(p, Volts{point.supply})) {
                point.vil = t->low.at(Volts{point.supply}).si();
                point.vih = t->high.at(Volts{point.supply}).si();
            }
        if (input && p.schmitt)
            for (const ThresholdRow& row : p.thresholds)
                if (row.rising && row.falling && row.supply.lo.si() <= point.supply &&
                    point.supply <= row.supply.hi.si()) {
                    point.rises = row.rising->nominal.si();
                    point.falls = row.falling->nominal.si();
                }
        if (p.max) point.limit_max = p.max->at(Volts{point.supply}).si();
        if (p.min) point.limit_min = p.min->at(Volts{point.supply}).si();
        out_.points.push_back(std::move(point));
        out_.sites.push_back({index, static_cast<int>(out_.probes.size()), input});
        out_.probes.push_back(out_.scope.local_of_node[site.node]);
        seen_.push_back(index);
    }
    /// Block by block behind the driver: ends of the link, inputs that read it, and what those drive.
    void list_points(int driver) {
        add_point(driver, PointRole::driver);
        std::deque<int> blocks{partition_.block_of(circuit_.pins[driver].node)};
        std::vector<int> met{blocks.front()};
        while (!blocks.empty()) {
            const int block = blocks.front();
            blocks.pop_front();
            for (int k = 0; k < static_cast<int>(circuit_.pins.size()); ++k) {
                const PinSite& site = circuit_.pins[k];
                if (site.node < 0 || partition_.block_of(site.node) != block ||
                    std::ranges::find(seen_, k) != seen_.end())
                    continue;
                const bool end = receives(k), read = site.input_of_unit >= 0;
                if (end || read) add_point(k, end ? PointRole::receiver : PointRole::passed);
                if (read) pass_on(site, blocks, met);
            }
        }
    }
    void pass_on(const PinSite& site, std::deque<int>& blocks, std::vector<int>& met) {
        for (const int u : out_.scope.units_of) {
            const LogicUnit& unit = circuit_.netlist.units[u];
            if (circuit_.units[u].part != site.part ||
                std::ranges::none_of(unit.inputs, [&](const LogicInput& i) { return i.pin == site.node; }))
                continue;
            for (StageId s : unit.outputs) {
                const StageSite& owner = circuit_.stages[s];
                const int index = circuit_.site_of[owner.part][owner.pin];
                const Node node = circuit_.pins[index].node;
                if (node < 0 || partition_.held(node) || std::ranges::find(seen_, index) != seen_.end())
                    continue;
                if (circuit_.pins[index].node == site.node) continue;
                add_point(index, receives(index) ? PointRole::receiver : PointRole::passed);
                const int block = partition_.block_of(node);
                if (std::ranges::find(met, block) == met.end()) met.push_back(block), blocks.push_back(block);
            }
        }
    }

    const Bench& bench_;
    const TimedCircuit& timed_;
    const Circuit& circuit_;
    const Partition& partition_;
    const Link& link_;
    const PinRef& from_;
    LinkSetup out_;
    std::vector<int> seen_;
};

}  // namespace

TransientProblem LinkSetup::problem(double bit_time) const {
    TransientProblem p{.netlist = &scope.net, .dynamics = &scope.dynamics, .start = start};
    for (std::size_t k = 1; k < bits.size(); ++k)
        if (bits[k] != bits[k - 1])
            p.drives.push_back({static_cast<double>(k) * bit_time, driver, bits[k] == '1' ? high : low});
    p.end = static_cast<double>(bits.size()) * bit_time;
    p.probes = probes;
    return p;
}

LinkSetup set_up(const Bench& bench, const TimedCircuit& timed, const Partition& partition, const Link& link,
                 const PinRef& from) {
    return Setup(bench, timed, partition, link, from).run();
}

std::vector<PinRef> drivers_of(const Link& link) {
    std::vector<PinRef> out;
    if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way) {
        out = link.from;
        out.insert(out.end(), link.to.begin(), link.to.end());
    } else if (!link.from.empty()) {
        out.push_back(link.from.front());
    }
    return out;
}

BitRate bit_rate(const Link& link) {
    const double rate = link.rate ? link.rate->si() : usual_rate;
    return {rate, !link.rate, link.bus == "I2C" ? 2 : 1};
}

}  // namespace voltsill
