/// What must hold for every part that the program knows.
#include <gmock/gmock.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "parts/catalogue.h"
#include "parts/embedded.h"
#include "parts/part_records.h"
#include "records/tree.h"

namespace voltsill {
namespace {

TEST(Embedded, EveryCatalogueFileByteForByte) {
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(VOLTSILL_ROOT "/catalogue")) {
        if (entry.path().extension() != ".toml") continue;
        std::ifstream stream(entry.path(), std::ios::binary);
        std::stringstream bytes;
        bytes << stream.rdbuf();
        const auto found = std::ranges::find_if(embedded_catalogue(), [&](const EmbeddedFile& f) {
            return f.name == entry.path().filename().string();
        });
        ASSERT_NE(found, embedded_catalogue().end()) << entry.path();
        EXPECT_TRUE(found->text == bytes.str()) << entry.path();
        names.insert(found->name);
    }
    EXPECT_EQ(names.size(), embedded_catalogue().size());
}

TEST(BuiltIn, HasNoProblems) {
    Problems problems;
    const Catalogue catalogue = Catalogue::read_built_in(problems);
    for (const Problem& p : problems) ADD_FAILURE() << render(p);
    EXPECT_GE(catalogue.types().size(), 150u);
    EXPECT_EQ(catalogue.names(), Catalogue::built_in().names());
}

TEST(BuiltIn, EveryRecordNamesItsSource) {
    for (const EmbeddedFile& file : embedded_catalogue()) {
        const ParsedText parsed = parse_toml(file.text, file.name);
        Reader reader(parsed);
        const PartFile records = read(part_file_shape(), parsed.root, reader);
        EXPECT_TRUE(records.about && records.about->size() > 80) << file.name << " has no biography";
        const auto check = [&](const auto& list) {
            for (const auto& [name, place, record] : list) {
                EXPECT_TRUE(record.source && !record.source->empty()) << file.name << ": " << name;
                EXPECT_TRUE(record.certainty) << file.name << ": " << name;
            }
        };
        check(records.traits);
        check(records.types);
        check(records.families);
        check(records.functions);
    }
}

TEST(BuiltIn, PinsAreNumberedOnceAndSupplied) {
    for (const auto& type : Catalogue::built_in().types()) {
        ASSERT_FALSE(type->packages.empty()) << type->name;
        std::set<std::string> names;
        for (const Pin& pin : type->pins)
            EXPECT_TRUE(names.insert(pin.name).second) << type->name << " " << pin.name;
        for (const Package& package : type->packages) {
            const std::string what = type->name + " " + package.name;
            for (std::size_t i = 0; i < type->pins.size(); ++i) {
                const PinRole role = type->pins[i].role;
                const auto count = std::ranges::count(package.pin_of_number, static_cast<int>(i));
                const bool may_repeat = role == PinRole::supply || role == PinRole::ground;
                EXPECT_TRUE(count == 1 || (may_repeat && count > 1)) << what << " " << type->pins[i].name;
            }
        }
        if (type->family.empty()) continue;
        EXPECT_GE(type->ground_pin(), 0) << type->name;
        ASSERT_FALSE(type->supplies.empty()) << type->name;
        for (const SupplyPort& port : type->supplies) {
            const int pin = type->pin_index(port.name);
            ASSERT_GE(pin, 0) << type->name;
            EXPECT_EQ(type->pins[pin].role, PinRole::supply);
            EXPECT_GT(port.max, port.range.hi) << type->name;
            EXPECT_GT(port.range.lo, Volts{}) << type->name;
        }
    }
}

bool reads(PinRole role) {
    return role == PinRole::input || role == PinRole::io || role == PinRole::open_drain_io;
}
bool drives_low(PinRole role) {
    return role == PinRole::push_pull || role == PinRole::three_state || role == PinRole::open_drain ||
           role == PinRole::io;
}

TEST(BuiltIn, LogicPinsHaveLevelsThatFitTheirRoleOverTheWholeSupplyRange) {
    for (const auto& type : Catalogue::built_in().types()) {
        if (type->family.empty()) continue;
        for (const Pin& pin : type->pins) {
            if (pin.role == PinRole::supply || pin.role == PinRole::ground) continue;
            const std::string what = type->name + " " + pin.name;
            ASSERT_GE(pin.supply, 0) << what;
            EXPECT_TRUE(pin.max && pin.min && (pin.range_max || pin.role != PinRole::input)) << what;
            const Span<Volts>& range = type->supplies[pin.supply].range;
            for (double t = 0; t <= 1; t += 0.05) {
                const Volts v = range.lo + (range.hi - range.lo) * t;
                if (reads(pin.role)) {
                    const auto limits = thresholds_at(pin, v);
                    ASSERT_TRUE(limits) << what;
                    EXPECT_LE(limits->low.at(v), limits->high.at(v)) << what << " at " << v.si();
                    EXPECT_GE(limits->low.at(v), Volts{}) << what << " at " << v.si();
                }
                if (drives_low(pin.role)) {
                    const auto low = drive_curve(pin, false, v);
                    ASSERT_TRUE(low && low->points.size() > 1) << what;
                    EXPECT_LT(low->points[1].drop, v * 0.5) << what << " at " << v.si();
                }
            }
            EXPECT_EQ(pin.high.empty(), pin.role == PinRole::open_drain || pin.role == PinRole::input)
                << what;
        }
        for (const Channel& channel : type->channels) {
            EXPECT_GE(channel.output, 0);
            EXPECT_EQ(channel.enables.size(), channel.enable_high.size());
            const bool three_state = type->pins[channel.output].role == PinRole::three_state;
            EXPECT_TRUE(channel.enables.empty() || three_state) << type->name;
        }
    }
}

TEST(BuiltIn, SearchNarrowsAndFindsByTitle) {
    const Catalogue& catalogue = Catalogue::built_in();
    const auto all = catalogue.search("541"), some = catalogue.search("541 TTL");
    EXPECT_FALSE(some.empty());
    EXPECT_LT(some.size(), all.size());
    for (const PartType* type : some) EXPECT_EQ(type->function, "541");
    EXPECT_EQ(catalogue.find("HCT 541 DIP-20"), catalogue.find("HCT 541"));
    EXPECT_TRUE(Catalogue::package_in(*catalogue.find("HCT 541"), "HCT 541")->fits_board);
}

TEST(Schema, DescribesEveryKeyThatTheCatalogueUses) {
    const auto schema = nlohmann::json::parse(part_file_schema());
    EXPECT_EQ(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    EXPECT_FALSE(schema["additionalProperties"].get<bool>());
    for (const char* key : {"about", "traits", "types", "functions", "families"})
        EXPECT_TRUE(schema["properties"].contains(key)) << key;
    const auto& pin = schema["$defs"]["pin"]["properties"];
    for (const char* key :
         {"is", "like", "thresholds", "transition", "high", "low", "clamps", "max_unpowered", "load"})
        EXPECT_TRUE(pin.contains(key)) << key;
    EXPECT_THAT(pin["is"]["enum"].get<std::vector<std::string>>(), testing::Contains("open-drain io"));
}

}  // namespace
}  // namespace voltsill
