/// Predictions as people read them, off a meter or off paper.
#include <fmt/format.h>

#include "faults/dictionary_inside.h"
#include "quantity/fixed.h"
#include "quantity/print.h"

namespace voltsill {
namespace {

std::string volts_between(double lo, double hi) {
    return hi - lo < 0.02 ? hundredths((lo + hi) / 2) + " V" : fmt::format("{}..{} V", hundredths(lo), hundredths(hi));
}

std::string volts_words(const Prediction& p) {
    if (p.gap_lo < p.gap_hi)
        return fmt::format("{} or {}", volts_between(p.lo, p.gap_lo), volts_between(p.gap_hi, p.hi));
    return p.hi - p.lo < 0.02 ? hundredths(p.nominal) + " V" : volts_between(p.lo, p.hi);
}

/// "4.46..4.94 kΩ", "950 Ω..1.05 kΩ".
std::string between(const std::string& lo, const std::string& hi) {
    const auto unit = [](const std::string& of) { return of.substr(of.rfind(' ')); };
    return (unit(lo) == unit(hi) ? lo.substr(0, lo.rfind(' ')) : lo) + ".." + hi;
}

/// What is no more than contacts and leads on the one side, and open on the other, is nothing that a meter tells.
std::string ohms_words(const Prediction& p) {
    const auto ohms = [](double r) { return print(Ohms{r}); };
    const bool may_be_short = p.lo <= contacts.hi, may_be_open = p.hi >= meter_open.si();
    if (p.lo >= meter_open.si()) return "open";
    if (p.hi <= contacts.hi) return "under " + ohms(contacts.hi);
    if (may_be_open) return may_be_short ? "anything" : "more than " + ohms(p.lo);
    return may_be_short ? "under " + ohms(p.hi) : between(ohms(p.lo), ohms(p.hi));
}

}  // namespace

std::string words(const Prediction& p) {
    switch (p.kind) {
        case Prediction::Kind::volts:
            if (!p.known) return "anything";
            if (p.floats) return "nothing definite (it floats)";
            return volts_words(p) + (p.may_float ? ", or nothing definite" : "");
        case Prediction::Kind::ohms:
            return ohms_words(p);
        case Prediction::Kind::seconds:
            return p.known ? between(print(Seconds{p.lo}), print(Seconds{p.hi})) : "anything";
        case Prediction::Kind::chance:
            return p.yes > 0.5 ? "yes" : "no";
    }
    return {};
}

}  // namespace voltsill
