#include "documents/report_pieces.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>

#include "parts/words.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// Supply of a pin label, V nominal: of a bench part, or of a part the wiring added.
struct SupplyFinder {
    const Bench& bench;
    const Wiring* wiring;

    std::optional<double> rail(std::string_view name) const {
        const Rail* r = bench.rail(name);
        return r ? std::optional(r->volts.span.nominal.si()) : std::nullopt;
    }

    std::optional<double> of_bench_part(const BenchPart& part, const std::string& pin) const {
        const int k = part.type ? part.type->pin_index(pin) : -1;
        const int supply = k < 0 ? -1 : part.type->pins[k].supply;
        if (supply < 0) return std::nullopt;
        for (const auto& [port, name] : part.supplies)
            if (port == part.type->supplies[supply].name) return rail(name);
        const std::string made = part.name + "." + part.type->supplies[supply].name;
        const auto own = std::ranges::find(bench.rails, made, &Rail::from);
        return own == bench.rails.end() ? std::nullopt : std::optional(own->volts.span.nominal.si());
    }

    std::optional<double> of_wired_part(const WiredPart& part, const std::string& pin) const {
        const int k = part.type ? part.type->pin_index(pin) : -1;
        const int supply = k < 0 ? -1 : part.type->pins[k].supply;
        if (supply < 0) return std::nullopt;
        const int at = part.type->pin_index(part.type->supplies[supply].name);
        const NetId net = at < 0 ? unconnected : part.net_of_pin[at];
        return net < 0 ? std::nullopt : rail(wiring->nets[net].rail);
    }

    /// "gauge.ECHO" or "U1.18 (Y1)"
    std::optional<double> operator()(const std::string& label) const {
        const size_t dot = label.find('.');
        if (dot == std::string::npos) return std::nullopt;
        const std::string part = label.substr(0, dot);
        std::string pin = label.substr(dot + 1);
        if (const size_t open = pin.find(" ("); open != std::string::npos && pin.ends_with(')'))
            pin = pin.substr(open + 2, pin.size() - open - 3);
        if (const BenchPart* p = bench.part(part)) return of_bench_part(*p, pin);
        const int w = wiring ? wiring->part(part) : -1;
        return w < 0 ? std::nullopt : of_wired_part(wiring->parts[w], pin);
    }
};

/// The first few, and how many more.
std::string listed(const std::vector<std::string>& all) {
    constexpr size_t shown = 4;
    std::string out;
    for (size_t k = 0; k < std::min(all.size(), shown); ++k) out += (k > 0 ? ", " : "") + all[k];
    return all.size() > shown ? fmt::format("{} and {} more", out, all.size() - shown) : out;
}

bool guaranteed(const Provenance& origin) { return origin.certainty < Certainty::typical; }

}  // namespace

void append(Blocks& blocks, Blocks more) { std::ranges::move(more, std::back_inserter(blocks)); }

std::string words(Certainty certainty) {
    for (const auto& [word, value] : certainty_words())
        if (value == certainty) return word;
    return "unknown";
}

std::string words(const Provenance& origin) {
    std::string out = words(origin.certainty);
    if (origin.source.starts_with(out))
        out = origin.source;  // "common practice, no source"
    else if (!origin.source.empty())
        out += ": " + origin.source;
    return origin.from_memory ? out + " (from memory)" : out;
}

std::string margin_words(const std::optional<double>& volts) { return volts ? print(Volts{*volts}) : "-"; }

std::string tally(const std::vector<LinkJudgement>& links) {
    std::vector<std::string> parts;
    for (const Verdict v :
         {Verdict::harmful, Verdict::unreadable, Verdict::unknown, Verdict::thin, Verdict::safe}) {
        const auto n = std::ranges::count(links, v, &LinkJudgement::verdict);
        if (n > 0) parts.push_back(fmt::format("{} {}", n, to_word(v)));
    }
    const std::string head = links.size() == 1 ? "1 link" : fmt::format("{} links", links.size());
    return parts.empty() ? head : fmt::format("{}: {}", head, fmt::join(parts, ", "));
}

std::string shared_tally(const Judgement& judgement) {
    std::vector<std::string> parts;
    for (const Verdict v : {Verdict::harmful, Verdict::unreadable, Verdict::unknown, Verdict::thin})
        if (const auto n =
                std::ranges::count_if(judgement.shared, [&](int f) { return judgement.findings[f].verdict == v; });
            n > 0)
            parts.push_back(fmt::format("{} {}", n, to_word(v)));
    return parts.empty() ? "" : fmt::format("; parts and rails: {}", fmt::join(parts, ", "));
}

std::string title_of(const Bench& bench) { return bench.title.empty() ? "a bench without a title" : bench.title; }

std::string meter_words(double volts) { return std::abs(volts) < 0.5e-3 ? "0 V" : print(Volts{volts}); }

std::string meter_words(double lo, double hi) {
    const std::string from = meter_words(lo), to = meter_words(hi);
    return from == to ? from : fmt::format("{} to {}", from, to);
}

const LinkJudgement* judged(const Judgement& judgement, const std::string& crossing) {
    const LinkJudgement* best = nullptr;
    for (const LinkJudgement& j : judgement.links) {
        if (j.link != crossing && !crossing.starts_with(j.link + " to ")) continue;
        if (!best || j.link.size() > best->link.size()) best = &j;
    }
    return best;
}

std::string link_anchor(size_t index) { return fmt::format("link-{}", index + 1); }

std::vector<doc::ChartRow> chart_rows(const Bench& bench, const Wiring* wiring, const LinkJudgement& link,
                                      const std::string& group) {
    const SupplyFinder supply{bench, wiring};
    const Link* const drawn = bench.link(link.link);
    const bool analog = drawn && drawn->kind == LinkKind::analog;
    std::vector<doc::ChartRow> rows;
    for (const LevelBand& level : link.levels) {
        auto row = std::ranges::find(rows, level.point, &doc::ChartRow::point);
        if (row == rows.end()) {
            rows.push_back({.group = group, .point = level.point, .supply = supply(level.point)});
            row = std::prev(rows.end());
        }
        row->bands.push_back({level.high, level.lo, level.nominal, level.hi, level.floats, analog});
        (level.high ? row->high_threshold : row->low_threshold) = level.threshold;
        if (level.limit_max) row->limit_max = level.limit_max;
        if (level.limit_min) row->limit_min = level.limit_min;
    }
    for (doc::ChartRow& row : rows) std::ranges::stable_sort(row.bands, {}, &doc::ChartBand::high);
    if (drawn)
        std::ranges::stable_partition(rows, [&](const doc::ChartRow& row) {
            return std::ranges::any_of(drawn->from,
                                       [&](const PinRef& p) { return row.point == p.part + "." + p.pin; });
        });
    return rows;
}

doc::LevelChart level_chart(const Bench& bench, const std::string& link, const LinkJudgement* direct,
                            const LinkJudgement* wired, const Wiring* wiring,
                            const std::string& wired_words) {
    doc::LevelChart out{"Levels of " + link, {}};
    if (direct) out.rows = chart_rows(bench, nullptr, *direct, "joined directly");
    if (wired)
        std::ranges::move(chart_rows(bench, wiring, *wired, direct ? wired_words : std::string{}),
                          std::back_inserter(out.rows));
    return out;
}

doc::Text ends_of(const Link& link) {
    doc::Text text;
    const auto list = [&](const std::vector<PinRef>& pins) {
        for (size_t k = 0; k < pins.size(); ++k) {
            if (k > 0) text.push_back(", ");
            text.push_back(doc::code(pins[k].part + "." + pins[k].pin));
        }
    };
    list(link.from);
    text.push_back(link.kind == LinkKind::two_way || link.kind == LinkKind::open_drain ? " ↔ " : " → ");
    list(link.to);
    std::string facts(", " + std::string(to_word(link.kind)));
    if (!link.bus.empty()) facts += ", " + link.bus;
    if (link.rate) facts += ", " + print(*link.rate, {.digits = 4});
    text.push_back(facts);
    return text;
}

std::string why(const Judgement& judgement, const LinkJudgement& link) {
    if (link.verdict == Verdict::safe && link.high_margin && link.low_margin)
        return fmt::format("A high has {} to spare, a low {}.", print(Volts{*link.high_margin}),
                           print(Volts{*link.low_margin}));
    if (!link.findings.empty()) return judgement.findings[link.findings.front()].sentence;
    return "Nothing was found that speaks against it.";
}

std::string leaning(const Judgement& judgement, const LinkJudgement& link) {
    std::vector<std::string> soft, remembered;
    const auto note = [](std::vector<std::string>& list, std::string entry) {
        if (std::ranges::find(list, entry) == list.end()) list.push_back(std::move(entry));
    };
    for (const int k : link.findings) {
        const Finding& f = judgement.findings[k];
        if (f.verdict != link.verdict) continue;
        for (const auto& e : {f.value, f.limit}) {
            if (!e) continue;
            if (!guaranteed(e->origin))
                note(soft, fmt::format("{} ({}{})", e->what, words(e->origin.certainty),
                                       e->origin.from_memory ? ", from memory" : ""));
            else if (e->origin.from_memory)
                note(remembered, e->what);
        }
    }
    std::string out;
    if (!soft.empty()) out = fmt::format("Leans on what nobody guarantees: {}.", listed(soft));
    if (!remembered.empty())
        out += fmt::format("{}Leans on figures entered from memory: {}.", out.empty() ? "" : " ",
                           listed(remembered));
    return out;
}

doc::Block standing_caution() {
    return doc::Caution{"Before you build",
                        {{"Extra-low voltage only: nothing here applies to mains or to anything joined to "
                          "it. Where it meets a fixed "
                          "installation, local codes and licensed practice decide."},
                         {"A result is only as good as the figures it rests on: check those marked typical, "
                          "assumed or from memory against "
                          "the data sheet of the part in your hand, and measure before you trust."}}};
}

}  // namespace voltsill
