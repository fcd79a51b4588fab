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

template <class Q>
void assign_sourced(std::optional<Q>& to, Provenance& to_origin, const std::optional<Q>& from,
                    const Provenance& origin) {
    if (from) to = from, to_origin = origin;
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
    LoadInput load{r.to_supply, {}, {r.ohms, origin}, {}, {}, r.consequence, r.inductive};
    assign_figure(load.forward, r.forward, origin);
    assign_figure(load.on_above, r.on_above, origin);
    assign_figure(load.off_below, r.off_below, origin);
    return load;
}

/// All limits but the operating range share one origin: that of the nearest record if it replaces all that
/// was there, else the weakest.
void lay_limits(Pin& pin, const PinRecord& r, const Provenance& outer) {
    if (r.range) {
        pin.range_min = r.range->lo, pin.range_max = r.range->hi;
        pin.range_origin = inherited(outer, r, "range");
    }
    const bool gives = r.max || r.min || r.max_unpowered || r.full_scale || r.analog_range;
    if (!gives) return;
    const bool leaves = (pin.max && !r.max) || (pin.min && !r.min) ||
                        (pin.max_unpowered && !r.max_unpowered) || (pin.full_scale && !r.full_scale) ||
                        (pin.analog_range && !r.analog_range);
    Provenance origin = inherited(outer, r);
    for (const char* key : {"max", "min", "max_unpowered", "full_scale", "analog_range"})
        origin = weakest(origin, inherited(outer, r, key));
    pin.limits_origin = leaves ? weakest(pin.limits_origin, origin) : origin;
    assign(pin.max, r.max);
    assign(pin.min, r.min);
    assign(pin.max_unpowered, r.max_unpowered);
    assign(pin.full_scale, r.full_scale);
    assign(pin.analog_range, r.analog_range);
}

void lay_rows(Pin& pin, const PinRecord& r, const Provenance& outer) {
    const auto origin = [&](std::string_view key) { return inherited(outer, r, key); };
    if (r.thresholds) {
        pin.thresholds = threshold_rows(*r.thresholds, origin("thresholds"));
        pin.schmitt =
            std::ranges::any_of(*r.thresholds, [](const auto& row) { return row.rising.has_value(); });
    }
    assign(pin.schmitt, r.schmitt);
    if (r.transition) {
        pin.transition.clear();
        for (const TransitionRecord& t : *r.transition)
            pin.transition.push_back({t.supply, t.per_volt, t.total, inherited(origin("transition"), t)});
    }
    if (r.high) pin.high = drive_rows(*r.high, origin("high"));
    if (r.low) pin.low = drive_rows(*r.low, origin("low"));
    if (r.pulls) {
        pin.pulls.clear();
        for (const PullRecord& p : *r.pulls)
            pin.pulls.push_back({p.up, {p.ohms, inherited(origin("pulls"), p)}, p.removable, p.at_reset});
    }
    if (r.load) pin.load = load_input(*r.load, origin("load"));
}

void lay(Pin& pin, const PinRecord& r, const Provenance& outer) {
    const auto origin = [&](std::string_view key) { return inherited(outer, r, key); };
    assign(pin.role, r.is);
    assign(pin.note, r.note);
    lay_limits(pin, r, outer);
    lay_rows(pin, r, outer);
    if (r.clamps) {
        pin.clamp_to_supply = *r.clamps == "both";
        pin.clamp_to_ground = *r.clamps != "none";
    }
    assign_figure(pin.clamp_forward, r.clamp_forward, origin("clamp_forward"));
    assign_figure(pin.clamp_max, r.clamp_max, origin("clamp_max"));
    assign_figure(pin.injection_allowed, r.injection, origin("injection"));
    assign_figure(pin.capacitance, r.capacitance, origin("capacitance"));
    assign_figure(pin.leakage, r.leakage, origin("leakage"));
    assign_figure(pin.input_low, r.input_low, origin("input_low"));
    assign_figure(pin.input_high, r.input_high, origin("input_high"));
    assign_figure(pin.drive_max, r.drive_max, origin("drive_max"));
    assign_sourced(pin.static_low, pin.static_low_origin, r.static_low, origin("static_low"));
    assign_sourced(pin.high_below_supply, pin.high_below_origin, r.high_below_supply,
                   origin("high_below_supply"));
    assign_sourced(pin.low_above_ground, pin.low_above_origin, r.low_above_ground, origin("low_above_ground"));
    assign_sourced(pin.delay_max, pin.delay_origin, r.delay, origin("delay"));
    assign_figure(pin.rise_time, r.rise_time, origin("rise_time"));
    assign_figure(pin.fall_time, r.fall_time, origin("fall_time"));
    if (r.curves) pin.curves = output_curves(*r.curves, origin("curves"));
    assign_figure(pin.output_ohms, r.output_ohms, origin("output_ohms"));
    assign_figure(pin.source_ohms_max, r.source_ohms_max, origin("source_ohms_max"));
    assign(pin.must_be_tied, r.must_be_tied);
    assign(pin.flyback, r.flyback);
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
                           "there is no trait " + in_quotes(*user.like), *user.like, names_of(traits_),
                           "a trait that `voltsill parts search` shows, or `is` and figures of its own");
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

bool PinBuilder::collect(const PinRecord& record, const Provenance& outer, PinLayers& layers) {
    PinLayers chain{{&record, outer}};
    for (const PinRecord* at = trait(record); at; at = trait(*at)) {
        if (std::ranges::any_of(chain, [&](const PinLayer& layer) { return layer.record == at; })) break;
        chain.push_back({at, defaults::unstated});
    }
    const PinRecord& last = *chain.back().record;
    const bool whole = !last.like || traits_.contains(*last.like);
    layers.insert(layers.end(), chain.rbegin(), chain.rend());
    return whole;
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
