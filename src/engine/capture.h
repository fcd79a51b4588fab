#pragma once
/// A capture held against a bench: what was measured at each probed pin, and what the wiring of the
/// bench predicts there.
///
///     CaptureRequest ask{.maps = {"CH1=tank echo"}};
///     CaptureResult r = check_capture(bench_bytes, "bench.toml", include, "trace.csv", source, ask);
///
/// The wiring is that of [wiring] if there is one, else the plan. Memory does not grow with the capture.
/// The file is read once; a second time only if its state levels turn out to lie elsewhere than in its
/// first 65,536 samples, and the source can go back.
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "captures/mapping.h"
#include "engine/engine.h"

namespace voltsill {

/// The bytes of a capture, piece by piece.
struct CaptureSource {
    std::function<std::string_view()> next;  ///< valid until the next call; empty: the end
    std::function<bool()> rewind;            ///< back to the first byte; false or no function: cannot
};

struct CaptureRequest {
    std::vector<std::string> maps;    ///< "CH1=tank echo"; empty: channels that are named like a link
    std::vector<std::string> scales;  ///< "CH1=10": volts at the tip for one volt of the file
    double sample_interval = 0;       ///< s, for tables without a column of times
    double glitch_limit = 0;  ///< s; 0: a quarter of the link's period, or an eighth of the median pulse
    CompareOptions compare;
};

struct CaptureResult {
    std::optional<Bench> bench;
    Problems problems;
    bool planned = false;
    Capture capture;
    std::vector<MappedChannel> mapped;
    Verdict verdict = Verdict::safe;
};

/// Told the bytes read so far of this go, and which go it is; false: stop here.
using CaptureProgress = std::function<bool(std::uint64_t bytes, int go)>;

CaptureResult check_capture(std::string_view bench_bytes, const std::string& bench_file,
                            const Includer& include, const std::string& capture_file,
                            const CaptureSource& source, const CaptureRequest& request,
                            const CaptureProgress& progress = {});

std::string to_json(const CaptureResult& result);  ///< "voltsill-capture-1"

}  // namespace voltsill
