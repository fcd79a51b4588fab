#pragma once
/// What the checks share: the wiring as a circuit, its scenes, and the findings so far.
#include <memory>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "judging/leaks.h"
#include "judging/partial.h"
#include "judging/scene.h"
#include "wiring/timed.h"

namespace voltsill {

/// A link on its way: what each pin it touches reads for a high and a low of the driver.
struct Hop {
    int site = -1;  ///< pin reached
    int island = -1;
    Levels high, low;       ///< combination of the island for each level of the link
    bool inverted = false;  ///< against the driver, at this pin
    bool receiver = false;  ///< an end of the link
    bool driver = false;    ///< the stage that puts the signal on this island
};
struct Trace {
    std::vector<Hop> hops;
    std::vector<int> reached;           ///< sites of receivers reached
    std::vector<std::string> disabled;  ///< channels met that do not pass the signal on
    std::vector<int> islands;           ///< islands the signal is on
};

struct Inspection {
    const Bench& bench;
    const Wiring& wiring;
    Circuit circuit;
    std::vector<Scene> scenes;  ///< the first has all rails up
    Judgement out;
    Effort effort;
    std::vector<std::vector<std::string>> links_of_net;  ///< links whose signal is on a net
    std::vector<Trace> traces;                           ///< of every link with all rails up
    std::unordered_map<std::string, int> part_of_name;
    std::vector<std::vector<int>> units_of_part;
    std::vector<double> driven_by_part;               ///< A, all outputs of a part at once, rails up
    /// A at worst and whose, by rail: what the network takes from it with all rails up.
    std::unordered_map<std::string, std::vector<std::pair<double, std::string>>> network_draws;
    const Elsewhere* elsewhere = nullptr;             ///< of a cut: what the rest adds to sums
    std::vector<Share>* shares = nullptr;             ///< wanted: what each island adds to them
    std::function<bool(const Finding&)> enough;       ///< one such finding answers the question
    bool answered = false;
    bool nominal_fights = false;                      ///< outputs that fight are not searched for their worst
    std::unordered_map<std::string, int> finding_of;  ///< by code, link, pin, net and scene
    std::unique_ptr<TimedCircuit> timed;              ///< made when a link's timing matters
    std::unique_ptr<Partition> timed_partition;

    /// Names of parts and units by part, for the checks.
    void index();
    /// Site of an end of a link; nullptr: no such pin.
    const PinSite* site_of(const PinRef& end) const;
    std::string label(const PinSite& site) const { return circuit.label(site); }
    const WiredPart& part(const PinSite& site) const { return wiring.parts[site.part]; }
    const Pin& pin(const PinSite& site) const { return circuit.pin(site); }
    NetId net(const PinSite& site) const { return wiring.parts[site.part].net_of_pin[site.pin]; }
    /// Links a finding at this pin belongs to; one empty string when none.
    std::vector<std::string> links_at(const PinSite& site) const;
    /// A finding of a link at a pin that says so far only where and in which scene.
    Finding finding(const char* code, const Link& link, const Scene& scene, const PinSite& site,
                    Dimension dimension = Dimension::voltage) const;
    /// Adds the finding, keeping only the worst of equal code, link, pin, net and scene; at a site: once
    /// for every link it belongs to.
    void add(Finding finding, const PinSite& site);
    void add(Finding finding);
    /// Adds a finding about a whole part to every link on its pins; to none in particular without any.
    void add_for_part(const Finding& finding);
};

/// A connected pin of an island.
std::pair<int, int> share_site(const Inspection& inspection, const Island& island);

/// All must outlive it.
Inspection inspect(const Bench& bench, const Wiring& wiring, SolutionMemory* memory = nullptr);
/// Every check, and what they say of each link; takes the findings along. Once for an inspection.
Judgement judged(Inspection& inspection);

// The checks, one file each.
void check_limits(
    Inspection& inspection);  ///< absolute maximum, clamps, contention, overload of pins and parts
void check_back_powering(Inspection& inspection);  ///< rails that are down and get lifted
void check_levels(Inspection& inspection);         ///< margins along every link
void check_buses(Inspection& inspection);          ///< pull-ups, sink current, rise time, edge rates
void check_setup(Inspection& inspection, const Link& link);  ///< level there before its bit ends, over time
/// An input of which what moves before it may make the edge too slow, though its own net does not.
struct SlowedEdge {
    const PinSite* site;
    double allowed;  ///< s/V
    Provenance origin;
};
/// How slow such edges are, over time.
void check_slowed_edges(Inspection& inspection, const Link& link, std::span<const SlowedEdge> slowed, double bit_time);
void check_analog(Inspection& inspection);         ///< ADC range, source resistance, and what stands between
/// Amplifiers of the island whose output cannot follow what their inputs ask for.
void check_clipping(Inspection& inspection, const Scene& scene, const Link& link, const PinSite& site,
                    const Island& island, const Levels& levels);
void check_loads(Inspection& inspection);          ///< loads that never switch off, or on by default
void check_supplies(Inspection& inspection);       ///< supply ranges, grounds, decoupling, and the budgets
void check_budgets(Inspection& inspection);        ///< currents of rails and heat of regulators
void check_two_way_fets(Inspection& inspection);   ///< threshold of FETs that join two sides of a line
void check_loops(Inspection& inspection);          ///< logic that feeds back and never comes to rest
void check_open_pins(Inspection& inspection);      ///< inputs left open, enables and directions
void check_held_pins(Inspection& inspection);      ///< pins tied to a rail or ground: what that does to them

Trace trace_link(Inspection& inspection, const Scene& scene, const Link& link);

/// What a meter shows at a pin whose voltage has this range, and which nothing drives if it `floats`; nothing
/// at a pin on no net or where the network did not converge.
std::optional<StateReading> reading_of(Inspection& inspection, const Scene& scene, const Combination& combination,
                                       const PinSite& site, const Range& range, bool floats);

/// V(pin) - ratio * V(supply) - offset in local nodes: positive when the pin is above the level.
Functional above(const Circuit& circuit, const Island& island, const PinSite& site, const Level& level);
/// Every resistor at its highest: what a node sees grows with each of them (Rayleigh's monotonicity).
std::vector<double> at_highest_resistors(const Island& island, std::vector<double> values);
/// What the pins of an island push into a line while all rails are up; nothing else is said of them (leaks.h).
Leaks leaks_at(Inspection& inspection, const Scene& scene, const Island& island, const Levels& levels, Node node);
/// The range of a node with what leaks there.
Range leaky_range(Inspection& inspection, const Scene& scene, const Island& island, const Levels& levels, Node node);
/// V(pin) in local nodes.
Functional voltage_at(const Island& island, const PinSite& site);
/// The rail a pin's levels follow, with its tolerance; one point where it is no rail of the bench.
Span<Volts> supply_span(const Inspection& inspection, const Scene& scene, const PinSite& site);
/// What the value of a functional at a corner leans on: the weakest of the outputs that drive and of every
/// figure that moves it by as much as sentences show.
Provenance origin_of(const Island& island, const Levels& levels, const std::vector<double>& corner,
                     const Functional& functional, Effort& effort);
/// Volts as sentences say them: to the millivolt, so that leakage does not read as a level.
std::string say(Volts volts);
/// Amps as sentences say them: what a solver leaves below a nanoamp is none.
std::string say(Amps amps);
/// Supply voltage of a pin in a scene (nominal), V; 0 when its supply is down.
Volts supply_volts(const Scene& scene, const PinSite& site);

}  // namespace voltsill
