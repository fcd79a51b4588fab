/// The map of rails over benches of all sizes: everything is on it, once, and nothing lies on anything.
#include "drawing/rail_map.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include "../planning/circuit_cases.h"
#include "drawing/rail_map_lines.h"

namespace voltsill {
namespace {

using drawing::Drawing;

/// One hub and modules of four pins each way on two rails.
std::string star(int links) {
    std::string text =
        "title = \"star\"\n[rails]\nthree = { volts = \"3.3 V\" }\nfive = { volts = \"5 V\" }\n"
        "low = { volts = \"1.8 V\" }\n";
    const auto type = [&](const char* name, const char* supply, const char* pins) {
        text += fmt::format(
            "[types.{}]\ntitle = \"{}\"\nsource = \"invented\"\ncertainty = \"assumed\"\ninvented = true\n"
            "supplies.VCC = {{ {} }}\n{}pins.GND = {{ is = \"ground\" }}\n",
            name, name, supply, pins);
    };
    type("module", "range = \"4.5..5.5 V\", max = \"-0.3..6 V\"",
         "pins.\"O1..O4\" = { like = \"push-pull output, 5 V\" }\n");
    type("hub", "range = \"3.0..3.6 V\", max = \"-0.3..4 V\"",
         "pins.\"P1..P250\" = { like = \"controller pin, 3.3 V\" }\n");
    text += "[parts]\nhub = { type = \"hub\", supply = \"three\" }\n";
    for (int k = 0; k < (links + 3) / 4; ++k)
        text += fmt::format("module{} = {{ type = \"module\", supply = \"five\" }}\n", k);
    for (int k = 0; k < links; ++k)
        text += fmt::format("[[links]]\nname = \"link {}\"\nfrom = \"module{}.O{}\"\nto = \"hub.P{}\"\n", k,
                            k / 4, k % 4 + 1, k + 1);
    return text;
}

Bench bench_of(int links) {
    const BenchReading r = read_bench(star(links), "star.toml");  // warns of the rail nobody uses
    EXPECT_TRUE(r.bench) << links;
    return r.bench.value_or(Bench{});
}

void expect_clear(const Drawing& d) {
    EXPECT_LE(d.width, drawing::page_width);
    const auto labels = drawing::labels_of(d);
    for (size_t i = 0; i < labels.size(); ++i) {
        EXPECT_GE(labels[i]->size, drawing::smallest_letters) << labels[i]->text;
        const drawing::Box a = drawing::box_of(*labels[i]);
        EXPECT_TRUE(a.x0 >= 0 && a.y0 >= 0 && a.x1 <= d.width && a.y1 <= d.height) << labels[i]->text;
        for (size_t j = i + 1; j < labels.size(); ++j)
            EXPECT_FALSE(a.touches(drawing::box_of(*labels[j]), 0.6))
                << labels[i]->text << " on " << labels[j]->text;
    }
}

std::vector<std::string> values(const Drawing& d, std::string_view wanted) {
    std::vector<std::string> out;
    for (const drawing::Item& item : d.items)
        if (const auto* g = std::get_if<drawing::Group>(&item))
            for (const auto& [key, value] : g->data)
                if (key == wanted) out.push_back(value);
    return out;
}

void names_into(std::vector<std::string>& names, const std::vector<std::string>& lists) {
    for (const std::string& list : lists)
        for (size_t at = 0; at <= list.size();) {
            const size_t end = std::min(list.find(", ", at), list.size());
            names.push_back(list.substr(at, end - at));
            at = end + 2;
        }
}

TEST(RailMap, HoldsEveryLinkAndNothingLiesOnAnything) {
    for (const int links : {1, 4, 11, 50, 90, 200}) {
        SCOPED_TRACE(links);
        const Bench bench = bench_of(links);
        const Wiring w = wire_directly(bench);
        const Judgement j = judge(bench, w);
        const Drawing d = drawing::rail_map(bench, &w, &j);
        expect_clear(d);
        std::vector<std::string> named;
        names_into(named, values(d, "link"));
        std::vector<std::string> wanted;
        for (const Link& link : bench.links) wanted.push_back(link.name);
        EXPECT_THAT(named, testing::UnorderedElementsAreArray(wanted));
    }
}

/// A page holds each map of a big bench at its own size, and every link stands on one of them.
TEST(RailMap, PagesShareTheLinks) {
    for (const int links : {1, 11, 50, 200}) {
        SCOPED_TRACE(links);
        const Bench bench = bench_of(links);
        const Wiring w = wire_directly(bench);
        const Judgement j = judge(bench, w);
        std::vector<std::string> named, wanted, parts;
        for (const Drawing& d : drawing::rail_maps(bench, &w, &j)) {
            expect_clear(d);
            EXPECT_LE(d.height, drawing::page_height);
            names_into(named, values(d, "link"));
            for (const std::string& part : values(d, "part")) parts.push_back(part);
        }
        for (const Link& link : bench.links) wanted.push_back(link.name);
        EXPECT_THAT(named, testing::UnorderedElementsAreArray(wanted));
        EXPECT_THAT(parts, testing::Contains("hub"));
    }
    const Bench small = bench_of(1);
    EXPECT_EQ(drawing::rail_maps(small, nullptr, nullptr).size(), 1u);
}

/// Bands stand in the order of their voltages, whatever order the bench gives.
TEST(RailMap, HighestVoltageIsOnTop) {
    const Bench bench = bench_of(4);
    std::vector<std::string> bands;
    const Drawing d = drawing::rail_map(bench, nullptr, nullptr);
    for (const drawing::Item& item : d.items)
        if (const auto* g = std::get_if<drawing::Group>(&item);
            g && g->data.size() == 1 && g->data[0].first == "rail")
            bands.push_back(g->data[0].second);
    EXPECT_EQ(bands, (std::vector<std::string>{"five", "three", "low"}));
}

/// 5 V into a 3.3 V pin that does not bear it: the sign and the word stand on the map.
TEST(RailMap, SaysVerdictsBySignAndWord) {
    const Bench bench = bench_of(4);
    const Wiring w = wire_directly(bench);
    const Judgement j = judge(bench, w);
    std::vector<std::string> texts;
    const Drawing d = drawing::rail_map(bench, &w, &j);
    for (const drawing::Label* l : drawing::labels_of(d)) texts.push_back(l->text);
    EXPECT_THAT(texts, testing::Contains("✗ harmful"));
    EXPECT_THAT(texts, testing::Contains("one wire"));
}

/// What the signal passes, in line: the resistors at a base or gate belong to their transistor and divide no signal.
TEST(RailMap, NamesWhatASignalPasses) {
    using namespace sample;
    const auto words = [](const Two& two, const char* circuit) {
        const Bench bench = with(two, fmt::format("interface = \"{}\"", circuit)).bench();
        const Link& link = bench.links.at(0);
        return drawing::circuit_words(bench, plan(bench).wiring, link, link.from.at(0), link.to.at(0));
    };
    EXPECT_EQ(words(lamp, "high-side-switch"), "npn, pnp");
    EXPECT_EQ(words(inverting, "npn-inverter"), "npn");
    EXPECT_EQ(words(down, "inverter-pair"), "2 × n-mosfet 1.5 V threshold");
    EXPECT_EQ(words(down, "blocking-diode"), "schottky diode");
    EXPECT_EQ(words(clamped, "series-resistor"), "series 3.3 kΩ");
    EXPECT_THAT(words(down, "divider"), testing::MatchesRegex("divider .* kΩ over .* kΩ"));
}

}  // namespace
}  // namespace voltsill
