/// Lets libFuzzer of LLVM 14 see where code compiled by g++ has been.
///
/// clang 14 cannot read std::expected of libstdc++ 12 (it lacks conditionally trivial destructors, P0848),
/// so that g++ compiles the readers. Its -fsanitize-coverage=trace-pc calls a function at every branch,
/// which libFuzzer no longer takes; here the calls (renamed by --wrap) count in a table of its newer kind.
#include <cstddef>
#include <cstdint>

extern "C" {
void __sanitizer_cov_8bit_counters_init(std::uint8_t* begin, std::uint8_t* end);
extern char __executable_start;  // by the linker: the same branch is the same number in every run
}

namespace {
constexpr std::size_t size = 1u << 16;
std::uint8_t counters[size];
[[maybe_unused]] const bool registered =
    (__sanitizer_cov_8bit_counters_init(counters, counters + size), true);
}  // namespace

extern "C" {
void __wrap___sanitizer_cov_trace_pc() {
    const auto at = reinterpret_cast<std::uintptr_t>(__builtin_return_address(0)) -
                    reinterpret_cast<std::uintptr_t>(&__executable_start);
    ++counters[(at ^ (at >> 16)) % size];
}
// Comparisons of floating point, which libFuzzer has no use for.
void __sanitizer_cov_trace_cmpf(float, float) {}
void __sanitizer_cov_trace_cmpd(double, double) {}
}
