#pragma once
/// Hand-made benches without boards and their faults by id, for numbers that are worked out beside them.
#include <gtest/gtest.h>

#include "faults/harm.h"
#include "support/hand_parts.h"

namespace voltsill::made {
using namespace hand;

/// A hand-made bench without boards; faults by their ids.
struct Made {
    Build build;
    PlacedWiring placed;
    std::vector<Fault> faults;
    explicit Made(Build b) : build(std::move(b)) {
        build.bench.catalogue = std::shared_ptr<const Catalogue>(std::shared_ptr<void>(), &Catalogue::built_in());
        for (BenchPart& part : build.bench.wiring->parts)
            if (!part.type->packages.empty()) part.package = &part.type->packages.front();
        placed.wiring = build.wiring();
        placed.trouble = "no boards in this test";
        faults = faults_of(build.bench, placed);
    }
    const Fault& fault(const std::string& id) const {
        const auto found = std::ranges::find(faults, id, &Fault::id);
        EXPECT_TRUE(found != faults.end()) << id;
        return found == faults.end() ? faults.front() : *found;
    }
    FaultHarm harm(const std::string& id) const { return FaultJudge(build.bench, placed).harm_of(fault(id)); }
};

/// A 3.3 V module and a 5 V one behind an octal buffer on 5 V.
inline Made up_shift(const char* type) {
    Build build({rail("five", 4.75, 5.25), rail("three", 3.2, 3.4)});
    build.module("C", {output("OUT")}, "three");
    build.module("G", {input("IN", ttl(), true)}, "five");
    build.added("U1", stock(type), {"five"});
    build.join("U1.OE1", "ground");
    build.join("U1.OE2", "ground");
    build.join("C.OUT", "U1.A1");
    build.join("U1.Y1", "G.IN");
    for (int k = 2; k <= 8; ++k) build.join("U1.A" + std::to_string(k), "ground");
    build.link("signal", {"C", "OUT", {}}, {"G", "IN", {}});
    return Made(std::move(build));
}

}  // namespace voltsill::made
