#include "drawing/net_signs.h"

#include <fmt/format.h>

#include <algorithm>

#include "quantity/print.h"

namespace voltsill::drawing {

NetWords rail_words(const Bench& bench, std::string_view rail) {
    const Rail* found = bench.rail(rail);
    if (!found || !found->volts.known()) return {std::string(rail), Tone::ink, true, false};
    const Volts nominal = found->volts.span.nominal;
    return {fmt::format("{} {}", rail, print(nominal)), {Tone::volts, nominal.si()}, true, false};
}

NetWords net_words(const Bench& bench, const Wiring& wiring, NetId net) {
    if (net == unconnected) return {"open", Tone::soft};
    const Net& n = wiring.nets[net];
    if (n.ground) return {"0 V", Tone::ink, false, true};
    if (!n.rail.empty()) return rail_words(bench, n.rail);
    return {n.name, Tone::ink};
}

Stroke net_stroke(const NetWords& net) {
    if (net.ground) return {Tone::ink, 0.9, Dash::dashed};
    if (net.rail) return {net.colour, 1.1, Dash::solid};
    return {Tone::ink, 0.6, Dash::solid};
}

Path ground_sign(Point at, Stroke stroke) {
    Path path;
    path.stroke = stroke;
    const auto bar = [&](Point from, Point to) {
        path.steps.push_back({Step::Kind::move, from, {}, {}});
        path.steps.push_back({Step::Kind::line, to, {}, {}});
    };
    bar(at, {at.x, at.y + 3});
    for (int k = 0; k < 3; ++k) {
        const double half = 4.5 - 1.5 * k, y = at.y + 3 + 1.8 * k;
        bar({at.x - half, y}, {at.x + half, y});
    }
    return path;
}

Label pin_name(std::string_view name, Point at, Anchor anchor, double size, double width) {
    const bool low = name.size() > 1 && name.front() == '/';
    if (low) name.remove_prefix(1);
    return {.at = at, .text = fitted(name, width, size), .anchor = anchor, .size = size, .overline = low};
}

std::vector<std::string> links_on(const Bench& bench, const Wiring& wiring, NetId net) {
    std::vector<std::string> names;
    if (net == unconnected) return names;
    for (const Link& link : bench.links) {
        const auto here = [&](const PinRef& end) { return wiring.net_at(end.part, end.pin) == net; };
        if (std::ranges::any_of(link.from, here) || std::ranges::any_of(link.to, here))
            names.push_back(link.name);
    }
    return names;
}

}  // namespace voltsill::drawing
