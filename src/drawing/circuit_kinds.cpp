/// Figures of resistors, capacitors, diodes, transistors, optocouplers and the ends of a link: which way
/// each lies, and where its words go.
#include <algorithm>
#include <cmath>

#include "drawing/circuit_figure.h"

namespace voltsill::drawing {

/// In line between two nets, the one nearer to the driver on the left; else upright, with a rail above
/// and the ground below. `draw` puts the first joint on the left.
void FigureMaker::two_leads(const Element& e, Symbol (*draw)(const Pose&), double half) {
    const Joint &a = e.joints[0], &b = e.joints[1];
    int quarters;
    if (is_wire(a) && is_wire(b))
        quarters = scheme_.depth.at(a.net) <= scheme_.depth.at(b.net) ? 0 : 2;
    else if (on_rail(a) || on_ground(b))
        quarters = 1;
    else if (on_rail(b) || on_ground(a))
        quarters = 3;
    else
        quarters = is_wire(a) ? 1 : 3;
    Symbol s = draw({{0, 0}, quarters});
    const std::vector<SymbolLead> leads = s.leads;
    const Box body = s.box;
    use(std::move(s));
    lead(e, a, leads[0]);
    lead(e, b, leads[1]);
    if (quarters % 2 == 1) {
        const auto lines = name_and_value(e, 56);
        words(lines, {body.x1 + 4, 3 - line_step / 2 * (static_cast<double>(lines.size()) - 1)},
              Anchor::start);
    } else {
        auto lines = name_and_value(e, 2 * half + 30);
        words({lines.front()}, {0, body.y0 - 4}, Anchor::middle);
        lines.erase(lines.begin());
        words(lines, {0, body.y1 + 10}, Anchor::middle);
    }
}

void FigureMaker::transistor(const Element& e) {
    const PartType& type = *part(e).type;
    const bool bjt = type.kind == PartKind::bjt;
    const auto* b = std::get_if<BjtModel>(&type.model);
    const auto* m = std::get_if<MosfetModel>(&type.model);
    const auto joint = [&](const char* name) {
        const auto at = std::ranges::find(e.joints, type.pin_index(name), &Joint::pin);
        return at == e.joints.end() ? Joint{} : *at;
    };
    const Joint terminals[] = {joint(bjt ? "B" : "G"), joint(bjt ? "C" : "D"), joint(bjt ? "E" : "S")};
    const auto draw = [&](const Pose& pose) {
        return bjt ? bipolar(pose, b && b->pnp) : mosfet(pose, m && m->p_channel);
    };
    Symbol s = draw({});
    // In line when the signal goes through it and not into its gate: gate up, or down to the ground.
    const bool in_line = !is_wire(terminals[0]) && is_wire(terminals[1]) && is_wire(terminals[2]);
    if (in_line) {
        const double side = on_ground(terminals[0]) ? 1 : -1;
        const bool second_left = scheme_.depth.at(terminals[1].net) < scheme_.depth.at(terminals[2].net);
        for (const Pose& pose : {Pose{{}, 1}, Pose{{}, 3, true}, Pose{{}, 3}, Pose{{}, 1, true}}) {
            s = draw(pose);
            if (s.leads[0].to.y * side > 0 && (s.leads[1].to.x < 0) == second_left) break;
        }
    }
    const std::vector<SymbolLead> leads = s.leads;
    const Box body = s.box;
    use(std::move(s));
    for (int k = 0; k < 3; ++k) lead(e, terminals[k], leads[k]);
    const auto lines = name_and_value(e, in_line ? 80 : 48);
    if (!in_line)
        words(lines, {body.x1 + 4, 3 - line_step / 2 * (static_cast<double>(lines.size()) - 1)},
              Anchor::start);
    else if (leads[0].to.y < 0)
        words(lines, {0, body.y1 + 10}, Anchor::middle);
    else
        words(lines, {0, body.y0 - 4}, Anchor::middle, true);
}

void FigureMaker::opto(const Element& e) {
    const PartType& type = *part(e).type;
    const auto joint = [&](const char* name) {
        const auto at = std::ranges::find(e.joints, type.pin_index(name), &Joint::pin);
        return at == e.joints.end() ? Joint{} : *at;
    };
    use({.items = {drawing::box(-25, -20, 50, 40, Tone::paper)},
         .leads = {},
         .box = {-25.5, -20.5, 25.5, 20.5}});
    std::ranges::move(light_path({}), std::back_inserter(out_.group.items));
    const auto corner = [&](const char* name, double sx, double sy) {
        const Joint j = joint(name);
        // Two rails side by side would have no room for their names.
        const bool upright = sy > 0 ? on_ground(j) : on_rail(j) && (sx < 0 || !on_rail(joint("A")));
        const Point inner{20 * sx, 10 * sy},
            edge = upright ? Point{20 * sx, 20 * sy} : Point{25 * sx, 10 * sy};
        out_.group.items.push_back(line(inner, edge));
        lead(e, j, {edge, upright ? Point{20 * sx, 30 * sy} : Point{35 * sx, 10 * sy}});
        const std::string number = std::to_string(number_of(part(e), j.pin));
        if (number == "0") return;
        label({.at = upright ? Point{edge.x + 2, edge.y + (sy < 0 ? -3.0 : 8.0)}
                             : Point{edge.x + 3 * sx, edge.y - 4},
               .text = number,
               .anchor = upright || sx > 0 ? Anchor::start : Anchor::end,
               .size = 7});
    };
    corner("A", -1, -1), corner("K", -1, 1), corner("C", 1, -1), corner("E", 1, 1);
    const auto lines = name_and_value(e, 80);
    if (on_rail(joint("A")) || on_rail(joint("C")))
        words(lines, {0, 58}, Anchor::middle);
    else
        words(lines, {0, -24}, Anchor::middle, true);
}

/// A terminal with its name and rail: drivers on the left of their lead, everything else on the right.
void FigureMaker::end(const Element& e) {
    const double s = e.driver ? -1 : 1;  // where the words are
    const Joint& joint = e.joints[0];
    const Pin& pin = part(e).type->pins[joint.pin];
    lead(e, joint, {{20 * s, 0}, {0, 0}});
    out_.group.items.push_back(terminal({22 * s, 0}));
    out_.solid.push_back({22 * s - 2.7, -3, 22 * s + 2.7, 3});
    if (e.driver || e.receiver) {
        const double right = scheme_.both_ways ? (e.driver ? -3 : 17) : (e.driver ? -7 : 14);
        out_.group.items.push_back(arrow_head({{right, 0}}));
        if (scheme_.both_ways) out_.group.items.push_back(arrow_head({{e.driver ? -17.0 : 3.0, 0}, 2}));
        out_.solid.push_back({std::min(20 * s, 0.0), -3, std::max(20 * s, 0.0), 3});
    }
    constexpr double width = 92;
    std::vector<Words> lines;
    const std::string whole = part(e).name + "." + pin.name;
    if (text_width(whole, 8.5, true) <= width)
        lines.push_back({whole, 8.5, true});
    else {
        lines.push_back({fitted(part(e).name, width, 8.5, true), 8.5, true});
        lines.push_back({fitted("." + pin.name, width, 8.5, true), 8.5, true});
    }
    NetId rail = unconnected;
    for (size_t k = 0; k < part(e).type->pins.size(); ++k)
        if (part(e).type->pins[k].role == PinRole::supply && part(e).type->pins[k].supply == pin.supply &&
            pin.supply >= 0)
            rail = part(e).net_of_pin[k];
    lines.push_back({std::string(to_word(pin.role)), 7.5});
    const double x = 28 * s;
    double y = 3 - line_step / 2 * (static_cast<double>(lines.size()) - (rail < 0 ? 1 : 0));
    words(lines, {x, y}, e.driver ? Anchor::end : Anchor::start);
    if (rail < 0 || !is_supply(wiring_, rail)) return;
    y += line_step * static_cast<double>(lines.size());
    const std::string text = rail_words(rail);
    label(
        {.at = {x + 9 * s, y}, .text = text, .anchor = e.driver ? Anchor::end : Anchor::start, .size = 7.5});
    out_.group.items.push_back(drawing::box(e.driver ? x - 6 : x, y - 5.5, 6, 5.5,
                                            Colour(Tone::volts, volts(rail)), {Tone::ink, 0.5}));
}

}  // namespace voltsill::drawing
