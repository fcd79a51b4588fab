/// The circuit of a link, read back from the drawing and held against the wiring: over the examples,
/// every recipe of every interface circuit, and wirings made at random.
#include <gmock/gmock.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <random>
#include <set>
#include <sstream>

#include "../planning/circuit_cases.h"
#include "drawing/circuit_link.h"
#include "drawing/rail_map.h"
#include "drawn_circuit.h"
#include "planning/assembly.h"
#include "quantity/print.h"
#include "support/drawing_faults.h"
#include "support/how_many.h"
#include "support/made_bench.h"

namespace voltsill {
namespace {

using drawing::Drawing;

std::string file(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

Bench example_bench(const std::string& name) {
    const std::filesystem::path folder = std::filesystem::path(VOLTSILL_ROOT) / "examples";
    const BenchReading r = read_bench(file(folder / name), name, [&](const std::string& path) {
        return std::optional(file(folder / path));
    });
    EXPECT_TRUE(r.bench) << name;
    return r.bench.value_or(Bench{});
}
std::vector<std::string> examples() {
    std::vector<std::string> out;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(VOLTSILL_ROOT) / "examples"))
        if (entry.path().extension() == ".toml") out.push_back(entry.path().filename().string());
    std::ranges::sort(out);
    return out;
}

struct PinOfWiring {
    int part, pin;
    NetId net;
};
std::optional<PinOfWiring> pin_named(const Wiring& w, const std::string& name) {
    for (int p = 0; p < std::ssize(w.parts); ++p)
        for (int k = 0; k < std::ssize(w.parts[p].net_of_pin); ++k)
            if (w.parts[p].name + "." + w.parts[p].type->pins[k].name == name)
                return PinOfWiring{p, k, w.parts[p].net_of_pin[k]};
    return std::nullopt;
}

/// Two leads of the drawing are joined exactly when the wiring has their pins on one net, and nothing
/// that is on a net of the drawing is missing from it.
void expect_same_nets(const Wiring& w, const Drawing& d, const std::string& what) {
    const drawn::Circuit c = drawn::read(d);
    EXPECT_THAT(c.faults, testing::IsEmpty()) << what;
    std::map<int, std::set<NetId>> nets_of_set;
    std::map<NetId, std::set<int>> sets_of_net;
    std::set<NetId> flagged;
    const auto note = [&](int set, NetId net) { nets_of_set[set].insert(net), sets_of_net[net].insert(set); };
    for (const auto& [name, sets] : c.pins) {
        const std::string inner = name.starts_with("inside ") ? name.substr(7) : name;
        const auto pin = pin_named(w, inner);
        ASSERT_TRUE(pin) << what << ": " << name;
        EXPECT_TRUE(inner != name || sets.size() == 1) << what << ": " << name << " is drawn more than once";
        for (const int set : sets)
            if (pin->net != unconnected) note(set, pin->net);
    }
    for (const auto& [name, sets] : c.inside) {
        const auto pin = pin_named(w, name);
        ASSERT_TRUE(pin) << what << ": " << name;
        const WiredPart& part = w.parts[pin->part];
        NetId supply = unconnected;
        for (size_t k = 0; k < part.type->pins.size(); ++k)
            if (part.type->pins[k].role == PinRole::supply &&
                part.type->pins[k].supply == part.type->pins[pin->pin].supply)
                supply = part.net_of_pin[k];
        for (const int set : sets) {
            const bool grounded = std::ranges::find(c.grounds, set) != c.grounds.end();
            note(set, grounded ? w.ground() : supply);
        }
    }
    for (const auto& [rail, sets] : c.rails)
        for (const int set : sets) note(set, w.rail(rail));
    for (const int set : c.grounds) note(set, w.ground());
    for (const auto& [name, sets] : c.flags)
        for (const int set : sets) {
            EXPECT_EQ(nets_of_set[set].size(), 1u) << what << ": " << name;
            const NetId net = *nets_of_set[set].begin();
            EXPECT_EQ(w.nets[net].name, name) << what;
            flagged.insert(net);
        }
    for (const auto& [set, nets] : nets_of_set)
        EXPECT_EQ(nets.size(), 1u) << what << ": unlike nets are joined";
    for (const auto& [net, sets] : sets_of_net) {
        if (w.nets[net].ground || !w.nets[net].rail.empty() || flagged.contains(net)) continue;
        EXPECT_EQ(sets.size(), 1u) << what << ": net " << w.nets[net].name << " falls apart";
        for (const WiredPart& part : w.parts)
            for (size_t k = 0; k < part.net_of_pin.size(); ++k)
                EXPECT_TRUE(part.net_of_pin[k] != net ||
                            c.pins.contains(part.name + "." + part.type->pins[k].name))
                    << what << ": " << part.name << "." << part.type->pins[k].name << " is missing";
    }
}

/// Ends of the link, and the parts that were added for it, by name and value, once.
void expect_parts(const Bench& bench, const Wiring& w, const std::string& link, const Drawing& d,
                  const std::string& what) {
    const auto words = drawn::words_by(d, "part");
    for (const auto* refs : {&bench.link(link)->from, &bench.link(link)->to})
        for (const PinRef& r : *refs)
            EXPECT_TRUE(std::ranges::any_of(
                words,
                [&](const auto& g) {
                    return g.first == r.part &&
                           testing::Matches(testing::Contains(testing::HasSubstr(r.pin)))(g.second);
                }))
                << what << ": no end " << r.part << "." << r.pin;
    for (const WiredPart& part : w.parts) {
        if (part.for_link != link || part.purpose.starts_with("decouples")) continue;
        EXPECT_EQ(words.count(part.name), 1u) << what << ": " << part.name;
        if (!words.contains(part.name) || !part.value) continue;
        const std::string value =
            part.type->kind == PartKind::resistor ? print(Ohms{*part.value}) : print(Farads{*part.value});
        EXPECT_THAT(words.find(part.name)->second, testing::IsSupersetOf({part.name, value})) << what;
    }
}

void expect_good(const Bench& bench, const Wiring& w, const std::string& link, const std::string& what) {
    const Drawing d = drawing::link_circuit(bench, w, link);
    SCOPED_TRACE(what + ", " + link);
    EXPECT_GT(d.width, 0);
    EXPECT_FALSE(d.title.empty() || d.description.empty());
    expect_same_nets(w, d, link);
    expect_parts(bench, w, link, d, link);
    EXPECT_THAT(drawn::overlaps(d), testing::IsEmpty());
    EXPECT_THAT(made::drawing_faults(d), testing::IsEmpty());
}

TEST(CircuitOfLink, EveryExampleAsPlannedDirectAndGiven) {
    for (const std::string& name : examples()) {
        const Bench bench = example_bench(name);
        Problems problems;
        for (const auto& [way, w] : {std::pair{"planned", plan(bench).wiring},
                                     {"direct", wire_directly(bench)},
                                     {"given", wire_as_given(bench, problems)}})
            for (const Link& link : bench.links) expect_good(bench, w, link.name, name + " " + way);
    }
}

/// A recipe between the ends of a crossing, as the planner builds it.
Wiring built(const Bench& bench, const Crossing& c, const Recipe& recipe) {
    Wiring w = wire_supplies(bench);
    ChannelSlot slot;
    if (recipe.ic) slot = {add_ic(bench, w, recipe), 0};
    const int before = static_cast<int>(w.parts.size());
    const NetId driver = net_for(w, c.from, "signal at D"), receiver = net_for(w, c.to, "signal at R");
    apply(w, recipe, driver, receiver, slot);
    for (int p = before; p < std::ssize(w.parts); ++p) w.parts[p].for_link = c.link->name;
    if (recipe.ic) finish_ic(bench, w, slot.part);
    return w;
}

/// On a few benches every recipe whether it serves or not, and each circuit where it serves: a circuit that is added is
/// drawn with its cases.
TEST(CircuitOfLink, EveryRecipeOfEveryInterfaceCircuit) {
    using namespace sample;
    Two low_bus = bus;
    low_bus.out_rail = "low", low_bus.in_rail = "three", low_bus.in_keys = "max = \"supply + 0.3 V\"";
    std::set<std::string> drawn;
    const auto draw = [&](const Bench& bench, std::string_view only) {
        for (const Crossing& c : crossings_of(bench))
            for (const CircuitKind& kind : all_circuits())
                if (only.empty() || only == kind.name)
                    for (const Recipe& recipe : kind.propose(c).recipes) {
                        drawn.insert(kind.name);
                        expect_good(bench, built(bench, c, recipe), "signal", recipe.title);
                    }
    };
    for (const Two& two : {down, up, bus, bucket, relay, analog, low_bus}) draw(two.bench(), "");
    for (const Case& held : cases)
        if (held.serves) draw(held.bench.bench(), held.circuit);
    for (const CircuitKind& kind : all_circuits())
        EXPECT_TRUE(drawn.contains(kind.name) || kind.name == std::string_view("change-of-supply")) << kind.name;
}

/// Parts of every kind of the catalogue between a few nets, rails and the ground, as no planner would.
Wiring at_random(const Bench& bench, unsigned seed) {
    std::mt19937 random(seed);
    const auto below = [&](size_t n) { return std::uniform_int_distribution<size_t>(0, n - 1)(random); };
    Wiring w = wire_supplies(bench);
    std::vector<NetId> nets{w.add_net("a"), w.add_net("b"), w.add_net("c"),
                            w.ground(),     w.rail("five"), w.rail("three")};
    const auto join = [&](const char* part, const char* pin, NetId net) {
        w.connect(w.part(part), pin, net);
    };
    join("D", "OUT", nets[0]);
    join("R", "IN", nets[1 + below(2)]);
    const char* types[] = {"resistor",
                           "resistor",
                           "resistor",
                           "capacitor",
                           "schottky diode",
                           "red LED",
                           "npn",
                           "pnp",
                           "n-mosfet 1.5 V threshold",
                           "p-mosfet",
                           "optocoupler",
                           "HCT 125",
                           "HC 00",
                           "LVC 8T245",
                           "dual comparator",
                           "two-bit pass-gate translator",
                           "linear regulator 3.3 V",
                           "header 4"};
    const size_t count = 1 + below(7);
    for (size_t k = 0; k < count; ++k) {
        const auto type = *std::ranges::find(bench.catalogue->types(), types[below(std::size(types))],
                                             [](const auto& t) { return t->name; });
        const int p = w.add_part("X", type, "");
        if (!type->packages.empty()) w.parts[p].package = &type->packages.front();
        if (type->kind == PartKind::resistor) w.parts[p].value = 4700;
        for (NetId& net : w.parts[p].net_of_pin)
            if (below(12) != 0) net = nets[below(nets.size())];
    }
    return w;
}

TEST(CircuitOfLink, AnyWiringAtRandom) {
    Bench bench = sample::down.bench();
    for (unsigned seed = 0; seed < made::how_many(200); ++seed) {
        const Wiring w = at_random(bench, seed);
        expect_good(bench, w, "signal", fmt::format("seed {}", seed));
        if (HasFailure()) break;
    }
}

/// Names of all lengths and alphabets, rails of all kinds; the map of rails of each as well.
TEST(CircuitOfLink, GeneratedBenches) {
    for (unsigned seed = 0; seed < made::how_many(200); ++seed) {
        const BenchReading r =
            read_bench(made::BenchMaker(seed, 1 + static_cast<int>(seed % 7)).text(), "made.toml");
        ASSERT_TRUE(r.bench) << seed;
        const Wiring w = seed % 8 == 0 ? plan(*r.bench).wiring : wire_directly(*r.bench);
        for (const Link& link : r.bench->links)
            expect_good(*r.bench, w, link.name, fmt::format("seed {}", seed));
        EXPECT_THAT(made::drawing_faults(drawing::rail_map(*r.bench, &w, nullptr)), testing::IsEmpty())
            << seed;
        if (HasFailure()) break;
    }
}

TEST(CircuitOfLink, IsTheSameEveryTime) {
    const Bench bench = example_bench("rain-garden.toml");
    const Wiring w = plan(bench).wiring;
    const auto text = [&] {
        std::string out;
        const Drawing d = drawing::link_circuit(bench, w, "bus data");
        for (const drawing::Label* l : drawing::labels_of(d))
            out += fmt::format("{} {} {};", l->text, l->at.x, l->at.y);
        return out;
    };
    EXPECT_EQ(text(), text());
}

TEST(CircuitOfLink, AnUnknownLinkHasNone) {
    const Bench bench = example_bench("first-bench.toml");
    EXPECT_EQ(drawing::link_circuit(bench, wire_directly(bench), "no such link").width, 0);
}

/// The drawing a practitioner expects of a divider (common practice, no source): the resistor in line
/// lies, the one to the ground stands under the line.
TEST(CircuitOfLink, ADividerLiesAndStands) {
    const Bench bench = sample::down.bench();
    const Evaluated e = sample::of(bench, "divider");
    const Wiring w = built(bench, crossings_of(bench).front(), e.recipe);
    const Drawing d = drawing::link_circuit(bench, w, "signal");
    std::map<std::string, std::vector<drawing::Point>> ends;
    for (const drawing::Item& item : d.items)
        if (const auto* g = std::get_if<drawing::Group>(&item))
            for (const drawing::Item& inner : g->items)
                if (const auto* lead = std::get_if<drawing::Group>(&inner))
                    for (const auto& [key, name] : lead->data)
                        if (key == "pin")
                            ends[name.substr(0, 2)].push_back(
                                std::get<drawing::Path>(lead->items[0]).steps.back().to);
    ASSERT_EQ(ends["R1"].size(), 2u);
    ASSERT_EQ(ends["R2"].size(), 2u);
    EXPECT_EQ(ends["R1"][0].y, ends["R1"][1].y);
    EXPECT_EQ(ends["R2"][0].x, ends["R2"][1].x);
    EXPECT_EQ(ends["R2"][0].y, ends["R1"][0].y) << "it hangs on the line";
    EXPECT_GT(ends["R2"][1].y, ends["R2"][0].y);
}

}  // namespace
}  // namespace voltsill
