#pragma once
/// Values of sample k: a function of the seed and of k alone, so that any sample can be drawn again by
/// itself. Half of the samples of a parameter lie below its nominal and half above, evenly in each
/// half: its median is the nominal wherever that lies in its range.
///
/// Random bits: SplitMix64 (G. Steele, D. Lea, C. Flood, OOPSLA 2014, pp. 453-472, from memory).
#include <cstdint>
#include <span>

#include "network/netlist.h"

namespace voltsill {

inline constexpr std::uint64_t golden_step = 0x9e3779b97f4a7c15ULL;

inline std::uint64_t mixed(std::uint64_t x) {
    x += golden_step;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
    return x ^ (x >> 31);
}

/// Overwrites the varying parameters in `values`.
inline void draw(const Netlist& net, std::span<const ParamId> varying, std::uint64_t seed,
                 std::uint64_t index, std::span<double> values) {
    const std::uint64_t sample = mixed(mixed(seed) ^ index);
    for (std::size_t k = 0; k < varying.size(); ++k) {
        const Parameter& p = net.parameters[varying[k]];
        const double u = static_cast<double>(mixed(sample + k) >> 11) * 0x1p-53;
        values[varying[k]] =
            u < 0.5 ? p.lo + 2 * u * (p.nominal - p.lo) : p.nominal + (2 * u - 1) * (p.hi - p.nominal);
    }
}

}  // namespace voltsill
