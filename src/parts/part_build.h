#pragma once
/// Whole parts from records: supplies, channels, packages and models, shared by types and logic.
#include <map>
#include <memory>

#include "parts/pin_build.h"

namespace voltsill {

using Types = std::vector<std::shared_ptr<const PartType>>;

/// Lays `record` over `port`.
void lay_supply(SupplyPort& port, const SupplyRecord& record, const Provenance& outer);

/// Channels of `type`, whose pins are known; pins are named by index.
std::vector<Channel> make_channels(const std::vector<ChannelRecord>& records, const PartType& type,
                                   Mistakes& mistakes);

/// The package `name` whose pins are `list`; every pin of `type` has to be there.
Package make_package(const std::string& name, const PinList& list, const PartType& type, Mistakes& mistakes);
/// One row of all pins, for modules ("HEADER-4") and discrete parts ("LEADS-2").
Package row_package(const PartType& type);

/// The model of a discrete part or a translator; checks that the table fits the kind.
void set_model(PartType& type, const TypeRecord& record, const Provenance& outer, Mistakes& mistakes);

/// Types of a part file or a bench, each built on others by `like`.
class TypeBuilder {
  public:
    TypeBuilder(const Types& known, const std::vector<Named<TypeRecord>>& records, PinBuilder& pins,
                Mistakes& mistakes);
    Types build();

  private:
    struct Entry {
        const Named<TypeRecord>* record;
        bool begun = false;
        std::shared_ptr<const PartType> type;
    };
    std::shared_ptr<const PartType> resolve(Entry& entry);
    std::shared_ptr<const PartType> base_of(const Entry& entry);
    PartType build_one(const Named<TypeRecord>& named, const PartType* base);
    void add_supplies(PartType& type, const TypeRecord& record, const Provenance& outer);
    bool add_pins(PartType& type, const TypeRecord& record, const Provenance& outer);
    void doubt_rows(const Pin& pin, const PartType& type, const PinRecord& record);
    void add_packages(PartType& type, const TypeRecord& record);

    const Types& known_;
    std::vector<Entry> entries_;
    PinBuilder& pins_;
    Mistakes& mistakes_;
};

using Functions = std::map<std::string, std::shared_ptr<const FunctionRecord>, std::less<>>;

/// Families times functions.
class LogicBuilder {
  public:
    LogicBuilder(const Functions& functions, PinBuilder& pins, Mistakes& mistakes)
        : functions_(functions), pins_(pins), mistakes_(mistakes) {}
    /// Reports what is wrong in a function, whether a family lists it or not.
    void check_function(const std::string& name) { skeleton(name, *functions_.find(name)->second); }
    /// Every function that the family lists.
    Types build(const std::string& name, const FamilyRecord& family);

  private:
    enum class Use { supply, ground, input, output, both };
    struct Skeleton {
        PartType type;          ///< pins by name, channels and packages
        std::vector<Use> uses;  ///< of each pin
        bool good = true;
    };
    struct Layer {
        const FamilyPart* part;
        Provenance origin;
    };
    const Skeleton& skeleton(const std::string& name, const FunctionRecord& function);
    Skeleton make_skeleton(const std::string& name, const FunctionRecord& function);
    void set_uses(Skeleton& s, const FunctionRecord& function);
    PartType build_one(const std::string& family, const std::vector<Layer>& layers, const Word& function);
    bool add_supplies(PartType& type, const std::vector<Layer>& layers, const Word& function);
    Pin input_pin(const std::vector<Layer>& layers, bool schmitt, const Pin& start, const PartType& type);
    Pin output_pin(const std::vector<Layer>& layers, OutputGroup group, Pin start, const PartType& type);
    void keep_packages(PartType& type, const std::vector<Layer>& layers, const Word& function);

    const Functions& functions_;
    PinBuilder& pins_;
    Mistakes& mistakes_;
    std::map<std::string, Skeleton> skeletons_;
};

}  // namespace voltsill
