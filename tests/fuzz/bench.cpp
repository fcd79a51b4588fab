/// Any bytes as a bench file: read or refused with problems that can be shown.
#include "bench/bench.h"

#include <cstdlib>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    const auto reading = voltsill::read_bench({reinterpret_cast<const char*>(data), size}, "bench.toml");
    if (reading.bench.has_value() == has_error(reading.problems)) std::abort();
    for (const voltsill::Problem& p : reading.problems)
        if (render(p).empty()) std::abort();
    return 0;
}
