#include "drawing/circuit_figure.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "quantity/print.h"

namespace voltsill::drawing {
namespace {

using Kind = Element::Kind;

Point unit_vector(const SymbolLead& lead) {
    const double dx = lead.to.x - lead.from.x, dy = lead.to.y - lead.from.y;
    return std::abs(dx) > std::abs(dy) ? Point{dx > 0 ? 1.0 : -1.0, 0} : Point{0, dy > 0 ? 1.0 : -1.0};
}

Box around(const SymbolLead& l) {
    return {std::min(l.from.x, l.to.x), std::min(l.from.y, l.to.y), std::max(l.from.x, l.to.x),
            std::max(l.from.y, l.to.y)};
}

/// Quarter turns that bring (0, -1) to `facing`.
int quarters_from_up(Point facing) { return facing.y < 0 ? 0 : facing.x > 0 ? 1 : facing.y > 0 ? 2 : 3; }

}  // namespace

std::vector<std::string> lines_of(const std::string& text, double width, double size, bool bold) {
    std::vector<std::string> out;
    size_t at = 0;
    while (at < text.size()) {
        size_t space = text.find(' ', at);
        if (space == std::string::npos) space = text.size();
        const std::string word = text.substr(at, space - at);
        at = space + 1;
        if (word.empty()) continue;
        if (!out.empty() && text_width(out.back() + " " + word, size, bold) <= width)
            out.back() += " " + word;
        else
            out.push_back(fitted(word, width, size, bold));
    }
    return out;
}

Box PartFigure::bounds() const {
    Box b = solid.empty() ? Box{} : solid.front();
    const auto add = [&](const Box& o) {
        b = {std::min(b.x0, o.x0), std::min(b.y0, o.y0), std::max(b.x1, o.x1), std::max(b.y1, o.y1)};
    };
    for (const Box& s : solid) add(s);
    for (const OpenLead& l : leads) add({l.at.x, l.at.y, l.at.x, l.at.y});
    return b;
}

void PartFigure::shift(double dx, double dy) {
    for (Item& item : group.items) move(item, dx, dy);
    for (OpenLead& l : leads) l.at.x += dx, l.at.y += dy;
    for (Box& s : solid) s = {s.x0 + dx, s.y0 + dy, s.x1 + dx, s.y1 + dy};
}

double FigureMaker::volts(NetId net) const {
    const Rail* rail = bench_.rail(wiring_.nets[net].rail);
    return rail ? rail->volts.span.nominal.si() : 0;
}

std::string FigureMaker::rail_words(NetId net) const {
    const std::string& name = wiring_.nets[net].rail;
    return bench_.rail(name) ? fmt::format("{} {}", fitted(name, 60, 8), print(Volts{volts(net)})) : name;
}

std::string FigureMaker::pin_name(const Element& e, const Joint& joint) const {
    if (joint.pin >= 0) return part(e).name + "." + part(e).type->pins[joint.pin].name;
    return {};
}

std::string FigureMaker::value_words(const WiredPart& wired) const {
    if (const auto* r = std::get_if<ResistorModel>(&wired.type->model)) {
        if (wired.value) return print(Ohms{*wired.value});
        if (r->ohms) return print(r->ohms->nominal);
    }
    if (const auto* c = std::get_if<CapacitorModel>(&wired.type->model)) {
        if (wired.value) return print(Farads{*wired.value});
        if (c->farads) return print(*c->farads);
    }
    return wired.type->name;
}

std::vector<FigureMaker::Words> FigureMaker::name_and_value(const Element& e, double width) const {
    if (e.kind == Kind::pull || e.kind == Kind::load) {
        const Pin& pin = part(e).type->pins[e.joints[0].pin];
        const Ohms ohms =
            e.kind == Kind::load ? pin.load->ohms.span.nominal : pin.pulls[e.pull].ohms.span.nominal;
        std::vector<Words> lines{{print(ohms)}};
        const bool bare = e.kind == Kind::load && !pin.load->has_drop();
        for (const std::string& l : lines_of((bare ? "load of " : "inside ") + part(e).name, width, 7.5))
            lines.push_back({l, 7.5, false, true});
        return lines;
    }
    std::vector<Words> lines{{fitted(part(e).name, width, 8.5, true), 8.5, true}};
    for (const std::string& l : lines_of(value_words(part(e)), width, 8)) lines.push_back({l});
    return lines;
}

void FigureMaker::label(Label text) {
    out_.solid.push_back(box_of(text));
    out_.group.items.push_back(std::move(text));
}

void FigureMaker::words(const std::vector<Words>& lines, Point at, Anchor anchor, bool rising) {
    if (rising) at.y -= line_step * (static_cast<double>(lines.size()) - 1);
    for (const Words& w : lines) {
        label(
            {.at = at, .text = w.text, .anchor = anchor, .size = w.size, .bold = w.bold, .italic = w.italic});
        at.y += line_step;
    }
}

void FigureMaker::use(Symbol symbol) {
    out_.solid.push_back(symbol.box);
    std::ranges::move(symbol.items, std::back_inserter(out_.group.items));
}

void FigureMaker::rail_at(NetId net, Point at, int quarters) {
    Symbol bar = supply_bar({at, quarters}, volts(net));
    Group g{.title = "rail " + rail_words(net), .data = {{"rail", wiring_.nets[net].rail}}};
    g.items.push_back(line(bar.leads[0].from, bar.leads[0].to));
    out_.solid.push_back(around(bar.leads[0]));
    out_.solid.push_back(bar.box);
    std::ranges::move(bar.items, std::back_inserter(g.items));
    Label l{.text = rail_words(net), .size = 8};
    const double away = 16;
    switch (quarters) {
        case 0:
            l.at = {at.x, at.y - away}, l.anchor = Anchor::middle;
            break;
        case 1:
            l.at = {at.x + away, at.y + 3}, l.anchor = Anchor::start;
            break;
        case 2:
            l.at = {at.x, at.y + away + 7}, l.anchor = Anchor::middle;
            break;
        default:
            l.at = {at.x - away, at.y + 3}, l.anchor = Anchor::end;
    }
    out_.solid.push_back(box_of(l));
    g.items.push_back(std::move(l));
    out_.group.items.push_back(std::move(g));
}

void FigureMaker::hang(NetId net, Point at, Point facing) {
    const int up = quarters_from_up(facing);
    if (scheme_.drawn(net)) {
        out_.leads.push_back({net, at, facing});
    } else if (net >= 0 && wiring_.nets[net].ground) {
        Symbol s = ground({at, up + 2});
        Group g{.title = "ground", .data = {{"ground", "0 V"}}};
        g.items.push_back(line(s.leads[0].from, s.leads[0].to));
        out_.solid.push_back(around(s.leads[0]));
        out_.solid.push_back(s.box);
        std::ranges::move(s.items, std::back_inserter(g.items));
        out_.group.items.push_back(std::move(g));
    } else if (is_supply(wiring_, net)) {
        rail_at(net, at, up);
    } else if (net >= 0) {  // only named: its other ends are on no net of this link
        Group g{.title = "net " + wiring_.nets[net].name, .data = {{"flag", wiring_.nets[net].name}}};
        const SymbolLead stub{{at.x + 6 * facing.x, at.y + 6 * facing.y}, at};
        g.items.push_back(line(stub.from, stub.to));
        out_.solid.push_back(around(stub));
        Label l{.at = {at.x + 8 * facing.x, at.y + 2.5 +
                                                (facing.y > 0   ? 11
                                                 : facing.y < 0 ? -11
                                                                : 0)},
                .text = fitted(wiring_.nets[net].name, 70, 7.5),
                .anchor = facing.x > 0   ? Anchor::start
                          : facing.x < 0 ? Anchor::end
                                         : Anchor::middle,
                .size = 7.5};
        out_.solid.push_back(box_of(l));
        g.items.push_back(std::move(l));
        out_.group.items.push_back(std::move(g));
    } else {  // joined with nothing
        for (const double s : {-1.0, 1.0})
            out_.group.items.push_back(line({at.x - 2.5, at.y - 2.5 * s}, {at.x + 2.5, at.y + 2.5 * s}));
        out_.solid.push_back({at.x - 2.5, at.y - 2.5, at.x + 2.5, at.y + 2.5});
    }
}

void FigureMaker::lead(const Element& e, const Joint& joint, const SymbolLead& lead) {
    Group g{.title = pin_name(e, joint),
            .data = {{"pin", pin_name(e, joint)}},
            .items = {line(lead.from, lead.to)}};
    if (joint.pin < 0) {
        g.title = "supply inside " + pin_name(e, e.joints[0]);
        g.data = {{"supply-of", pin_name(e, e.joints[0])}};
    }
    if (e.kind == Kind::pull || e.kind == Kind::load) g.data.emplace_back("inside", "yes");
    out_.group.items.push_back(std::move(g));
    out_.solid.push_back(around(lead));
    hang(joint.net, lead.to, unit_vector(lead));
}

PartFigure FigureMaker::make(const Element& e) {
    out_ = {};
    const WiredPart& wired = part(e);
    out_.group.data = {{"part", wired.name}};
    out_.group.title = wired.added ? fmt::format("{}, {}{}{}", wired.name, value_words(wired),
                                                 wired.purpose.empty() ? "" : ", ", wired.purpose)
                                   : wired.name;
    const auto* diode_model = std::get_if<DiodeModel>(&wired.type->model);
    switch (e.kind) {
        case Kind::end:
            end(e);
            break;
        case Kind::pull:
            two_leads(e, resistor, 20);
            break;
        case Kind::load:
            if (const LoadInput& load = *part(e).type->pins[e.joints[0].pin].load; !load.has_drop())
                two_leads(e, resistor, 20);
            else
                two_leads(e, load.to_supply ? led_with_resistor_from_supply : led_with_resistor, 35);
            break;
        case Kind::two_leads:
            if (e.joints.size() != 2)
                box(e);
            else if (wired.type->kind == PartKind::resistor)
                two_leads(e, resistor, 20);
            else if (wired.type->kind == PartKind::capacitor)
                wired.type->name.contains("electrolytic")
                    ? two_leads(
                          e, [](const Pose& p) { return capacitor(p, true); }, 20)
                    : two_leads(
                          e, [](const Pose& p) { return capacitor(p, false); }, 20);
            else {
                Element turned = e;  // the anode first
                if (turned.joints[0].pin != wired.type->pin_index("A"))
                    std::swap(turned.joints[0], turned.joints[1]);
                if (diode_model && diode_model->led)
                    two_leads(
                        turned, [](const Pose& p) { return diode(p, DiodeShape::light_emitting); }, 20);
                else if (diode_model && diode_model->forward.span.hi.si() < 0.5)
                    two_leads(
                        turned, [](const Pose& p) { return diode(p, DiodeShape::schottky); }, 20);
                else
                    two_leads(
                        turned, [](const Pose& p) { return diode(p, DiodeShape::plain); }, 20);
            }
            break;
        case Kind::transistor:
            e.joints.size() == 3 ? transistor(e) : box(e);
            break;
        case Kind::opto:
            e.joints.size() == 4 ? opto(e) : box(e);
            break;
        case Kind::unit:
        case Kind::other:
            box(e);
            break;
    }
    return std::move(out_);
}

}  // namespace voltsill::drawing
