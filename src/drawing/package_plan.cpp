#include "drawing/package_plan.h"

#include <fmt/format.h>

#include <algorithm>

#include "drawing/package_channels.h"
#include "quantity/print.h"

namespace voltsill::drawing {
namespace {

constexpr double top = 52, row_height = 24, body_left = 155, body_right = 355;
constexpr double pin_width = 17, pin_height = 11, wire_length = 15;
constexpr double net_size = 8, remark_size = 7, name_size = 7.5;
// A single row: its body stands at the left, nets have the rest of the page.
constexpr double row_left = 20, row_pitch = 16, row_names = 150;

std::string value_words(const WiredPart& part) {
    if (!part.value) return {};
    if (part.type->kind == PartKind::resistor) return " " + print(Ohms{*part.value});
    if (part.type->kind == PartKind::capacitor) return " " + print(Farads{*part.value});
    return {};
}

std::string type_words(const WiredPart& part) {
    std::string words = part.type->name + value_words(part);
    if (part.package && part.type->kind != PartKind::module &&
        words.find(part.package->name) == std::string::npos)
        words += " " + part.package->name;
    return words;
}

/// Small outlines with three to six pins have no notch.
bool has_notch(const Package& package) {
    return !package.name.starts_with("SOT") && !package.name.starts_with("SC-");
}

bool is_held(const WiredPart& part, int pin, const NetWords& net) {
    const PinRole role = part.type->pins[pin].role;
    return net.shared() && (role == PinRole::input || role == PinRole::three_state ||
                            role == PinRole::open_drain_io || role == PinRole::io);
}

bool drives(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::open_drain ||
           role == PinRole::open_source || role == PinRole::analog_output;
}
bool listens(PinRole role) {
    return role == PinRole::input || role == PinRole::analog_input || role == PinRole::load;
}

struct PinPlan {
    const Bench& bench;
    const Wiring& wiring;
    const WiredPart& part;
    Drawing out;
    std::vector<PinSpot> spots = {};
    bool two = part.package && two_rows(*part.package);
    double left = body_left, right = body_right;  ///< edges of the body

    void add(Item item) { out.items.push_back(std::move(item)); }
    double below() const;
    void place_two_rows();
    void place_one_row(const std::vector<int>& pins);
    void heading();
    void body();
    void pin(const PinSpot& spot);
    void end_of_pin(Group& group, const PinSpot& spot, const NetWords& net, const std::string& note);
    std::string note_of(const PinSpot& spot, const NetWords& net) const;
    int flow_of(int pin) const;
    void sentences(const std::vector<std::string>& all);
};

void PinPlan::place_two_rows() {
    const std::vector<int>& pins = part.package->pin_of_number;
    const int count = static_cast<int>(pins.size()), down = (count + 1) / 2, up = count - down;
    for (int n = 1; n <= count; ++n) {
        const bool on_left = n <= down;
        // Fewer pins on the right stand at both ends: 5 and 4 of SOT-23-5; a single one in the middle.
        const double share = up == 1 ? 0.5 : double(count - n) / std::max(1, up - 1);
        const double place = on_left ? n - 1 : share * (down - 1);
        spots.push_back({.number = n,
                         .pin = pins[n - 1],
                         .at = {on_left ? left : right, top + row_height * (place + 0.75)},
                         .left = on_left});
    }
}

/// The body is as wide as its names.
void PinPlan::place_one_row(const std::vector<int>& pins) {
    double names = 24;
    for (const int pin : pins)
        if (pin >= 0) names = std::max(names, text_width(part.type->pins[pin].name, name_size));
    left = row_left;
    right = row_left + std::min(names, row_names) + 16;
    for (std::size_t n = 0; n < pins.size(); ++n)
        spots.push_back({.number = int(n) + 1,
                         .pin = pins[n],
                         .at = {right, top + row_pitch * (double(n) + 1)},
                         .left = false});
}

double PinPlan::below() const {
    double y = top;
    for (const PinSpot& spot : spots) y = std::max(y, spot.at.y);
    return y + (two ? 18 : 15);
}

void PinPlan::heading() {
    const double name_width = text_width(part.name, 12, true);
    add(Label{.at = {8, 18}, .text = fitted(part.name, 200, 12, true), .size = 12, .bold = true});
    const double x = 8 + std::min(200.0, name_width) + 8;
    add(Label{.at = {x, 18}, .text = fitted(type_words(part), page_width - x - 8, 9), .size = 9});
    std::string seen = !two ? "pins in their order" : has_notch(*part.package) ? "seen from above, notch up"
                                                                               : "seen from above, pin 1 at the dot";
    if (part.package && !part.package->fits_board) seen += "; on an adapter board";
    if (!part.purpose.empty()) seen += "; " + part.purpose;
    add(Label{.at = {8, 32}, .text = fitted(seen, page_width - 16, 7.5), .size = 7.5, .colour = Tone::soft});
}

void PinPlan::body() {
    Group group{.title = "body, pin 1 at the dot", .data = {{"part", part.name}}, .items = {}};
    group.items.push_back(box(left, top, right - left, below() - 6 - top, Tone::paper, {Tone::ink, 1.1}));
    if (two && has_notch(*part.package))
        group.items.push_back(arc({(left + right) / 2, top}, 9, 0, 180, {Tone::ink, 1.1}));
    group.items.push_back(Circle{{two ? left + 7 : right - 6, top + (two ? 7.0 : 5.0)}, 1.8, Tone::ink, no_stroke});
    add(std::move(group));
}

std::string PinPlan::note_of(const PinSpot& spot, const NetWords& net) const {
    if (spot.pin < 0) return {};
    const Pin& p = part.type->pins[spot.pin];
    if (is_held(part, spot.pin, net))
        return fmt::format("strap to {}: {}", net.ground ? "ground" : "rail", strap_reason(part, spot.pin));
    if (part.net_of_pin[spot.pin] != unconnected) return {};
    if (drives(p.role)) return "unused output";
    return p.role == PinRole::no_connect ? "no connection" : "unused";
}

/// 1: signals come out here, -1: they go in, 0: both, or neither. A pin that can do both does what its
/// links say.
int PinPlan::flow_of(int pin) const {
    const PinRole role = part.type->pins[pin].role;
    if (drives(role)) return 1;
    if (listens(role)) return -1;
    int flow = 0;
    for (const Link& link : bench.links) {
        if (link.kind == LinkKind::open_drain || link.kind == LinkKind::two_way) continue;
        const auto here = [&](const PinRef& end) {
            return end.part == part.name && end.pin == part.type->pins[pin].name;
        };
        if (std::ranges::any_of(link.from, here)) flow = 1;
        if (std::ranges::any_of(link.to, here)) flow = -1;
    }
    return flow;
}

/// Number, line outwards, and what is at its end.
void PinPlan::end_of_pin(Group& group, const PinSpot& spot, const NetWords& net, const std::string& note) {
    const double out_of = spot.left ? -1 : 1;
    const double edge = spot.at.x + out_of * pin_width, end = edge + out_of * wire_length, y = spot.at.y;
    const bool open = spot.pin < 0 || part.net_of_pin[spot.pin] == unconnected;
    if (open) {
        group.items.push_back(line({edge, y}, {edge + out_of * 6, y}, {Tone::soft, 0.6}));
        group.items.push_back(Circle{{edge + out_of * 8, y}, 2, Tone::none, {Tone::soft, 0.6}});
    } else {
        group.items.push_back(line({edge, y}, {end, y}, net_stroke(net)));
        if (const int flow = net.shared() ? 0 : flow_of(spot.pin); flow != 0) {
            const double tip = flow > 0 ? end : edge + out_of * 2;
            const double tail = flow > 0 ? end - out_of * 5 : edge + out_of * 7;
            group.items.push_back(polygon({{tip, y}, {tail, y - 2.4}, {tail, y + 2.4}}, Tone::ink, no_stroke));
        }
        if (net.ground) group.items.push_back(ground_sign({end, y}, {Tone::ink, 0.9}));
    }
    const Anchor anchor = spot.left ? Anchor::end : Anchor::start;
    const double x = end + out_of * (net.ground ? 8 : 4);
    const double room = spot.left ? x - 4 : page_width - 4 - x;
    std::string name = spot.pin < 0 ? "no connection" : net.text;
    const bool beside = !two && !note.empty();  // a single row has room to the right only
    if (beside) name += ", " + note;
    const std::string words = fitted(name, room, net_size, net.shared());
    group.items.push_back(Label{.at = {x, y + (note.empty() || beside ? 2.8 : -0.6)},
                                .text = words,
                                .anchor = anchor,
                                .size = net_size,
                                .bold = net.shared(),
                                .colour = spot.pin < 0 ? Colour(Tone::soft) : net.rail ? Tone::ink : net.colour});
    if (!note.empty() && !beside)
        group.items.push_back(Label{.at = {x, y + 7.2},
                                    .text = fitted(note, room, remark_size),
                                    .anchor = anchor,
                                    .size = remark_size,
                                    .colour = Tone::soft});
}

void PinPlan::pin(const PinSpot& spot) {
    const std::string name = spot.pin < 0 ? "" : part.type->pins[spot.pin].name;
    const NetWords net = net_words(bench, wiring, spot.pin < 0 ? unconnected : part.net_of_pin[spot.pin]);
    const std::string note = note_of(spot, net);
    Group group{.title = fmt::format("pin {}{}{}: {}{}{}", spot.number, name.empty() ? "" : ", ", name, net.text,
                                     note.empty() ? "" : ", ", note),
                .data = {{"part", part.name}, {"pin", std::to_string(spot.number)}},
                .items = {}};
    if (spot.pin >= 0 && part.net_of_pin[spot.pin] != unconnected)
        group.data.emplace_back("net", wiring.nets[part.net_of_pin[spot.pin]].name);
    const double x = spot.left ? spot.at.x - pin_width : spot.at.x;
    group.items.push_back(box(x, spot.at.y - pin_height / 2, pin_width, pin_height, Tone::paper, {Tone::ink, 0.8}));
    group.items.push_back(Label{.at = {x + pin_width / 2, spot.at.y + 2.8},
                                .text = std::to_string(spot.number),
                                .anchor = Anchor::middle,
                                .size = 8,
                                .bold = spot.number == 1});
    const double room = two ? name_zone - 6 : right - left - 10;
    if (!name.empty() && name != std::to_string(spot.number))
        group.items.push_back(pin_name(name, {spot.at.x + (spot.left ? 4 : -4), spot.at.y + 2.7},
                                       spot.left ? Anchor::start : Anchor::end, name_size, room));
    end_of_pin(group, spot, net, note);
    add(std::move(group));
}

/// Words under the body, broken into lines.
void PinPlan::sentences(const std::vector<std::string>& all) {
    double y = below() + 10;
    for (const std::string& sentence : all)
        for (const std::string& words : broken(sentence, page_width - 20, 8)) {
            add(Label{.at = {10, y}, .text = words, .size = 8});
            y += 11;
        }
    out.height = y + 2;
}

}  // namespace

bool two_rows(const Package& package) {
    for (const std::string_view row : {"HEADER", "LEADS", "AXIAL", "RADIAL", "TO-"})
        if (package.name.starts_with(row)) return false;
    return true;
}

Drawing package_plan(const Bench& bench, const Wiring& wiring, int part) {
    const WiredPart& wired = wiring.parts[part];
    PinPlan plan{bench, wiring, wired, {.width = page_width, .height = 0, .title = {}, .description = {}, .items = {}}};
    plan.out.title = fmt::format("package of {}, {}", wired.name, type_words(wired));
    plan.out.description =
        fmt::format("Plan view of {} from above with its pins, the nets they are on, and its channels.", wired.name);
    if (plan.two) {
        plan.place_two_rows();
    } else {
        std::vector<int> order;
        if (wired.package) order = wired.package->pin_of_number;
        for (int pin = 0; !wired.package && pin < static_cast<int>(wired.type->pins.size()); ++pin)
            order.push_back(pin);
        plan.place_one_row(order);
    }
    plan.heading();
    plan.body();
    for (const PinSpot& spot : plan.spots) plan.pin(spot);
    plan.sentences(add_channels(plan.out, bench, wiring, wired, plan.spots, plan.two));
    return std::move(plan.out);
}

}  // namespace voltsill::drawing
