/// The bench card: one page that stays on the bench.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "documents/sheets_pieces.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

/// The widest window over all readings at one receiver of a link for one level there; of an analogue
/// link the end of its range; of a load, which reads no level, what it gets for one at the driver.
std::string receiver_window(const Sheets& sheets, const std::string& link, const std::string& point, char level) {
    double lo = 0, hi = 0;
    bool any = false;
    for (const LinkReading& r : sheets.levels) {
        const bool undefined = r.reading.level == 'X' && (r.set == level || (level == '1' && r.set == 'Z'));
        if (r.link != link || !r.receiver || r.reading.point != point) continue;
        if (r.set == 'A') return meter_words(level == '0' ? r.reading.lo : r.reading.hi);
        if (r.reading.level != level && !undefined) continue;
        lo = any ? std::min(lo, r.reading.lo) : r.reading.lo;
        hi = any ? std::max(hi, r.reading.hi) : r.reading.hi;
        any = true;
    }
    return any ? meter_words(lo, hi) : "-";
}

std::vector<std::string> ends_of(const std::vector<PinRef>& pins) {
    std::vector<std::string> out;
    for (const PinRef& pin : pins) out.push_back(pin.part + "." + pin.pin);
    return out;
}

/// Receivers of a link that see the same: those on one side of its interface circuit.
struct SameWindow {
    std::vector<std::string> points;
    std::string low, high;
};
std::vector<SameWindow> windows_of(const Sheets& sheets, const Link& link) {
    std::vector<SameWindow> out;
    std::set<std::string> known;
    for (const LinkReading& r : sheets.levels) {
        const std::string& point = r.reading.point;
        if (r.link != link.name || !r.receiver || !known.insert(point).second) continue;
        SameWindow here{{point},
                        receiver_window(sheets, link.name, point, '0'),
                        receiver_window(sheets, link.name, point, '1')};
        const auto like = std::ranges::find_if(
            out, [&](const SameWindow& w) { return w.low == here.low && w.high == here.high; });
        if (like == out.end())
            out.push_back(std::move(here));
        else
            like->points.push_back(point);
    }
    if (out.empty()) out.push_back({ends_of(link.to), "-", "-"});
    return out;
}

/// Who is heard at these points: of a link that goes both ways those at its other end.
std::string drivers_words(const Link& link, const std::vector<std::string>& points) {
    std::vector<std::string> out = ends_of(link.from);
    std::erase_if(out, [&](const std::string& end) { return std::ranges::find(points, end) != points.end(); });
    return fmt::format("{}", fmt::join(out.empty() ? ends_of(link.to) : out, ", "));
}

}  // namespace

doc::Document bench_card(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Bench card: " + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"Version ", doc::code(sheets.version), ", ", doc::verdict(sheets.judgement.verdict)}));
    doc::Table rails{
        .columns = {
            {"rail"}, {"volts", doc::Align::right, false}, {"limit", doc::Align::right, false}, {"made by"}}};
    for (const Rail& rail : bench.rails)
        rails.rows.push_back({{rail.name},
                              {meter_words(rail.volts.span.lo.si(), rail.volts.span.hi.si())},
                              {rail.limit ? print(*rail.limit) : "-"},
                              {rail.from.empty() ? "supply" : rail.from}});
    out.blocks.push_back(std::move(rails));
    doc::Table links{.columns = {{"link"},
                                 {"from"},
                                 {"at"},
                                 {"low there", doc::Align::right, false},
                                 {"high there", doc::Align::right, false},
                                 {"", doc::Align::left, false}}};
    for (const LinkJudgement& j : sheets.judgement.links)
        if (const Link* link = bench.link(j.link))
            for (const SameWindow& w : windows_of(sheets, *link))
                links.rows.push_back({{link->name},
                                      {drivers_words(*link, w.points)},
                                      {fmt::format("{}", fmt::join(w.points, ", "))},
                                      {w.low},
                                      {w.high},
                                      {doc::verdict(j.verdict)}});
    out.blocks.push_back(std::move(links));
    std::vector<std::string> order;
    for (const PowerStep& step : sheets.order.steps)
        order.push_back(fmt::format("{}", fmt::join(step.rails, " with ")));
    doc::BulletList mind;
    mind.items.push_back(
        {fmt::format("On: {}. Off in reverse. Power off before a wire moves.", fmt::join(order, ", then "))});
    mind.items.push_back({"Extra-low voltage only; local codes and licensed practice come first."});
    for (const LinkJudgement& j : sheets.judgement.links)
        if (j.verdict > Verdict::thin)
            mind.items.push_back({doc::strong("Leave unjoined: "), j.link, " ", doc::verdict(j.verdict)});
    out.blocks.push_back(std::move(mind));
    return out;
}

}  // namespace voltsill
