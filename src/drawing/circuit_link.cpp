#include "drawing/circuit_link.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "drawing/circuit_place.h"
#include "drawing/circuit_route.h"

namespace voltsill::drawing {
namespace {

constexpr double margin = 5, note_size = 7.5, note_step = 10;

Box bounds_of(const std::vector<PartFigure>& figures) {
    Box all{1e9, 1e9, -1e9, -1e9};
    for (const PartFigure& f : figures) {
        const Box b = f.bounds();
        all = {std::min(all.x0, b.x0), std::min(all.y0, b.y0), std::max(all.x1, b.x1),
               std::max(all.y1, b.y1)};
    }
    return all;
}

struct Laid {
    std::vector<PartFigure> figures;
    std::vector<RoutedNet> nets;
    bool wired = false;

    Box reach() const {
        Box all = bounds_of(figures);
        for (const RoutedNet& n : nets)
            for (const auto& [a, b] : n.lines)
                all = {std::min({all.x0, a.x, b.x}), std::min({all.y0, a.y, b.y}),
                       std::max({all.x1, a.x, b.x}), std::max({all.y1, a.y, b.y})};
        return all;
    }
};

Laid laid(const Scheme& scheme, const std::vector<PartFigure>& figures, const Spacing& spacing) {
    Laid out{.figures = figures};
    place(scheme, out.figures, spacing);
    if (auto nets = route(out.figures)) out.nets = std::move(*nets), out.wired = true;
    return out;
}

/// The roomiest columns that need no second band; more room until every wire finds its way.
Laid lay(const Scheme& scheme, const std::vector<PartFigure>& figures) {
    const double width = page_width - 2 * margin;
    const auto fits = [&](const Laid& l) { return l.wired && l.reach().x1 - l.reach().x0 <= width; };
    for (const double gap : {30.0, 25.0, 20.0, 15.0, 10.0})
        if (Laid one = laid(scheme, figures, {.gap = gap, .width = 1e4}); fits(one)) return one;
    Laid last;
    for (double room = 1; room < 8; room *= 1.5) {
        last = laid(scheme, figures, {.gap = 20 * room, .clear = 8 * room, .width = width - 8 * grid});
        if (fits(last)) break;
    }
    return last;
}

Item wire_group(const Wiring& wiring, const RoutedNet& net) {
    const std::string& name = wiring.nets[net.net].name;
    Group g{.title = "net " + name, .data = {{"wire", name}}};
    for (const auto& [from, to] : net.lines) g.items.push_back(line(from, to, {Tone::ink, 0.9}));
    for (const Point& at : net.junctions) g.items.push_back(junction(at));
    return g;
}

std::string described(const Bench& bench, const Wiring& wiring, const Scheme& scheme,
                      const std::string& name) {
    const Link& link = *bench.link(name);
    const auto pins = [](const std::vector<PinRef>& refs) {
        std::vector<std::string> out;
        for (const PinRef& r : refs) out.push_back(r.part + "." + r.pin);
        return fmt::format("{}", fmt::join(out, ", "));
    };
    std::vector<std::string> parts;
    for (const Element& e : scheme.elements) {
        if (e.kind == Element::Kind::end || e.kind == Element::Kind::pull || e.kind == Element::Kind::load)
            continue;
        const std::string n = e.kind == Element::Kind::unit ? unit_name(wiring.parts[e.part], e.channel)
                                                            : wiring.parts[e.part].name;
        parts.push_back(fmt::format("{} ({})", n, wiring.parts[e.part].type->name));
    }
    return fmt::format(
        "From {} to {}{}.", pins(link.from), pins(link.to),
        parts.empty() ? ", joined directly" : fmt::format(" through {}", fmt::join(parts, ", ")));
}

bool joined(const Scheme& scheme) {
    return std::ranges::all_of(scheme.elements, [](const Element& e) {
        return e.kind != Element::Kind::end || e.joints[0].net >= 0;
    });
}

}  // namespace

Drawing link_circuit(const Bench& bench, const Wiring& wiring, const std::string& link) {
    Scheme scheme = scheme_of(bench, wiring, link);
    if (scheme.elements.empty()) return {.width = 0, .height = 0};
    std::vector<PartFigure> figures;
    FigureMaker maker(bench, wiring, scheme);
    for (const Element& e : scheme.elements) figures.push_back(maker.make(e));
    Laid laid = lay(scheme, figures);
    if (!joined(scheme)) scheme.notes.push_back("Ends with a cross are joined with nothing.");
    if (!laid.wired) scheme.notes.push_back("No way was found for the wires: see the wire list.");

    Drawing out{.title = "Circuit of " + link, .description = described(bench, wiring, scheme, link)};
    const Box reach = laid.reach();
    const double dx = margin - reach.x0, dy = margin - reach.y0;
    out.width = std::max(reach.x1 - reach.x0 + 2 * margin, 240.0);
    out.height = reach.y1 - reach.y0 + 2 * margin;
    for (const RoutedNet& n : laid.nets) out.items.push_back(wire_group(wiring, n));
    for (PartFigure& f : laid.figures) {
        f.group.data.emplace_back("link", link);
        out.items.push_back(std::move(f.group));
    }
    for (Item& item : out.items) move(item, dx, dy);
    double y = out.height + note_size - margin / 2;
    for (const std::string& note : scheme.notes)
        for (const std::string& l : lines_of(note, out.width - 2 * margin, note_size)) {
            out.items.push_back(Label{.at = {margin, y}, .text = l, .size = note_size, .colour = Tone::soft});
            y += note_step;
        }
    if (!scheme.notes.empty()) out.height = y;
    return out;
}

}  // namespace voltsill::drawing
