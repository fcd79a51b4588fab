#pragma once
/// Reads a capture whole and in two pieces and ends the program when the results differ.
#include <cstdlib>
#include <string>
#include <string_view>

#include "captures/capture.h"

namespace fuzz {

inline std::vector<voltsill::ChannelCapture> measured(std::string_view head, std::string_view bytes,
                                                      std::size_t cut) {
    using namespace voltsill;
    CaptureMeter meter([](const std::vector<CaptureChannel>& channels) {
        const ChannelOptions options{.limits = {.vil = 0.8, .vih = 2.0, .limit_min = -0.3, .limit_max = 3.6}};
        return std::optional(std::vector<ChannelOptions>(channels.size(), options));
    });
    CaptureReader reader("file", meter);
    const std::string whole = std::string(head) + std::string(bytes);
    reader.push(std::string_view(whole).substr(0, cut));
    reader.push(std::string_view(whole).substr(cut));
    reader.finish();
    for (const Problem& p : reader.problems())
        if (p.message.empty() || render(p).empty()) std::abort();
    return meter.finish();
}

inline int read_capture(std::string_view bytes, std::string_view head) {
    const std::size_t size = head.size() + bytes.size();
    const auto whole = measured(head, bytes, size), cut = measured(head, bytes, size / 3);
    if (whole.size() != cut.size()) std::abort();
    for (std::size_t k = 0; k < whole.size(); ++k)
        if (whole[k].seconds() != cut[k].seconds() || whole[k].pulses().rising != cut[k].pulses().rising ||
            whole[k].pulses().frequency != cut[k].pulses().frequency)
            std::abort();
    return 0;
}

}  // namespace fuzz
