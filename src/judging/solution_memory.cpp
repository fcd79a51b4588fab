#include "judging/solution_memory.h"

#include <type_traits>

namespace voltsill {
namespace {

template <class T>
void append(std::string& to, const T& value) {
    static_assert(std::is_arithmetic_v<T> || std::is_enum_v<T>);
    to.append(reinterpret_cast<const char*>(&value), sizeof value);
}

template <class Values>
void append_all(std::string& to, const Values& range) {
    append(to, range.size());
    for (const auto& value : range) append(to, value);
}

/// Everything of a netlist that `solve_block` reads but the values, and the blocks follow from it.
std::string shape_key(const Netlist& net) {
    std::string key;
    append(key, net.node_names.size());
    append(key, net.devices.size());
    for (const Device& d : net.devices) {
        append(key, d.kind);
        append_all(key, d.nodes);
        append_all(key, d.params);
        append(key, d.table);
        append(key, d.reversed_polarity);
        append(key, d.index);
    }
    append(key, net.stages.size());
    for (const Stage& s : net.stages) {
        for (const int k : {s.pin, s.supply, s.ground, s.up_table, s.down_table, s.up_strength, s.down_strength,
                            s.up_strong_table, s.down_strong_table})
            append(key, k);
        append(key, s.strongest);
    }
    for (const Table& table : net.tables) append_all(key, table.volts), append_all(key, table.amps);
    return key;
}

}  // namespace

std::string SolutionMemory::key_of(const Island& island, const Levels& levels, std::span<const double> values,
                                   bool hurried, bool near_nominal) {
    if (island.shape < 0)
        island.shape =
            shapes_.try_emplace(shape_key(island.net), static_cast<int>(shapes_.size())).first->second;
    std::string key;
    key.reserve(32 + levels.size() + 2 * values.size_bytes());
    append(key, island.shape);
    append(key, hurried);
    append_all(key, levels);
    append_all(key, values);
    if (near_nominal) append_all(key, island.nominal);
    return key;
}

const std::vector<double>* SolutionMemory::find(const std::string& key) const {
    const auto at = volts_.find(key);
    return at == volts_.end() ? nullptr : &at->second;
}

void SolutionMemory::keep(std::string key, const std::vector<double>& volts) {
    bytes_ += key.size() + volts.size() * sizeof(double);
    if (bytes_ > most_bytes) volts_.clear(), bytes_ = 0;
    volts_.insert_or_assign(std::move(key), volts);
}

}  // namespace voltsill
