#include "documents/capture_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "documents/report_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Rows of one channel in detail are few; a file may have thousands of channels.
constexpr std::size_t listed_channels = 64;

std::string seconds(double s) { return print(Seconds{s}); }

std::string tally_words(const Tally& t) {
    if (t.count == 0) return "-";
    const std::string lo = seconds(t.lo), hi = seconds(t.hi);
    return lo == hi ? lo : fmt::format("{} .. {}", lo, hi);
}

std::string name_of(const ChannelCapture& c) {
    return c.channel.aliases.empty() ? c.channel.name
                                     : fmt::format("{} ({})", c.channel.name, c.channel.aliases[0]);
}

bool in_volts(const ChannelCapture& c) { return c.voltage() && !c.digital; }

doc::Block level_table(const Capture& capture) {
    doc::Table table{
        .caption = "Levels by the histogram method of IEEE 181; edges from 10 to 90 % between them",
        .columns = {{"channel"},
                    {"low", doc::Align::right, false},
                    {"high", doc::Align::right, false},
                    {"lowest", doc::Align::right, false},
                    {"highest", doc::Align::right, false},
                    {"rise", doc::Align::right},
                    {"fall", doc::Align::right},
                    {"runts", doc::Align::right, false}}};
    std::size_t shown = 0;
    for (const ChannelCapture& c : capture.channels) {
        const VoltageMeasures* v = c.voltage();
        if (!in_volts(c) || ++shown > listed_channels) continue;
        if (!v->levels) {
            table.rows.push_back({{name_of(c)}, {"no samples"}, {""}, {""}, {""}, {""}, {""}, {""}});
            continue;
        }
        const bool two = v->two_states;
        table.rows.push_back({{name_of(c)},
                              {meter_words(v->levels->low)},
                              {two ? meter_words(v->levels->high) : "stays there"},
                              {meter_words(v->lowest)},
                              {meter_words(v->highest)},
                              {tally_words(v->rise)},
                              {tally_words(v->fall)},
                              {fmt::format("{}", v->runts)}});
    }
    return table;
}

doc::Block pulse_table(const Capture& capture) {
    doc::Table table{.columns = {{"channel"},
                                 {"time", doc::Align::right, false},
                                 {"edges", doc::Align::right, false},
                                 {"frequency", doc::Align::right, false},
                                 {"duty", doc::Align::right, false},
                                 {"high for", doc::Align::right},
                                 {"low for", doc::Align::right},
                                 {"glitches", doc::Align::right}}};
    for (std::size_t k = 0; k < std::min(capture.channels.size(), listed_channels); ++k) {
        const ChannelCapture& c = capture.channels[k];
        const PulseMeasures& p = c.pulses();
        table.rows.push_back(
            {{name_of(c)},
             {seconds(c.seconds())},
             {fmt::format("{}", p.rising + p.falling)},
             {p.frequency ? print(Hertz{*p.frequency}) : "-"},
             {p.duty ? print_percent(*p.duty) : "-"},
             {tally_words(p.high)},
             {tally_words(p.low)},
             {p.glitch_limit ? fmt::format("{} under {}", p.glitches, seconds(*p.glitch_limit)) : "-"}});
    }
    return table;
}

Blocks mapped_blocks(const MappedChannel& m, const Capture& capture, std::size_t index) {
    const std::string& channel = capture.channels[static_cast<std::size_t>(m.channel)].channel.name;
    Blocks out;
    const std::string where = m.expected.link.empty()
                                  ? m.expected.point
                                  : fmt::format("{} at {}", m.expected.link, m.expected.point);
    out.push_back(
        doc::heading(2, {fmt::format("{}: {}", channel, where)}, fmt::format("probe-{}", index + 1)));
    out.push_back(doc::paragraph({doc::verdict(m.verdict)}));
    if (m.findings.empty())
        out.push_back(
            doc::paragraph({"Nothing is predicted for this point that the channel could be held against."}));
    Judgement judgement{.findings = m.findings};
    std::vector<int> all(m.findings.size());
    std::iota(all.begin(), all.end(), 0);
    append(out, finding_blocks(judgement, all, 3));
    return out;
}

std::vector<std::string> notes(const Capture& capture, bool planned) {
    std::vector<std::string> out;
    if (capture.partial)
        out.push_back(capture.cancelled
                          ? "Partial: reading was cancelled; everything here is of what was read until then."
                          : "Partial: the file ends in the middle; everything here is of what came before.");
    if (planned) out.push_back("The bench has no [wiring]: predictions are those of the planned circuit.");
    if (capture.again)
        out.push_back(
            "The levels of some channel lie elsewhere than in its first samples, by which its edges were "
            "measured, and the "
            "source could not be read again: its times are rough.");
    const bool digital =
        std::ranges::any_of(capture.channels, [](const ChannelCapture& c) { return c.digital; });
    if (digital) out.push_back("Logic channels carry no voltages: levels cannot be held against thresholds.");
    if (capture.channels.size() > listed_channels)
        out.push_back(fmt::format("{} channels; the first {} are listed here, all are in the JSON document.",
                                  capture.channels.size(), listed_channels));
    return out;
}

}  // namespace

doc::Document capture_report(const Bench& bench, const Capture& capture,
                             const std::vector<MappedChannel>& mapped, bool planned) {
    doc::Document out{fmt::format("Capture {} of {}", capture.file, bench.title), {}};
    out.blocks.push_back(doc::paragraph({"File: " + capture.format + "."}));
    for (const std::string& note : notes(capture, planned)) out.blocks.push_back(doc::paragraph({note}));
    const auto order = worst_first(mapped, &MappedChannel::verdict);
    for (std::size_t k = 0; k < order.size(); ++k)
        append(out.blocks, mapped_blocks(mapped[order[k]], capture, k));
    if (mapped.empty())
        out.blocks.push_back(
            doc::paragraph({"No channel is held against the bench: none is named like a link. Say where each "
                            "was probed with ",
                            doc::code("--map CHANNEL=LINK"), "."}));
    out.blocks.push_back(doc::heading(2, {"Channels"}, "channels"));
    if (std::ranges::any_of(capture.channels, in_volts)) out.blocks.push_back(level_table(capture));
    out.blocks.push_back(pulse_table(capture));
    out.blocks.push_back(standing_caution());
    return out;
}

}  // namespace voltsill
