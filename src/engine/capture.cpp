#include "engine/capture.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <iterator>

#include "captures/background.h"
#include "engine/reading.h"
#include "signals/simulate.h"

namespace voltsill {
namespace {

constexpr int nowhere = -1;

/// What of the request concerns which channel, once the channels are known.
class Probes {
  public:
    Probes(const Bench& bench, const Wiring& wiring, const CaptureRequest& request)
        : bench_(bench),
          wiring_(wiring),
          request_(request),
          targets_(expectations(bench, judge(bench, wiring))) {}

    std::optional<std::vector<ChannelOptions>> choose(const std::vector<CaptureChannel>& channels);
    const Expectation* at(std::size_t channel) const {
        return channel < target_of_.size() && target_of_[channel] != nowhere
                   ? &targets_[static_cast<std::size_t>(target_of_[channel])]
                   : nullptr;
    }
    Problems problems;

  private:
    int target(const std::string& name);
    void map_by_wish(const std::vector<CaptureChannel>& channels);
    void map_by_name(const std::vector<CaptureChannel>& channels);
    void scale(const std::vector<CaptureChannel>& channels, std::vector<ChannelOptions>& options);

    const Bench& bench_;
    const Wiring& wiring_;
    const CaptureRequest& request_;
    std::vector<Expectation> targets_;
    std::vector<int> target_of_;
    std::vector<StateReading> readings_;
};

/// Judged points first; any other pin by its steady readings.
int Probes::target(const std::string& name) {
    if (const int found = find_target(name, targets_); found >= 0) return found;
    const Link* link = bench_.link(name);
    std::string pin = name;
    if (link && !link->to.empty()) pin = link->to[0].part + "." + link->to[0].pin;
    if (readings_.empty()) readings_ = readings(bench_, wiring_);
    if (auto expected = expectation_of_pin(pin, readings_)) {
        if (link) {
            expected->link = link->name;
            if (link->rate) expected->rate = link->rate->si();
        }
        targets_.push_back(std::move(*expected));
        return static_cast<int>(targets_.size()) - 1;
    }
    std::vector<std::string> names;
    for (const Link& l : bench_.links) names.push_back(l.name);
    for (const Expectation& e : targets_) names.push_back(e.point);
    for (const StateReading& r : readings_) names.push_back(r.point);
    problems.push_back({.code = "unknown-target",
                        .place = {.file = command_line},
                        .message = fmt::format("--map: the bench has no link or wired pin \"{}\"", name),
                        .expected = "the name of a link, or a pin such as \"controller.D2\"",
                        .nearest = nearest_name(name, names)});
    return nowhere;
}

void Probes::map_by_wish(const std::vector<CaptureChannel>& channels) {
    for (const std::string& text : request_.maps) {
        const auto wish = read_wish(text);
        if (!wish) {
            problems.push_back({.code = "bad-map",
                                .place = {.file = command_line},
                                .message = fmt::format("--map: \"{}\" joins no channel to a link", text),
                                .expected = "CHANNEL=LINK, such as CH1=\"tank echo\""});
            continue;
        }
        const int channel = find_channel(wish->channel, channels, "--map", problems),
                  found = target(wish->target);
        if (channel < 0 || found < 0) continue;
        int& there = target_of_[static_cast<std::size_t>(channel)];
        if (there != nowhere)
            problems.push_back(
                {.code = "bad-map",
                 .place = {.file = command_line},
                 .message = fmt::format("--map: channel \"{}\" is mapped twice", wish->channel),
                 .expected = "one link for each channel"});
        there = found;
    }
}

void Probes::map_by_name(const std::vector<CaptureChannel>& channels) {
    for (std::size_t k = 0; k < channels.size(); ++k)
        for (const Link& link : bench_.links)
            if (channels[k].name == link.name || channels[k].name.ends_with("." + link.name))
                target_of_[k] = target(link.name);
}

void Probes::scale(const std::vector<CaptureChannel>& channels, std::vector<ChannelOptions>& options) {
    for (const std::string& text : request_.scales) {
        const auto wish = read_wish(text);
        double factor = 0;
        const std::string& word = wish ? wish->target : text;
        const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), factor);
        if (!wish || error != std::errc() || end != word.data() + word.size() || !std::isfinite(factor) ||
            factor == 0) {
            problems.push_back({.code = "bad-scale",
                                .place = {.file = command_line},
                                .message = fmt::format("--scale: \"{}\" gives no channel a factor", text),
                                .expected = "CHANNEL=FACTOR, such as CH1=10 for a 10:1 probe"});
            continue;
        }
        if (const int channel = find_channel(wish->channel, channels, "--scale", problems); channel >= 0)
            options[static_cast<std::size_t>(channel)].scale = factor;
    }
}

std::optional<std::vector<ChannelOptions>> Probes::choose(const std::vector<CaptureChannel>& channels) {
    std::vector<ChannelOptions> options(channels.size());
    target_of_.assign(channels.size(), nowhere);
    problems.clear();
    request_.maps.empty() ? map_by_name(channels) : map_by_wish(channels);
    scale(channels, options);
    for (std::size_t k = 0; k < channels.size(); ++k) {
        options[k].glitch_limit = request_.glitch_limit;
        const Expectation* expected = at(k);
        if (!expected) continue;
        options[k].limits = expected->limits;
        if (request_.glitch_limit <= 0) options[k].glitch_limit = glitch_limit(*expected);
    }
    return has_error(problems) ? std::nullopt : std::optional(options);
}

/// One go through the file.
Capture read_all(const std::string& file, const CaptureSource& source, const CaptureRequest& request,
                 CaptureMeter meter, const CaptureProgress& progress, int go, Problems& problems) {
    BackgroundSink background(meter);
    CaptureReader reader(file, background, {.sample_interval = request.sample_interval});
    Capture out{.file = file};
    while (!reader.stopped()) {
        const std::string_view piece = source.next();
        if (piece.empty()) break;
        out.bytes += piece.size();
        reader.push(piece);
        if (progress && !progress(out.bytes, go)) {
            out.cancelled = true;
            break;
        }
    }
    // The end of a piece that was not the last: its half of a line is not the file's fault.
    out.cancelled |= progress && !progress(out.bytes, go);
    reader.finish();
    background.finish();
    out.format = reader.format();
    out.partial = reader.truncated() || out.cancelled;
    for (Problem& p : reader.problems())
        if (!out.cancelled || p.code != "truncated") problems.push_back(std::move(p));
    out.channels = meter.finish();
    for (const ChannelCapture& c : out.channels) out.again |= c.voltage() && c.voltage()->levels_moved;
    return out;
}

/// Edges of the nominal simulation for the links whose edges were measured.
void simulate_edges(const Bench& bench, const Wiring& wiring, const Capture& capture,
                    std::vector<MappedChannel>& mapped) {
    SimulateOptions options;
    for (const MappedChannel& m : mapped) {
        const VoltageMeasures* v = capture.channels[static_cast<std::size_t>(m.channel)].voltage();
        if (v && v->rise.count + v->fall.count > 0 && bench.link(m.expected.link))
            options.links.push_back(m.expected.link);
    }
    if (options.links.empty()) return;
    for (const LinkTrace& trace : simulate_links(bench, wiring, options))
        for (MappedChannel& m : mapped)
            for (const Measured& measure : trace.measures) {
                if (trace.link != m.expected.link || measure.point != m.expected.point || !measure.nominal)
                    continue;
                if (measure.kind == MeasureKind::rise_time)
                    m.expected.rise = Span<double>::exactly(*measure.nominal);
                if (measure.kind == MeasureKind::fall_time)
                    m.expected.fall = Span<double>::exactly(*measure.nominal);
            }
}

}  // namespace

CaptureResult check_capture(std::string_view bench_bytes, const std::string& bench_file,
                            const Includer& include, const std::string& capture_file,
                            const CaptureSource& source, const CaptureRequest& request,
                            const CaptureProgress& progress) {
    CaptureResult result;
    BenchReading read = read_for_job(bench_bytes, bench_file, include);
    result.problems = std::move(read.problems);
    if (!read.bench) return result;
    result.planned = !read.bench->wiring;
    const Wiring wiring = result.planned ? plan(*read.bench).wiring
                                         : wired_as_written(*read.bench, bench_bytes, bench_file, result.problems);
    if (has_error(result.problems)) return CaptureResult{.problems = std::move(result.problems)};
    Probes probes(*read.bench, wiring, request);
    const auto choose = [&probes](const std::vector<CaptureChannel>& channels) {
        return probes.choose(channels);
    };
    Problems reading;
    result.capture = read_all(capture_file, source, request, CaptureMeter(choose), progress, 1, reading);
    if (result.capture.again && !result.capture.cancelled && source.rewind && source.rewind()) {
        Problems again;
        Capture second =
            read_all(capture_file, source, request, CaptureMeter(choose, result.capture), progress, 2, again);
        if (second.cancelled)
            result.capture.cancelled = result.capture.partial = true;
        else
            result.capture = std::move(second);
    }
    std::ranges::copy(reading, std::back_inserter(result.problems));
    std::ranges::copy(probes.problems, std::back_inserter(result.problems));
    if (has_error(result.problems)) return CaptureResult{.problems = std::move(result.problems)};
    for (std::size_t k = 0; k < result.capture.channels.size(); ++k) {
        if (const Expectation* expected = probes.at(k))
            result.mapped.push_back({.channel = static_cast<int>(k), .expected = *expected});
    }
    simulate_edges(*read.bench, wiring, result.capture, result.mapped);
    for (MappedChannel& m : result.mapped) {
        m.findings = hold_against(result.capture.channels[static_cast<std::size_t>(m.channel)], m.expected,
                                  capture_file, request.compare);
        for (const Finding& f : m.findings) m.verdict = worse(m.verdict, f.verdict);
        result.verdict = worse(result.verdict, m.verdict);
    }
    result.bench = std::move(read.bench);
    return result;
}

}  // namespace voltsill
