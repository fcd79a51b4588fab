/// Any bytes as a readings file and as a line of a small bench: read or refused with something to show; what is
/// read can be written and read again.
#include <cstdlib>
#include <string_view>

#include "faults/readings_file.h"

namespace {

constexpr std::string_view small_bench = R"(
title = "small"
[rails]
five = "5 V ± 5 %"
logic = { volts = "3.3 V ± 3 %", switch = "main" }
[parts]
gauge = { type = "tank-gauge-5v", supply = "five" }
controller = { type = "controller-3v3", supply = "five" }
[[links]]
name = "tank echo"
from = "gauge.ECHO"
to = "controller.D2"
rate = "2 kHz"
)";

struct Small {
    voltsill::Bench bench = *voltsill::read_bench(small_bench, "small.toml").bench;
    voltsill::PlacedWiring build{.wiring = voltsill::wire_directly(bench)};
};

void expect(bool holds) {
    if (!holds) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    using namespace voltsill;
    static const Small small;
    const std::string text(reinterpret_cast<const char*>(data), size);
    Questions questions(small.bench, small.build);
    for (const bool line : {false, true}) {
        const ReadingsRead read =
            line ? read_reading_lines({text}, "--reading", questions) : read_readings(text, "fuzz.toml", questions);
        expect(read.file.has_value() != has_error(read.problems));
        for (const Problem& p : read.problems) expect(!render(p).empty());
        if (!read.file) continue;
        const ReadingsRead again = read_readings(readings_text(*read.file, questions), "again.toml", questions);
        expect(again.file && again.file->readings.size() == read.file->readings.size());
        for (std::size_t k = 0; k < read.file->readings.size(); ++k)
            expect(again.file->readings[k].reading.question == read.file->readings[k].reading.question);
    }
    return 0;
}
