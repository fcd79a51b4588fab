#include "drawing/package_channels.h"

#include <fmt/format.h>

#include <algorithm>

#include "drawing/symbols.h"

namespace voltsill::drawing {
namespace {

constexpr double box_side = 13, mark = 2.6;
const Stroke used_line{Tone::ink, 0.9}, spare_line{Tone::hair, 0.8, Dash::dashed};

/// Which way a signal goes through a channel.
enum class Flow { forward, back, both };

struct Channels {
    Drawing& out;
    const Bench& bench;
    const Wiring& wiring;
    const WiredPart& part;
    const std::vector<PinSpot>& spots;
    std::vector<std::string> across = {};  ///< "2 → 18 (not 19)"
    std::vector<std::string> in_words = {};

    const PinSpot* spot_of(int pin) const {
        const auto found = std::ranges::find(spots, pin, &PinSpot::pin);
        return found == spots.end() ? nullptr : &*found;
    }
    NetId net_of(int pin) const { return part.net_of_pin[pin]; }
    bool amplifier() const { return part.type->kind == PartKind::op_amp || part.type->kind == PartKind::comparator; }

    bool used(const Channel& c) const;
    Flow way_of(const Channel& c) const;
    std::string link_of(const Channel& c) const;
    void draw(const Channel& c, bool two_rows);
    void across_body(Group& g, const Channel& c, const PinSpot& in, const PinSpot& to, const std::string& link);
    void on_one_side(Group& g, const Channel& c, const PinSpot& to, const std::string& link);
    void logic_box(Group& g, const Channel& c, Point centre, bool right, const Stroke& stroke) const;
};

bool Channels::used(const Channel& c) const {
    if (c.output < 0 || net_of(c.output) == unconnected) return false;
    return std::ranges::any_of(c.inputs, [&](int pin) { return net_of(pin) != unconnected; });
}

Flow Channels::way_of(const Channel& c) const {
    if (c.logic == ChannelLogic::transceiver && c.direction >= 0) {
        const NetId net = net_of(c.direction);
        if (net == unconnected) return Flow::both;
        if (wiring.nets[net].ground) return Flow::back;
        return wiring.nets[net].rail.empty() ? Flow::both : Flow::forward;
    }
    switch (c.logic) {
        case ChannelLogic::transceiver:
        case ChannelLogic::pass_gate:
        case ChannelLogic::auto_push_pull:
        case ChannelLogic::auto_open_drain:
        case ChannelLogic::repeater:
            return Flow::both;
        default:
            return Flow::forward;
    }
}

/// The link with an end at the channel, or else what its net is named after.
std::string Channels::link_of(const Channel& c) const {
    std::vector<std::string> names;
    for (const int pin : c.inputs)
        for (const std::string& name : links_on(bench, wiring, net_of(pin))) names.push_back(name);
    for (const std::string& name : links_on(bench, wiring, net_of(c.output))) names.push_back(name);
    if (!names.empty()) return names.front();
    const std::string& net = wiring.nets[net_of(c.output)].name;
    return net.substr(0, net.rfind(" at "));
}

void Channels::logic_box(Group& g, const Channel& c, Point centre, bool right, const Stroke& stroke) const {
    const std::string_view own = qualifying_sign(c.logic);
    const std::string_view sign = amplifier() ? "▷" : own == both_ways_sign ? "" : own;  // arrows say that here
    if (sign.empty()) return;
    const double half = box_side / 2, out_of = right ? 1 : -1;
    g.items.push_back(box(centre.x - half, centre.y - half, box_side, box_side, Tone::paper,
                          {stroke.colour, stroke.width}));
    g.items.push_back(Label{.at = {centre.x, centre.y + 2.6},
                            .text = std::string(sign),
                            .anchor = Anchor::middle,
                            .size = 7,
                            .colour = stroke.colour == Colour(Tone::hair) ? Colour(Tone::soft) : stroke.colour});
    if (inverts(c.logic))
        g.items.push_back(Circle{{centre.x + out_of * (half + 1.8), centre.y}, 1.8, Tone::paper, {stroke.colour, 0.8}});
}

Path arrow(Point tip, double out_of, Colour colour) {
    return polygon({tip, {tip.x - out_of * 5, tip.y - mark}, {tip.x - out_of * 5, tip.y + mark}}, colour, no_stroke);
}

/// Straight in, a box, a slant to the row of the output, straight out.
void Channels::across_body(Group& g, const Channel& c, const PinSpot& in, const PinSpot& to,
                           const std::string& link) {
    const bool live = !link.empty();
    const Stroke stroke = live ? used_line : spare_line;
    const Flow way = way_of(c);
    const double out_of = in.left ? 1 : -1, middle = 0.5 * (in.at.x + to.at.x);
    const double inside = in.at.x + out_of * name_zone, end = to.at.x - out_of * name_zone;
    const Point at{middle - out_of * 23, in.at.y};
    g.items.push_back(polyline({{inside, in.at.y}, {at.x + out_of * box_side / 2, in.at.y},
                                {middle - out_of * 12, in.at.y}, {middle + out_of * 12, to.at.y}, {end, to.at.y}},
                               stroke));
    logic_box(g, c, at, in.left, stroke);
    const Colour ink = stroke.colour;
    if (way != Flow::back) g.items.push_back(arrow({end, to.at.y}, out_of, ink));
    if (way != Flow::forward) g.items.push_back(arrow({inside, in.at.y}, -out_of, ink));
    if (!live) return;
    const double room = std::abs(at.x - inside) - box_side / 2 - 3;
    g.items.push_back(Label{.at = {inside + out_of * 1, in.at.y - 3},
                            .text = fitted(link, room, 7),
                            .anchor = in.left ? Anchor::start : Anchor::end,
                            .size = 7});
    const int facing = static_cast<int>(spots.size()) + 1 - in.number;
    if (facing == to.number) return;
    // Where the signal does not come out.
    const double x = middle + out_of * 4;
    g.items.push_back(
        line({middle - out_of * 12, in.at.y}, {x - out_of * 3, in.at.y}, {Tone::soft, 0.6, Dash::dotted}));
    g.items.push_back(line({x - 2, in.at.y - 2}, {x + 2, in.at.y + 2}, {Tone::ink, 0.7}));
    g.items.push_back(line({x - 2, in.at.y + 2}, {x + 2, in.at.y - 2}, {Tone::ink, 0.7}));
    across.push_back(way == Flow::back ? fmt::format("{} → {} (not {})", to.number, in.number,
                                                    static_cast<int>(spots.size()) + 1 - to.number)
                                      : fmt::format("{} → {} (not {})", in.number, to.number, facing));
}

/// Inputs run to a box beside them, the output comes back to the same side.
void Channels::on_one_side(Group& g, const Channel& c, const PinSpot& to, const std::string& link) {
    const bool live = !link.empty();
    const Stroke stroke = live ? used_line : spare_line;
    const double out_of = to.left ? 1 : -1;
    std::vector<const PinSpot*> ins;
    for (const int pin : c.inputs)
        if (const PinSpot* spot = spot_of(pin)) ins.push_back(spot);
    double y = 0;
    for (const PinSpot* spot : ins) y += spot->at.y / double(ins.size());
    const double inside = to.at.x + out_of * name_zone;
    const Point at{inside + out_of * 19, y};
    for (std::size_t k = 0; k < ins.size(); ++k) {
        // Two inputs meet the box one above the other.
        const double enter = ins.size() == 1 ? y : y + (ins[k]->at.y < y ? -3.0 : 3.0);
        const double bend = inside + out_of * 7, from = ins[k]->at.x + (ins[k]->left ? 1 : -1) * name_zone;
        g.items.push_back(polyline({{from, ins[k]->at.y}, {bend, ins[k]->at.y}, {bend, enter}, {at.x, enter}}, stroke));
    }
    const double turn = at.x + out_of * 14;
    g.items.push_back(polyline({{at.x, y}, {turn, y}, {turn, to.at.y}, {inside, to.at.y}}, stroke));
    logic_box(g, c, at, to.left, stroke);
    g.items.push_back(arrow({inside, to.at.y}, -out_of, stroke.colour));
    if (!live) return;
    const double between = 0.5 * (y + to.at.y);
    g.items.push_back(Label{.at = {turn + out_of * 3, between + (to.left ? -1.5 : 8)},
                            .text = fitted(link, 58, 7),
                            .anchor = to.left ? Anchor::start : Anchor::end,
                            .size = 7});
}

void Channels::draw(const Channel& c, bool two_rows) {
    if (c.inputs.empty() || c.output < 0) return;
    const PinSpot *in = spot_of(c.inputs[0]), *to = spot_of(c.output);
    if (!in || !to) return;
    const bool live = used(c);
    const std::string link = live ? link_of(c) : "";
    Group g{.title = fmt::format("channel {}: pin {} {} pin {}{}", c.name, in->number,
                                 way_of(c) == Flow::forward ? "to"
                                 : way_of(c) == Flow::back  ? "from"
                                                           : "and",
                                 to->number, live ? ", " + link : ", unused"),
            .data = {{"part", part.name}, {"channel", fmt::format("{}-{}", in->number, to->number)}},
            .items = {}};
    if (live) g.data.emplace_back("link", link);
    if (!two_rows) {
        if (live) in_words.push_back(fmt::format("{} to {}: {}", in->number, to->number, link));
    } else if (in->left == to->left) {
        on_one_side(g, c, *to, link);
    } else {
        across_body(g, c, *in, *to, link);
    }
    out.items.push_back(std::move(g));
}

std::string listed(const std::vector<std::string>& all) {
    std::string out;
    for (const std::string& one : all) out += (out.empty() ? "" : ", ") + one;
    return out;
}

}  // namespace

std::vector<std::string> broken(std::string_view text, double width, double size) {
    std::vector<std::string> lines;
    std::string line;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t blank = std::min(text.find(' ', at), text.size());
        const std::string word(text.substr(at, blank - at));
        const std::string longer = line.empty() ? word : line + " " + word;
        if (!line.empty() && text_width(longer, size) > width) {
            lines.push_back(line);
            line = word;
        } else {
            line = longer;
        }
        at = blank + 1;
    }
    if (!line.empty()) lines.push_back(line);
    for (std::string& one : lines) one = fitted(one, width, size);
    return lines;
}

std::vector<std::string> add_channels(Drawing& out, const Bench& bench, const Wiring& wiring,
                                      const WiredPart& part, const std::vector<PinSpot>& spots, bool two_rows) {
    Channels channels{out, bench, wiring, part, spots};
    for (const Channel& c : part.type->channels) channels.draw(c, two_rows);
    std::vector<std::string> sentences;
    if (!channels.across.empty())
        sentences.push_back("× is the pin straight across, where the signal does not come out: " +
                            listed(channels.across) + ".");
    if (!channels.in_words.empty()) sentences.push_back("Channels, by pin: " + listed(channels.in_words) + ".");
    return sentences;
}

}  // namespace voltsill::drawing
