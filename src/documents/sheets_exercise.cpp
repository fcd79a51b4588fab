#include "documents/sheets_exercise.h"

#include <algorithm>
#include <map>

namespace voltsill {
namespace {

bool by_software(PinRole role) {
    return role == PinRole::io || role == PinRole::open_drain_io || role == PinRole::analog_input;
}

const Pin* pin_of(const Bench& bench, const PinRef& end) {
    const BenchPart* part = bench.part(end.part);
    const int k = part && part->type ? part->type->pin_index(end.pin) : -1;
    return k < 0 ? nullptr : &part->type->pins[k];
}

const PinRef* end_at(const std::vector<PinRef>& ends, const std::string& part) {
    const auto at = std::ranges::find(ends, part, &PinRef::part);
    return at == ends.end() ? nullptr : &*at;
}

}  // namespace

std::string controller_of(const Bench& bench) {
    std::map<std::string, int> ends;
    for (const Link& link : bench.links)
        for (const auto* side : {&link.from, &link.to})
            for (const PinRef& end : *side)
                if (const Pin* pin = pin_of(bench, end); pin && by_software(pin->role)) ++ends[end.part];
    std::string best;
    for (const BenchPart& part : bench.parts)
        if (ends.contains(part.name) && (best.empty() || ends[part.name] > ends[best])) best = part.name;
    return best;
}

std::vector<Exercise> exercises_of(const Bench& bench, const std::vector<LinkReading>& levels) {
    const std::string controller = controller_of(bench);
    std::vector<Exercise> out;
    for (const Link& link : bench.links) {
        const PinRef *from = end_at(link.from, controller), *to = end_at(link.to, controller);
        if (controller.empty() || (!from && !to)) continue;
        const PinRef& own = from ? *from : *to;
        const Pin* pin = pin_of(bench, own);
        Exercise e{.link = link.name, .drives = from != nullptr, .pin = own.pin, .rate = link.rate};
        const PinRef& driver = from ? own : link.from.front();
        e.driver = driver.part + "." + driver.pin;
        e.open_drain = pin && pin->role == PinRole::open_drain_io;
        e.digital = link.kind != LinkKind::analog && pin && pin->role != PinRole::analog_input;
        for (const LinkReading& r : levels)
            if (r.link == link.name && r.driver == e.driver && r.receiver)
                e.expected.push_back({r.set, r.reading.point, r.reading.lo, r.reading.hi, r.reading.level});
        out.push_back(std::move(e));
    }
    return out;
}

}  // namespace voltsill
