/// Any bytes as a learner's build: marked between nothing and all of the points, and the same twice.
#include <cstdlib>

#include "teaching/marking.h"
#include "wiring/wiring.h"

namespace {

using namespace voltsill;

/// Two parts joined by one wire on a board: small, so that files are tried quickly.
const PreparedMarking& prepared() {
    static const PreparedMarking* marking = [] {
        BenchReading reading = read_bench(
            "[rails]\nlogic = { volts = \"3.3 V\" }\n[parts]\nr1 = { type = \"resistor\", value = \"1 kΩ\" }\n"
            "u1 = { type = \"LVC 541 DIP-20\", supply = \"logic\" }\n[[links]]\nname = \"a\"\nfrom = \"u1.Y1\"\n"
            "to = \"u1.A2\"\n",
            "small.toml");
        if (!reading.bench) std::abort();
        const Wiring wiring = wire_directly(*reading.bench);
        return new PreparedMarking(*reading.bench, place(*reading.bench, wiring, {.effort = 0}));
    }();
    return *marking;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    const std::string_view bytes{reinterpret_cast<const char*>(data), size};
    const MarkedBuild once = mark_build(prepared(), bytes, "x.csv");
    if (!(once.points >= 0 && once.points <= once.of)) std::abort();
    const MarkedBuild twice = mark_build(prepared(), bytes, "x.csv");
    if (once.points != twice.points || once.mistakes.size() != twice.mistakes.size()) std::abort();
    return 0;
}
