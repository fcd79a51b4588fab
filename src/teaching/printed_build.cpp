#include "teaching/printed_build.h"

#include <fmt/format.h>

#include "teaching/marking_inside.h"
#include "wiring/part_words.h"

namespace voltsill {
namespace {

std::string build_cell(std::string_view text) {
    if (text.find_first_of(",;\t\"\r\n") == std::string_view::npos) return std::string(text);
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + '"';
}

std::string build_row(std::string_view kind, std::string_view from, std::string_view to, std::string_view note) {
    return fmt::format("{},{},{},,{}\n", kind, build_cell(from), build_cell(to), build_cell(note));
}

}  // namespace

std::string printed_build(const PreparedMarking& prepared) {
    const PreparedMarking::Inside& in = prepared.inside();
    const Placement& placement = in.build.placement;
    const Wiring& wiring = in.build.wiring;
    std::string out = "kind,from,to,value,note\n";
    out += build_row("remark", "", "",
                     in.bench.title + ": as planned. Change what was built otherwise; readings go under value.");
    for (const LaidWire& wire : placement.wires)
        out += build_row("wire", words(placement, wiring, wire.from), words(placement, wiring, wire.to), wire.colour);
    for (const WantedReading& reading : in.readings)
        out += build_row("reading", pin_label(wiring.parts[reading.part], reading.pin), reading.state, "");
    return out;
}

}  // namespace voltsill
