#include "parts/row_checks.h"

#include <fmt/format.h>

#include "parts/shape_tools.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Of the supply: what reads as low reaches this far up, and a high is no lower than that. A row for a range of
/// supplies is held against the end at which it is most likely right.
constexpr double least_low = 0.02, least_high = 0.3;

void doubt_level(const Value& row, std::string_view key, Volts level, Volts supply, std::string_view what,
                 std::string expected, Reader& reader) {
    reader.warning(spot_of(row, key), "unlikely-level",
                   fmt::format("{} of {} at a supply of {} is hardly meant", what, print(level), print(supply)),
                   std::move(expected));
}

void doubt_drive(const Value& row, bool high, const DriveRecord& drive, Reader& reader) {
    const Volts supply = drive.supply.hi, least = drive.supply.lo, level = drive.level.at(supply);
    if (high && level > supply + supply_rounding)
        doubt_level(row, "level", level, supply, "an output high", "at most the supply that the pin follows", reader);
    else if (high && drive.level.at(least) < least * least_high)
        doubt_level(row, "level", drive.level.at(least), least, "an output high", "VOH min, near the supply", reader);
    else if (!high && level < -supply_rounding)
        doubt_level(row, "level", level, supply, "an output low", "VOL max, 0 V or above", reader);
    else if (!high && level > supply * 0.5)
        doubt_level(row, "level", level, supply, "an output low", "VOL max, near ground", reader);
}

/// Two rows of the same supply: at more current the level is no nearer to its rail.
bool turned_round(bool high, const DriveRecord& less, const DriveRecord& more) {
    if (less.supply.lo != more.supply.lo || less.supply.hi != more.supply.hi || less.at >= more.at) return false;
    const Volts nearer = less.level.at(less.supply.hi), farther = more.level.at(less.supply.hi);
    return high ? farther > nearer + supply_rounding : farther < nearer - supply_rounding;
}

void check_drive(const Value& table, const PinRecord& pin, bool high, Reader& reader) {
    const Entry* entry = table.find(high ? "high" : "low");
    const auto& read = high ? pin.high : pin.low;
    // Rows that cannot be read are missing in what was read: then their places are not known.
    if (!entry || !read || read->size() != entry->value.items.size()) return;
    const std::vector<Value>& rows = entry->value.items;
    for (std::size_t k = 0; k < read->size(); ++k) {
        const DriveRecord& row = (*read)[k];
        doubt_drive(rows[k], high, row, reader);
        if (pin.drive_max && row.at > pin.drive_max->hi)
            reader.conflict(spot_of(rows[k], "at"), spot_of(table, "drive_max"), "above-drive-max",
                            "this level is printed at more than the absolute maximum output current",
                            "a load current below drive_max");
        for (std::size_t j = 0; j < read->size(); ++j)
            if (turned_round(high, (*read)[j], row))
                reader.warning(spot_of(rows[k], "level"), "rows-turned-round",
                               fmt::format("at {} this level is nearer to its rail than that at {}", print(row.at),
                                           print((*read)[j].at)),
                               "more current, a level further from the rail");
    }
}

/// Both follow the supply; beyond at every supply a part may have is beyond for certain.
bool always_above(const Level& a, const Level& b) {
    return a.at(Volts{1}) > b.at(Volts{1}) && a.at(Volts{20}) > b.at(Volts{20});
}

}  // namespace

void check_threshold(const Value& table, ThresholdRecord& row, Reader& reader) {
    const bool bands = row.rising || row.falling, levels = row.low || row.high;
    if (table.damaged) return;
    if (bands == levels || (bands && !(row.rising && row.falling)) || (levels && !(row.low && row.high))) {
        reader.error(table.spot, "incomplete-threshold", "this row does not give both thresholds",
                     "low and high, or rising and falling for a Schmitt input");
        return;
    }
    const char* low_key = bands ? "falling" : "low";
    for (const Volts v : {row.supply.lo, row.supply.hi}) {
        const Volts low = bands ? row.falling->lo : row.low->at(v), high = bands ? row.rising->hi : row.high->at(v);
        if (low <= high) continue;
        reader.error(spot_of(table, low_key), "crossed-thresholds", "the low threshold is above the high one",
                     "low at most as high as high");
        return;
    }
    const Volts least = row.supply.lo, low = bands ? row.falling->lo : row.low->at(least);
    // 0 V stands in sheets of the lowest supplies: there nothing but ground reads low.
    if (low < least * least_low && low != Volts{})
        doubt_level(table, low_key, low, least, "a low threshold", "above " + print(least * least_low), reader);
    const Volts supply = row.supply.hi, high = bands ? row.rising->hi : row.high->at(supply);
    if (high > supply + supply_rounding)
        doubt_level(table, bands ? "rising" : "high", high, supply, "a high threshold",
                    "at most the supply that the pin follows", reader);
}

void check_pin_rows(const Value& table, PinRecord& pin, Reader& reader) {
    for (const bool high : {true, false}) check_drive(table, pin, high, reader);
    if (pin.range && pin.max && always_above(pin.range->hi, *pin.max))
        reader.conflict(spot_of(table, "range"), spot_of(table, "max"), "range-above-maximum",
                        "the operating range ends above the absolute maximum", "an absolute maximum above the range");
}

}  // namespace voltsill
