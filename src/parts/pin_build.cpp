#include "parts/pin_build.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "parts/defaults.h"
#include "parts/shape_tools.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

template <class Q>
void assign_figure(Figure<Q>& to, const std::optional<Span<Q>>& from, const Provenance& origin) {
    if (from) to = {*from, origin};
}

std::vector<ThresholdRow> threshold_rows(const std::vector<ThresholdRecord>& records,
                                         const Provenance& outer) {
    std::vector<ThresholdRow> rows;
    for (const ThresholdRecord& r : records) {
        ThresholdRow row{r.supply,  r.low.value_or(Level{}), r.high.value_or(Level{}), r.rising,
                         r.falling, inherited(outer, r)};
        if (r.falling) row.low = {0.0, r.falling->lo};
        if (r.rising) row.high = {0.0, r.rising->hi};
        rows.push_back(std::move(row));
    }
    return rows;
}

std::vector<DriveRow> drive_rows(const std::vector<DriveRecord>& records, const Provenance& outer) {
    std::vector<DriveRow> rows;
    for (const DriveRecord& r : records) rows.push_back({r.supply, r.at, r.level, inherited(outer, r)});
    return rows;
}

LoadInput load_input(const LoadRecord& r, const Provenance& outer) {
    const Provenance origin = inherited(outer, r);
    LoadInput load{r.to_supply, {r.forward, origin}, {r.ohms, origin}, {}, {}, r.consequence};
    assign_figure(load.on_above, r.on_above, origin);
    assign_figure(load.off_below, r.off_below, origin);
    return load;
}

/// All limits share one origin: the nearest record's if it replaces all that was there, else the weakest.
void lay_limits(Pin& pin, const PinRecord& r, const Provenance& origin) {
    const bool gives = r.max || r.min || r.max_unpowered || r.range || r.full_scale || r.analog_range;
    if (!gives) return;
    const bool leaves = (pin.max && !r.max) || (pin.min && !r.min) ||
                        (pin.max_unpowered && !r.max_unpowered) || (pin.range_max && !r.range) ||
                        (pin.full_scale && !r.full_scale) || (pin.analog_range && !r.analog_range);
    pin.limits_origin = leaves ? weakest(pin.limits_origin, origin) : origin;
    assign(pin.max, r.max);
    assign(pin.min, r.min);
    assign(pin.max_unpowered, r.max_unpowered);
    if (r.range) pin.range_min = r.range->lo, pin.range_max = r.range->hi;
    assign(pin.full_scale, r.full_scale);
    assign(pin.analog_range, r.analog_range);
}

void lay_rows(Pin& pin, const PinRecord& r, const Provenance& origin) {
    if (r.thresholds) {
        pin.thresholds = threshold_rows(*r.thresholds, origin);
        pin.schmitt =
            std::ranges::any_of(*r.thresholds, [](const auto& row) { return row.rising.has_value(); });
    }
    assign(pin.schmitt, r.schmitt);
    if (r.transition) {
        pin.transition.clear();
        for (const TransitionRecord& t : *r.transition)
            pin.transition.push_back({t.supply, t.per_volt, t.total, inherited(origin, t)});
    }
    if (r.high) pin.high = drive_rows(*r.high, origin);
    if (r.low) pin.low = drive_rows(*r.low, origin);
    if (r.pulls) {
        pin.pulls.clear();
        for (const PullRecord& p : *r.pulls)
            pin.pulls.push_back({p.up, {p.ohms, inherited(origin, p)}, p.removable, p.at_reset});
    }
    if (r.load) pin.load = load_input(*r.load, origin);
}

void lay(Pin& pin, const PinRecord& r, const Provenance& outer) {
    const Provenance origin = inherited(outer, r);
    assign(pin.role, r.is);
    assign(pin.note, r.note);
    lay_limits(pin, r, origin);
    lay_rows(pin, r, origin);
    if (r.clamps) {
        pin.clamp_to_supply = *r.clamps == "both";
        pin.clamp_to_ground = *r.clamps != "none";
    }
    assign_figure(pin.clamp_forward, r.clamp_forward, origin);
    assign_figure(pin.clamp_max, r.clamp_max, origin);
    assign_figure(pin.injection_allowed, r.injection, origin);
    assign_figure(pin.capacitance, r.capacitance, origin);
    assign_figure(pin.leakage, r.leakage, origin);
    assign_figure(pin.drive_max, r.drive_max, origin);
    assign(pin.static_low, r.static_low);
    assign(pin.high_below_supply, r.high_below_supply);
    assign(pin.delay_max, r.delay);
    assign_figure(pin.rise_time, r.rise_time, origin);
    assign_figure(pin.fall_time, r.fall_time, origin);
    if (r.curves) pin.curves = output_curves(*r.curves, origin);
    assign_figure(pin.output_ohms, r.output_ohms, origin);
    assign_figure(pin.source_ohms_max, r.source_ohms_max, origin);
    assign(pin.must_be_tied, r.must_be_tied);
    assign(pin.reset_state, r.reset);
}

bool follows_no_supply(PinRole role) {
    return role == PinRole::ground || role == PinRole::passive || role == PinRole::no_connect;
}

template <class Map>
std::vector<std::string> names_of(const Map& map) {
    std::vector<std::string> names;
    for (const auto& [name, value] : map) names.push_back(name);
    return names;
}

}  // namespace

const PinRecord* PinBuilder::trait(const PinRecord& user) {
    if (!user.like) return nullptr;
    const auto found = traits_.find(*user.like);
    if (found != traits_.end()) return found->second.get();
    mistakes_.unknown_name(place_of(user.place, user.keys, "like"), "unknown-trait",
                           "there is no trait " + in_quotes(*user.like), *user.like, names_of(traits_));
    return nullptr;
}

void PinBuilder::check_trait(const std::string& name) {
    const PinRecord& record = *traits_.find(name)->second;
    std::vector<std::string> chain{name};
    for (const PinRecord* at = trait(record); at; at = trait(*at)) {
        const std::string next = *traits_.find(chain.back())->second->like;
        const bool closed = next == name;
        if (!closed && std::ranges::find(chain, next) != chain.end())
            return;  // a ring that `name` leads into
        chain.push_back(next);
        if (!closed) continue;
        // A ring is told once, for the first of its names.
        if (std::ranges::min(chain) == name)
            mistakes_.error(place_of(record.place, record.keys, "like"), "like-cycle",
                            fmt::format("this trait builds on itself: {}", fmt::join(chain, " -> ")),
                            "a trait that does not build on this one");
        return;
    }
}

void PinBuilder::collect(const PinRecord& record, const Provenance& outer, PinLayers& layers) {
    PinLayers chain{{&record, outer}};
    for (const PinRecord* at = trait(record); at; at = trait(*at)) {
        if (std::ranges::any_of(chain, [&](const PinLayer& layer) { return layer.record == at; })) break;
        chain.push_back({at, defaults::unstated});
    }
    layers.insert(layers.end(), chain.rbegin(), chain.rend());
}

Pin PinBuilder::build(Pin pin, const PinLayers& layers, const std::vector<SupplyPort>& supplies) {
    bool clamps_stated = pin.clamp_to_ground || pin.clamp_to_supply;
    const PinRecord* names_supply = nullptr;
    for (const PinLayer& layer : layers) {
        lay(pin, *layer.record, layer.outer);
        clamps_stated = clamps_stated || layer.record->clamps.has_value();
        if (layer.record->supply) names_supply = layer.record;
    }
    if (names_supply) {
        const auto port = std::ranges::find(supplies, *names_supply->supply, &SupplyPort::name);
        if (port != supplies.end()) {
            pin.supply = static_cast<int>(port - supplies.begin());
        } else {
            std::vector<std::string> names;
            for (const SupplyPort& s : supplies) names.push_back(s.name);
            mistakes_.unknown_name(
                place_of(names_supply->place, names_supply->keys, "supply"), "unknown-supply",
                "this part has no supply " + in_quotes(*names_supply->supply), *names_supply->supply, names);
        }
    } else if (pin.supply < 0 && !supplies.empty() && !follows_no_supply(pin.role)) {
        pin.supply = 0;
    }
    if (follows_no_supply(pin.role)) pin.supply = -1;
    defaults::complete(pin, clamps_stated);
    return pin;
}

}  // namespace voltsill
