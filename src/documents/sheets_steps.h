#pragma once
/// The steps of a build, in a safe order.
#include <string>
#include <vector>

#include "judging/link_readings.h"
#include "placement/place.h"

namespace voltsill {

/// A wire as the sheet numbers it. Without a placement its ends are pins, and it has neither length
/// nor colour.
struct BuildWire {
    int number = 0;
    std::string from, to;  ///< "12c", "gauge.ECHO", "supply usb 0 V"
    std::string net, colour, reason;
    double metres = 0;
    WireUse use = WireUse::signal;
};

struct BuildStep {
    int wire = 0;   ///< number of the wire to lay; 0: none
    int part = -1;  ///< index of the part to put in; -1: none
    std::string text, more;
};

/// Steps that are done together before something is looked at.
struct BuildPhase {
    std::string title, about;
    std::string link;  ///< link that is wired here; empty: none in particular
    std::vector<BuildStep> steps;
    std::string gate;  ///< what has to be so before the next phase; empty: nothing
};

std::vector<BuildWire> build_wires(const PlacedWiring& placed);

/// Every wire and every part on the boards once: grounds, supplies, straps, decoupling, then link after
/// link. `levels` tells which nets a link runs on.
std::vector<BuildPhase> build_phases(const Bench& bench, const PlacedWiring& placed,
                                     const std::vector<BuildWire>& wires,
                                     const std::vector<LinkReading>& levels);

/// "brown, black, orange, gold" of a resistor; empty: no four bands show its value.
std::string band_words(const WiredPart& part);

}  // namespace voltsill
