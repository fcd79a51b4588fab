#pragma once
/// What stands in the cells of a table of an instrument that are no plain numbers: names with units,
/// keys of settings, values with a unit behind them.
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace voltsill::csv {

struct Unit {
    std::string symbol;  ///< "V", "s"
    double to_si = 1;
};
/// "mV", "Volt", "milliseconds", "(s)", "[V]"; nothing if it is no unit of an instrument's column.
std::optional<Unit> unit_in(std::string_view text);
/// Splits "Time (ms)", "CH1 [V]", "CH1_mV" or "Time in s" into name and unit.
std::pair<std::string, std::optional<Unit>> named(std::string_view text);
bool names_time(std::string_view name);
/// Is the name in the cell, less blanks and marks, one of these?
bool is_key(std::string_view cell, std::initializer_list<std::string_view> keys);
/// A number with or without a unit behind it: "1e-6", "1 MHz", "10us".
std::optional<double> valued(std::string_view cell, char point);

}  // namespace voltsill::csv
