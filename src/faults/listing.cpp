#include "faults/listing.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "wiring/part_words.h"

namespace voltsill {
namespace {

double weight_of(FaultKind kind, const FaultOptions& options) {
    if (!options.kinds.empty() && std::ranges::find(options.kinds, kind) == options.kinds.end()) return 0;
    const auto set = options.weights.find(kind);
    return set == options.weights.end() ? usual_weight(kind) : set->second;
}

/// Of a part that is looked at; slips say themselves where things are.
std::string sight_of(const Fault& fault, const Wiring& wiring) {
    const auto there = [&] { return fault.rail.empty() ? std::string("ground") : "rail " + fault.rail; };
    switch (fault.kind) {
        case FaultKind::near_namesake:
        case FaultKind::wrong_value:
            return fault.variant;
        case FaultKind::diode_reversed:
        case FaultKind::drain_source_swapped:
            return "turned";
        case FaultKind::gate_on_wrong_rail:
        case FaultKind::control_wrong_level:
            return fmt::format("{} on {}", pin_label(wiring.parts[fault.part], fault.pin), there());
        case FaultKind::pull_doubled:
            return "doubled";
        default:
            return "missing";
    }
}

}  // namespace

void FaultListing::add(Fault fault, std::string place) {
    if (fault.seen_by_eye && fault.sights.empty()) fault.sights.push_back({.text = sight_of(fault, wiring())});
    drafts_.push_back({std::move(fault), std::move(place)});
}

std::vector<Fault> faults_of(const Bench& bench, const PlacedWiring& build, const FaultOptions& options) {
    FaultListing listing(bench, build);
    if (is_placed(build)) listing.slips_and_wires();
    listing.open_pins();
    listing.parts_of_near_names();
    listing.wrong_values();
    listing.turned_parts();
    listing.controls();
    listing.outputs_and_clamps();
    listing.pulls();
    listing.capacitors();
    listing.supplies();
    std::vector<FaultDraft> drafts = listing.take();

    std::map<FaultKind, std::map<std::string, int>> variants;  // by kind and place
    for (const FaultDraft& draft : drafts) ++variants[draft.fault.kind][draft.place];
    std::vector<Fault> out;
    for (FaultDraft& draft : drafts) {
        const double kind = weight_of(draft.fault.kind, options);
        if (!(kind > 0)) continue;
        draft.fault.weight = kind / variants[draft.fault.kind].at(draft.place);
        out.push_back(std::move(draft.fault));
    }
    std::ranges::stable_sort(out, [&](const Fault& a, const Fault& b) {
        const double x = weight_of(a.kind, options), y = weight_of(b.kind, options);
        return x != y ? x > y : a.kind < b.kind;
    });
    return out;
}

}  // namespace voltsill
