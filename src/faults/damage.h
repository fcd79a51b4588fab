#pragma once
/// After a mistake: what may be damaged, in which order to test it, and what a diode test reads.
///
/// Hurt is what the judge says saw more than its absolute maximum; the worst is
///
///     over = |value| / |limit|
///
/// and what hangs on it comes after it: parts that share a net or the supply with a hurt pin. A diode test
/// passes about 1 mA and shows the volts across (common practice): a protection diode reads its forward
/// voltage one way and nothing the other way; a dead one reads below 0.1 V, or nothing both ways.
#include "faults/harm.h"

namespace voltsill {

/// One touch of both leads, power off, the part out of the board.
struct DiodeTest {
    std::string red, black;  ///< where the leads go: "U1.2 (A1)", "U1.20 (VCC)"
    bool open = false;       ///< a sound part reads nothing: there is no diode this way
    double lo = 0, hi = 0;   ///< V that a sound part reads
    std::string expected;    ///< "0.5..0.7 V", "open"
    std::string dead;        ///< "below 0.1 V, or open", "below 0.1 V"
};

struct SuspectPart {
    int part = -1;      ///< of the wiring
    std::string words;  ///< "U1 (HC 541)"
    double over = 0;    ///< of its worst figure, times its limit; 0: nothing of it was over, it hangs on one that was
    std::vector<std::string> why;  ///< sentences of the judge, or what it hangs on
    std::vector<DiodeTest> tests;  ///< supply first, then pins that were over, then those of the same part in use
    bool discard = false;  ///< supplied the wrong way round, or far above its limit: it is not used again
    std::string advice;
};

struct Damage {
    std::vector<SuspectPart> parts;  ///< in the order in which to test them
    std::vector<std::string> cautions;
    std::string sentence;  ///< "3 parts may be hurt; test U1 first: ..." or that nothing saw too much
};

/// Of findings that say harm or are not known, on the wiring they were found in.
Damage damage_of(const Wiring& wiring, std::span<const Finding> findings);
/// Of a fault that was powered; what the fault itself broke is among it.
Damage damage_of(const Bench& bench, const PlacedWiring& build, const Fault& fault);

/// Every pin of a part against its supply and its ground, as a sound part reads.
std::vector<DiodeTest> diode_tests(const WiredPart& part, std::span<const int> pins);

}  // namespace voltsill
