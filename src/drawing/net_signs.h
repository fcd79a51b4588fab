#pragma once
/// How a net is written beside a pin, a strip or a hole: words, hue and sign, the same in every
/// drawing of packages and boards.
#include "drawing/drawing.h"
#include "wiring/wiring.h"

namespace voltsill::drawing {

struct NetWords {
    std::string text;          ///< "usb 5 V", "0 V", "tank echo at gauge", "open"
    Colour colour = Tone::ink; ///< hue of its voltage for a rail
    bool rail = false, ground = false;
    bool shared() const { return rail || ground; }
};
NetWords net_words(const Bench& bench, const Wiring& wiring, NetId net);
/// "usb 5 V"
NetWords rail_words(const Bench& bench, std::string_view rail);

/// A line for a net: thick in its hue for rails, thick and dashed for ground, thin for signals.
Stroke net_stroke(const NetWords& net);

/// Sign of 0 V, its stem's top at `at`: three bars, each shorter than the one above (IEC 60617).
Path ground_sign(Point at, Stroke stroke = {Tone::ink, 0.8});

/// A pin's name as data sheets print it: "/OE" is OE with a line over it.
Label pin_name(std::string_view name, Point at, Anchor anchor, double size, double width);

/// Links with an end on a net, by name.
std::vector<std::string> links_on(const Bench& bench, const Wiring& wiring, NetId net);

}  // namespace voltsill::drawing
