#pragma once
/// Pins from layers of records: traits first, then what builds on them; nearer entries win.
#include <map>
#include <memory>

#include "parts/mistakes.h"
#include "parts/part_records.h"

namespace voltsill {

using Traits = std::map<std::string, std::shared_ptr<const PinRecord>, std::less<>>;

/// A record and where its numbers come from if it does not say so itself.
struct PinLayer {
    const PinRecord* record;
    Provenance outer;
};
using PinLayers = std::vector<PinLayer>;

class PinBuilder {
  public:
    PinBuilder(const Traits& traits, Mistakes& mistakes) : traits_(traits), mistakes_(mistakes) {}

    /// Reports a trait that builds on itself or on an unknown one.
    void check_trait(const std::string& name);
    /// Adds `record` with the traits below it, farthest first. False when one of them is not there.
    bool collect(const PinRecord& record, const Provenance& outer, PinLayers& layers);
    /// `pin` with the layers laid over it. Supplies are found by name among `supplies`.
    Pin build(Pin pin, const PinLayers& layers, const std::vector<SupplyPort>& supplies);

  private:
    const PinRecord* trait(const PinRecord& user);

    const Traits& traits_;
    Mistakes& mistakes_;
};

}  // namespace voltsill
